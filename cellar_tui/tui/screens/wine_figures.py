"""A wine's figures and its five verdicts, one line each, with what explains them."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING

from cellar_tui.enology.so2 import PKA
from cellar_tui.language import describe_entry, explain, reading_age
from cellar_tui.language.clean_text import cells
from cellar_tui.language.layout import column
from cellar_tui.ledger.kinds import Tasting
from cellar_tui.planning.day_text import near_day, short_day
from cellar_tui.planning.plan import Because, Fact, Measured, Plan, Verdict
from cellar_tui.service.views import Task, WineView, Written

if TYPE_CHECKING:
    from cellar_tui.ledger.contents import Event
    from cellar_tui.planning.planner import Day

SIGNS = {"shown": "+", "in_progress": "~", "not_yet": "-", "lapsed": "!", "waived": "w"}
TONES = {"not_yet": "quiet", "lapsed": "stop"}
MARKS = {"shown": "proven", "in_progress": "", "not_yet": "quiet", "lapsed": "stop", "waived": ""}
"""Roles of what is said of a verdict, and of the sign and name before it."""
FIRST = ("ph", "free_so2", "free_now", "molecular", "under", "total_so2")
"""Figures that are shown first."""


@dataclass(frozen=True, slots=True)
class Item:
    """A line of the wine's page.

    Attributes:
        head: what comes first, of a fixed width.
        text: what it says.
        tone: of the text.
        because: what explains it.
        written: the entry behind it.
        task: the due action behind it.
        mark: the role of what comes first.
    """

    head: str
    text: str
    tone: str = ""
    because: Because | None = None
    written: Written | None = None
    task: Task | None = None
    mark: str = "quiet"

    def parts(self, width: int) -> list[tuple[str, str]]:
        """Return the line with its roles, in a width in cells."""
        head = f" {self.head}"
        return [(head, self.mark), (column(self.text, max(0, width - cells(head) - 1)), self.tone)]


def verdict_item(one: Verdict, today: date) -> Item:
    """Return a verdict with its evidence in one line."""
    until = f" until {near_day(one.until, today)}" if one.until is not None and one.state == "shown" else ""
    head = f"{SIGNS[one.state]} {one.kind:<9}"
    text = f"{describe_entry.STATES[one.state]}{until}"
    return Item(head, f"{text}: {one.because.reason}", TONES.get(one.state, ""), one.because, mark=MARKS[one.state])


def _figure(name: str, value: float, unit: str, beside: str, because: Because, units: str) -> Item:
    shown = describe_entry.amount(value, unit, units).removeprefix("pH ")
    number, _, mark = shown.partition(" ")
    return Item(f"  {name:<13}", f"{number:>7} {'' if mark == name else mark:<6} {beside}".rstrip(), "", because)


def _measured(name: str, one: Measured, today: date, units: str) -> Item:
    label = describe_entry.READING_NAMES.get(name, describe_entry.words(name))
    fact = Fact(label, one.value, one.unit, (one.entry,), one.on)
    method = f" by {one.method}" if one.method else ""
    because = Because(name, f"{label} as it was last tested{method}", (fact,), "", "the reading named above")
    beside = near_day(one.on, today) + reading_age.mark(name, one.on, today)
    found = _figure(label, one.value, one.unit, beside, because, units)
    return replace(found, tone="quiet") if reading_age.is_old(name, one.on, today) else found


def _so2(plan: Plan, day: Day, today: date, units: str) -> Iterator[tuple[str, Item]]:
    """Yield free and molecular SO2 of the day and the target; the reading itself stands above with its own day."""
    # Loaded where a wine is shown in full: the list of the cellar needs no planner.
    from cellar_tui.planning.forecast.outlook import SOURCE as FORECAST_SOURCE
    from cellar_tui.planning.so2 import SOURCE

    found, known = day.so2, plan.so2
    if found is None or known is None or reading_age.is_old("free_so2", known.read_on, today):
        return
    now = Fact(f"free SO2 of {short_day(today)}", round(found.free_so2, 1), "mg/L")
    facts = (
        now,
        Fact("day of its last reading", known.read_on.isoformat(), "", (), known.read_on),
        Fact("free SO2 after the last work", round(known.free, 1), "mg/L", (), known.since),
        Fact("its loss in a day", round(known.loss, 4), ""),
    )
    beside = f"~ {describe_entry.aged(found.age_days)}" if found.age_days else "tested today"
    because = Because(
        "free_so2", "the estimate of this day, not a reading", facts, "free SO2 x e^(-loss x days)", FORECAST_SOURCE
    )
    if found.age_days:
        yield "free_now", _figure("free today", found.free_so2, "mg/L", beside, because, units)
    if found.molecular_so2 is None or "ph" not in plan.readings:
        return
    ph = plan.readings["ph"]
    because = Because(
        "molecular_so2",
        "the part of the free SO2 that protects",
        (now, Fact("pH", ph.value, "pH", (ph.entry,), ph.on)),
        f"free SO2 / (1 + 10^(pH - {PKA:g}))",
        SOURCE,
    )
    yield "molecular", _figure("molecular", found.molecular_so2, "mg/L", beside, because, units)
    if plan.forecast is not None:
        ahead = plan.forecast.risk_day > today
        beside = f"under it from {near_day(plan.forecast.risk_day, today)}" if ahead else "may be under it now"
        target = _figure("target", plan.forecast.target, "mg/L", beside, plan.forecast.because, units)
        yield "under", target if ahead else replace(target, tone="stop")


def _did(view: WineView, name: str, unit: str, what: Callable[[Event], float]) -> tuple[Fact, ...]:
    """Return what each entry did to a sum, as inputs of its explanation."""
    found = () if view.contents is None else view.contents.log
    return tuple(
        Fact(f"{name} by {describe_entry.words(event.body.kind)}", round(amount, 2), unit, (event.entry,), event.on)
        for event in found
        if abs(amount := what(event)) > 0.005
    )


def _sugar(view: WineView, plan: Plan) -> Iterator[tuple[str, Item]]:
    """Yield the sugar that yeast could ferment, an estimate with its band; nothing where none is known."""
    sugar, band = plan.totals.sugar, plan.totals.sugar_band
    if sugar is None or (sugar <= 0 and (band is None or band[1] <= 0)):
        return
    facts = _did(view, "brought", "g/L", lambda event: event.sugar)
    reason = "the last sugar reading, or none where the yeast is proven finished, and what came in since"
    beside = "by the ledger"
    if band is not None:
        reason = "estimated: dry extract by gravity and strength, less the usual extract without sugar of its kind"
        beside = f"~ {band[0]:.0f} to {band[1]:.0f}"
    because = Because("sugar", reason, facts, "18 g/L white, 24 red, 22 fruit, -6 to +10", "common practice")
    yield "sugar", _figure("sugar", sugar, "g/L", beside, because, view.units)


def _sums(view: WineView, plan: Plan) -> Iterator[tuple[str, Item]]:
    """Yield the sums of the ledger, each with the entries that made it."""
    units = view.units
    yield from _sugar(view, plan)
    if "total_so2" not in plan.readings:
        facts = _did(view, "raised", "mg/L", lambda event: event.so2)
        total = Because(
            "total_so2",
            "the yeast's own 15 mg/L until total SO2 is tested, and every addition since",
            facts,
            "sum of the ledger / volume",
            "15 mg/L for the yeast's own: common practice",
        )
        yield "total_so2", _figure("total SO2", plan.totals.so2_total, "mg/L", "by the ledger", total, units)
    if plan.totals.sorbate > 0:
        facts = _did(view, "raised", "mg/L", lambda event: event.sorbate)
        reason = "potassium sorbate added, in the wine as it is"
        because = Because("sorbate", reason, facts, "sum of the ledger / volume")
        yield "sorbate", _figure("sorbate", plan.totals.sorbate, "mg/L", "by the ledger", because, units)
    started = (
        ()
        if view.contents is None
        else (
            Fact(
                "started with",
                round(view.contents.log[0].before.volume if view.contents.log else plan.volume, 2),
                "L",
                (view.contents.filling,),
                view.contents.started,
            ),
        )
    )
    moved = _did(view, "changed", "L", lambda event: event.after.volume - event.before.volume)
    because = Because(
        "volume",
        "what came in less what was drawn off, lost and sampled",
        (*started, *moved),
        "sum of the ledger; a measured volume counts from its day on",
    )
    yield "volume", _figure("volume", plan.volume, "L", "by the ledger", because, units)


def _tasted(view: WineView) -> Iterator[Item]:
    """Yield the tasting notes, the newest first, each with its day."""
    found = () if view.contents is None else tuple(view.contents.log)
    for event in reversed(found):
        if not isinstance(event.body, Tasting):
            continue
        said = describe_entry.content(event.body, {}).removeprefix("tasted: ")
        fact = Fact("tasted", said, "", (event.entry,), event.on)
        because = Because("tasting", f"as {event.by} tasted it", (fact,), "", "the note named above")
        yield Item(f"  {'tasting':<13}", f"{near_day(event.on, view.today)}: {said}", "", because)


def figure_items(view: WineView) -> list[Item]:
    """Return the verdicts, then the figures, those that protect the wine first, then the tasting notes."""
    plan, day, today, units = view.plan, view.day, view.today, view.units
    if plan is None or day is None:
        return []
    named = {name: _measured(name, one, today, units) for name, one in plan.readings.items()}
    named |= dict(_so2(plan, day, today, units))
    named |= dict(_sums(view, plan))
    order = [*(name for name in FIRST if name in named), *(name for name in named if name not in FIRST)]
    return [
        *(verdict_item(verdict, today) for verdict in day.verdicts.values()),
        *(named[name] for name in order),
        *_tasted(view),
    ]


def explained(item: Item, units: str) -> str:
    """Return a line in full: the entry's own words, or what explains it."""
    told = item.text if item.because is None else item.text.removesuffix(item.because.reason)
    text = " ".join(f"{item.head} {told}".split())
    if item.because is None:
        return text
    return f"{text.removesuffix(':')} · {explain.because(item.because, units=units)}"
