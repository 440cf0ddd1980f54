"""What day it is in the cellar: the machine's clock read in the cellar's own zone."""

from __future__ import annotations

import os
from collections.abc import Callable
from datetime import UTC, date, datetime, time
from pathlib import Path

from cellar_tui.language.zones import known_zone, zone

Clock = Callable[[], datetime]
"""Returns now as an aware moment in UTC."""

ZONES = "/zoneinfo/"


def system() -> datetime:
    """Return the machine's now, UTC."""
    return datetime.now(UTC)


def machine_zone() -> str:
    """Return the name of the machine's zone: from TZ, else from where /etc/localtime points, else UTC."""
    named = os.environ.get("TZ", "").lstrip(":")
    if named and known_zone(named):
        return named
    target = str(Path("/etc/localtime").resolve())
    if ZONES in target and known_zone(target.split(ZONES, 1)[1]):
        return target.split(ZONES, 1)[1]
    return "UTC"


def day_in(moment: datetime, name: str) -> date:
    """Return the civil day of a moment in a zone."""
    return moment.astimezone(zone(name)).date()


def end_of_day(day: date, name: str) -> datetime:
    """Return the last moment of a civil day in a zone."""
    return datetime.combine(day, time.max, zone(name))


def skipped(day: date, minute: int, name: str) -> bool:
    """Return whether the clocks of a zone went past that minute of the day without showing it."""
    wall = datetime.combine(day, time(minute // 60, minute % 60), zone(name))
    shown = wall.astimezone(UTC).astimezone(zone(name))
    return shown.replace(tzinfo=None) != wall.replace(tzinfo=None)
