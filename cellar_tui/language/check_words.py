"""The words in which each test is answered, as people say them, and what each of them records."""

from __future__ import annotations

from dataclasses import dataclass

from cellar_tui.ledger.kinds import TESTS


@dataclass(frozen=True, slots=True)
class Finding:
    """One answer to a test.

    Attributes:
        text: what is said.
        result, fault: what it records, in the words of a check; no fault is "".
    """

    text: str
    result: str
    fault: str = ""


_GENERAL = (Finding("all well", "pass"), Finding("faint", "faint"), Finding("fails", "fail"))

OF_TEST: dict[str, tuple[Finding, ...]] = dict.fromkeys(TESTS, _GENERAL) | {
    "cap": (Finding("done", "pass"), Finding("smells of vinegar", "fail", "vinegar"), Finding("not done", "fail")),
    "level": (
        Finding("all as it should be", "pass"),
        Finding("level low", "fail"),
        Finding("airlock dry", "fail"),
        Finding("film", "fail", "film"),
        Finding("haze", "fail", "haze"),
    ),
    "clarity": (Finding("clear", "pass"), Finding("faint haze", "faint"), Finding("hazy", "fail", "haze")),
    "smell": (
        Finding("clean", "pass"),
        Finding("vinegar", "fail", "vinegar"),
        Finding("film yeast", "fail", "film"),
        Finding("rotten egg", "fail", "rotten_egg"),
        Finding("mouse", "fail", "mouse"),
        Finding("something else", "fail"),
    ),
    "taste": (Finding("can stay on oak", "pass"), Finding("slightly over-oaked", "fail")),
    "cold_test": (Finding("no crystals", "pass"), Finding("crystals", "fail", "crystals")),
    "fridge_test": (Finding("no crystals", "pass"), Finding("crystals", "fail", "crystals")),
    "heat_test": (Finding("clear", "pass"), Finding("faint haze", "faint"), Finding("hazy", "fail", "haze")),
    "pectin_test": (
        Finding("clear", "pass"),
        Finding("threads", "fail"),
        Finding("jelly", "fail"),
        Finding("cannot tell", "faint"),
    ),
    "chromatogram": (
        Finding("no malic spot", "pass"),
        Finding("malic spot faint", "faint"),
        Finding("malic spot", "fail"),
        Finding("malic and lactic spots", "fail", "lactic_spot"),
    ),
    "warm_bottle": (
        Finding("still, no gas", "pass"),
        Finding("gas", "fail", "pressure"),
        Finding("haze", "fail", "haze"),
    ),
    "kept_bottle": (
        Finding("as bottled", "pass"),
        Finding("gas", "fail", "pressure"),
        Finding("film", "fail", "film"),
        Finding("haze", "fail", "haze"),
        Finding("crystals", "fail", "crystals"),
        Finding("browning", "fail", "browning"),
    ),
}
"""The answers to each test, the one that passes first."""

CHORES = ("cap", "level")
"""Tests that are a chore: the first answer stands there already, and Enter alone records it."""
