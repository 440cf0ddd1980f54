"""The strength that spirit gives a wine."""

from __future__ import annotations

from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.contents import Event
from cellar_tui.ledger.history import Evidence
from cellar_tui.planning.once import once
from cellar_tui.planning.subject import Subject


@once
def by_spirit(s: Subject) -> Evidence | None:
    """Return what shows 18 % (a house rule) by spirit or a reading, by what it holds now [% vol]; None where weaker."""
    strength = s.alcohol or 0.0
    if strength < s.house.number("spirit_strength"):
        return None
    shown = s.c.among(s.c.places.where("strength", _tells_strength))
    if shown:
        event = s.c.log[shown[-1]]
        return Evidence(strength, event.on, event.minute, (event.entry,), shown[-1])
    stated = Evidence(strength, s.c.started, None, (s.c.filling,), -1)
    return stated if s.c.given.fortified else None


def _tells_strength(event: Event) -> bool:
    body = event.body
    if isinstance(body, k.Addition):
        return body.material == "spirit"
    return isinstance(body, k.Reading) and "alcohol" in event.values
