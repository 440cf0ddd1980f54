"""A large cellar for measurements: wines of several styles kept by a patient hand, written in one save."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path

from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.cellar_kinds import Vessel, WineStart
from cellar_tui.ledger.entry import Entry
from cellar_tui.ledger.fields import specs
from cellar_tui.service import rows
from cellar_tui.service.components import links
from cellar_tui.service.open import OpenCellar, create_cellar
from tests.opened import rebuild_quietly, store_of
from tests.planning.round import Hand
from tests.planning.stories import Story, came_finished, clear, dry, kept

TODAY = date(2027, 9, 1)
AGO = timedelta(days=3653)
"""How far the tales are moved back, so that a program run today finds no entry ahead of its clock."""

TALES = (
    lambda: Hand(dry("dry_red", sg=0.994, vessel="oak"), "2026-10-13", sg=0.994, ph=3.5),
    lambda: Hand(dry("rose"), "2026-10-13", ph=3.3),
    lambda: Hand(clear(bottling="2027-11-20"), "2026-11-01", free=38),
    lambda: Hand(came_finished("dry_fruit", bottling="2028-01-10"), "2026-10-13", free=25, ph=3.3),
    lambda: Hand(kept("sweet_white", bottling="2027-12-01"), "2026-10-21", free=38),
)


def told(tale: int, length: int) -> list[Entry]:
    """Return the entries of one wine's tale up to the length asked for, drawn out by an entry a day."""
    hand = TALES[tale % len(TALES)]()
    hand.malic = 0.1 if tale % len(TALES) == 0 else 2.0
    while len(hand.story.entries) < length and hand.today < TODAY and not hand.walk(7):
        pass
    story = hand.story
    if any(isinstance(entry.body, k.Bottle) for entry in story.entries):
        story.entries.pop()
    _drawn_out(story, length)
    return story.entries[:length]


WORKS: tuple[Callable[[Story, str], object], ...] = (
    lambda story, on: story.reading(on, temperature=12.0),
    lambda story, on: story.reading(on, free_so2=34.0, method="aspiration"),
    lambda story, on: story.check(on, "level"),
    lambda story, on: story.reading(on, ph=3.3),
    lambda story, on: story.reading(on, temperature=14.0),
    lambda story, on: story.check(on, "smell"),
    lambda story, on: story.record(on, k.Note()),
    lambda story, on: story.top(on, 0.05),
    lambda story, on: story.reading(on, temperature=16.0),
    lambda story, on: story.reading(on, free_so2=29.0, method="aspiration"),
    lambda story, on: story.add(on, "potassium_metabisulfite", 0.4),
    lambda story, on: story.check(on, "clarity"),
    lambda story, on: story.reading(on, temperature=13.0),
    lambda story, on: story.reading(on, sg=0.9935),
    lambda story, on: story.skip(on, "oak_taste"),
    lambda story, on: story.check(on, "taste"),
)
"""What a careful hand goes on doing to a wine that lies, one a day."""


def _drawn_out(story: Story, length: int) -> None:
    day = max(entry.on for entry in story.entries)
    for turn in range(length - len(story.entries)):
        day += timedelta(days=1)
        WORKS[turn % len(WORKS)](story, day.isoformat())


def _moved(entry: Entry, by: int, number: int) -> Entry:
    """Return a told entry as one of a ledger in which its wine begins `by` entries later."""
    body = entry.body
    for name, spec in specs(type(body)):
        value = getattr(body, name)
        if value is not None and spec.sort in ("vessel", "date"):
            body = replace(body, **{name: value - AGO if spec.sort == "date" else value + by})
    if isinstance(body, Vessel):
        body = replace(body, name=f"Vessel {number}", place=f"row {number % 10}")
    if isinstance(body, WineStart):
        body = replace(body, name=f"Wine {number}")
    vessel = entry.vessel + by if entry.vessel else entry.seq + by
    on, key = entry.on - AGO, (entry.seq + by).to_bytes(16, "big")
    written = datetime.combine(on, time(12), UTC)
    return replace(entry, seq=entry.seq + by, key=key, on=on, recorded_at=written, body=body, vessel=vessel)


def ledger(vessels: int, entries: int, first: int) -> Iterator[Entry]:
    """Yield the ledger of a cellar of so many vessels, numbered from `first`."""
    each = entries // vessels
    tales = [told(tale, each) for tale in range(len(TALES))]
    for number in range(vessels):
        by = first - 1 + number * each
        yield from (_moved(entry, by, number) for entry in tales[number % len(tales)])


def clock() -> datetime:
    """Return the moment at which these cellars are looked at: after the last of their entries."""
    return datetime(2022, 9, 1, 12, tzinfo=UTC)


def build(path: Path, vessels: int, entries: int) -> OpenCellar:
    """Make a cellar file with so many vessels and entries, its board worked out."""
    service = create_cellar(path, clock, by="Ada", zone="UTC")
    with store_of(service).write() as tx:
        for entry in ledger(vessels, entries, tx.next_seq()):
            tx.append([rows.new_entry(entry, *links(entry, tx.vessels_of))])
    rebuild_quietly(service)
    return service
