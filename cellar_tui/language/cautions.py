"""The cautions of cellar work, shown where the work is: of a due action, and of what an entry tells."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from cellar_tui.ledger.cellar import VesselInfo
from cellar_tui.ledger.materials import named
from cellar_tui.planning.plan import Action
from cellar_tui.planning.rules import cautions
from cellar_tui.planning.rules.base import ResponseForm
from cellar_tui.planning.rules.table import RULE_BY_ID


def _fitting(found: Iterable[str], glass: bool) -> list[str]:
    """Return the cautions that fit the vessel, each once: glass is lifted and breaks, nothing else does."""
    return [caution for caution in dict.fromkeys(found) if glass or caution != cautions.LIFTING]


def _asked(answer: ResponseForm, kind: str, fields: Mapping[str, str]) -> bool:
    """Return whether what is typed is this answer: its kind, what it fixes, and the first field it asks for."""
    if answer.kind != kind or any(fields.get(name) != value for name, value in answer.fixed):
        return False
    asked = answer.fields[:1] or tuple(name for name, _ in answer.fixed)
    return kind not in ("reading", "intent") or any(fields.get(name) for name in asked)


def in_glass(vessels: Iterable[VesselInfo], *names: str | None) -> bool:
    """Return whether one of the vessels of these names is of glass; a name that none has is a wine's, in any vessel."""
    material = {vessel.name.casefold(): vessel.material for vessel in vessels}
    return any(material.get(name.casefold(), "glass") == "glass" for name in names if name)


def care(kind: str, fields: Mapping[str, str], *, glass: bool = True) -> list[str]:
    """Return the cautions of the work behind what is typed, each once.

    An addition has those of its material alone, whichever rule asks for it: one that is not known has none.
    """
    stuff = cautions.of_material(named(fields.get("material", "")))
    if kind == "addition":
        return list(stuff)
    found = [
        caution
        for rule in RULE_BY_ID.values()
        for answer in rule.answers
        if _asked(answer, kind, fields)
        for caution in (*rule.cautions, *answer.cautions)
    ]
    return _fitting((*stuff, *found), glass)


def care_of(action: Action, *, glass: bool = True) -> list[str]:
    """Return the cautions of a due action, each once: of its rule, of the ways open to the wine, of its material."""
    rule = RULE_BY_ID[action.rule]
    ways = (caution for place in action.ways for caution in rule.answers[place].cautions)
    stuff = () if action.dose is None else cautions.of_material(action.dose.material)
    return _fitting((*stuff, *rule.cautions, *ways), glass)


def how(action: Action) -> str:
    """Return how a due action is done: the sentences of the ways open to the wine, else the one of its rule."""
    rule = RULE_BY_ID[action.rule]
    ways = dict.fromkeys(text for place in action.ways if (text := rule.answers[place].teaches))
    return " ".join(ways) or rule.teaches
