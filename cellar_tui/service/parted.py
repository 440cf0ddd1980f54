"""One request that moves a wine into several vessels, taken apart into the entries that it makes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from cellar_tui.service.views import CellarError, Request

KINDS = ("split", "racking")
"""Moves that may name several vessels and a volume for each, parted by semicolons."""
PARTING = ";"


def parted(request: Request) -> list[Request]:
    """Return the requests that one stands for: itself, or one for each vessel that a move names.

    A racking into several vessels leaves nothing behind: what is not named is loss. All but the last part are split
    off, and count as racked where they lie.

    Raises:
        CellarError: a vessel has no volume of its own, or is named twice.
    """
    if request.kind not in KINDS or PARTING not in request.fields.get("to", ""):
        return [request]
    vessels = [one.strip() for one in request.fields["to"].split(PARTING) if one.strip()]
    volumes = [one.strip() for one in request.fields.get("volume", "").split(PARTING) if one.strip()]
    if len(vessels) != len(volumes):
        told = f"{len(vessels)} vessels and {len(volumes)} volumes: give a volume for each, such as 100; 60."
        raise CellarError(told, field="volume")
    if len({one.casefold() for one in vessels}) < len(vessels):
        raise CellarError("a vessel is named twice: name each once, with all that goes into it.", field="to")
    pairs = list(zip(vessels, volumes, strict=True))
    return list(_splits(request, pairs) if request.kind == "split" else _rackings(request, pairs))


def _splits(request: Request, pairs: list[tuple[str, str]]) -> Iterator[Request]:
    for vessel, volume in pairs:
        yield replace(request, fields={**request.fields, "to": vessel, "volume": volume})


def _rackings(request: Request, pairs: list[tuple[str, str]]) -> Iterator[Request]:
    how = {name: text for name, text in request.fields.items() if name not in ("to", "volume")}
    for vessel, volume in pairs[:-1]:
        yield replace(request, kind="split", fields={"to": vessel, "volume": volume})
        yield replace(request, target=vessel, fields=how)
    vessel, volume = pairs[-1]
    yield replace(request, fields={**how, "to": vessel, "volume": volume})
