"""The cellar's pictures as plain dictionaries, in the names that other programs rely on."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from cellar_tui.language import explain
from cellar_tui.language.parse_entry import shown_name
from cellar_tui.ledger.care import Care
from cellar_tui.ledger.cellar import Problem
from cellar_tui.ledger.entry import Entry
from cellar_tui.ledger.fields import specs
from cellar_tui.ledger.materials import material
from cellar_tui.planning.plan import Because, Dated, Dose, Forecast, Plan, Verdict
from cellar_tui.planning.planner import Day
from cellar_tui.planning.shopping import Supply
from cellar_tui.planning.wine_figures import WineFigures
from cellar_tui.service.views import Change, Outcome, Task, WineView


def because(found: Because) -> dict[str, Any]:
    """Return an explanation as data."""
    return {
        "rule": found.rule,
        "reason": found.reason,
        "formula": found.formula,
        "source": found.source,
        "facts": [
            {
                "name": f.name,
                "value": f.value,
                "unit": f.unit,
                "entries": list(f.entries),
                "on": f.on.isoformat() if f.on else None,
            }
            for f in found.facts
        ],
    }


def dose(found: Dose | None) -> dict[str, Any] | None:
    """Return a dose."""
    if found is None:
        return None
    return {"material": found.material, "amount": found.amount, "unit": found.unit, "note": found.note}


def task(found: Task, *, working: bool = False) -> dict[str, Any]:
    """Return one due action."""
    action = found.action
    item: dict[str, Any] = {
        "vessel": found.vessel,
        "wine": found.wine,
        "action": action.rule,
        "due": action.due.isoformat(),
        "window": [action.due.isoformat(), action.latest.isoformat()],
        "show": action.show.isoformat(),
        "status": found.status,
        "why": explain.because(action.because),
        "dose": dose(action.dose),
        "entries": list(action.because.entries),
        "postponed": action.postponed,
    }
    if working:
        item["because"] = because(action.because)
        if action.dose is not None:
            item["dose_because"] = because(action.dose.because)
    return item


def _verdict(found: Verdict, working: bool) -> dict[str, Any]:
    item: dict[str, Any] = {
        "state": found.state,
        "evidence": list(found.evidence),
        "why": explain.because(found.because),
        "until": found.until.isoformat() if found.until else None,
    }
    return item | {"because": because(found.because)} if working else item


def _forecast(found: Forecast | None, working: bool) -> dict[str, Any] | None:
    if found is None:
        return None
    item: dict[str, Any] = {
        "target": found.target,
        "free_on": found.free_on.isoformat(),
        "risk_day": found.risk_day.isoformat(),
        "middle_day": found.middle_day.isoformat(),
        "band": [[day.isoformat(), low, mid, high] for day, low, mid, high in found.band],
    }
    return item | {"because": because(found.because)} if working else item


def supply(found: Supply) -> dict[str, Any]:
    """Return a material on hand with what the wines need of it."""
    usual, stock = material(found.material).strength, found.stock
    strength = None if stock is None else stock.strength
    return {
        "name": found.material,
        "amount": None if stock is None else stock.amount,
        "left": found.left,
        "unit": found.unit,
        "strength": strength,
        "default": usual,
        "changed": strength not in (None, usual),
        "opened": None if stock is None else stock.opened,
        "old": found.old,
        "entry": None if stock is None else stock.entry,
        "need": found.need,
        "to_get": found.to_get,
        "needs": [
            {
                "vessel": need.vessel,
                "wine": need.wine,
                "amount": need.amount,
                "on": need.on.isoformat(),
                "action": need.because.rule,
                "why": need.because.reason,
                "because": because(need.because),
            }
            for need in found.needs
        ],
    }


def _path(found: Dated) -> dict[str, Any]:
    return {
        "action": found.action,
        "earliest": found.earliest.isoformat(),
        "needs": list(found.needs),
        "why": found.why,
    }


def problem(found: Problem, vessel: str | None) -> dict[str, Any]:
    """Return a problem beside the entry it concerns."""
    return {"vessel": vessel, "entry": found.entry, "problem": found.problem}


def wine(view: WineView, tasks: list[Task], *, working: bool = False) -> dict[str, Any]:
    """Return one filling, whole; an empty vessel has its name and nothing in it."""
    head: dict[str, Any] = {"vessel": view.info.name}
    if view.plan is None or view.day is None:
        head |= dict.fromkeys(("wine", "style", "volume_l", "stage"))
        head |= {
            "readings": {},
            "totals": None,
            "verdicts": {},
            "due": [task(one, working=working) for one in tasks],
            "path": [],
            "forecast": None,
            "estimate": None,
        }
    else:
        head |= _filled(view.plan, view.day, tasks, working)
    if view.info.material == "oak":
        head["barrel"] = _barrel(view)
    head["problems"] = [problem(one, view.info.name) for one in view.problems]
    return head


def _barrel(view: WineView) -> dict[str, Any]:
    """Return age, fills and last contents of a barrel."""
    care = view.care or Care()
    return {
        "made": view.info.made,
        "fills": view.info.fills + care.fills,
        "emptied": care.emptied.isoformat() if care.emptied else None,
        "held": care.wine or None,
    }


def _filled(plan: Plan, day: Day, tasks: list[Task], working: bool) -> dict[str, Any]:
    return {
        "wine": plan.wine,
        "style": plan.style,
        "volume_l": plan.volume,
        "stage": plan.stage,
        "readings": {
            name: {"value": one.value, "on": one.on.isoformat(), "entry": one.entry, "method": one.method}
            for name, one in plan.readings.items()
        },
        "estimate": None if day.so2 is None else asdict(day.so2),
        "totals": {
            "so2_added_mg_l": plan.totals.so2_added,
            "so2_total_mg_l": plan.totals.so2_total,
            "sorbate_mg_l": plan.totals.sorbate,
            "sugar_g_l": plan.totals.sugar,
        },
        "verdicts": {kind: _verdict(one, working) for kind, one in day.verdicts.items()},
        "due": [task(one, working=working) for one in tasks],
        "path": [_path(one) for one in day.path],
        "forecast": _forecast(plan.forecast, working),
    }


def entry(found: Entry, *, kept: bool) -> dict[str, Any]:
    """Return an entry; its id is null while it is not kept."""
    says: dict[str, Any] = {}
    for name, _ in specs(type(found.body)):
        value = getattr(found.body, name)
        if value is not None:
            says[shown_name(name)] = value.isoformat() if hasattr(value, "isoformat") else value
    hour = None if found.minute is None else f"{found.minute // 60:02}:{found.minute % 60:02}"
    return {
        "id": found.seq if kept else None,
        "kind": found.body.kind,
        "on": found.on.isoformat(),
        "hour": hour,
        "by": found.by,
        "fields": says,
        "supersedes": found.supersedes,
        "batch": found.batch,
        "waived": found.waived,
    }


def _change(found: Change) -> dict[str, Any]:
    return {
        "action": found.action,
        "was": task(found.was) if found.was else None,
        "now": task(found.now) if found.now else None,
    }


def _look(found: WineFigures | None) -> dict[str, Any] | None:
    """Return the figures of a wine as plain numbers; how sure its sugar is stands in the text for people."""
    if found is None:
        return None
    return {name: value for name, value in asdict(found).items() if name != "sugar_band"}


def outcome(found: Outcome, *, kept: bool, named: bool = False) -> dict[str, Any]:
    """Return what an entry does, or did; `named` with its vessel, as one of several."""
    item: dict[str, Any] = {"vessel": found.vessel} if named else {}
    item |= {
        "entry": entry(found.entry, kept=kept),
        "before": _look(found.before),
        "after": _look(found.after),
        "plan_changes": [_change(change) for change in found.changes],
        "cautions": [{"caution": caution.guard, "why": caution.why} for caution in found.cautions],
        "stopped_by": [{"guard": stop.guard, "why": stop.why, "waivable": stop.waivable} for stop in found.stops],
    }
    if found.already:
        item["already"] = True
    return item
