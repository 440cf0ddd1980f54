"""The lines of a release: verdicts, legal sums, final SO2, label, bottles, what is still missing, cautions."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import zip_longest

from cellar_tui.language import describe_entry, quantities
from cellar_tui.language.cautions import care
from cellar_tui.language.clean_text import cells
from cellar_tui.language.layout import column, wrapped
from cellar_tui.ledger.entry import Entry
from cellar_tui.planning import release
from cellar_tui.planning.day_text import near_day
from cellar_tui.planning.plan import Because, Fact
from cellar_tui.planning.subject import Subject
from cellar_tui.service.views import Outcome, WineView
from cellar_tui.tui.screens.wine_figures import Item, verdict_item
from cellar_tui.tui.screens.wine_lines import SECTION as PATH_SECTION
from cellar_tui.tui.screens.wine_lines import path_items

TWO_COLUMNS = 72
"""Width [cells] from which the page has two columns."""
BAR = 8
"""Cells of the bar of a sum against its limit."""
DAY = 8
"""Cells of a day before what waits for it."""


def gate(view: WineView) -> str:
    """Return in a few words whether it may be bottled, and from when."""
    if view.day is None or view.plan is None:
        return "nothing in it to bottle"
    if view.plan.stage == "bottled":
        return "bottled"
    due = next((action for action in view.day.actions if action.rule == "bottle"), None)
    if due is not None:
        return f"YES, from {near_day(due.show, view.today)}" if due.show > view.today else "YES"
    last = next((one for one in view.day.path if one.action == "bottle"), None)
    earliest = "" if last is None else f", {near_day(last.earliest, view.today)} at the earliest"
    return f"NOT YET{earliest}"


@dataclass(frozen=True, slots=True)
class Section:
    """One heading of the page with its lines; `right` says on which side it stands where there is room for two."""

    name: str
    items: tuple[Item, ...]
    right: bool = False


@dataclass(frozen=True, slots=True)
class Half:
    """One line of a side: what comes first and what it says, each with its tone, and the line that it is part of."""

    head: str
    mark: str
    text: str
    tone: str
    item: Item | None = None


@dataclass(frozen=True, slots=True)
class Row:
    """One line of the page: its left side, and its right one where there are two."""

    left: Half | None
    right: Half | None = None

    @property
    def items(self) -> list[Item]:
        """What the line says."""
        return [side.item for side in (self.left, self.right) if side is not None and side.item is not None]

    def parts(self, width: int) -> list[tuple[str, str]]:
        """Return the line with its roles, in a width in cells."""
        if self.right is None:
            return _parts(self.left, width)
        left = width // 2
        return [*_parts(self.left, left), *_parts(self.right, width - left)]


def _parts(side: Half | None, width: int) -> list[tuple[str, str]]:
    if side is None:
        return [(" " * width, "")]
    head = f" {side.head}"
    return [(head, side.mark), (column(side.text, max(0, width - cells(head))), side.tone)]


def sections(view: WineView, s: Subject, entries: Sequence[Entry], told: Outcome | None, size: int) -> list[Section]:
    """Return the page: is it so on the left, what to have and do on the right, what is missing at the top.

    `told` is what recording the bottling today would say.
    """
    verdicts = list(_verdicts(view))
    proven = all(verdict.mark == "proven" or verdict.head.startswith("w") for verdict in verdicts)
    glass = view.info.material == "glass"
    care_lines = [Item("", one, "quiet") for one in care("bottle", {}, glass=glass)]
    found = [
        Section("STOPS", tuple(_stops(told))),
        Section("PROVEN" if proven else "STABILITY", tuple(verdicts)),
        Section("WITHIN THE LIMITS" if _met(s) else "LIMITS", tuple(_sums(s, view.units))),
        Section("LET PASS", tuple(_words(release.waivers(s, entries)))),
        Section("STILL TO WAIT FOR", tuple(_missing(view)), right=True),
        Section("IN THE GLASS", tuple(_words([release.final_state(s)])), right=True),
        Section("ON THE TABLE", tuple(_bottles(s, size, view.units)), right=True),
        Section("ON THE LABEL", (*_words(release.label_words(s, entries)), *_crystals(s)), right=True),
        Section("CARE", tuple(care_lines), right=True),
    ]
    bottled = ("STILL TO WAIT FOR", "ON THE TABLE", "CARE") if s.c.store else ()
    return [one for one in found if one.items and one.name not in bottled]


def _laid(section: Section, width: int) -> Iterator[Half]:
    yield Half(section.name, "accent", "", "")
    for item in section.items:
        room = max(10, width - cells(item.head) - 2)
        first, *rest = wrapped(item.text, room) or [""]
        yield Half(item.head, item.mark, first, item.tone, item)
        yield from (Half(" " * cells(item.head), "", text, item.tone, item) for text in rest)
    yield Half("", "", "", "")


def rows(found: Sequence[Section], width: int) -> list[Row]:
    """Return the page in lines of a width, in two columns where there is room."""
    if width < TWO_COLUMNS:
        return [Row(half) for section in found for half in _laid(section, width)]
    left = [half for section in found if not section.right for half in _laid(section, width // 2)]
    right = [half for section in found if section.right for half in _laid(section, width - width // 2)]
    nothing = Half("", "", "", "")
    return [Row(a, b) for a, b in zip_longest(left, right, fillvalue=nothing)]


def _verdicts(view: WineView) -> Iterator[Item]:
    """Yield the five verdicts, those that are not proven first: what they rest on and since when, in words."""
    found = () if view.day is None else view.day.verdicts.values()
    for one in sorted(found, key=lambda one: one.state in ("shown", "waived")):
        item = verdict_item(one, view.today)
        days = [fact.on for fact in one.because.facts if fact.on is not None]
        since = f", {near_day(max(days), view.today)}" if days and one.state == "shown" else ""
        until = f"; good until {near_day(one.until, view.today)}" if one.until and one.state == "shown" else ""
        said = one.because.reason if one.state == "shown" else item.text
        yield replace(item, text=f"{said}{since}{until}")


def _words(found: Iterable[release.Word]) -> Iterator[Item]:
    for one in found:
        yield Item("", one.text, "", one.because)


def _met(s: Subject) -> bool:
    return all(one.met for one in release.legal_sums(s))


def _sums(s: Subject, units: str) -> Iterator[Item]:
    """Yield each sum against its limit, with a bar and the limit's source."""
    for one in release.legal_sums(s):
        number, most = (describe_entry.amount(value, one.unit, units) for value in (one.value, one.limit))
        full = min(BAR, round(BAR * one.value / one.limit)) if one.limit > 0 else 0
        bar = "█" * full + "░" * (BAR - full)
        over = "" if one.met else " OVER"
        source = one.because.source.partition(";")[0]
        text = f"{number.partition(' ')[0]} of {most}{over} {bar} {source}"
        yield Item(column(one.name, 12), text, "" if one.met else "stop", one.because)
    yield Item("", "Local law in its present form decides.", "quiet")


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
    text = f"{most} bottles of {size} mL, {most} corks, {rest} left over; {lost}"
    yield Item("", text, "", because)


def _stops(told: Outcome | None) -> Iterator[Item]:
    """Yield what recording the bottling today would say besides the verdicts, which stand above."""
    for one in () if told is None else told.findings:
        if not one.guard.startswith("bottle_") or one.guard in ("bottle_arrested", "bottle_filter"):
            yield Item("", one.why, "stop" if one.stops else "")


def _missing(view: WineView) -> Iterator[Item]:
    """Yield the dated steps that are still missing; of a wine that is ready the day alone."""
    due = None if view.day is None else next((action for action in view.day.actions if action.rule == "bottle"), None)
    if due is None:
        for item in path_items(view):
            yield replace(item, head=item.head[PATH_SECTION:], tone="")
    elif due.show > view.today:
        yield Item(column(near_day(due.show, view.today), DAY), "the target date; nothing else", "", due.because)
    else:
        yield Item("", f"nothing: fill it by {near_day(due.latest, view.today)}", "", due.because)
