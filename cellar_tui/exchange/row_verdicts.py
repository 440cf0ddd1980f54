"""What becomes of each row of a sheet, in words: the same for a command and for a screen."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from cellar_tui.exchange.sheets_in import Asked
from cellar_tui.language import describe_entry
from cellar_tui.planning.day_text import short_day
from cellar_tui.service.importing import Verdict

STATES = {"new": "", "already": "already there", "stopped": "STOP", "wrong": "ERROR"}


def rows(
    asked: Sequence[Asked], verdicts: Sequence[Verdict], names: dict[int, str], units: str
) -> Iterator[dict[str, Any]]:
    """Yield what becomes of each row, as data."""
    rest = iter(verdicts)
    for row in asked:
        if row.wrong:
            yield {"row": row.row, "state": "wrong", "why": row.wrong}
        for request in row.requests:
            one = next(rest)
            said: dict[str, Any] = {"row": row.row, "vessel": request.target, "kind": request.kind, "state": one.state}
            if one.entry is not None:
                said |= {"entry": one.entry.seq or None, "on": one.entry.on.isoformat()}
                said["says"] = describe_entry.entry(one.entry, names, units)
                said["day"] = short_day(one.entry.on)
            if one.outcome is not None:
                said["cautions"] = [caution.why for caution in one.outcome.cautions]
            yield said | {"why": one.why}


def counted(told: Sequence[dict[str, Any]]) -> dict[str, int]:
    """Return how many rows are in each state."""
    return {state: sum(one["state"] == state for one in told) for state in STATES}


def lines(one: dict[str, Any]) -> Iterator[str]:
    """Yield what becomes of a row, its cautions and what stops it each in a line of its own."""
    head = f"row {one['row']}"
    if one["state"] == "wrong":
        yield f"{head} · {STATES['wrong']}: {one['why']}"
        return
    state = f" · {STATES[one['state']]}" if STATES[one["state"]] else ""
    number = f" (entry {one['entry']})" if one["state"] == "already" else ""
    yield f"{head}{state}{number} · {one['vessel']} · {one['day']} · {one['says']}"
    yield from (f"  ! {caution}" for caution in one.get("cautions", ()))
    if one["why"]:
        yield f"  {one['why']}"


def summary(count: dict[str, int], saved: bool, preview: bool) -> str:
    """Return what became of all rows in a sentence or two."""
    there = f" {count['already']} are in the ledger already." if count["already"] else ""
    if count["wrong"]:
        rows = "1 row has an error" if count["wrong"] == 1 else f"{count['wrong']} rows have an error"
        return f"Nothing was recorded: {rows}. Put the sheet right, then import it again."
    if count["stopped"]:
        return (
            f"Nothing was recorded: {count['stopped']} entries are stopped. "
            'Where each may pass with a reason: --waive "reason".'
        )
    if preview:
        return f"Would record {count['new']} entries.{there}"
    if not count["new"]:
        return f"Nothing new.{there}"
    return f"{count['new']} entries recorded together; undo of one undoes them all.{there}" if saved else "Nothing new."
