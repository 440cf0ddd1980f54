"""The trace of a wine, a lot of bottles or the lot of a material."""

from __future__ import annotations

from argparse import Namespace
from datetime import date
from typing import Any

from cellar_tui.cli import output
from cellar_tui.cli.where import looked_at
from cellar_tui.exchange import trace_text
from cellar_tui.ledger.fields import specs
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
            output.lines(*trace_text.lines(found, service.view.units, service.view.today))
    finally:
        service.close()
    return output.DONE


def _document(found: Trace, today: date) -> dict[str, Any]:
    return {
        "name": found.name,
        "found": found.found,
        "entries": list(found.entries),
        "places": [_place(place, today) for place in found.places],
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
        "yields": [
            {"vessel": one.vessel, "kg": one.kg, "litres": one.litres, "litres_per_100_kg": one.per_100_kg}
            for one in place.yields
        ],
        "from": [_source(source) for source in place.sources],
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
