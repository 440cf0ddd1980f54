"""A wine whose yeast was stopped with sugar left: since when cold holds it, what woke it, and when it needs no cold.

It is held from a reading of its own at 4 C or less. Until its chill is ended after effective sorbate or a sterile
filtration it wakes by a fall of gravity of more than 0.001, by more than 4 C, by an end of the cold, or by gas. The
first fall after the chill may be larger: the ferment goes on while the wine cools, so it is stopped above its mark.
"""

from __future__ import annotations

from dataclasses import dataclass

from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.contents import Event
from cellar_tui.ledger.ferment import own_temperature, steps
from cellar_tui.planning import sorbate
from cellar_tui.planning.once import once
from cellar_tui.planning.plan import Fact
from cellar_tui.planning.subject import Subject


@dataclass(frozen=True, slots=True)
class Cold:
    """How an arrested wine is held.

    Attributes:
        since: place of the reading from which cold holds it, None while it is awake.
        woke: place of what woke it last (or left it warm with its sugar), None where nothing did.
        why: what that was, in a few words.
        freed: place of the end of the cold once its yeast was held otherwise, None until then.
    """

    since: int | None
    woke: int | None = None
    why: str = ""
    freed: int | None = None


@once
def cold(s: Subject) -> Cold | None:
    """Return how cold holds it, None for a wine that was not arrested."""
    end = s.arrest
    if end is None:
        return None
    found = Cold(end.index)
    if end.how == "finish_here":
        found = Cold(None, end.index, "it was left with its sugar, its yeast alive")
    most = s.house.number("arrest_cold")
    for index, event in s.c.at(s.c.places.where("cold or awake", _tells), end.index):
        if _freed(s, index, event):
            return Cold(found.since, found.woke, found.why, index)
        warmth = own_temperature(event)
        reason = _wakes(s, found.since, index, most) if found.since is not None else ""
        if reason:
            found = Cold(None, index, reason)
        elif found.since is None and warmth is not None and warmth <= most and not _ends(event):
            found = Cold(index, found.woke, found.why)
    return found


def _tells(event: Event) -> bool:
    """Return whether an entry can tell that cold holds a wine, or what woke it."""
    read = isinstance(event.body, k.Reading) and "sg" in event.values
    told = read or isinstance(event.body, k.Chill | k.Check) or own_temperature(event) is not None
    return told and not event.passive


@once
def awake(s: Subject) -> bool:
    """Return whether it was arrested and is held by nothing now."""
    found = cold(s)
    return found is not None and found.since is None and found.freed is None


@once
def effective(s: Subject) -> sorbate.Effective | None:
    """Return the sorbate that counts: it fits the wine, and no arrested yeast was awake when it went in.

    Sorbate keeps few and sleeping yeasts from growing; yeast at work goes on in spite of it.
    """
    found = sorbate.fit(s)
    woken = found is not None and s.arrest is not None and awake(s.as_of(found.index))
    return None if woken else found


def woke_fact(s: Subject, found: Cold) -> Fact:
    """Return what woke it as an input of an explanation; something must have."""
    event = s.c.log[found.woke or 0]
    return Fact("awake", found.why, "", (event.entry,), event.on)


def _ends(event: Event) -> bool:
    return isinstance(event.body, k.Chill) and bool(event.body.end)


def _freed(s: Subject, index: int, event: Event) -> bool:
    """Return whether this ends the cold of a wine whose yeast is held by sorbate or filtered out."""
    if not _ends(event):
        return False
    then = s.as_of(index)
    filtered = any(isinstance(e.body, k.Filter) and e.body.sterile for _, e in then.events(k.Filter))
    return filtered or effective(then) is not None


def _wakes(s: Subject, since: int, index: int, most: float) -> str:
    """Return why an event wakes a wine that was held since that place, "" where it does not."""
    event = s.c.log[index]
    warmth = own_temperature(event)
    if warmth is not None and warmth > most:
        return f"it stood at {warmth:g} C"
    if _ends(event):
        return "its cold was ended before sorbate or a sterile filter held its yeast"
    gas = isinstance(event.body, k.Check) and event.body.result == "fail"
    if gas and (event.body.test == "gas" or event.body.fault == "pressure"):  # type: ignore[attr-defined]
        return "it made gas"
    return _fell(s, since, index)


def _fell(s: Subject, since: int, index: int) -> str:
    now = next((gravity for gravity in s.gravities if gravity.index == index), None)
    if now is None:
        return ""
    before = [gravity.value for gravity in s.gravities if gravity.index <= since][-1:]
    after = [gravity.value for gravity in s.gravities if since < gravity.index < index]
    cooling = max(before, default=now.value) - now.value
    fall = max(after, default=now.value) - now.value
    if steps(fall) > steps(s.house.number("steady_sg")):
        return f"its gravity fell by {fall:.4f}"
    if not after and steps(cooling) > steps(s.house.number("arrest_at")):
        return f"its gravity fell by {cooling:.4f}"
    return ""
