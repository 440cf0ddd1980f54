"""The words in which each test is answered, as people say them, and what each of them records."""

from __future__ import annotations

from dataclasses import dataclass

from cellar_tui.ledger.kinds import TESTS


@dataclass(frozen=True, slots=True)
class CheckWord:
    """One answer to a test.

    Attributes:
        text: what is said.
        result, fault: what it records, in the words of a check; no fault is "".
    """

    text: str
    result: str
    fault: str = ""


_GENERAL = (CheckWord("all well", "pass"), CheckWord("faint", "faint"), CheckWord("fails", "fail"))

OF_TEST: dict[str, tuple[CheckWord, ...]] = dict.fromkeys(TESTS, _GENERAL) | {
    "cap": (
        CheckWord("done", "pass"),
        CheckWord("vinegar", "fail", "vinegar"),
        CheckWord("not done", "fail"),
    ),
    "level": (
        CheckWord("all as it should be", "pass"),
        CheckWord("level low", "fail"),
        CheckWord("airlock dry", "fail"),
        CheckWord("film", "fail", "film"),
        CheckWord("haze", "fail", "haze"),
    ),
    "clarity": (CheckWord("clear", "pass"), CheckWord("faint haze", "faint"), CheckWord("hazy", "fail", "haze")),
    "smell": (
        CheckWord("clean", "pass"),
        CheckWord("vinegar", "fail", "vinegar"),
        CheckWord("film yeast", "fail", "film"),
        CheckWord("rotten egg", "fail", "rotten_egg"),
        CheckWord("mouse", "fail", "mouse"),
        CheckWord("something else", "fail"),
    ),
    "taste": (CheckWord("can stay on oak", "pass"), CheckWord("slightly over-oaked", "fail")),
    "cold_test": (CheckWord("no crystals", "pass"), CheckWord("crystals", "fail", "crystals")),
    "fridge_test": (CheckWord("no crystals", "pass"), CheckWord("crystals", "fail", "crystals")),
    "heat_test": (CheckWord("clear", "pass"), CheckWord("faint haze", "faint"), CheckWord("hazy", "fail", "haze")),
    "pectin_test": (
        CheckWord("clear", "pass"),
        CheckWord("threads", "fail"),
        CheckWord("jelly", "fail"),
        CheckWord("cannot tell", "faint"),
    ),
    "chromatogram": (
        CheckWord("no malic spot", "pass"),
        CheckWord("malic spot faint", "faint"),
        CheckWord("malic spot", "fail"),
        CheckWord("malic and lactic spots", "fail", "lactic_spot"),
    ),
    "warm_bottle": (
        CheckWord("still, no gas", "pass"),
        CheckWord("gas", "fail", "pressure"),
        CheckWord("haze", "fail", "haze"),
    ),
    "kept_bottle": (
        CheckWord("as bottled", "pass"),
        CheckWord("gas", "fail", "pressure"),
        CheckWord("film", "fail", "film"),
        CheckWord("haze", "fail", "haze"),
        CheckWord("crystals", "fail", "crystals"),
        CheckWord("browning", "fail", "browning"),
    ),
}
"""The answers to each test, the one that passes first."""

CHORES = ("cap", "level")
"""Tests that are a chore: the first answer stands there already, and Enter alone records it."""
