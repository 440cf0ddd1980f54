"""Commands on house rules and materials on hand."""

from __future__ import annotations

from argparse import Namespace
from typing import Any

from cellar_tui import say
from cellar_tui.cli import as_json, output
from cellar_tui.cli.arguments import UsageError, pairs
from cellar_tui.cli.where import looked_at, opened
from cellar_tui.ledger.house import SETTINGS, House, Setting


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
    output.lines("", "* changed in this cellar; `cellar-tui rule set NAME=value` changes one.")
    return output.DONE


def rule_set(arg: Namespace) -> int:
    """Change a house rule."""
    changes = pairs(arg.fields)
    if len(changes) != 1:
        raise UsageError("set one rule at a time: rule set NAME=value.")
    ((name, value),) = changes.items()
    service = opened(arg.db, arg.by)
    try:
        answer = service.set_rule(name, value)
        if arg.json:
            output.document(as_json.outcome(answer.outcomes[0], kept=answer.saved))
        else:
            moved = answer.outcomes[0].changes
            output.lines(f"Entry {answer.outcomes[0].entry.seq}: {name} is {value} now; {len(moved)} dates moved.")
    finally:
        service.close()
    return output.DONE


def materials(arg: Namespace) -> int:
    """List the materials on hand."""
    service = looked_at(arg.db, arg.by)
    stock = service.house.stock
    service.close()
    if arg.json:
        output.document([
            {"name": name, "strength": one.strength, "opened": one.opened, "amount": one.amount, "entry": one.entry}
            for name, one in sorted(stock.items())
        ])  # fmt: skip
        return output.DONE
    if not stock:
        output.lines("Nothing is on hand yet: `cellar-tui material set potassium_metabisulfite amount=250g`.")
    for name, one in sorted(stock.items()):
        parts = [f"{label} {value}" for label, value in
                 (("strength", one.strength), ("opened", one.opened), ("amount", one.amount)) if value is not None]
        output.lines(f"{say.words(name)}: {', '.join(parts)}")
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
