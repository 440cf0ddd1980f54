"""Commands on house rules and materials on hand."""

from __future__ import annotations

from argparse import Namespace
from datetime import timedelta
from typing import Any

from cellar_tui.cli import as_json, output
from cellar_tui.cli.arguments import UsageError, days_ahead, pairs
from cellar_tui.cli.where import looked_at, opened
from cellar_tui.cli.write import moved, status
from cellar_tui.language import describe_entry, describe_supply
from cellar_tui.ledger.cellar_kinds import HouseRule
from cellar_tui.ledger.house import SETTINGS, House, Setting
from cellar_tui.planning.shopping import WITHIN
from cellar_tui.service.views import Request, SaveResult


def _rule(setting: Setting, house: House) -> dict[str, Any]:
    return {
        "name": setting.name,
        "value": house.values.get(setting.name, setting.default),
        "unit": setting.unit,
        "default": setting.default,
        "changed": setting.name in house.values,
        "entry": house.entries.get(setting.name),
        "about": setting.about,
        "source": setting.source,
    }


def rules(arg: Namespace) -> int:
    """List the house rules; changed ones are marked."""
    service = looked_at(arg)
    house, score = service.view.house, service.view.calibration()
    service.close()
    found = [_rule(setting, house) for setting in SETTINGS.values()]
    if arg.json:
        output.document(found)
        return output.DONE
    for one in found:
        mark = "*" if one["changed"] else " "
        value = f"{one['value']} {one['unit']}".strip()
        output.lines(
            f"{mark} {one['name']:<30} {value:<16} {one['about']}",
            f"  {'':<30} default {one['default']}, {one['source']}",
        )
    output.lines(
        "",
        "* changed in this cellar; `cellar-tui rule set NAME=value` changes one,",
        "  `cellar-tui rule set NAME=` puts back its default.",
        f"Forecasts of free SO2: {score.told}; `cellar-tui rule learn` takes the losses from your readings.",
    )
    return output.DONE


def _dates(count: int) -> str:
    return "1 date" if count == 1 else f"{count} dates"


def _told(answer: SaveResult, units: str) -> list[str]:
    """Return what a house rule is now, and the dates that follow it."""
    entry, changes = answer.outcomes[0].entry, answer.outcomes[0].changes
    assert isinstance(entry.body, HouseRule)
    setting = SETTINGS[entry.body.name or ""]
    now = f"{setting.name} is {entry.body.value} now"
    if entry.body.value is None:
        now = f"{setting.name} is back at its default, {setting.default}"
    head = f"Entry {entry.seq}" if answer.saved else "Not recorded" if answer.stopped else "Would record"
    return [
        f"{head}: {now}; {_dates(len(changes))} move{'s' if len(changes) == 1 else ''}.",
        *(f"  {moved(change, units)}" for change in changes),
    ]


def rule_set(arg: Namespace) -> int:
    """Change a house rule."""
    wanted = pairs(arg.fields)
    if len(wanted) != 1:
        raise UsageError("set one rule at a time: rule set NAME=value.")
    ((name, value),) = wanted.items()
    service = opened(arg)
    try:
        request = Request("", "rule", {"name": name, "value": value})
        answer = service.recorder.govern(request, preview=arg.preview)
        if arg.json:
            output.document(as_json.outcome(answer.outcomes[0], kept=answer.saved))
        else:
            output.lines(*_told(answer, service.view.units))
    finally:
        service.close()
    return status(answer)


def rule_learn(arg: Namespace) -> int:
    """Take the daily losses of free SO2 from the cellar's own readings."""
    service = looked_at(arg) if arg.preview else opened(arg)
    try:
        found, answer = service.recorder.learn(preview=arg.preview)
        score, units = service.view.calibration(), service.view.units
    finally:
        service.close()
    changes = [change for one in answer.outcomes for change in one.changes]
    if arg.json:
        output.document(
            {
                "learned": [
                    {"name": one.rule, "was": one.before, "now": one.after, "wines": one.wines} for one in found
                ],
                "entries": [as_json.outcome(outcome, kept=answer.saved) for outcome in answer.outcomes],
                "calibration": {"inside": score.inside, "tested": score.tested},
            }
        )
        return status(answer)
    for one in found:
        wines = "1 wine" if one.wines == 1 else f"{one.wines} wines"
        output.lines(f"{one.rule}: {one.before:g} -> {one.after:g} of the free SO2 a day, from {wines}")
    numbers = ", ".join(str(outcome.entry.seq) for outcome in answer.outcomes)
    dates = _dates(len(changes))
    told = f"Entry {numbers}: {dates} moved." if answer.saved else f"{dates} would move."
    output.lines(told)
    output.lines(*(f"  {moved(change, units)}" for change in changes), f"So far {score.told}.")
    return status(answer)


def materials(arg: Namespace) -> int:
    """List the materials on hand, what the wines will need of each, and what is to be got."""
    within = days_ahead(arg.within, WITHIN)
    service = looked_at(arg)
    try:
        found, units = service.view.supplies(within), service.view.units
        last = service.view.today + timedelta(days=within)
    finally:
        service.close()
    if arg.json:
        output.document([as_json.supply(one) for one in found])
        return output.DONE
    if not any(one.stock for one in found):
        output.lines("Nothing is on hand yet: `cellar-tui material set potassium_metabisulfite amount=250g`.")
    for one in found:
        output.lines(f"{describe_entry.words(one.material)}: {describe_supply.on_hand(one, units)}")
        output.lines(f"  {describe_supply.needed(one, units)}")
        output.lines(*(f"    {describe_supply.need(need, one.unit, units)}" for need in one.needs))
    output.lines("", describe_supply.shopping(found, last, units))
    return output.DONE


def material_set(arg: Namespace) -> int:
    """Say what is on hand of a material."""
    service = opened(arg)
    try:
        answer = service.recorder.set_material(arg.name, pairs(arg.fields))
        if arg.json:
            output.document(as_json.outcome(answer.outcomes[0], kept=answer.saved))
        elif answer.saved:
            output.lines(f"Entry {answer.outcomes[0].entry.seq}: recorded.")
    finally:
        service.close()
    return status(answer)
