"""What a column of somebody's sheet means: its head read into a field and a unit, or asked for where it is unclear."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from cellar_tui.exchange.sheets_out import BROUGHT
from cellar_tui.language.parse_entry import field_name, shown_name
from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.cellar_kinds import RECORDED
from cellar_tui.ledger.fields import specs
from cellar_tui.ledger.materials import MATERIALS
from cellar_tui.service.views import CellarError

IGNORED = "-"
"""What a column is mapped to that is left out."""

ABOUT = ("vessel", "date", "time", "kind", "by", "note", "unit", "strength_unit")
"""What a column can say beside the fields of an entry."""

OWN_HEADS = {
    "entry",
    "wine_in_it",
    "recorded",
    "waived",
    *(re.sub(r"\W+", "_", h.split(" (")[0]).casefold() for h, _ in BROUGHT),
}
"""Columns of an export that say what follows from the others."""

SYNONYMS = {
    "tank": "vessel",
    "barrel": "vessel",
    "carboy": "vessel",
    "demijohn": "vessel",
    "container": "vessel",
    "day": "date",
    "hour": "time",
    "who": "by",
    "notes": "note",
    "comment": "note",
    "comments": "note",
    "remark": "note",
    "remarks": "note",
    "amount_unit": "unit",
    "gravity": "sg",
    "specific_gravity": "sg",
    "temp": "temperature",
    "titratable_acidity": "ta",
    "total_acidity": "ta",
    "volatile_acidity": "va",
    "fso2": "free_so2",
    "free_sulfur_dioxide": "free_so2",
    "tso2": "total_so2",
    "malic_acid": "malic",
    "abv": "alcohol",
    "rs": "residual_sugar",
    "test": "check.test",
    "result": "check.result",
    "fault": "check.fault",
}
"""Heads that a cellar's sheets commonly have; common practice."""

_UNIT = re.compile(r"\s*[(\[]([^)\]]*)[)\]]\s*$")


@dataclass(frozen=True, slots=True)
class Column:
    """What a column says.

    Attributes:
        head: the head as it stands in the sheet.
        kind: kind of entry; "" where it is one of ABOUT, or the row's own kind decides.
        field: the field, or one of ABOUT.
        unit: unit of its bare numbers as the head names it, "" where it names none.
        material: material of which the cells are amounts.
    """

    head: str
    kind: str
    field: str
    unit: str = ""
    material: str = ""


def key(head: str) -> str:
    """Return the form in which a head is looked up and remembered: small letters, no unit, underlines for gaps.

    >>> key("Free SO2 (mg/L)"), key(" pH ")
    ('free_so2', 'ph')
    """
    return re.sub(r"\W+", "_", _UNIT.sub("", head).strip().casefold()).strip("_")


def unit(head: str) -> str:
    """Return the unit that stands in brackets at the end of a head, "" where none does.

    >>> unit("Temp [°F]"), unit("pH"), unit("sg (SG 20/20)")
    ('°F', '', '')
    """
    found = _UNIT.search(head)
    named = found[1].strip() if found else ""
    return "" if named.casefold().startswith(("sg", "brix", "utc")) else named


def means(name: str, head: str, kinds: bool = False) -> Column | None:
    """Return what a name of a field, a material or one of ABOUT says of a column; None where it is none of them.

    `kinds` says that each row names its own kind, which the fields are then of.
    """
    known = SYNONYMS.get(name, name)
    if known in ABOUT:
        return Column(head, "", known, unit(head))
    kind, _, field = known.rpartition(".")
    if kinds and not kind and known in {shown_name(one) for body in RECORDED.values() for one, _ in specs(body)}:
        return Column(head, "", known, unit(head))
    if known in MATERIALS:
        return Column(head, "addition", "amount", unit(head), known)
    for body in (RECORDED.get(kind),) if kind else (k.Reading, k.Addition):
        if body is not None and field_name(field) in dict(specs(body)):
            return Column(head, body.kind, field, unit(head))
    return None


def taken(head: str, mapped: Mapping[str, str], kinds: bool) -> str:
    """Return the name of the field that a head is taken for, IGNORED where it is left out, "" where it is unclear."""
    known = key(head)
    name = mapped.get(known, known)
    if name in (IGNORED, "") or (known not in mapped and name in OWN_HEADS):
        return IGNORED
    return SYNONYMS.get(name, name) if means(name, head, kinds) is not None else ""


def choices() -> tuple[str, ...]:
    """Return what a column can be chosen to mean: left out, what every entry has, values, doses, tests, materials."""
    read = [shown_name(name) for body in (k.Reading, k.Addition) for name, _ in specs(body)]
    return tuple(dict.fromkeys((IGNORED, *ABOUT, *read, "check.test", "check.result", "check.fault", *MATERIALS)))


def read(heads: Sequence[str], said: Mapping[str, str], known: Mapping[str, str]) -> list[Column | None]:
    """Return what each column means; None for one that is left out.

    Args:
        heads: the heads as they stand in the sheet.
        said: head -> field, as the person maps them now.
        known: `key` of a head -> field, as they were mapped before.

    Raises:
        CellarError: naming every head that is not understood, and what can be said of it.
    """
    mapped = dict(known) | {key(head): name for head, name in said.items()}
    if strange := [head for head in said if key(head) not in {key(head) for head in heads}]:
        told = f"There is no column {strange[0]} in the sheet; there are: {', '.join(filter(None, heads))}."
        raise CellarError(told, field="map")
    kinds = any(key(head) == "kind" for head in heads)
    found: list[Column | None] = []
    unclear = []
    for head in heads:
        name = taken(head, mapped, kinds)
        found.append(None if name in (IGNORED, "") else means(name, head, kinds))
        if not name:
            unclear.append(head)
    if unclear:
        raise CellarError(_ask(unclear), field="map", details=tuple((head, "not understood") for head in unclear))
    _needed(found)
    return found


def _ask(unclear: Sequence[str]) -> str:
    example = " ".join(f'--map "{head}=FIELD"' for head in unclear[:3])
    many = "these columns mean" if len(unclear) > 1 else "this column means"
    return (
        f"Say what {many}: {', '.join(unclear)}. {example}, where FIELD is vessel, date, time, note, a field such as "
        f"free_so2 or addition.amount, a material such as potassium_metabisulfite, or {IGNORED} to leave it out."
    )


def _needed(found: Sequence[Column | None]) -> None:
    fields = [one.field for one in found if one is not None and not one.material]
    for name in ("vessel", "date"):
        if name not in fields:
            told = f'The sheet needs a column for the {name}: name it with --map "COLUMN={name}".'
            raise CellarError(told, field="map")
    places = [(one.kind, one.field, one.material) for one in found if one is not None]
    for place in dict.fromkeys(places):
        if places.count(place) > 1:
            heads = [one.head for one in found if one and (one.kind, one.field, one.material) == place]
            told = f'Two columns say the same ({" and ".join(heads)}): leave one out with --map "{heads[-1]}=-".'
            raise CellarError(told, field="map")
