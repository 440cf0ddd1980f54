"""The due actions as a calendar (RFC 5545) that a phone or any other program subscribes to.

Every event is a whole day without a zone, so that no date shifts wherever it is read. The file itself is the memory:
an event that says what it said keeps its number and its time stamp, one that moved gets a higher number, and one that
is done or no longer asked is cancelled and stays for a while, so that every subscriber learns of it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

from cellar_tui.language import describe_entry, explain
from cellar_tui.language.cautions import care_of
from cellar_tui.language.clean_text import safe
from cellar_tui.planning.day_text import short_day
from cellar_tui.service.views import CellarError, Task

if TYPE_CHECKING:
    from icalendar import Event

OURS = "-//cellar-tui//due actions//EN"
"""PRODID of a calendar made here; another one is never written over."""

KEPT = 60
"""Days for which a cancelled event stays in the file: a phone asks again within weeks (common practice)."""

REMIND = timedelta(hours=8)
"""When the reminder comes, after the day begins where it is read."""

AGAIN = timedelta(hours=6)
"""How often a subscriber is asked to look again."""


@dataclass(frozen=True, slots=True)
class State:
    """How far the ledger has come: what numbers and stamps the events that changed.

    Attributes:
        cellar: what tells this cellar from every other, through backups and exports.
        entries: how many entries it has.
        recorded: when the last was recorded.
        today: the day the calendar is of.
        units: the house's units.
    """

    cellar: str
    entries: int
    recorded: datetime
    today: date
    units: str = "metric"


def written(tasks: Sequence[Task], state: State, before: bytes | None) -> bytes:
    """Return the calendar of all that is due; `before` is what the file holds now, None where there is none.

    Raises:
        CellarError: the file holds something else.
    """
    from icalendar import Calendar

    old = {} if before is None else _events(before)
    made = Calendar()
    for name, value in (("prodid", OURS), ("version", "2.0"), ("method", "PUBLISH"), ("x-wr-calname", "Cellar")):
        made.add(name, value)
    made.add("refresh-interval", AGAIN, parameters={"VALUE": "DURATION"})
    new = {uid: _event(uid, task, state) for task in tasks for uid in [_uid(task, state)]}
    for event in (*_numbered(new, old, state), *_cancelled(old, new, state)):
        made.add_component(event)
    return bytes(made.to_ical(sorted=False))


def before(path: Path) -> bytes | None:
    """Return what stands at a path, None where nothing does.

    Raises:
        CellarError: it cannot be read.
    """
    try:
        return path.read_bytes()
    except FileNotFoundError:
        return None
    except OSError as error:
        raise CellarError(f"{path} cannot be read ({error.strerror}): name another file.", field="ics") from error


def _events(content: bytes) -> dict[str, Event]:
    from icalendar import Calendar, Event

    try:
        read = Calendar.from_ical(content)
        if str(read.get("prodid")) != OURS:
            raise ValueError(read)
        return {
            str(subcomponent["uid"]): subcomponent
            for subcomponent in read.subcomponents
            if isinstance(subcomponent, Event)
        }
    except (ValueError, KeyError, IndexError, TypeError) as error:
        told = "That file is no calendar of this program, and left as it is: name another."
        raise CellarError(told, field="ics") from error


def _uid(task: Task, state: State) -> str:
    return f"{task.action.rule}-{task.action.vessel}-{task.action.filling}-{task.action.anchor}@{state.cellar}"


def _event(uid: str, task: Task, state: State) -> Event:
    from icalendar import Alarm, Event

    action = task.action
    dose = f", {describe_entry.dose(action.dose, state.units)}" if action.dose else ""
    event, alarm = Event(), Alarm()
    said = safe(f"{task.vessel}: {action.task}{dose}")
    event.add("uid", uid)
    event.add("summary", said)
    event.add("dtstart", action.show)
    event.add("dtend", action.show + timedelta(days=1))
    event.add("description", "\n".join(safe(line) for line in _told(task, state.units)))
    if task.place:
        event.add("location", safe(task.place))
    event.add("categories", ["cellar"])
    event.add("transp", "TRANSPARENT")
    event.add("status", "CONFIRMED")
    alarm.add("action", "DISPLAY")
    alarm.add("description", said)
    alarm.add("trigger", REMIND)
    event.add_component(alarm)
    return event


def _told(task: Task, units: str) -> Iterable[str]:
    action = task.action
    yield f"{task.wine} in {task.vessel}"
    if action.dose is not None:
        yield f"Dose: {describe_entry.dose(action.dose, units)}. {action.dose.note}"
    yield f"Why: {explain.because(action.because, units=units)}"
    if action.latest > action.due:
        yield f"From {short_day(action.due)} to {short_day(action.latest)}."
    yield from care_of(action, glass=task.glass)
    yield f"As the ledger stood at entry {max(action.because.entries, default=action.anchor)}."


def _numbered(new: Mapping[str, Event], old: Mapping[str, Event], state: State) -> Iterable[Event]:
    """Yield the events by day, each with its number and time stamp: those it had where it says what it said."""
    for uid, event in sorted(new.items(), key=lambda one: (one[1].decoded("dtstart"), one[0])):
        was = old.get(uid)
        if was is not None and _says(was) == _says(event):
            _stamp(event, int(str(was["sequence"])), was.decoded("dtstamp"))
        else:
            _stamp(event, _next(was, state), state.recorded)
        yield event


def _cancelled(old: Mapping[str, Event], new: Mapping[str, Event], state: State) -> Iterable[Event]:
    """Yield the events that are no longer asked; a subscriber that had one takes it out."""
    for uid, event in sorted(old.items()):
        if uid in new or event.decoded("dtstart") < state.today - timedelta(days=KEPT):
            continue
        if str(event["status"]) != "CANCELLED":
            event.subcomponents.clear()
            number = _next(event, state)
            for name in ("status", "sequence", "dtstamp"):
                del event[name]
            event.add("status", "CANCELLED")
            _stamp(event, number, state.recorded)
        yield event


def _next(was: Event | None, state: State) -> int:
    """Return the number of an event that changed: over the one it had, and never under one of a file that was lost."""
    return max(state.entries, 0 if was is None else int(str(was["sequence"])) + 1)


def _says(event: Event) -> tuple[str, ...]:
    names = ("summary", "dtstart", "dtend", "description", "location", "status")
    return tuple(str(event[name].to_ical()) if name in event else "" for name in names)


def _stamp(event: Event, number: int, at: datetime) -> None:
    event.add("sequence", number)
    event.add("dtstamp", at)
