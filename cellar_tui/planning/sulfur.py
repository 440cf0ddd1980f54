"""What the ledger tells of a wine's sulfite: what went in, whether the first of it did, what was read."""

from __future__ import annotations

from cellar_tui.ledger import history, pour
from cellar_tui.ledger.contents import Event
from cellar_tui.ledger.history import Evidence
from cellar_tui.planning.once import once
from cellar_tui.planning.subject import Subject


@once
def sulfites(s: Subject) -> list[tuple[int, Event]]:
    """Return the sulfite additions that count after the ferment."""
    return [(index, s.c.log[index]) for index, _ in pour.first_sulfites(s.c, s.house)]


@once
def sulfited(s: Subject) -> bool | None:
    """Return whether the first sulfite after the ferment is in; None where that is not known of a finished wine."""
    return pour.sulfited(s.c, s.house)


@once
def reads(s: Subject) -> list[Evidence]:
    """Return every free SO2 reading, strips too: what a recheck is satisfied by."""
    return history.readings(s.c, "free_so2")


def ml_settled(s: Subject) -> bool:
    """Return whether malolactic is done, given up, or (prevented, either) the first sulfite is in."""
    return s.ml.state in ("done", "given_up") or (not s.intents.encouraged and sulfited(s) is True)
