"""Commands that record: vessel, wine, record, undo, amend."""

from __future__ import annotations

import hashlib
import os
from argparse import Namespace
from collections.abc import Callable, Sequence

from cellar_tui.cli import as_json, output
from cellar_tui.cli.arguments import pairs
from cellar_tui.cli.where import opened, reason, there, unmade
from cellar_tui.language import describe_change, describe_entry, quantities
from cellar_tui.language.cautions import care, in_glass
from cellar_tui.planning.day_text import short_day
from cellar_tui.planning.wine_figures import WineFigures
from cellar_tui.service.open import OpenCellar
from cellar_tui.service.records import WINE
from cellar_tui.service.soundness import CLOCK
from cellar_tui.service.views import CellarError, Change, Outcome, Request, SaveResult


def key_of(text: str | None) -> bytes | None:
    """Return the 16 bytes that stand for a key as typed."""
    return None if text is None else hashlib.blake2b(os.fsencode(text), digest_size=16).digest()


def _number(text: str) -> int:
    if not text.isascii() or not text.isdigit() or len(text) > 12:
        raise CellarError(f"{text} is no entry; give its number, such as 41.", field="entry")
    return int(text)


def answered(service: OpenCellar, answer: SaveResult, arg: Namespace, *, many: bool = False) -> int:
    """Print what became of a request and return the exit status."""
    kept = answer.saved
    if arg.json:
        items = [as_json.outcome(outcome, kept=kept, named=many) for outcome in answer.outcomes]
        output.document(items if many else items[0])
    else:
        names = {vessel.number: vessel.name for vessel in service.view.vessels()}
        for outcome in answer.outcomes:
            output.lines(*_lines(outcome, names, service.view.units, answer))
        output.lines(*_care(answer.outcomes, service))
    return status(answer)


def status(answer: SaveResult) -> int:
    """Return the exit status of a request, and say what stopped it."""
    stopped = [stop for one in answer.outcomes for stop in one.stops]
    if not stopped or answer.saved or _passed(answer):
        return output.DONE
    for why in dict.fromkeys(stop.why for stop in stopped):
        output.note(why)
    if all(stop.waivable for stop in stopped):
        output.note('Nothing was recorded. With a reason it can be: --waive "reason".')
    else:
        output.note("Nothing was recorded.")
    return output.WRONG if all(stop.guard == CLOCK for stop in stopped) else output.STOPPED


def _passed(answer: SaveResult) -> bool:
    """Return whether every stop is passed by the reason given: a preview exits as the entry itself would."""
    return all(outcome.passed for outcome in answer.outcomes if outcome.stops)


def _lines(one: Outcome, names: dict[int, str], units: str, answer: SaveResult) -> list[str]:
    head = f"Entry {one.entry.seq}" if answer.saved else "Would record" if _passed(answer) else "Not recorded"
    if one.already:
        head = f"Already recorded as entry {one.entry.seq}"
    vessel = f" · {one.vessel}" if one.vessel else ""
    told = [f"{head}{vessel} · {short_day(one.entry.on)} · {describe_entry.entry(one.entry, names, units)}"]
    if one.before is not None or one.after is not None:
        told += _figures(one.before, one.after, units)
    rise = describe_change.rise(one.entry, one.after, one.share)
    told += [f"  {rise}."] if rise else []
    told += [f"  ! {caution.why}" for caution in one.cautions]
    return told + [f"  {moved(change, units)}" for change in one.changes]


def _care(outcomes: Sequence[Outcome], service: OpenCellar) -> list[str]:
    """Return the cautions of the work that is told, each once."""
    vessels, found = service.view.vessels(), list[str]()
    for outcome in outcomes:
        glass = in_glass(vessels, outcome.vessel, outcome.entry.typed.get("to"))
        found += care(outcome.entry.body.kind, outcome.entry.typed, glass=glass)
    return [f"! {caution}" for caution in dict.fromkeys(found)]


def _figures(before: WineFigures | None, after: WineFigures | None, units: str) -> list[str]:
    told = []
    for label, name, unit in describe_change.FIGURES:
        if any(look is not None and getattr(look, name) for look in (before, after)):
            old, new = (_figure(look, name, unit, units) for look in (before, after))
            told.append(f"  {label:<10} {old:>12} -> {new}")
    return told


def _figure(look: WineFigures | None, name: str, unit: str, units: str) -> str:
    value = None if look is None else getattr(look, name)
    if look is None or value is None:
        return "unknown"
    mark = "~" if describe_change.estimated(look, name) else ""
    return mark + quantities.show(value, unit, system=units)


def moved(change: Change, units: str) -> str:
    """Return what moves of an action, with its vessel."""
    was, now = (None if task is None else task.action for task in (change.was, change.now))
    return f"{change.vessel} · {describe_change.moved(change.action, was, now, units, arrow='->')}"


def _with(arg: Namespace, work: Callable[[OpenCellar], tuple[SaveResult, bool]], *, make: bool = False) -> int:
    fresh = make and not there(arg)
    service = opened(arg, make=make)
    try:
        answer, many = work(service)
        return answered(service, answer, arg, many=many)
    finally:
        service.close()
        if fresh and not arg.kept:
            unmade(service.path)


def vessel_add(arg: Namespace) -> int:
    """Enter a vessel."""
    fields = pairs(arg.fields, name=arg.name)
    return _with(arg, lambda service: (service.recorder.add_vessel(fields, key=key_of(arg.key)), False), make=True)


def vessel_retire(arg: Namespace) -> int:
    """Take an empty vessel out of use."""
    return _with(arg, lambda service: (service.recorder.retire_vessel(arg.name), False))


def wine_start(arg: Namespace) -> int:
    """Start a wine in an empty vessel."""
    fields = pairs(arg.fields, name=arg.name)
    vessel = fields.pop("vessel", "")
    if not vessel and "count" not in fields:
        raise CellarError("say in which vessel: vessel=NAME.", field="vessel")
    request = Request(vessel, "wine", fields, arg.at or "", "", reason(arg.waive), key_of(arg.key))
    return _with(arg, lambda service: (service.recorder.start_wine(request, preview=arg.preview), False))


def record(arg: Namespace) -> int:
    """Make an entry."""
    fields, waive = pairs(arg.fields), reason(arg.waive)
    request = Request(arg.target, arg.kind, fields, arg.at or "", "", waive, key_of(arg.key))
    of_wine = arg.target.casefold().startswith(WINE)

    def work(service: OpenCellar) -> tuple[SaveResult, bool]:
        answer = service.recorder.record(request, preview=arg.preview)
        return answer, of_wine or len(answer.outcomes) > 1

    return _with(arg, work)


def undo(arg: Namespace) -> int:
    """Withdraw an entry."""
    seq = _number(arg.entry)

    def work(service: OpenCellar) -> tuple[SaveResult, bool]:
        answer = service.recorder.undo(seq, key=key_of(arg.key))
        return answer, len(answer.outcomes) > 1

    return _with(arg, work)


def amend(arg: Namespace) -> int:
    """Correct an entry."""
    seq, fields = _number(arg.entry), pairs(arg.fields)
    vessel, waive = fields.pop("vessel", ""), reason(arg.waive)
    return _with(
        arg,
        lambda service: (
            service.recorder.amend(
                seq, fields, at=arg.at or "", vessel=vessel, waive=waive, preview=arg.preview, key=key_of(arg.key)
            ),
            False,
        ),
    )
