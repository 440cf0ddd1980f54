"""The command that shows one vessel, whole."""

from __future__ import annotations

from argparse import Namespace
from dataclasses import replace

from cellar_tui.cli import as_json, output
from cellar_tui.cli.due import care_lines, day_of, task_lines, warned
from cellar_tui.cli.where import looked_at
from cellar_tui.language import describe_bottles, describe_entry, describe_vessel, explain, quantities, reading_age
from cellar_tui.ledger.bottle_stock import stock
from cellar_tui.planning.day_text import short_day
from cellar_tui.planning.forecast.calibration import Calibration, scored
from cellar_tui.planning.plan import Plan
from cellar_tui.planning.planner import Day
from cellar_tui.service.outcomes import task as as_task
from cellar_tui.service.views import Task, WineView


def show(arg: Namespace) -> int:
    """Print one vessel, whole."""
    service = looked_at(arg)
    try:
        on, known = day_of(arg.on, service, "on"), day_of(arg.as_of, service, "as_of")
        seen = service.view if known is None else service.known_on(known)
        view = seen.wine(arg.vessel, on)
        if arg.because:
            view = _scored(view, seen.calibration())
        tasks = _tasks(view)
        late = warned(service, arg)
        if arg.json:
            output.document(as_json.wine(view, tasks, working=arg.because))
        else:
            output.lines(*_wine_lines(view, tasks, arg.because))
    finally:
        service.close()
    return output.WRONG if late else output.DONE


def _scored(view: WineView, score: Calibration) -> WineView:
    """Put how forecasts have done so far into the working of this wine's."""
    if view.plan is None or view.plan.forecast is None:
        return view
    forecast = replace(view.plan.forecast, because=scored(view.plan.forecast.because, score))
    return replace(view, plan=replace(view.plan, forecast=forecast))


def _tasks(view: WineView) -> list[Task]:
    if view.empty is not None:
        return [as_task(action, view.info, "", view.today) for action in view.empty.actions]
    if view.plan is None or view.day is None:
        return []
    found = [as_task(action, view.info, view.plan.wine, view.today) for action in view.day.actions]
    return sorted(found, key=lambda one: (one.action.show, one.action.rule))


def _wine_lines(view: WineView, tasks: list[Task], working: bool) -> list[str]:
    plan, day, units = view.plan, view.day, view.units
    place = f", {view.info.place}" if view.info.place else ""
    if plan is None or day is None:
        told = [f"{view.info.name} · empty · {view.info.material}{place}"]
        told += describe_vessel.lines(view.info, view.care, view.today)
        told += ["", "Due"] if tasks else []
        told += [line for task in tasks for line in task_lines(task, units, why=True)]
        return [*told, *care_lines(tasks), *_problems(view)]
    told = [
        f"{view.info.name} · {plan.wine} · {describe_entry.words(plan.style)} · {describe_entry.words(plan.stage)}",
        f"{quantities.show(plan.volume, 'L', system=units)} in {view.info.material}{place}",
    ]
    if view.contents is not None and view.contents.store:
        told.append(describe_bottles.line(stock(view.contents), view.today))
    told += describe_vessel.lines(view.info, view.care, view.today)
    told.append("")
    for name, one in plan.readings.items():
        method, age = f" by {one.method}" if one.method else "", reading_age.mark(name, one.on, view.today)
        told.append(f"  {describe_entry.reading(name, one.value, one.unit, units)}{method}, {short_day(one.on)}{age}")
    told += [f"  {line}" for line in _estimated(day)]
    told += ["", *_sums(plan, units)]
    if working and plan.forecast is not None:
        told += [f"      {line}" for line in explain.lines(plan.forecast.because, units=units)]
    told += [""]
    for kind, verdict in day.verdicts.items():
        until = f" until {short_day(verdict.until)}" if verdict.until and verdict.state == "shown" else ""
        told.append(
            f"  {kind}: {describe_entry.STATES[verdict.state]}{until}. {explain.because(verdict.because, units=units)}"
        )
        told += [f"      {line}" for line in explain.lines(verdict.because, units=units)] if working else []
    told += ["", "Due"] if tasks else []
    for task in tasks:
        told += task_lines(task, units, why=True)
        told += [f"      {line}" for line in explain.lines(task.action.because, units=units)] if working else []
    told += ["", describe_entry.bottling(day.path, day.held_up_by)] if day.path else []
    told += [f"  {short_day(step.earliest)}  {describe_entry.action(step.action)}: {step.why}" for step in day.path]
    told += care_lines(tasks)
    return told + _problems(view)


def _estimated(day: Day) -> list[str]:
    """Return free and molecular SO2 of the day, where it is later than the reading."""
    if day.so2 is None or day.so2.age_days == 0:
        return []
    told = [f"free SO2 of this day {describe_entry.free(day.so2)}"]
    return (
        told
        if day.so2.molecular_so2 is None
        else [*told, f"molecular SO2 of this day {describe_entry.molecular(day.so2)}"]
    )


def _problems(view: WineView) -> list[str]:
    found = [f"  entry {problem.entry}: {problem.problem}" for problem in view.problems]
    return ["", "Problems", *found] if found else []


def _sums(plan: Plan, units: str) -> list[str]:
    """Return the sums of the ledger, and when free SO2 may slip under its target."""
    totals, ahead = plan.totals, plan.forecast
    line = (
        f"  total SO2 {totals.so2_total:.0f} mg/L ({totals.so2_added:.0f} added), "
        f"potassium sorbate {totals.sorbate:.0f} mg/L"
    )
    line += f", sugar {describe_entry.sugar(totals, units)}"
    if ahead is None:
        return [line]
    return [
        line,
        f"  free SO2 may be under {ahead.target:.0f} mg/L from {short_day(ahead.risk_day)}, "
        f"most likely by {short_day(ahead.middle_day)}",
    ]
