"""What is said on a screen or the command line is current trade English, in words and not in names of the program."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterable, Iterator
from functools import cache
from pathlib import Path

import pytest

from cellar_tui.enology import legal
from cellar_tui.enology.references import MARKS, REFERENCES
from cellar_tui.language import explain
from cellar_tui.language.cautions import care_of, how
from cellar_tui.ledger.house import SETTINGS
from cellar_tui.planning.plan import Because
from cellar_tui.planning.rules.table import RULES
from cellar_tui.tui.keys import KEYS
from tests.tui.demo import demo

ROOT = Path(__file__).parent.parent.parent
OLD = {
    r"anew": "again",
    r"reckon\w*": "calculated",
    r"told": "said",
    r"begun": "started",
    r"oftener": "more often",
    r"smelt": "smelled",
    r"wish(ed|es)?": "target",
}
"""Words that nobody says today, and what is said in their place."""
MISLEADING = {
    r"mend(ed|s)?": "cure, correct",
    r"malo (start|help|late|alive)|malo": "MLF",
    r"from memory|\(seen": "source not verified, or nothing",
    r"tests/\w*": "nothing: a source and its date",
    r"(your )?own code": "your local rules",
    r"stings": "is sharp on the nose",
    r"is noted|noted, and": "recorded, not used in calculations",
    r"(dry|finish|cold) mark|(at|under|over|near) the mark": "expected dry gravity, stopping gravity",
    r"share (that )?stay(s|ing)( free)?": "fraction that stays free",
    r"kept bottles?|look at the (level|kept)|push the cap|due round": "retained bottles, check, punch down, round",
    r"(not|last|never|was|were|is|are|(?<!cannot )(?<!not )(?<!can )be) read(?!\w| only| by| from| in)": "tested",
    r"(?<!may )read (it|its|again|two|both|within|that day|VA|the alcohol)": "test",
    r"shown (done|unchanged|safe|stable)|stability shown|shows? (it is|dryness)": "proven, prove",
    r"is the most|the most is": "limit",
}
"""Words that mislead on a screen, and what is said in their place."""


def _any(words: Iterable[str]) -> re.Pattern[str]:
    return re.compile("|".join(rf"(?<![\w-]){one}(?![\w-])" for one in words), re.IGNORECASE)


ODD, ODD_OLD = _any([*OLD, *MISLEADING]), _any(OLD)
NAME = re.compile(r"(?<![\w/.{:`-])[a-z]+(_[a-z0-9]+)+|(?<![\w\"-])[a-z_]+=(?=[\s\w\"(]|$)")
"""A name of the program, or a field=value."""
CODE = re.compile(
    r"\b(SELECT|INSERT|CREATE|UPDATE|DELETE|PRAGMA|COMP_\w+|compadd|class=)\b|^\s*[A-Z]\w+ .*\{|: \w+;|\(\?|\\n\.|__",
)
"""Text for a machine: SQL, styles, scripts of a shell, patterns."""
COMMANDS = re.compile(r"cellar-tui|vessel add|wine start|style=|--\w+|\b[A-Z]+=")
"""The command line quoted, where fields are its grammar."""
UNITS = "cellar_tui/language/units.py"
"""Names of units as they are typed."""
SCREENS = ("planning", "ledger", "language", "entry_form", "tui", "workbench")
"""Packages whose sentences reach a screen; the command line's own may have its grammar."""


def _prose(tree: ast.Module) -> Iterator[tuple[int, str]]:
    """Yield line and text of every string that is no docstring; what is filled in stands as {}."""
    silent: set[int] = set()
    for node in ast.walk(tree):
        body = getattr(node, "body", None)
        for one in body if isinstance(body, list) else []:
            if isinstance(one, ast.Expr) and isinstance(one.value, ast.Constant):
                silent.add(id(one.value))
        if isinstance(node, ast.JoinedStr):
            silent |= {id(part) for part in node.values}
            yield node.lineno, "".join(str(p.value) if isinstance(p, ast.Constant) else "{}" for p in node.values)
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in silent:
            yield node.lineno, node.value


@cache
def said() -> tuple[tuple[str, str], ...]:
    """Return place and text of every sentence that the program can say, the scripts and statements left out."""
    found = []
    for package in ("cellar_tui", "storage"):
        for file in sorted((ROOT / package).rglob("*.py")):
            for line, text in _prose(ast.parse(file.read_text(encoding="utf-8"))):
                if " " in text.strip() and not CODE.search(text) and text not in MARKS:
                    found.append((f"{file.relative_to(ROOT)}:{line}", text))
    return tuple(found)


def odd(texts: tuple[tuple[str, str], ...], words: re.Pattern[str] = ODD) -> list[str]:
    """Return the texts in which a word stands that is not to be used."""
    return [f"{where}: {word[0]!r} in {text!r}" for where, text in texts if (word := words.search(text))]


def named(texts: tuple[tuple[str, str], ...]) -> list[str]:
    """Return the texts in which a name of the program stands, or a field=value."""
    return [f"{where}: {text!r}" for where, text in texts if NAME.search(text) and not COMMANDS.search(text)]


@pytest.mark.parametrize(
    "text",
    [
        "Weigh it anew.",
        "pH as reckoned",
        "the last look, as told",
        "free SO2 was never read",
        "to the sweetness wished",
    ],
)
def test_the_walk_finds_a_word_that_is_not_to_be_used(text: str) -> None:
    assert odd((("here", text),))


def test_the_walk_finds_a_name_of_the_program() -> None:
    assert named((("here", "set ph_meter first"), ("here", "give sugar= and alcohol="))) != []
    assert not named((("here", "x = y / 2 and pH 3.4"),))


def test_every_sentence_of_the_program_is_current_english() -> None:
    assert len(said()) > 2000
    assert odd(said()) == []


def test_a_screen_speaks_in_words_and_not_in_names_of_the_program() -> None:
    shown = tuple((where, text) for where, text in said() if where.split("/")[1] in SCREENS and UNITS not in where)
    assert len(shown) > 1000
    assert named(shown) == []


def test_rules_keys_and_house_rules_are_current_english_in_words() -> None:
    texts = [(rule.id, text) for rule in RULES for text in (rule.title, rule.teaches, rule.source, *rule.cautions)]
    texts += [(rule.id, text) for rule in RULES for one in rule.answers for text in (one.teaches, *one.cautions)]
    texts += [(key.id, text) for key in KEYS for text in (key.label, key.help)]
    texts += [(name, text) for name, one in SETTINGS.items() for text in (one.about, one.source)]
    assert odd(tuple(texts)) == []
    assert named(tuple(texts)) == []


def test_no_limit_and_no_source_says_that_it_was_seen_or_is_from_memory() -> None:
    shown = tuple((one.clause, one.source) for one in legal.LIMITS)
    assert odd((*shown, *((key, str(one)) for key, one in REFERENCES.items()))) == []
    assert all("," in source for _, source in shown)


def test_a_house_rule_can_be_understood_alone() -> None:
    abouts = [one.about for one in SETTINGS.values()]
    assert [one for one in abouts if re.match(r"(the same|and another|those|that|it)\b", one)] == []
    assert sorted(abouts) == sorted(set(abouts))


def _whys() -> Iterator[tuple[str, str]]:
    """Yield vessel and every sentence of what the planner says of the demo's wines, with its working."""
    with demo() as service:
        for row in service.view.vessels():
            view = service.view.wine(row.name)
            if view.plan is None or view.contents is None:
                continue
            becauses: list[Because] = [one.because for one in view.plan.verdicts.values()]
            for task in (one for one in service.view.tasks() if one.vessel == row.name):
                becauses.append(task.action.because)
                becauses += [task.action.dose.because] if task.action.dose is not None else []
                yield row.name, task.action.task
                yield row.name, how(task.action)
                yield from ((row.name, text) for text in care_of(task.action, glass=task.glass))
            for because in becauses:
                yield from ((row.name, text) for text in explain.lines(because))


def test_every_why_of_the_demo_is_current_english_in_words() -> None:
    found = tuple(_whys())
    assert len(found) > 500
    assert odd(found) == []
    assert named(found) == []


@pytest.mark.parametrize("page", ["README.md", "DEVELOPERS.md"])
def test_the_pages_of_the_repository_are_current_english(page: str) -> None:
    written = re.sub(r"<!-- begin .*?<!-- end \w+ -->", "", (ROOT / page).read_text(encoding="utf-8"), flags=re.DOTALL)
    assert odd(tuple((page, text) for text in written.splitlines()), ODD_OLD) == []
