"""The house rules as lines of a list under their topics, and one of them in full."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from cellar_tui.language import describe_entry
from cellar_tui.language.clean_text import cells
from cellar_tui.language.describe_setting import allowed, shown_unit, shown_value, title, with_unit
from cellar_tui.language.layout import column, joined, set_in, wrapped
from cellar_tui.ledger.cellar_kinds import HouseRule
from cellar_tui.ledger.entry import Entry
from cellar_tui.ledger.house import House, Setting, by_topic
from cellar_tui.planning.day_text import short_day
from cellar_tui.service.views import Task, Written
from cellar_tui.tui.widgets import short

MARK = "c"
"""What stands before a changed value."""
NAME, VALUE, UNIT, DEFAULT, SOURCE = 30, 8, 6, 12, 24
ROOM = 18
"""Cells that a text needs to be worth its column."""
RESTS = 12
"""Dates named on the page of a house rule."""


@dataclass(frozen=True, slots=True)
class Rule:
    """A line of the list: a house rule with the value in force and the entry that set it; a topic has no rule."""

    topic: str
    setting: Setting | None = None
    value: float | str = ""
    entry: Entry | None = None

    def holds(self, words: Sequence[str]) -> bool:
        """Return whether every word looked for stands in it."""
        if self.setting is None:
            return False
        one = self.setting
        said = (
            f"{one.name} {describe_entry.words(one.name)} {one.about} {one.source} {self.topic} {self.value} {one.unit}"
        )
        text = f"{said} {'changed' if self.entry else ''}".casefold()
        return all(word in text for word in words)


def rules(house: House, entries: Mapping[int, Entry], words: Sequence[str]) -> list[Rule]:
    """Return the house rules that hold the words looked for, under their topics."""
    found = []
    for topic, settings in by_topic().items():
        every = (
            Rule(
                topic,
                setting,
                house.values.get(setting.name, setting.default),
                entries.get(house.entries.get(setting.name, 0)),
            )
            for setting in settings
        )
        kept = [one for one in every if one.holds(words)]
        found += [Rule(topic), *kept] if kept else []
    return found


def heads(width: int) -> str:
    """Return the line above the list."""
    return _joined(f"{'':3}{'House rule':<{NAME}}", f"{'Value':>{VALUE}}", "Decides", "Default", "Source", width)


def parts(rule: Rule, width: int, units: str) -> list[tuple[str, str]]:
    """Return a line of the list as parts of text; a changed value has its letter."""
    if rule.setting is None:
        return [(column(f" {rule.topic}", width), "accent")]
    one = rule.setting
    value, unit = shown_value(one, rule.value, units), shown_unit(one, units)
    written = value if one.words else f"{value:>{VALUE}} {unit}"
    name = f" {MARK if rule.entry else ' '} {column(title(one), NAME)}"
    text = _joined(name, written, one.about, with_unit(one, one.default, units), one.source, width)
    return [(text, "accent" if rule.entry else "")]


def _joined(name: str, value: str, about: str, default: str, source: str, width: int) -> str:
    """Return the columns that fit a width: what it decides gives way first, then default and source."""
    left = f"{name} {column(value, VALUE + 1 + UNIT)}"
    rest = width - cells(left) - 1
    if rest < ROOM:
        return left
    if rest < 2 * ROOM + SOURCE + DEFAULT:
        return f"{left} {column(about, rest)}"
    sides = f"{column(default, DEFAULT)} {column(source, SOURCE)}"
    return f"{left} {column(about, rest - SOURCE - DEFAULT - 2)} {sides}"


def rests_on(tasks: Sequence[Task], name: str) -> list[Task]:
    """Return the due actions whose date or dose rests on a house rule."""
    fact = f"house rule {name}"
    found = []
    for task in tasks:
        dose = task.action.dose
        facts = (*task.action.because.facts, *(() if dose is None else dose.because.facts))
        if any(each.name == fact for each in facts):
            found.append(task)
    return found


def _in_force(rule: Rule, setting: Setting, units: str) -> str:
    value = with_unit(setting, rule.value, units)
    if rule.entry is None:
        return f"{value}, the default"
    by = f"set by {rule.entry.by} on {short_day(rule.entry.on)}, entry {rule.entry.root}"
    return f"{value}, {by}; default {with_unit(setting, setting.default, units)}"


def _resting(tasks: Sequence[Task]) -> str:
    return joined([f"{task.vessel} {short.action(task.action.rule)}" for task in tasks])


def below(rule: Rule, tasks: Sequence[Task], units: str, width: int) -> list[str]:
    """Return the selected house rule in words."""
    one = rule.setting
    if one is None:
        return []
    resting = rests_on(tasks, one.name)
    told = wrapped(joined((title(one), one.about)), width)
    told += set_in("Now", f"{_in_force(rule, one, units)} · may be {allowed(one, units)}", width)
    told += set_in("From", one.source, width)[:1]
    return [*told, *set_in("Dates", _resting(resting) or "none rests on it today", width)[:1]]


def page(rule: Rule, written: Sequence[Written], tasks: Sequence[Task], units: str) -> Iterator[str]:
    """Yield the page that says why a house rule is what it is."""
    one = rule.setting
    if one is None:
        return
    yield f"{one.about[:1].upper()}{one.about[1:]}."
    yield ""
    yield f"Now       {_in_force(rule, one, units)}"
    yield f"Default   {with_unit(one, one.default, units)}"
    yield f"Source    {one.source}"
    yield f"May be    {allowed(one, units)}"
    yield f"By hand   cellar-tui rule set {one.name}={shown_value(one, rule.value, units)}"
    resting = rests_on(tasks, one.name)
    if resting:
        yield ""
        yield f"Dates and doses that rest on it: {len(resting)}"
        for task in resting[:RESTS]:
            yield f"  {task.vessel} · {task.wine} · {task.action.task}, {short_day(task.action.show)}"
    if written:
        yield ""
        yield "Set"
        for line in written:
            body, state = line.entry.body, "" if line.state == "standing" else f" ({line.state})"
            value = "withdrawn" if not isinstance(body, HouseRule) else body.value or "back to the default"
            yield f"  entry {line.entry.seq}, {short_day(line.entry.on)}, {line.entry.by}: {value}{state}"
