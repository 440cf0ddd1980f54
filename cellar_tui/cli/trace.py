"""The trace of a wine, a lot of bottles or the lot of a material."""

from __future__ import annotations

from argparse import Namespace
from collections.abc import Iterator
from datetime import date
from typing import Any

from cellar_tui.cli import output
from cellar_tui.cli.where import looked_at
from cellar_tui.language import describe_bottles, describe_entry, quantities
from cellar_tui.ledger.fields import specs
from cellar_tui.planning.day_text import short_day
from cellar_tui.service import tracing
from cellar_tui.service.tracing import Place, Source, Trace


def trace(arg: Namespace) -> int:
    """Say what a wine is made of, or where a material went."""
    service = looked_at(arg)
    try:
        found = tracing.trace_of(arg.name, service.view.source.ledger(None).entries)
        if arg.json:
            output.document(_document(found, service.view.today))
        else:
            output.lines(*_lines(found, service.view.units, service.view.today))
    finally:
        service.close()
    return output.DONE


def _document(found: Trace, today: date) -> dict[str, Any]:
    return {
        "name": found.name,
        "found": found.found,
        "entries": list(found.entries),
        "places": [_place(one, today) for one in found.places],
    }


def _place(place: Place, today: date) -> dict[str, Any]:
    stock = place.stock
    return {
        "vessel": place.vessel,
        "wine": place.wine,
        "volume_l": place.volume,
        "bottles": None
        if stock is None
        else {
            "filled": {f"{size:g}": count for size, count in stock.filled.items()},
            "left": {f"{size:g}": count for size, count in stock.left.items()},
            "moved": dict(stock.moved),
            "kept": stock.kept,
            "lots": list(stock.lots),
            "days_left": stock.days_left(today),
        },
        "from": [_source(one) for one in place.sources],
    }


def _source(one: Source) -> dict[str, Any]:
    said = {name: getattr(one.body, name) for name, _ in specs(type(one.body)) if getattr(one.body, name) is not None}
    fields = {name: value.isoformat() if isinstance(value, date) else value for name, value in said.items()}
    return {
        "entry": one.entry,
        "kind": one.body.kind,
        "on": one.on.isoformat(),
        "vessel": one.vessel,
        "litres": one.litres,
        "share": one.share,
        "fields": fields,
    }


def _lines(found: Trace, units: str, today: date) -> Iterator[str]:
    if found.found == "material":
        uses = ", ".join(str(one) for one in found.entries)
        yield f"Lot {found.name} was used in entry {uses}. It reached:"
    for place in found.places:
        yield from _told(place, units, today)


def _told(place: Place, units: str, today: date) -> Iterator[str]:
    held = quantities.show(place.volume, "L", system=units) if place.volume > 0 else "gone"
    yield f"{place.vessel} · {place.wine or 'empty'} · {held}"
    if place.stock is not None:
        yield f"  {describe_bottles.line(place.stock, today)}"
    for one in place.wines:
        litres = quantities.show(one.litres, "L", system=units)
        yield f"  {100 * one.share:5.1f} %  {litres:>9}  {_line(one)}"
    for one in place.intakes:
        yield f"  {'parcel':>7}  {_line(one)}: {describe_entry.content(one.body, {}, units)}"
    for one in place.additions:
        yield f"  {'added':>7}  {_line(one)}: {describe_entry.content(one.body, {}, units)}"


def _line(one: Source) -> str:
    return f"{tracing.title(one)}, {short_day(one.on)}, {one.vessel}, entry {one.entry}"
