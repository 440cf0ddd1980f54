"""An entry, an amount, a dose as one line of text."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import date
from typing import Any

from cellar_tui.language import quantities
from cellar_tui.language.reading_age import FRESH, OLD
from cellar_tui.ledger import cellar_kinds as c
from cellar_tui.ledger import kinds as k
from cellar_tui.ledger import titrated, trial_doses
from cellar_tui.ledger.entry import Entry
from cellar_tui.ledger.fields import specs
from cellar_tui.ledger.materials import material
from cellar_tui.ledger.names import as_words
from cellar_tui.planning.day_text import short_day
from cellar_tui.planning.estimate import Estimate
from cellar_tui.planning.plan import Dated, Dose, Totals

READING_NAMES = {
    "sg": "SG",
    "brix": "Brix",
    "ph": "pH",
    "ta": "TA",
    "free_so2": "free SO2",
    "second_strip": "second strip",
    "total_so2": "total SO2",
    "malic": "malic acid",
    "residual_sugar": "residual sugar",
    "va": "VA",
    "dissolved_oxygen": "dissolved oxygen",
    "conductivity_drop": "conductivity drop",
    "yan": "YAN",
    "sample_temperature": "sample at",
    "dip": "dip",
    "ullage": "ullage",
    "sample": "mL of wine",
    "blank": "blank",
}
"""Names of readings where the field's own would be hard to read."""

SCALES = ("SG", "Brix")
"""Scales whose name the reading bears already, so that none stands behind the number."""


words = as_words
"""The name of a field, material or rule as words."""


def action(rule: str) -> str:
    """Return what a due action asks to be done, in a few words, by the name of its rule.

    >>> action("so2_recheck"), action("cap")
    ('test free SO2', 'punch down, 2 to 3 times')
    """
    from cellar_tui.planning.rules.table import RULE_BY_ID

    return RULE_BY_ID[rule].title if rule in RULE_BY_ID else words(rule)


STATES = {
    "shown": "proven",
    "in_progress": "in progress",
    "not_yet": "not yet",
    "lapsed": "lapsed",
    "waived": "waived",
}
"""How a verdict is said."""


def amount(value: float, unit: str, units: str = "metric") -> str:
    """Return an amount in its canonical unit, shown in the house's system."""
    if unit in quantities.DIMENSIONS and unit:
        return quantities.show(value, unit, system=units)
    return f"{value:g} {unit}".rstrip()


def sugar(totals: Totals, units: str = "metric") -> str:
    """Return the sugar of a wine: "30 g/L", an estimate as "~5 g/L (0 to 11)", "not known"."""
    if totals.sugar is None:
        return "not known"
    shown = amount(round(totals.sugar, 1), "g/L", units)
    if totals.sugar_band is None:
        return shown
    low, high = (quantities.number(value, "g/L", figures=0, system=units) for value in totals.sugar_band)
    return f"~{shown} ({low} to {high})"


def reading(name: str, value: float, unit: str, units: str = "metric") -> str:
    """Return a reading with its name: "free SO2 28 mg/L", "pH 3.20", "SG 0.994"."""
    label, shown = READING_NAMES.get(name, words(name)), amount(value, unit, units)
    if unit == "SG" and quantities.shown_unit(unit, units) != unit:
        return f"gravity {shown}"
    if unit in SCALES:
        return f"{label} {quantities.number(value, unit, system=units)}"
    return shown if shown.startswith(label) else f"{label} {shown}"


def dose(found: Dose, units: str = "metric") -> str:
    """Return what to add: "potassium metabisulfite 2.7 g"."""
    return f"{words(found.material)} {amount(found.amount, found.unit, units)}"


def _reading(body: k.Reading, names: Mapping[int, str], units: str) -> str:
    parts = []
    for name, spec in specs(k.Reading):
        value = getattr(body, name)
        if value is None or name == "method" or name in titrated.HOW:
            continue
        parts.append(reading(name, value, spec.unit, units))
    return ", ".join(parts) + (f" by {body.method}" if body.method else "") + _burette(body)


def _lab_report(body: k.LabReport, names: Mapping[int, str], units: str) -> str:
    reference = f", report {body.reference}" if body.reference else ""
    return f"{_reading(body, names, units)} ({body.laboratory}{reference})"


def _tasting(body: k.Tasting, names: Mapping[int, str], units: str) -> str:
    score = "" if body.score is None else f"{body.score:g}{f' of {body.scale:g}' if body.scale else ''}"
    told = [f"{name} {said}" for name in ("look", "nose", "palate") if (said := getattr(body, name)) is not None]
    faults = [f"faults: {', '.join(map(words, body.faults))}"] if body.faults else []
    return f"tasted: {'; '.join([*([score] if score else []), *told, *faults])}"


def _cleaning(body: k.Cleaning, names: Mapping[int, str], units: str) -> str:
    agent = f" with {body.agent}" if body.agent else ""
    found = {"pass": ": sound", "fail": ": mould or vinegar"}.get(body.result or "", "")
    return f"empty vessel: {words(body.how or '')}{agent}{found}"


def _burette(body: k.Reading) -> str:
    """Return the millilitres behind a reading: " (2.3 mL of 0.01 N on 20 mL)"."""
    run_in = " and ".join(f"{getattr(body, name + titrated.SUFFIX):g} mL" for name in titrated.typed(body))
    if not run_in:
        return ""
    blank = f", blank {body.blank:g} mL" if body.blank else ""
    return f" ({run_in} of {body.normality:g} N on {body.sample:g} mL{blank})"


def _addition(body: k.Addition, names: Mapping[int, str], units: str) -> str:
    name = body.material or ""
    text = f"{amount(body.amount or 0, material(name).unit, units)} {words(name)}"
    if body.dose is not None:
        text += f" ({amount(body.dose, 'mg/L', units)})"
    text += f", lot {body.lot}" if body.lot else ""
    return f"{text}, for {body.purpose}" if body.purpose else text


def _moved(verb: str) -> Callable[[Any, Mapping[int, str], str], str]:
    def said(body: k.Racking | k.Press, names: Mapping[int, str], units: str) -> str:
        cold = " cold" if isinstance(body, k.Racking) and body.cold else ""
        text = f"{verb}{cold}" if body.to is None else f"{verb}{cold} to {names.get(body.to, 'another vessel')}"
        return text if body.volume is None else f"{text}, {amount(body.volume, 'L', units)} left"

    return said


def _topping(body: k.Topping, names: Mapping[int, str], units: str) -> str:
    source = f"{body.wine or 'wine'} from outside" if body.outside else names.get(body.source or 0, "another vessel")
    stated = [reading(name, value, unit, units) for name, value, unit in _stated(body) if value is not None]
    told = f" ({', '.join(stated)})" if stated else ""
    return f"topped with {amount(body.volume or 0, 'L', units)} of {source}{told}"


def _stated(body: k.Topping) -> tuple[tuple[str, float | None, str], ...]:
    return ("sugar", body.sugar, "g/L"), ("alcohol", body.alcohol, "% vol")


def _split(body: k.Split, names: Mapping[int, str], units: str) -> str:
    text = f"{amount(body.volume or 0, 'L', units)} split off to {names.get(body.to or 0, 'another vessel')}"
    return f"{text} as {body.name}" if body.name else text


def _blend(body: k.Blend, names: Mapping[int, str], units: str) -> str:
    text = f"blended with {amount(body.volume or 0, 'L', units)} of {names.get(body.source or 0, 'another vessel')}"
    if body.to is not None:
        text += f" in {names.get(body.to, 'another vessel')}"
    return f"{text} as {body.name}" if body.name else text


def _filter(body: k.Filter, names: Mapping[int, str], units: str) -> str:
    pore = "" if body.pore is None else f" at {amount(body.pore, 'um', units)}"
    return f"filtered{' sterile' if body.sterile else ''}{pore}"


def _loss(body: k.Loss, names: Mapping[int, str], units: str) -> str:
    reason = f": {body.reason}" if body.reason else ""
    return f"{amount(body.volume or 0, 'L', units)} lost{reason}"


def _chill(body: k.Chill, names: Mapping[int, str], units: str) -> str:
    place = f", {body.place}" if body.place else ""
    return f"cold hold {'ended' if body.end else 'started'} at {amount(body.temperature or 0, 'C', units)}{place}"


def _check(body: k.Check, names: Mapping[int, str], units: str) -> str:
    results = {"pass": "passed", "fail": "failed", "faint": "faint"}
    fault = f", {words(body.fault)}" if body.fault else ""
    counts = {"punched down": body.punch_downs, "pumped over": body.pump_overs}
    times = "".join(
        f", {done} {'once' if often == 1 else f'{often:g} times'}" for done, often in counts.items() if often
    )
    opened = f", {body.opened:g} opened" if body.opened else ""
    return f"{words(body.test or '')} {results[body.result or 'fail']}{fault}{times}{opened}"


def _trial(body: k.Trial, names: Mapping[int, str], units: str) -> str:
    chosen = "" if body.chosen is None else f", chose {amount(body.chosen, trial_doses.unit_of(body), units)}"
    chosen += " copper" if chosen and trial_doses.by_copper(body) else ""
    results = f": {body.results}" if body.results else ""
    return f"bench trial of {words(body.material or '')}{chosen}{results}"


def _decide(body: k.Decide, names: Mapping[int, str], units: str) -> str:
    return f"decided on {words(body.about or '')}: {words(body.choice or '')}, {body.reason}"


def _override(body: k.Postpone | k.Skip, names: Mapping[int, str], units: str) -> str:
    verb, to = ("postponed", "to") if isinstance(body, k.Postpone) else ("skipped", "until")
    until = f" {to} {short_day(body.until)}" if body.until else ""
    return f"{action(body.action or '')} {verb}{until}: {body.reason}"


def _bottle(body: k.Bottle, names: Mapping[int, str], units: str) -> str:
    through = f", filter {body.filter}" if body.filter else ""
    left = f", {amount(body.left, 'L', units)} left" if body.left else ""
    lot = f", lot {body.lot}" if body.lot else ""
    return f"bottled {body.count or 0:g} of {amount(body.size or 0, 'mL', units)}{through}{left}{lot}"


def _bottles_out(body: k.Bottles, names: Mapping[int, str], units: str) -> str:
    what = {"kept": "kept back", "returned": "came back"}.get(body.how or "", body.how or "gone")
    size = f" of {amount(body.size, 'mL', units)}" if body.size else ""
    whom = f", {body.whom}" if body.whom else ""
    return f"{body.count or 0:g} bottles{size} {what}{whom}"


def _value(value: object, unit: str, units: str) -> str:
    if isinstance(value, date):
        return short_day(value)
    if isinstance(value, bool):
        return "yes" if value else "no"
    return amount(value, unit, units) if isinstance(value, float | int) else str(value)


def _plain(body: k.Body, units: str) -> str:
    """Say a body field by field but for its name, for kinds that need no sentence of their own."""
    parts = []
    for name, spec in specs(type(body)):
        value = getattr(body, name)
        if value is None or name == "name":
            continue
        said = words(value) if spec.sort == "choice" else _value(value, spec.unit, units)
        if name == spec.unit:  # a weight is its own name: 31.5 kg
            parts.append(said)
            continue
        parts.append(reading(name, value, spec.unit, units) if spec.sort == "number" else f"{words(name)} {said}")
    return ", ".join(parts)


def _on_hand(body: c.MaterialOnHand, names: Mapping[int, str], units: str) -> str:
    known = material(body.name or "")
    parts = [words(body.name or "")]
    if body.amount is not None:
        parts.append(amount(body.amount, known.unit, units))
    if body.strength is not None:
        parts.append(f"strength {body.strength:g}")
    if body.opened is not None:
        parts.append(f"opened {short_day(body.opened)}")
    return f"on hand: {', '.join(parts)}"


_SAID: dict[type[k.Body], Callable[[Any, Mapping[int, str], str], str]] = {
    k.Reading: _reading,
    k.Series: lambda body, names, units: (
        f"{body.count or 0:.0f} temperatures of a logger, {amount(body.lowest or 0, 'C', units)} to "
        f"{amount(body.highest or 0, 'C', units)}, last {amount(body.temperature or 0, 'C', units)}"
    ),
    k.LabReport: _lab_report,
    k.Tasting: _tasting,
    k.Cleaning: _cleaning,
    k.Addition: _addition,
    k.Racking: _moved("racked"),
    k.Press: _moved("pressed"),
    k.Topping: _topping,
    k.Split: _split,
    k.Blend: _blend,
    k.Filter: _filter,
    k.Loss: _loss,
    k.Gas: lambda body, names, units: "headspace covered with gas",
    k.Chill: _chill,
    k.Check: _check,
    k.Trial: _trial,
    k.Intent: lambda body, names, units: f"wanted: {_plain(body, units)}",
    k.Decide: _decide,
    k.Waive: lambda body, names, units: f"{body.stability} waived: {body.reason}",
    k.Postpone: _override,
    k.Skip: _override,
    k.Bottle: _bottle,
    k.Bottles: _bottles_out,
    k.Harvest: lambda body, names, units: f"taken in: {_plain(body, units)}",
    k.Note: lambda body, names, units: body.text or "",
    c.WineStart: lambda body, names, units: f"{body.name} started: {_plain(body, units)}",
    c.Vessel: lambda body, names, units: f"vessel {body.name}: {_plain(body, units)}",
    c.HouseRule: lambda body, names, units: (
        f"house rule {words(body.name)} put back to its default"
        if body.value is None
        else f"house rule {words(body.name)} set to {body.value}"
    ),
    c.MaterialOnHand: _on_hand,
    c.Void: lambda body, names, units: f"withdrew entry {body.of}",
    c.Rebuild: lambda body, names, units: "plans worked out again by a newer program",
}


def entry(found: Entry, names: Mapping[int, str], units: str = "metric") -> str:
    """Return an entry as one line; `names` gives the vessels by number."""
    return content(found.body, names, units)


def content(said: k.Body, names: Mapping[int, str], units: str = "metric") -> str:
    """Return what an entry says as one line."""
    return " ".join(_SAID[type(said)](said, names, units).split())


def bottling(path: Sequence[Dated], held_up_by: Sequence[Dated]) -> str:
    """Return the earliest day of bottling and what decides it in one sentence; "" where nothing is to be bottled.

    Args:
        path: the dated steps of a wine.
        held_up_by: those of them that decide the day.
    """
    if not path:
        return ""
    *before, last = path
    told = f"Earliest bottling {short_day(last.earliest)}"
    if held_up_by:
        return f"{told}: {', '.join(f'{action(one.action)} {one.days} d' for one in held_up_by)}."
    work = [one.done for one in before if one.action != "final_so2"]
    ready = f"; all else can be done by {short_day(max(work))}" if work else ""
    return f"{told}: {last.because.reason.rpartition(', ')[2]}{ready}."


def free(found: Estimate | None, *, bare: bool = False) -> str:
    """Return free SO2 of a day as it is shown: the estimate marked by ~, and how old its reading is; "-" for none."""
    return _estimated(found, None if found is None else found.free_so2, 0, bare)


def molecular(found: Estimate | None, *, bare: bool = False) -> str:
    """Return molecular SO2 of a day likewise."""
    return _estimated(found, None if found is None else found.molecular_so2, 2, bare)


def _estimated(found: Estimate | None, value: float | None, digits: int, bare: bool) -> str:
    if found is None or value is None:
        return "-"
    if found.age_days > FRESH["free_so2"]:
        return OLD if bare else f"{OLD}: last tested {found.age_days} d ago"
    mark = "~" if found.age_days else ""
    return f"{mark}{value:.{digits}f}" if bare else f"{mark}{value:.{digits}f} mg/L ({aged(found.age_days)})"


def aged(days: int) -> str:
    """Return how old the reading behind an estimate is."""
    return "tested that day" if days == 0 else f"{days} d after its reading"
