"""Commands on house rules and materials on hand."""

from __future__ import annotations

from argparse import Namespace
from typing import Any

from cellar_tui import say
from cellar_tui.cli import as_json, output
from cellar_tui.cli.arguments import UsageError, pairs
from cellar_tui.cli.where import looked_at, opened
from cellar_tui.cli.write import moved
from cellar_tui.ledger.cellar_kinds import HouseRule
from cellar_tui.ledger.house import SETTINGS, House, Setting, Stock
from cellar_tui.ledger.materials import material
from cellar_tui.views import Answer, Request


def _rule(setting: Setting, house: House) -> dict[str, Any]:
    return {
        "name": setting.name, "value": house.values.get(setting.name, setting.default), "unit": setting.unit,
        "default": setting.default, "changed": setting.name in house.values,
        "entry": house.entries.get(setting.name), "about": setting.about, "source": setting.source,
    }  # fmt: skip


def rules(arg: Namespace) -> int:
    """List the house rules; changed ones are marked."""
    service = looked_at(arg.db, arg.by)
    house = service.house
    service.close()
    found = [_rule(setting, house) for setting in SETTINGS.values()]
    if arg.json:
        output.document(found)
        return output.DONE
    for one in found:
        mark = "*" if one["changed"] else " "
        value = f"{one['value']} {one['unit']}".strip()
        output.lines(f"{mark} {one['name']:<30} {value:<16} {one['about']}",
                     f"  {'':<30} default {one['default']}, {one['source']}")  # fmt: skip
    output.lines("", "* changed in this cellar; `cellar-tui rule set NAME=value` changes one, `rule set NAME=` puts back "
                 "its default.")  # fmt: skip
    return output.DONE


def _told(answer: Answer) -> list[str]:
    """Return what a house rule is now, and the dates that follow it."""
    entry, changes = answer.outcomes[0].entry, answer.outcomes[0].changes
    assert isinstance(entry.body, HouseRule)
    setting = SETTINGS[entry.body.name or ""]
    now = f"{setting.name} is {entry.body.value} now"
    if entry.body.value is None:
        now = f"{setting.name} is back at its default, {setting.default}"
    head = f"Entry {entry.seq}" if answer.saved else "Would record"
    return [f"{head}: {now}; {len(changes)} dates move.", *(f"  {moved(change)}" for change in changes)]


def rule_set(arg: Namespace) -> int:
    """Change a house rule."""
    wanted = pairs(arg.fields)
    if len(wanted) != 1:
        raise UsageError("set one rule at a time: rule set NAME=value.")
    ((name, value),) = wanted.items()
    service = opened(arg.db, arg.by)
    try:
        request = Request("", "rule", {"name": name, "value": value})
        answer = service.govern(request, preview=arg.preview)
        if arg.json:
            output.document(as_json.outcome(answer.outcomes[0], kept=answer.saved))
        else:
            output.lines(*_told(answer))
    finally:
        service.close()
    return output.DONE


def _material(name: str, one: Stock) -> dict[str, Any]:
    known = material(name)
    return {
        "name": name, "amount": one.amount, "unit": known.unit, "strength": one.strength, "default": known.strength,
        "changed": one.strength is not None and one.strength != known.strength, "opened": one.opened,
        "entry": one.entry,
    }  # fmt: skip


def materials(arg: Namespace) -> int:
    """List the materials on hand."""
    service = looked_at(arg.db, arg.by)
    stock, units = service.house.stock, service.units
    service.close()
    if arg.json:
        output.document([_material(name, one) for name, one in sorted(stock.items())])
        return output.DONE
    if not stock:
        output.lines("Nothing is on hand yet: `cellar-tui material set potassium_metabisulfite amount=250g`.")
    for name, one in sorted(stock.items()):
        known = material(name)
        parts = [] if one.amount is None else [say.amount(one.amount, known.unit, units)]
        if one.strength is not None:
            parts.append(f"strength {one.strength:g} (default {known.strength:g})")
        output.lines(f"{say.words(name)}: {', '.join([*parts, *([f'opened {one.opened}'] if one.opened else [])])}")
    return output.DONE


def material_set(arg: Namespace) -> int:
    """Say what is on hand of a material."""
    service = opened(arg.db, arg.by)
    try:
        answer = service.set_material(arg.name, pairs(arg.fields))
        if arg.json:
            output.document(as_json.outcome(answer.outcomes[0], kept=answer.saved))
        else:
            output.lines(f"Entry {answer.outcomes[0].entry.seq}: noted.")
    finally:
        service.close()
    return output.DONE
