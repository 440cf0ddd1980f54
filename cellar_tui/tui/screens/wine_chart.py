"""What of a wine is drawn over time: a reading, what was done, and the days that its stage makes worth looking at."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from cellar_tui.language import quantities
from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.contents import Contents, Event
from cellar_tui.ledger.ferment import dry_limit, finish, yeast_index
from cellar_tui.ledger.history import intents, readings
from cellar_tui.ledger.materials import material
from cellar_tui.service.views import WineView
from cellar_tui.tui.widgets.chart import Deed, Series

CHARTS = {
    "free_so2": ("free SO2", 0),
    "sg": ("gravity", 3),
    "temperature": ("temperature", 0),
    "ph": ("pH", 2),
    "malic": ("malic acid", 2),
}
"""Readings that are drawn: name and figures on the axis."""
FERMENT, YEAR, ALL = "ferment", "year", "all"
OF_YEAST = ("must", "fermenting")
"""Stages up to the end of the ferment."""
OF_A_FERMENT = ("sg", "temperature")
"""Readings that belong to the ferment: later they are rare."""
LENGTHS = {"90 d": 90, "6 months": 183, "60 d": 60, YEAR: 365}
"""Days back [d] that a window shows."""
CHOICES = (FERMENT, "60 d", YEAR, ALL)
"""Windows to choose from, after the one that follows the stage."""
WIDE = 60
"""Cells from which a chart shows half a year instead of 90 days."""
AHEAD = timedelta(days=6)
"""Days to come that a chart of a ferment leaves room for."""
FEWEST = 3
"""Readings that the window of an ageing wine holds, where there are so many within a year."""
SORTS = {
    "so2": ("s", "sulfite"),
    "sorbate": ("k", "sorbate"),
    "sugar": ("g", "sugar"),
    "nutrient": ("n", "nutrient"),
    "acid": ("a", "acid"),
    "carbonate": ("c", "carbonate"),
    "fining": ("f", "fining"),
    "volume": ("v", "water, spirit"),
}
"""Letter and name of an addition, by what its material is for."""
CULTURES = {"yeast": ("y", "yeast"), "malolactic_culture": ("m", "malolactic culture")}
ACTS: tuple[tuple[type[k.Body], str, str], ...] = (
    (k.Racking, "r", "racking"),
    (k.Press, "p", "press"),
    (k.Blend, "l", "blend"),
    (k.Filter, "i", "filter"),
    (k.Bottle, "b", "bottled"),
    (k.Chill, "h", "hold"),
    (k.Topping, "t", "topping"),
)
LEAST_SHOWN = "t"
"""The letter that gives way where two acts share a cell: a topping is the commonest of them."""


@dataclass(frozen=True, slots=True)
class Window:
    """The days that a chart shows, under a name."""

    name: str
    first: date
    last: date


def _moved(name: str, event: Event) -> bool:
    """Return whether an entry moved the value that is drawn by itself, so that the line breaks there."""
    if name == "free_so2":
        return event.so2 > 0
    if name == "sg":
        return event.sugar > 0 or _sort(event) == "volume"
    return name in ("ph", "malic") and _sort(event) in ("acid", "carbonate")


def _sort(event: Event) -> str:
    body = event.body
    return material(body.material).sort if isinstance(body, k.Addition) and body.material else ""


def _letter(event: Event) -> tuple[str, str] | None:
    """Return the letter and the name of what was done, None for what is only read, looked at or written."""
    body = event.body
    if isinstance(body, k.Addition):
        return CULTURES.get(body.material or "") or SORTS.get(_sort(event))
    if event.passive or (isinstance(body, k.Chill) and not body.start):
        return None
    return next(((mark, name) for kind, mark, name in ACTS if isinstance(body, kind)), None)


def deeds(held: Contents, name: str) -> list[Deed]:
    """Return what was done to a wine, what gives way in a crowded cell last.

    A reading and a dose of one day stand in the order of the ledger: the line falls to the one and breaks at the other.
    """
    places = held.places.readings(name)
    found = [
        Deed(event.on, *letter, follows=bisect_left(places, index) if _moved(name, event) else None)
        for index, event in enumerate(held.log)
        if (letter := _letter(event)) is not None
    ]
    return sorted(found, key=lambda one: (one.mark == LEAST_SHOWN, one.follows is None))


def opening(view: WineView) -> str:
    """Return the reading that the chart of a wine opens on: gravity while it ferments, then free SO2."""
    return "sg" if view.plan is not None and view.plan.stage in OF_YEAST else "free_so2"


def stage_window(stage: str, width: int) -> str:
    """Return the name of the window that a stage makes worth looking at."""
    if stage in OF_YEAST:
        return FERMENT
    if stage == "bottled":
        return ALL
    return "6 months" if width >= WIDE else "90 d"


def _shown_first(view: WineView, name: str, width: int) -> str:
    """Return the window that a chart opens on: that of the stage, or where nothing was read in a year, another."""
    found = stage_window("" if view.plan is None else view.plan.stage, width)
    read = [] if view.contents is None else readings(view.contents, name)
    if found not in LENGTHS or any(one.on >= view.today - timedelta(days=LENGTHS[YEAR]) for one in read):
        return found
    return FERMENT if name in OF_A_FERMENT else ALL


def zooms(view: WineView, name: str, width: int) -> list[str]:
    """Return the windows to choose from for a reading, the one that its chart opens on first."""
    return list(dict.fromkeys((_shown_first(view, name, width), *CHOICES)))


def _ferment(view: WineView, held: Contents) -> Window:
    """Return the days of the ferment: from the yeast to its end, or some days ahead of one that runs."""
    yeast, end = yeast_index(held), finish(held, view.house)
    first = held.started if yeast is None else held.log[yeast].on
    gravities = [reading.on for reading in readings(held, "sg")]
    first = min([first, *gravities[:1]])
    return Window(FERMENT, first, view.today + AHEAD if end is None else max(end.on, first) + AHEAD)


def window(view: WineView, name: str, days: Sequence[date], band_end: date | None) -> Window | None:
    """Return the days that a chart shows, None for a vessel without wine.

    Args:
        view: the wine.
        name: of the window.
        days: days of the readings, oldest first.
        band_end: last day of a forecast, None where there is none.
    """
    held, today = view.contents, view.today
    if held is None:
        return None
    if name == FERMENT:
        return _ferment(view, held)
    if name in LENGTHS:
        first = today - timedelta(days=LENGTHS[name])
        if name not in CHOICES:
            year = today - timedelta(days=LENGTHS[YEAR])
            first = min([first, *[day for day in days[-FEWEST:] if day >= year]])
    else:
        first = min([held.started, *days[:1]])
    # What is to come takes a third of the width, so that the readings keep theirs.
    ahead = today if band_end is None else max(today, min(band_end, today + (today - first) / 2))
    return Window(name, first, ahead)


def series(view: WineView, name: str, zoom: str, width: int) -> Series:
    """Return a reading over time in a window; free SO2 with its target and its forecast.

    Args:
        view: the wine.
        name: of the reading.
        zoom: name of the window, "" for the one that the stage makes worth looking at.
        width: room for it [cells].
    """
    label, digits = CHARTS[name]
    held, plan = view.contents, view.plan
    points = [] if held is None else [(reading.on, reading.value) for reading in readings(held, name)]
    scale = quantities.shown_unit("SG", view.units)
    if name == "sg" and scale != "SG":
        label, digits = f"gravity {scale}", 0
        points = [(on, float(quantities.number(value, "SG", system=view.units))) for on, value in points]
    forecast = plan.forecast if plan is not None and name == "free_so2" else None
    target = None if forecast is None else forecast.target
    if name == "sg":
        target = _dry(view)
    unit = {"free_so2": "mg/L", "malic": "g/L", "temperature": "C"}.get(name, "")
    names = zooms(view, name, width)
    shown = zoom if zoom in names else names[0]
    band = () if forecast is None else forecast.band
    span = window(view, shown, [on for on, _ in points], band[-1][0] if band else None)
    return Series(
        f"{label} {unit}".rstrip(),
        digits,
        points,
        view.today,
        target,
        band,
        name == "malic",
        () if held is None else deeds(held, name),
        None if span is None else (span.first, span.last),
        (names, shown),
    )


def _dry(view: WineView) -> float | None:
    """Return the gravity that a running ferment goes to [the house's unit], None where none runs."""
    held, plan = view.contents, view.plan
    if held is None or plan is None or plan.stage not in OF_YEAST:
        return None
    wanted = intents(held).finish_sg
    sg = dry_limit(held, view.house) if wanted is None else wanted
    return (
        sg if quantities.shown_unit("SG", view.units) == "SG" else float(quantities.number(sg, "SG", system=view.units))
    )


def below(view: WineView, above: Series, name: str, width: int) -> Series | None:
    """Return what stands under a chart: the temperature under the gravity of a ferment, None under any other."""
    if name != "sg" or above.zooms[1] != FERMENT:
        return None
    return replace(series(view, "temperature", FERMENT, width), window=above.window, deeds=())
