"""Commands that show: due, show."""

from __future__ import annotations

from argparse import Namespace
from dataclasses import replace
from datetime import date, timedelta

from cellar_tui.cli import as_json, output
from cellar_tui.cli.arguments import days_ahead
from cellar_tui.cli.where import looked_at
from cellar_tui.language import days, describe_entry, explain, quantities
from cellar_tui.language.cautions import care_of
from cellar_tui.planning.forecast.calibration import Calibration, scored
from cellar_tui.planning.plan import Plan
from cellar_tui.service.board import WEEK
from cellar_tui.service.open import OpenCellar
from cellar_tui.service.outcomes import task as as_task
from cellar_tui.service.views import CellarError, Task, WineView

HEADS = {"late": "Late", "today": "Today", "ahead": "Ahead"}


def _day(text: str | None, service: OpenCellar, name: str) -> date | None:
    if text is None:
        return None
    try:
        return days.parse_date(text, service.view.today)
    except days.WhenError as error:
        raise CellarError(str(error), field=name) from error


def due(arg: Namespace) -> int:
    """Print what is late, for today and due soon."""
    within = days_ahead(arg.within, WEEK)
    service = looked_at(arg)
    try:
        on, known = _day(arg.on, service, "on"), _day(arg.as_of, service, "as_of")
        seen = service.view if known is None else service.known_on(known)
        day = on or seen.today
        found = seen.tasks(on)
        if arg.within is not None or not arg.json:
            found = [one for one in found if one.action.show <= day + timedelta(days=within)]
        late = warned(service, arg)
        if arg.json:
            output.document([as_json.task(one) for one in found])
        else:
            output.lines(*_due_lines(found, day, within, service.view.units))
    finally:
        service.close()
    return output.WRONG if late else output.DONE


def warned(service: OpenCellar, arg: Namespace) -> bool:
    """Say before anything else what puts it in doubt; return whether the clock is what does."""
    for one in service.warnings:
        if arg.json:
            output.note(one)
        else:
            output.lines(f"! {one}", "")
    return service.clock_behind() is not None


def _due_lines(found: list[Task], day: date, within: int, units: str) -> list[str]:
    told = [days.echo(day)]
    if not found:
        return [*told, f"Nothing is due today or in the next {within} days."]
    for status, head in HEADS.items():
        group = [one for one in found if one.status == status]
        if group:
            told += ["", head]
        for one in group:
            told += _task_lines(one, units)
    return told + _care(found)


def _care(tasks: list[Task]) -> list[str]:
    """Return the cautions of the work that is due, each once."""
    found = dict.fromkeys(caution for one in tasks for caution in care_of(one.action, glass=one.glass))
    return ["", "Care", *(f"  ! {caution}" for caution in found)] if found else []


def _task_lines(one: Task, units: str) -> list[str]:
    dose = f": {describe_entry.dose(one.action.dose, units)}" if one.action.dose else ""
    told = [f"  {one.vessel} · {one.wine} · {one.action.task}{dose} · {_span(one)}"]
    told.append(f"      {explain.because(one.action.because, units=units)}")
    if one.action.dose is not None:
        told.append(f"      {one.action.dose.note}")
    return told


def _span(one: Task) -> str:
    first, last = one.action.due, one.action.latest
    text = explain.short_day(first) if first == last else f"{explain.short_day(first)} to {explain.short_day(last)}"
    return f"{text}, postponed to {explain.short_day(one.action.show)}" if one.action.postponed else text


def show(arg: Namespace) -> int:
    """Print one vessel, whole."""
    service = looked_at(arg)
    try:
        on, known = _day(arg.on, service, "on"), _day(arg.as_of, service, "as_of")
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
    if view.plan is None or view.day is None:
        return []
    found = [as_task(one, view.info, view.plan.wine, view.today) for one in view.day.actions]
    return sorted(found, key=lambda one: (one.action.show, one.action.rule))


def _wine_lines(view: WineView, tasks: list[Task], working: bool) -> list[str]:
    plan, day, units = view.plan, view.day, view.units
    place = f", {view.info.place}" if view.info.place else ""
    if plan is None or day is None:
        return [f"{view.info.name} · empty · {view.info.material}{place}", *_problems(view)]
    told = [
        f"{view.info.name} · {plan.wine} · {describe_entry.words(plan.style)} · {describe_entry.words(plan.stage)}",
        f"{quantities.show(plan.volume, 'L', system=units)} in {view.info.material}{place}",
        "",
    ]
    for name, one in plan.readings.items():
        method = f" by {one.method}" if one.method else ""
        told.append(
            f"  {describe_entry.reading(name, one.value, one.unit, units)}{method}, {explain.short_day(one.on)}"
        )
    told += ["", *_sums(plan, units)]
    if working and plan.forecast is not None:
        told += [f"      {line}" for line in explain.lines(plan.forecast.because, units=units)]
    told += [""]
    for kind, verdict in day.verdicts.items():
        until = f" until {explain.short_day(verdict.until)}" if verdict.until and verdict.state == "shown" else ""
        told.append(
            f"  {kind}: {describe_entry.words(verdict.state)}{until}. {explain.because(verdict.because, units=units)}"
        )
        told += [f"      {line}" for line in explain.lines(verdict.because, units=units)] if working else []
    told += ["", "Due"] if tasks else []
    for task in tasks:
        told += _task_lines(task, units)
        told += [f"      {line}" for line in explain.lines(task.action.because, units=units)] if working else []
    told += ["", describe_entry.bottling(day.path, day.held_up_by)] if day.path else []
    told += [
        f"  {explain.short_day(step.earliest)}  {describe_entry.words(step.action)}: {step.why}" for step in day.path
    ]
    told += _care(tasks)
    return told + _problems(view)


def _problems(view: WineView) -> list[str]:
    found = [f"  entry {one.entry}: {one.problem}" for one in view.problems]
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
        f"  free SO2 may be under {ahead.target:.0f} mg/L from {explain.short_day(ahead.risk_day)}, "
        f"most likely by {explain.short_day(ahead.middle_day)}",
    ]
