"""A vessel apart from its wine: age and fills of a barrel, what it held last, how it was kept since."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from cellar_tui.language.describe_entry import words
from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.care import Care
from cellar_tui.ledger.cellar import VesselInfo
from cellar_tui.planning.day_text import short_day


def lines(info: VesselInfo, care: Care | None, today: date) -> Iterator[str]:
    """Yield what is known of a vessel itself; nothing of a tank that never stood empty after a wine."""
    of_wood = info.material == "oak"
    fills = info.fills + (0 if care is None else care.fills)
    if of_wood and info.made is not None:
        yield f"made {info.made}, {max(0, today.year - info.made)} years old, filled {fills} times"
    elif of_wood and fills:
        yield f"filled {fills} times"
    if care is None:
        return
    if care.emptied is not None:
        yield f"held {care.wine} until {short_day(care.emptied)}"
    cleaned = [event for event in care.log if isinstance(event.body, k.Cleaning)]
    if cleaned:
        last = cleaned[-1]
        yield f"last {words(getattr(last.body, 'how', '') or '')} on {short_day(last.on)}"
