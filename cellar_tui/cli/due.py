"""The command that says what is late, for today and due soon: as a list, a line, a mail, a calendar."""

from __future__ import annotations

import textwrap
from argparse import Namespace
from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path

from cellar_tui.cli import output
from cellar_tui.cli.arguments import UsageError, days_ahead
from cellar_tui.cli.where import looked_at
from cellar_tui.language import days
from cellar_tui.planning.day_text import short_day
from cellar_tui.service.board import WEEK
from cellar_tui.service.open import OpenCellar
from cellar_tui.service.views import CellarError, Task

HEADS = {"late": "Late", "today": "Today", "ahead": "Ahead"}
MAIL = 80
"""Columns of a line of mail."""
WAYS = ("json", "short", "quiet", "ics")
"""Ways to answer that exclude each other."""


def day_of(text: str | None, service: OpenCellar, name: str) -> date | None:
    if text is None:
        return None
    try:
        return days.parse_date(text, service.view.today)
    except days.WhenError as error:
        raise CellarError(str(error), field=name) from error


def due(arg: Namespace) -> int:
    """Say what is late, for today and due soon."""
    within = days_ahead(arg.within, WEEK)
    if sum(bool(getattr(arg, one)) for one in WAYS) > 1:
        raise UsageError("choose one of --json, --short, --quiet and --ics.")
    service = looked_at(arg)
    try:
        on, known = day_of(arg.on, service, "on"), day_of(arg.as_of, service, "as_of")
        seen = service.view if known is None else service.known_on(known)
        day = on or seen.today
        tasks = seen.tasks(on)
        late = service.clock_behind() is not None
        if arg.ics:
            _calendar(arg, tasks, service, day)
        elif arg.short:
            _warned_aside(service)
            output.lines(short(tasks))
        elif arg.json:
            from cellar_tui.cli import as_json

            warned(service, arg)
            output.document([as_json.task(one) for one in _soon(tasks, day, within if arg.within else None)])
        elif not arg.quiet:
            warned(service, arg)
            output.lines(*_listed(_soon(tasks, day, within), day, within, service.view.units, why=True))
        else:
            _mail(arg, tasks, service, day)
    finally:
        service.close()
    return output.WRONG if late else output.DONE


def _soon(tasks: list[Task], day: date, within: int | None) -> list[Task]:
    return [task for task in tasks if within is None or task.action.show <= day + timedelta(days=within)]


def warned(service: OpenCellar, arg: Namespace) -> bool:
    """Say before anything else what puts it in doubt; return whether the clock is what does."""
    for warning in service.warnings:
        if arg.json:
            output.note(warning)
        else:
            output.lines(f"! {warning}", "")
    return service.clock_behind() is not None


def _warned_aside(service: OpenCellar) -> None:
    for warning in service.warnings:
        output.note(warning)


def short(tasks: list[Task]) -> str:
    """Return how much is late and for today, in one line for a prompt."""
    late, today = (sum(task.status == status for task in tasks) for status in ("late", "today"))
    return f"{late} late, {today} today"


def _mail(arg: Namespace, tasks: list[Task], service: OpenCellar, day: date) -> None:
    """Print what is late and for today in lines of a mail; nothing where nothing is."""
    within = days_ahead(arg.within, 0)
    found = [one for one in _soon(tasks, day, within) if one.action.show <= day or arg.within]
    if not any(one.status in ("late", "today") for one in found):
        _warned_aside(service)
        return
    warned(service, arg)
    output.lines(*wrapped(_listed(found, day, within, service.view.units, why=arg.why)))


def wrapped(lines: list[str]) -> Iterator[str]:
    """Yield lines broken at the width of a mail, each part under the words it goes on with."""
    for line in lines:
        indent = " " * (len(line) - len(line.lstrip()))
        yield from textwrap.wrap(line, MAIL, subsequent_indent=indent + "  ", break_on_hyphens=False) or [""]


def _calendar(arg: Namespace, tasks: list[Task], service: OpenCellar, day: date) -> None:
    from cellar_tui.exchange import outward

    path = Path(arg.ics)
    _warned_aside(service)
    outward.keep_calendar(service, path, tasks, day)
    output.lines(f"{len(tasks)} due actions in {path}.")


def _listed(found: list[Task], day: date, within: int, units: str, *, why: bool) -> list[str]:
    told = [days.echo(day)]
    if not found:
        return [*told, f"Nothing is due today or in the next {within} days."]
    first = [one for one in found if one.action.urgent and one.status != "ahead"]
    groups = {"First of all": first}
    for status, head in HEADS.items():
        groups[head] = [one for one in found if one.status == status and one not in first]
    for head, group in groups.items():
        if group:
            told += ["", head]
        for one in group:
            told += task_lines(one, units, why=why)
    return told + care_lines(found)


def care_lines(tasks: list[Task]) -> list[str]:
    """Return the cautions of the work that is due, each once."""
    from cellar_tui.language.cautions import care_of

    found = dict.fromkeys(caution for one in tasks for caution in care_of(one.action, glass=one.glass))
    return ["", "Care", *(f"  ! {caution}" for caution in found)] if found else []


def task_lines(one: Task, units: str, *, why: bool) -> list[str]:
    """Return a due action with its dose and what to know of it; with `why` its reason too."""
    from cellar_tui.language import describe_entry, explain
    from cellar_tui.language.layout import joined

    dose = f": {describe_entry.dose(one.action.dose, units)}" if one.action.dose else ""
    told = [f"  {joined((one.vessel, one.wine, f'{one.action.task}{dose}', _span(one)))}"]
    if why:
        told.append(f"      {explain.because(one.action.because, units=units)}")
    if one.action.dose is not None:
        told.append(f"      {one.action.dose.note}")
    return told


def _span(one: Task) -> str:
    first, last = one.action.due, one.action.latest
    text = short_day(first) if first == last else f"{short_day(first)} to {short_day(last)}"
    return f"{text}, postponed to {short_day(one.action.show)}" if one.action.postponed else text
