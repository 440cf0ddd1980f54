"""One request that moves a wine into several vessels, or blends several, taken apart into the entries it makes."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

from cellar_tui.service.views import CellarError, Request

MANY = {"split": "to", "racking": "to", "blend": "with"}
"""The field in which a move may name several vessels, parted by semicolons, with a volume for each."""
PARTING = ";"


def parted(request: Request) -> list[Request]:
    """Return the requests that one stands for: itself, or one for each vessel that a move names.

    A blend names several vessels that are poured in, each with its volume. A racking into several vessels leaves
    nothing behind: what is not named is loss; all but its last part are split off, and count as racked where they lie.

    Raises:
        CellarError: a vessel has no volume of its own, or is named twice.
    """
    many = MANY.get(request.kind)
    if many is None or PARTING not in request.fields.get(many, ""):
        return [request]
    vessels = [one.strip() for one in request.fields[many].split(PARTING) if one.strip()]
    volumes = [one.strip() for one in request.fields.get("volume", "").split(PARTING) if one.strip()]
    if len(vessels) != len(volumes):
        told = f"{len(vessels)} vessels and {len(volumes)} volumes: give a volume for each, such as 100; 60."
        raise CellarError(told, field="volume")
    if len({vessel.casefold() for vessel in vessels}) < len(vessels):
        raise CellarError("a vessel is named twice: name each once, with its whole volume.", field=many)
    pairs = list(zip(vessels, volumes, strict=True))
    return list(_APART[request.kind](request, pairs))


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


def _blends(request: Request, pairs: list[tuple[str, str]]) -> Iterator[Request]:
    into = request.fields.get("to") or request.target
    for place, (vessel, volume) in enumerate(pairs):
        poured = {**request.fields, "with": vessel, "volume": volume}
        if place == 0:
            yield replace(request, fields=poured)
        else:
            poured.pop("to", None)
            yield replace(request, target=into, fields=poured)


_APART: dict[str, Callable[[Request, list[tuple[str, str]]], Iterator[Request]]] = {
    "split": _splits,
    "racking": _rackings,
    "blend": _blends,
}
