"""The three papers of a cellar: the round, a wine's file, a bottling sheet."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import date

from cellar_tui.exchange.paper import Box, Curve, Head, Paper, Part, Say, Table
from cellar_tui.language import describe_entry, explain, reading_age
from cellar_tui.language.cautions import care, care_of, how
from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.contents import Contents
from cellar_tui.planning import release
from cellar_tui.planning.day_text import short_day
from cellar_tui.planning.plan import Plan
from cellar_tui.planning.planner import Day
from cellar_tui.planning.subject import Subject
from cellar_tui.service.round_list import carry, walking_order, weigh_out
from cellar_tui.service.views import Task, WineView, Written

CURVES = (
    ("sg", "gravity", "SG"),
    ("free_so2", "free SO2", "mg/L"),
    ("temperature", "temperature", "C"),
    ("ph", "pH", ""),
)
"""Readings that are drawn over time."""


def round_of(cellar: str, tasks: Sequence[Task], day: date, units: str) -> Paper:
    """Return the round of the tasks given: what to weigh out and carry, then each place with its boxes."""
    walk = sorted(tasks, key=walking_order)
    parts: list[Part] = []
    if not walk:
        parts.append(Say("Nothing is due."))
    else:
        parts += [Head("Weigh out"), *(Say(one, 1) for one in weigh_out(walk, units) or ["nothing"])]
        parts += [Head("Carry"), *(Say(one, 1) for one in carry(walk))]
        parts += _stops(walk, units)
        parts += _care(dict.fromkeys(one for task in walk for one in care_of(task.action, glass=task.glass)))
    return Paper(cellar, "Round", day, tuple(parts))


def _stops(walk: Iterable[Task], units: str) -> Iterator[Part]:
    place, vessel = None, ""
    for task in walk:
        if task.place != place:
            place, vessel = task.place, ""
            yield Head(place or "No place named")
        if task.vessel != vessel:
            vessel = task.vessel
            yield Say(f"{task.vessel} · {task.wine}", 0, True)
        dose = task.action.dose
        late = f" (late, {short_day(task.action.latest)})" if task.status == "late" else ""
        yield Box(f"{task.action.task}{late}", "amount given" if dose else "result")
        if dose is not None:
            yield Say(f"{describe_entry.dose(dose, units)}. {dose.note}", 2, True)
        yield Say(how(task.action), 2)


def _care(found: Iterable[str]) -> Iterator[Part]:
    lines = list(found)
    if lines:
        yield Head("Care")
    yield from (Say(f"! {line}", 1) for line in lines)


def wine(cellar: str, view: WineView, ledger: Sequence[Written], names: dict[int, str]) -> Paper:
    """Return the file of a wine: facts, verdicts with evidence, what is due, curves, additions, readings, lineage."""
    parts: list[Part] = []
    subject = view.info.name
    if view.plan is None or view.day is None or view.contents is None:
        parts.append(Say("This vessel is empty."))
    else:
        subject = f"{view.plan.wine} in {view.info.name}"
        parts += _facts(view, view.plan)
        parts += [*_verdicts(view, view.day), *_due(view, view.day), *_curves(view.contents, view.plan)]
    standing = sorted((line for line in ledger if line.state == "standing"), key=lambda line: line.entry.position)
    bottom = [line for line in ledger if line.state not in ("standing", "withdrawal")]
    parts += _entries("Where it comes from", [one for one in standing if _moves(one)], names, view)
    parts += _entries("Additions", [one for one in standing if isinstance(one.entry.body, k.Addition)], names, view)
    parts += _entries("Readings", [one for one in standing if isinstance(one.entry.body, k.Reading)], names, view)
    rest = [one for one in standing if not (_moves(one) or isinstance(one.entry.body, k.Addition | k.Reading))]
    parts += _entries("Everything else", rest, names, view)
    parts += _entries("Corrected or withdrawn", sorted(bottom, key=lambda one: one.entry.seq), names, view)
    return Paper(cellar, subject, view.today, tuple(parts))


def _facts(view: WineView, plan: Plan) -> Iterator[Part]:
    yield Head("The wine")
    facts = [
        ("style", f"{describe_entry.words(plan.style)}, {plan.colour}"),
        ("stage", describe_entry.words(plan.stage)),
        ("volume", describe_entry.amount(plan.volume, "L", view.units)),
        ("vessel", ", ".join(filter(None, (view.info.name, view.info.material, view.info.place)))),
        ("target date", short_day(plan.wished)),
        ("total SO2", f"{plan.totals.so2_total:.0f} mg/L, {plan.totals.so2_added:.0f} mg/L of it added"),
        ("sorbate", f"{plan.totals.sorbate:.0f} mg/L"),
        ("sugar", describe_entry.sugar(plan.totals, view.units)),
    ]
    for name, one in plan.readings.items():
        shown, age = (
            describe_entry.reading(name, one.value, one.unit, view.units),
            reading_age.mark(name, one.on, view.today),
        )
        facts.append(("last", f"{shown}, {short_day(one.on)}{age} (entry {one.entry})"))
    yield Table(("", ""), tuple(facts), (0.22,))


def _verdicts(view: WineView, day: Day) -> Iterator[Part]:
    yield Head("Stable?")
    rows = []
    for kind, one in day.verdicts.items():
        until = f" until {short_day(one.until)}" if one.until and one.state == "shown" else ""
        evidence = f" Entries {', '.join(map(str, one.evidence))}." if one.evidence else ""
        rows.append(
            (kind, describe_entry.STATES[one.state] + until, explain.because(one.because, units=view.units) + evidence)
        )
    yield Table(("kind", "verdict", "why"), tuple(rows), (0.13, 0.2))


def _due(view: WineView, day: Day) -> Iterator[Part]:
    if day.actions:
        yield Head("Due")
    for action in day.actions:
        yield Box(f"{short_day(action.show)}: {action.task}")
        if action.dose is not None:
            yield Say(f"{describe_entry.dose(action.dose, view.units)}. {action.dose.note}", 2, True)
    if told := describe_entry.bottling(day.path, day.held_up_by):
        yield Say(told)
    yield from _care(dict.fromkeys(c for one in day.actions for c in care_of(one, glass=view.info.material == "glass")))


def _curves(held: Contents, plan: Plan) -> Iterator[Part]:
    for name, label, unit in CURVES:
        points = tuple((event.on, event.values[name]) for event in held.log if name in event.values)
        if len({day for day, _ in points}) > 1:
            target = plan.forecast.target if name == "free_so2" and plan.forecast is not None else None
            yield Curve(label, unit, points, target)


def _moves(one: Written) -> bool:
    return one.entry.body.kind in ("wine", "split", "blend", "topping", "press", "racking", "bottle")


def _entries(head: str, found: Sequence[Written], names: dict[int, str], view: WineView) -> Iterator[Part]:
    if not found:
        return
    yield Head(head)
    rows = []
    for one in found:
        entry = one.entry
        where = f" (in {one.vessel})" if one.vessel and one.vessel != view.info.name else ""
        marks = "" if one.state == "standing" else f" [{one.state}]"
        marks += f" [cannot be right: {one.problem}]" if one.problem else ""
        said = f"{describe_entry.entry(entry, names, view.units)}{where}{marks} · {entry.by}"
        rows.append((short_day(entry.on), str(entry.seq), said))
    yield Table(("day", "entry", ""), tuple(rows), (0.17, 0.1))


def bottling(cellar: str, view: WineView, taken: date) -> Paper:
    """Return the bottling sheet: verdicts, sums against limits, words for the label, bottles and corks, blanks."""
    if view.plan is None or view.day is None or view.contents is None:
        return Paper(cellar, view.info.name, taken, (Say("This vessel is empty."),))
    s = Subject(view.contents, view.info, view.house)
    where = s.house.word("jurisdiction")
    parts: list[Part] = [*_verdicts(view, view.day)]
    waived = [Say(waiver.text, 1) for waiver in release.waivers(s, view.entries)]
    parts += [Head("Let pass with a reason"), *(waived or [Say("nothing", 1)])]
    sums = tuple(
        (
            one.name,
            describe_entry.amount(one.value, one.unit, view.units),
            "within" if one.met else "OVER",
            f"{describe_entry.amount(one.limit, one.unit, view.units)}; {one.because.source}",
        )
        for one in release.legal_sums(s)
    )
    parts += [
        Head(f"Sums against the limits chosen: {where}"),
        Table(("", "in it", "", "limit"), sums, (0.2, 0.15, 0.12)),
    ]
    parts += [Head("Final SO2"), Say(release.final_state(s).text, 1)]
    words = [(word.text, word.because.source) for word in release.label_words(s, view.entries)]
    parts += [Head("For the label"), Table(("words", "by"), tuple(words), (0.5,))]
    alcohol = view.plan.readings.get("alcohol")
    said = f"{alcohol.value:g} % vol, measured {short_day(alcohol.on)}" if alcohol else "not measured: measure it"
    parts += [Say(f"Alcohol: {said}. Sugar: {describe_entry.sugar(view.plan.totals, view.units)}.", 1)]
    parts += [
        Say("Local law in its present form decides; the label of each material and licensed practice go first.", 1)
    ]
    if s.intents.crystals_accepted:
        parts.append(Say("Crystals may fall in the bottle and are harmless: say so to whoever pours it.", 1))
    parts += _bottles(s, view)
    parts += [Head("Day of bottling"), *(Box(one, "") for one in BLANKS)]
    parts += _care(care("bottle", {}, glass=view.info.material == "glass"))
    return Paper(cellar, f"Bottling of {view.plan.wine} from {view.info.name}", taken, tuple(parts))


BLANKS = (
    "lot number",
    "bottles filled and size",
    "corks or caps used",
    "filter, and its integrity test",
    "free SO2 after filling",
    "two bottles kept back, one warm and one cold",
    "bottled by",
)
"""What is written by hand on the day; common practice."""


def _bottles(s: Subject, view: WineView) -> Iterator[Part]:
    yield Head("Bottles and corks")
    rows = []
    for size in release.SIZES:
        most, least = release.bottled(s.volume, size)
        rest = describe_entry.amount(s.volume - most * size / 1000, "L", view.units)
        rows.append((f"{size} mL", str(most), str(most), str(least), rest))
    heads = ("size", "bottles", "corks", f"where {release.LOST:g} % is lost", "left over")
    yield Table(heads, tuple(rows), (0.15, 0.15, 0.15, 0.3))
