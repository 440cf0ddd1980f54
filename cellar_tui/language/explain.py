"""A Because as text: the reason in a sentence, or the whole working line by line."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from cellar_tui.language import quantities
from cellar_tui.language.describe_entry import words
from cellar_tui.planning.day_text import short_day
from cellar_tui.planning.plan import Because, Fact, changed_rules

FEW = 3
"""Most inputs named in the one-sentence form; the rest stand in the working."""

HOUSE = "house rule "
"""What the name of an input begins with that is a house rule."""

_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")


def figure(value: float | str, unit: str, units: str = "metric") -> str:
    """Return an input's value with its unit in the house's system; a day as the screens write it."""
    if isinstance(value, str):
        return short_day(date.fromisoformat(value)) if _DAY.fullmatch(value) else value
    if unit in quantities.DIMENSIONS and unit:
        return quantities.show(value, unit, system=units)
    return f"{value:g} {unit}".rstrip()


def _input(fact: Fact, units: str) -> str:
    shown = figure(fact.value, fact.unit, units)
    text = f"{words(fact.name)} {shown.removeprefix('pH ') if fact.name.startswith('pH') else shown}"
    if fact.on is not None and fact.value != fact.on.isoformat():
        text += f" on {short_day(fact.on)}"
    return text


def _newest_first(facts: Sequence[Fact]) -> list[Fact]:
    """Return the inputs in their order, but of several of one name (a run of readings) the newest first."""
    runs: dict[str, list[Fact]] = {}
    for fact in facts:
        runs.setdefault(fact.name, []).append(fact)
    for run in runs.values():
        # Stable: inputs of one day keep their order, and what has no day stays where it was.
        run.sort(key=lambda fact: fact.on or date.min, reverse=True)
    return [runs[fact.name].pop(0) for fact in facts]


def because(b: Because, *, units: str = "metric") -> str:
    """Return the reason and its inputs, the newest of a run first; house rules are named where they were changed.

    Args:
        b: the explanation.
        units: the house's system of units: metric, us or imperial.
    """
    inputs = [_input(fact, units) for fact in _newest_first(b.facts) if not fact.house_rule][:FEW]
    reason = b.reason[:1].upper() + b.reason[1:]
    told = f"{reason}: {', '.join(inputs)}." if inputs else f"{reason}."
    return told + changed_rules(b.facts)


@dataclass(frozen=True, slots=True)
class Told:
    """One line of a working, with the entries it rests on."""

    text: str
    entries: tuple[int, ...] = ()


def _changes(b: Because) -> str:
    """Return what would change it: newer inputs, other house rules; "" where it has none."""
    newer = dict.fromkeys(fact.name for fact in b.facts if fact.entries and not fact.house_rule)
    rules = dict.fromkeys(words(fact.name.removeprefix(HOUSE)) for fact in b.facts if fact.house_rule)
    told = [f"another {', '.join(newer)}"] if newer else []
    told += [f"the house rule{'s' if len(rules) > 1 else ''} {', '.join(rules)}"] if rules else []
    return f"Changed by: {'; '.join(told)}." if told else ""


def working(b: Because, *, units: str = "metric") -> list[Told]:
    """Return the whole working: reason, formula, each input with date and entries, what would change it, source."""
    shown = [Told(b.reason[:1].upper() + b.reason[1:] + ".")]
    if b.formula:
        shown.append(Told(f"How: {b.formula}."))
    for fact in _newest_first(b.facts):
        text = f"  {_input(fact, units)}"
        if fact.entries:
            text += " (entry " + ", ".join(str(entry) for entry in sorted(fact.entries, reverse=True)) + ")"
        elif fact.house_rule:
            text += " (default)"
        shown.append(Told(text, fact.entries))
    if changes := _changes(b):
        shown.append(Told(changes))
    shown.append(Told(f"Source: {b.source}."))
    return shown


def lines(b: Because, *, units: str = "metric") -> list[str]:
    """Return the whole working as lines of text."""
    return [one.text for one in working(b, units=units)]
