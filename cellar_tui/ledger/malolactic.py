"""Malolactic fermentation: whether it is wanted, running, done, given up, or alive where it must not be."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

from cellar_tui.ledger import ferment
from cellar_tui.ledger.contents import Contents
from cellar_tui.ledger.history import additions, checks, decisions, intents, readings
from cellar_tui.ledger.house import House

STARTS = (
    ("malolactic_start", "by_itself"),
    ("malolactic_overdue", "new_culture"),
    ("malolactic_unwanted", "let_finish"),
)
"""Decisions from which it counts as running, and by which choice."""

PROOF = ("malic_done", "chromatogram_days", "malic_fall", "malolactic_so2_harm")
"""House rules that decide where a malolactic fermentation stands."""

State = Literal["none", "running", "done", "given_up", "unknown"]


@dataclass(frozen=True, slots=True)
class Malolactic:
    """State of the malolactic fermentation.

    Attributes:
        state: none, running, done, given_up, or unknown after a sulfite into a running one.
        on: day it came into that state.
        entries: what shows it.
        index: place in the log, -1 where the wine began so.
        started: day it began running, if it did.
        live: it is running, is wanted and not done, or malic acid was seen falling.
    """

    state: State
    on: date | None
    entries: tuple[int, ...]
    index: int
    started: date | None
    live: bool


def _done(contents: Contents, house: House) -> tuple[date, tuple[int, ...], int] | None:
    """Return when malic acid was gone: by a reading, or by two chromatograms without a spot."""
    found = [
        (reading.on, reading.entries, reading.index)
        for reading in readings(contents, "malic")
        if reading.value < house.number("malic_done")
    ]
    first = None
    for evidence, check in checks(contents, "chromatogram"):
        if check.result != "pass" or check.fault == "lactic_spot":
            first = None
        elif first is None:
            first = evidence
        elif evidence.on - first.on >= timedelta(days=house.days("chromatogram_days")):
            found.append((evidence.on, (*first.entries, *evidence.entries), evidence.index))
            break
    return min(found, key=lambda one: one[2], default=None)


def falls(contents: Contents, house: House, after: int = -1) -> list[tuple[date, tuple[int, ...], int]]:
    """Return each reading that shows malic acid down from its highest (0.3 g/L), and each lactic spot, oldest first.

    After a fall the highest is counted anew from the reading that showed it.
    """
    highest, least = None, round(house.number("malic_fall") * 100)
    found = []
    for reading in readings(contents, "malic", after):
        fell = highest is not None and round((highest.value - reading.value) * 100) >= least
        if highest is not None and fell:
            found.append((reading.on, (*highest.entries, *reading.entries), reading.index))
        if highest is None or fell or reading.value > highest.value:
            highest = reading
    found += [
        (evidence.on, evidence.entries, evidence.index)
        for evidence, check in checks(contents, "chromatogram", "gas", after=after)
        if check.fault == "lactic_spot"
    ]
    return sorted(found, key=lambda one: one[2])


def falling(contents: Contents, house: House, after: int = -1) -> tuple[date, tuple[int, ...], int] | None:
    """Return the first sign of bacteria at work later than a place in the log, None where there is none."""
    return next(iter(falls(contents, house, after)), None)


def _stopped(contents: Contents) -> int:
    """Return the place of the last decision to stop an unwanted one, or of its sulfite; -1 where none was made."""
    return max((index for index, _ in decisions(contents, "malolactic_unwanted", "stop")), default=-1)


def malolactic(contents: Contents, house: House) -> Malolactic:
    """Work out the state of the malolactic fermentation from the whole log."""
    given = contents.given
    wanted = intents(contents).malolactic
    done = _done(contents, house)
    if given.malolactic == "done" or done is not None:
        on, entries, index = done or (contents.started, (contents.filling,), -1)
        return Malolactic("done", on, entries, index, None, False)
    starts = [(event.on, (event.entry,), index) for index, event, _ in additions(contents, _is_culture)]
    starts += [
        (event.on, (event.entry,), index)
        for about, choice in STARTS
        for index, event in decisions(contents, about, choice)
    ]
    if given.malolactic == "running":
        starts.append((contents.started, (contents.filling,), -1))
    given_up = decisions(contents, "malolactic_overdue", "give_up")
    fall = falling(contents, house, _stopped(contents))
    if given_up:
        index, event = given_up[-1]
        return Malolactic("given_up", event.on, (event.entry,), index, None, False)
    live_fall = fall is not None and ferment.finish(contents, house) is not None
    if starts:
        started, entries, index = max(starts, key=lambda start: start[2])
        harmed = [
            (event, place)
            for place, event, _ in additions(contents, lambda _: True, after=index)
            if event.so2 > house.number("malolactic_so2_harm")
        ]
        if harmed:
            event, place = harmed[-1]
            return Malolactic("unknown", event.on, (event.entry,), place, started, True)
        return Malolactic("running", started, entries, index, started, True)
    live = wanted == "encouraged" or live_fall or given.live or _came_alive(contents)
    entries = fall[1] if fall is not None and live_fall else ()
    return Malolactic("none", None, entries, -1, None, live)


def _came_alive(contents: Contents) -> bool:
    """Return whether wine with a live malolactic fermentation was poured in."""
    return bool(contents.among(contents.places.where("live", lambda event: event.live)))


def _is_culture(name: str) -> bool:
    return name == "malolactic_culture"
