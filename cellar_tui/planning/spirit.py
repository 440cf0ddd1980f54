"""The strength that spirit gives a wine."""

from __future__ import annotations

from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.history import Evidence
from cellar_tui.planning.once import once
from cellar_tui.planning.subject import Subject


@once
def by_spirit(s: Subject) -> Evidence | None:
    """Return what shows 18 % (a house rule) by spirit or a reading, by what it holds now [% vol]; None where weaker."""
    strength = s.alcohol or 0.0
    if strength < s.house.number("spirit_strength"):
        return None
    for index in range(len(s.c.log) - 1, -1, -1):
        event = s.c.log[index]
        mixed = isinstance(event.body, k.Addition) and event.body.material == "spirit"
        if mixed or (isinstance(event.body, k.Reading) and "alcohol" in event.values):
            return Evidence(strength, event.on, event.minute, (event.entry,), index)
    stated = Evidence(strength, s.c.started, None, (s.c.filling,), -1)
    return stated if s.c.given.fortified else None
