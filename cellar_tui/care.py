"""The cautions of the work that an entry tells of, shown beside its form: those of the rules that ask for it."""

from __future__ import annotations

from collections.abc import Mapping

from cellar_tui.ledger.materials import OWN, material
from cellar_tui.planning.rules import cautions
from cellar_tui.planning.rules.base import Answer
from cellar_tui.planning.rules.table import RULE_BY_ID

SORTS: dict[str, tuple[str, ...]] = {
    "so2": (*cautions.SULFITE, cautions.DECLARE),
    "sugar": (cautions.AIRLOCK,),
    "sorbate": (cautions.GERANIUM,),
}
"""Cautions of what a material is, whichever rule asks for it."""


def _asked(answer: Answer, kind: str, fields: Mapping[str, str]) -> bool:
    """Return whether what is typed is this answer: its kind, what it fixes, and the first field it asks for."""
    if answer.kind != kind or any(fields.get(name) != value for name, value in answer.fixed):
        return False
    if kind == "addition" and not answer.fixed:
        return material(fields.get("material", "")) is OWN
    asked = answer.fields[:1] or tuple(name for name, _ in answer.fixed)
    return kind not in ("reading", "intent") or any(fields.get(name) for name in asked)


def care(kind: str, fields: Mapping[str, str]) -> list[str]:
    """Return the cautions of the work behind what is typed, each once."""
    found = [
        caution
        for rule in RULE_BY_ID.values()
        if any(_asked(answer, kind, fields) for answer in rule.answers)
        for caution in rule.cautions
    ]
    stuff = fields.get("material", "")
    found += SORTS.get(material(stuff).sort, ()) if kind == "addition" else ()
    found += [cautions.FLAME] if stuff == "spirit" else []
    return list(dict.fromkeys(found))
