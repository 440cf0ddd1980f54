"""The standing entries as sheets, one a kind, with plain names of columns and their units."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from cellar_tui.exchange import cells
from cellar_tui.language.parse_entry import shown_name
from cellar_tui.ledger import kinds as k
from cellar_tui.ledger import trial_doses
from cellar_tui.ledger.cellar import Cellar, house_of, vessels_of
from cellar_tui.ledger.cellar_kinds import KINDS, MaterialOnHand
from cellar_tui.ledger.entry import Entry
from cellar_tui.ledger.fields import Spec, specs
from cellar_tui.ledger.fold import apply
from cellar_tui.ledger.materials import material

LABELS = {"SG": "SG 20/20", "pH": "", "Brix": "Brix"}
"""Units whose header says more, or nothing: the name of the column says it."""

BROUGHT = (
    ("SO2 added (mg)", "so2_mg"),
    ("sorbate added (g)", "sorbate_g"),
    ("sugar added (g)", "sugar_g"),
    ("volume added (L)", "litres"),
)
"""What an addition brought, as it was fixed when it was recorded."""


@dataclass(frozen=True, slots=True)
class Placed:
    """A standing entry with the names that a person knows: of its vessel, of the wine in it at that moment."""

    entry: Entry
    vessel: str
    wine: str


def placed(ordered: Sequence[Entry]) -> Iterator[tuple[Placed, Cellar]]:
    """Yield the standing entries in the order in which they happened, with the cellar as each left it."""
    cellar = Cellar(house_of(ordered), vessels_of(ordered))
    for entry in ordered:
        held = cellar.holds.get(entry.vessel or 0)
        apply(entry, cellar)
        held = held or cellar.holds.get(entry.vessel or 0)
        name = cellar.name(entry.vessel) if entry.vessel else ""
        yield Placed(entry, name, held.wine if held else ""), cellar


def sheets(ordered: Sequence[Entry]) -> dict[str, list[str]]:
    """Return a sheet for each kind of which there is an entry: its lines, the heads first.

    Args:
        ordered: the standing entries in the order in which they happened.
    """
    found: dict[str, list[str]] = {}
    for one, cellar in placed(ordered):
        kind = one.entry.body.kind
        if not _told(kind):
            continue
        lines = found.setdefault(kind, [cells.line(heads(kind))])
        lines.append(cells.line(_row(one, cellar.name)))
    return found


def _told(kind: str) -> bool:
    """Return whether a kind is a thing that was done or is: a withdrawal and a rebuild are the ledger's own."""
    return kind in KINDS and kind not in ("void", "rebuild")


def heads(kind: str) -> list[str]:
    """Return the heads of the columns of a kind's sheet."""
    body = KINDS[kind]
    fields = [head for name, spec in specs(body) for head in _heads_of(body, name, spec)]
    brought = [head for head, _ in BROUGHT] if body is k.Addition else []
    return [
        "entry",
        "kind",
        "date",
        "time",
        "vessel",
        "wine in it",
        *fields,
        *brought,
        "by",
        "recorded (UTC)",
        "waived",
    ]


def _heads_of(body: type[k.Body], name: str, spec: Spec) -> list[str]:
    shown = name if body.kind == "wine" else shown_name(name)
    if by_material(body, name):
        return [shown, f"{shown} unit"]
    label = LABELS.get(spec.unit, spec.unit)
    return [f"{shown} ({label})" if label else shown]


def by_material(body: type[k.Body], name: str) -> bool:
    """Return whether the unit of a field follows from the material: the amount and the strength of one."""
    return issubclass(body, k.Addition | MaterialOnHand) and name in ("amount", "strength")


def unit_of(name: str, stuff: str) -> str:
    """Return the unit in which the amount or the strength of a material is kept."""
    known = material(stuff)
    if name == "amount":
        return known.unit
    if known.strength == 1.0 or known.unit == "g":
        return "share"
    return "g/L" if known.sort == "sugar" else "%"


def _row(one: Placed, name_of: Callable[[int | None], str]) -> Iterable[str]:
    entry, body = one.entry, one.entry.body
    hour = "" if entry.minute is None else f"{entry.minute // 60:02d}:{entry.minute % 60:02d}"
    yield from (str(entry.root), body.kind, entry.on.isoformat(), hour, cells.text(one.vessel), cells.text(one.wine))
    for name, spec in specs(type(body)):
        value: Any = getattr(body, name)
        if isinstance(body, k.Trial) and name == "unit":
            value = trial_doses.unit_of(body)
        if spec.sort == "vessel":
            yield "" if value is None else cells.text(name_of(value))
        else:
            yield cells.cell(value)
        if by_material(type(body), name):
            stuff = getattr(body, "material", None) or getattr(body, "name", None) or ""
            yield "" if value is None else unit_of(name, stuff)
    if isinstance(body, k.Addition):
        yield from (cells.figure(getattr(body, name)) for _, name in BROUGHT)
    recorded = entry.recorded_at.strftime("%Y-%m-%d %H:%M:%S")
    yield from (cells.text(entry.by), recorded, cells.text(entry.waived or ""))
