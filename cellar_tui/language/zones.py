"""Time zones by name, as this machine knows them."""

from __future__ import annotations

from zoneinfo import ZoneInfo, ZoneInfoNotFoundError


def zone(name: str) -> ZoneInfo:
    """Return the zone of that name, UTC where this machine does not know it."""
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        return ZoneInfo("UTC")


def known_zone(name: str) -> bool:
    """Return whether this machine knows a zone of that name."""
    return zone(name).key == name
