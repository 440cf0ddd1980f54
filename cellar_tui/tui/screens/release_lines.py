"""The lines of a release: verdicts, legal sums, final SO2, label, bottles, what is still missing, cautions."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from cellar_tui.language import describe_entry, quantities
from cellar_tui.language.cautions import care
from cellar_tui.language.layout import column
from cellar_tui.ledger.entry import Entry
from cellar_tui.planning import release
from cellar_tui.planning.day_text import near_day
from cellar_tui.planning.plan import Because, Fact
from cellar_tui.planning.subject import Subject
from cellar_tui.service.views import Outcome, WineView
from cellar_tui.tui.screens.wine_figures import Item, verdict_item
from cellar_tui.tui.screens.wine_lines import SECTION as PATH_SECTION
from cellar_tui.tui.screens.wine_lines import path_items

SECTION = 9
"""Cells of the name of a section, written before its first line."""


def gate(view: WineView) -> str:
    """Return in a few words whether it may be bottled, and from when."""
    if view.day is None or view.plan is None:
        return "nothing in it to bottle"
    if view.plan.stage == "bottled":
        return "bottled"
    due = next((one for one in view.day.actions if one.rule == "bottle"), None)
    if due is not None:
        return f"open from {near_day(due.show, view.today)}"
    last = next((one for one in view.day.path if one.action == "bottle"), None)
    earliest = "" if last is None else f", {near_day(last.earliest, view.today)} at the earliest"
    return f"shut{earliest}"


def items(view: WineView, s: Subject, entries: Sequence[Entry], told: Outcome | None, size: int) -> Iterator[Item]:
    """Yield every line of the page; `told` is what recording the bottling today would say."""
    yield from _sectioned("Stable", _verdicts(view))
    yield from _sectioned("Let pass", _words(release.waivers(s, entries)))
    yield from _sectioned("Sums", _sums(s, view.units))
    yield from _sectioned("SO2", _words([release.final_state(s)]))
    yield from _sectioned("Label", [*_words(release.label_words(s, entries)), *_crystals(s)])
    yield from _sectioned("Fill", _bottles(s, size, view.units))
    yield from _sectioned("Stops", _stops(told))
    yield from _sectioned("Missing", _missing(view))
    glass = view.info.material == "glass"
    yield from _sectioned("Care", [Item("", one, "quiet") for one in care("bottle", {}, glass=glass)])


def _sectioned(name: str, found: Iterable[Item]) -> Iterator[Item]:
    for index, item in enumerate(found):
        yield replace(item, head=f"{'' if index else name:<{SECTION}}{item.head}")


def _verdicts(view: WineView) -> Iterator[Item]:
    for one in () if view.day is None else view.day.verdicts.values():
        item = verdict_item(one, view.today)
        entries = ", ".join(str(entry) for entry in one.evidence)
        mark = f" (entry {entries})" if entries else ""
        yield replace(item, text=f"{item.text}{mark}")


def _words(found: Iterable[release.Word]) -> Iterator[Item]:
    for one in found:
        yield Item("", one.text, "", one.because)


def _sums(s: Subject, units: str) -> Iterator[Item]:
    for one in release.legal_sums(s):
        number = describe_entry.amount(one.value, one.unit, units)
        verdict = "within" if one.met else "OVER"
        text = f"{number:>9} {verdict} {describe_entry.amount(one.limit, one.unit, units)}, {one.because.source}"
        yield Item(column(one.name, 12), text, "" if one.met else "stop", one.because)


def _crystals(s: Subject) -> Iterator[Item]:
    if s.intents.crystals_accepted:
        said = "crystals may fall in the bottle and are harmless: say so to whoever pours it"
        because = Because("crystals", said, (Fact("crystals accepted", "yes"),), "", "the intent of this wine")
        yield Item("", said, "", because)


def _bottles(s: Subject, size: int, units: str) -> Iterator[Item]:
    most, least = release.bottled(s.volume, size)
    facts = (
        Fact("volume", round(s.volume, 2), "L"),
        Fact("bottle", float(size), "mL"),
        Fact("lost", release.LOST, "%"),
    )
    because = Because(
        "bottle_count",
        "whole bottles, and as many corks",
        facts,
        "volume x (1 - lost) / bottle",
        "arithmetic; 2 to 3 % lost: common practice",
    )
    rest = quantities.show(s.volume - most * size / 1000, "L", system=units)
    lost = f"{least} where {release.LOST:g} % is lost"
    text = f"{most} bottles of {size} mL and as many corks, {rest} over; {lost}  (s: size)"
    yield Item("", text, "", because)


def _stops(told: Outcome | None) -> Iterator[Item]:
    """Yield what recording the bottling today would say besides the verdicts, which stand above."""
    for one in () if told is None else told.findings:
        if not one.guard.startswith("bottle_") or one.guard in ("bottle_arrested", "bottle_filter"):
            yield Item("", one.why, "stop" if one.stops else "")


def _missing(view: WineView) -> Iterator[Item]:
    """Yield the dated steps that are still missing."""
    for item in path_items(view):
        yield replace(item, head=item.head[PATH_SECTION:], tone="")
