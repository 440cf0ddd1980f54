"""A trace as lines of text, as the command line prints it and the screens show it."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from cellar_tui.language import describe_bottles, describe_entry, quantities
from cellar_tui.planning.day_text import short_day
from cellar_tui.service import tracing
from cellar_tui.service.tracing import Place, Source, Trace


def lines(found: Trace, units: str, today: date) -> Iterator[str]:
    """Yield what a wine is made of, or where a material went."""
    if found.found == "material":
        uses = ", ".join(str(entry) for entry in found.entries)
        yield f"Lot {found.name} was used in entry {uses}. It reached:"
    for place in found.places:
        yield from _told(place, units, today)


def _told(place: Place, units: str, today: date) -> Iterator[str]:
    held = quantities.show(place.volume, "L", system=units) if place.volume > 0 else "gone"
    yield f"{place.vessel} · {place.wine or 'empty'} · {held}"
    if place.stock is not None:
        yield f"  {describe_bottles.line(place.stock, today)}"
    for wine in place.wines:
        litres = quantities.show(wine.litres, "L", system=units)
        yield f"  {100 * wine.share:5.1f} %  {litres:>9}  {_line(wine)}"
    for intake in place.intakes:
        yield f"  {'parcel':>7}  {_line(intake)}: {describe_entry.content(intake.body, {}, units)}"
    for made in place.yields:
        litres = quantities.show(made.litres, "L", system=units)
        yield f"  {'yield':>7}  {litres} from {made.kg:g} kg in {made.vessel}: {made.per_100_kg:.0f} L from 100 kg"
    for addition in place.additions:
        yield f"  {'added':>7}  {_line(addition)}: {describe_entry.content(addition.body, {}, units)}"


def _line(one: Source) -> str:
    return f"{tracing.title(one)}, {short_day(one.on)}, {one.vessel}, entry {one.entry}"
