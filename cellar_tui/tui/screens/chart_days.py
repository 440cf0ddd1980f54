"""A chart looked at closely: the days on which something was read or done, and other wines laid over it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date, timedelta

from cellar_tui.language import describe_entry
from cellar_tui.language.layout import joined
from cellar_tui.ledger.ferment import yeast_index
from cellar_tui.planning.day_text import short_day
from cellar_tui.service.views import WineView
from cellar_tui.tui.screens.wine_chart import ALL, series
from cellar_tui.tui.widgets.chart import Series
from cellar_tui.tui.widgets.chart_marks import Marks

COUNTED = 60
"""Days since the yeast that are counted: later they mean little."""


def began(view: WineView) -> date | None:
    """Return the day of a wine's yeast, else the day on which it came into the vessel; None for an empty one."""
    held = view.contents
    if held is None:
        return None
    yeast = yeast_index(held)
    return held.started if yeast is None else held.log[yeast].on


def laid_over(shown: Series, view: WineView, others: Sequence[WineView], name: str, *, counted: bool) -> Series:
    """Return a series with those of other wines over it.

    Args:
        shown: of the wine that the chart is of.
        view: that wine.
        others: the other wines.
        name: of the reading.
        counted: the wines are laid over each other by day since the yeast, not by date.
    """
    zero = began(view) if counted else None
    found = []
    for one in others:
        other, start = series(one, name, ALL, 0), began(one)
        ahead = zero - start if zero is not None and start is not None else timedelta(0)
        found.append(
            replace(
                other,
                points=[(on + ahead, value) for on, value in other.points],
                deeds=[replace(deed, on=deed.on + ahead) for deed in other.deeds],
                target=None,
                band=(),
            )
        )
    return replace(shown, over=found, zero=zero)


def named(view: WineView, others: Sequence[WineView], marks: Marks, *, counted: bool) -> str:
    """Return which mark is which wine, "" where there is one."""
    if not others:
        return ""
    wines = zip((marks.reading, *marks.others), (view, *others), strict=False)
    told = [f"{mark} {one.info.name} {'' if one.plan is None else one.plan.wine}" for mark, one in wines]
    return joined((*told, "by day since the yeast" if counted else "by date"), "  ")


def days(shown: Series) -> list[date]:
    """Return the days of the window on which something was read or done."""
    inside = shown.cut()
    return sorted({day for day, _ in inside.points} | {deed.on for deed in inside.deeds})


def story(view: WineView, day: date, names: Mapping[int, str]) -> str:
    """Return what was read and done on a day, with hand and number of each entry."""
    held = view.contents
    own = set() if held is None else {event.entry for event in held.log}
    told = [
        f"{describe_entry.entry(entry, names, view.units)} (entry {entry.seq}, {entry.by})"
        for entry in view.entries
        if entry.on == day and (entry.root in own or entry.seq in own)
    ]
    zero = began(view)
    since = "" if zero is None or not 0 <= (day - zero).days <= COUNTED else f"day {(day - zero).days}"
    return joined((f"{day:%a} {short_day(day)}", since, *told))
