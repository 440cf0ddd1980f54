"""A white or rose must settles cold before its yeast, and is racked off its solids."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.history import additions, readings
from cellar_tui.planning.plan import Because, Dose, Due, Fact
from cellar_tui.planning.rules import cautions, needs, running
from cellar_tui.planning.rules.base import ResponseForm, Rule, hours_after, window
from cellar_tui.planning.subject import Subject

ID = "settle"

ENZYME = 2.0
"""Pectic enzyme that settles a grape must [g/hL]; common practice: 1 to 3, the label decides."""
SOURCE = "common practice; turbidity: source not verified"


def _settled(s: Subject, after: int) -> bool:
    """Return whether it was racked off its solids, or read clear enough, or found to need neither, since then."""
    clear = any(reading.value < s.house.number("settle_ntu") for reading in readings(s.c, "turbidity", after))
    racked = bool(s.events(k.Racking, after=after))
    return racked or clear or any(place > after for place, _ in s.skips(ID))


def _answered(s: Subject, after: int) -> date | None:
    """Return the last day on which enzyme went in or the must was read too cloudy: the rest waits for the next day."""
    helped = [event.on for _, event, _ in additions(s.c, lambda name: name == "pectic_enzyme", after)]
    read = [reading.on for reading in readings(s.c, "turbidity", after)]
    return max([*helped, *read], default=None)


def _enzyme(s: Subject) -> Dose | None:
    """Return the enzyme that speeds the settling, None where there is some in it."""
    if any(True for _ in additions(s.c, lambda name: name == "pectic_enzyme")):
        return None
    note = "1 to 3 g/hL settles it sooner, where the label says nothing else; never with bentonite"
    facts = (Fact("enzyme to settle", ENZYME, "g/hL"), Fact("volume", round(s.volume, 2), "L"))
    because = Because(ID, note, facts, "dose x volume / 100", SOURCE)
    return Dose("pectic_enzyme", ENZYME * s.volume / 100, "g", note, because)


def due(s: Subject) -> Iterator[Due]:
    """Yield the settling of a grape must without skins."""
    pressed = [needs.moment(event) for event in s.events(k.Press)]
    of_grapes = s.c.source == "grape" and not running.fruit(s)
    if not of_grapes or s.intents.colour not in ("white", "rose") or s.c.on_skins or not running.must(s):
        return
    since = needs.last_of(running.start(s), *pressed)
    if _settled(s, since.index):
        return
    answered = _answered(s, since.index)
    minute = s.c.log[since.index].minute if since.index >= 0 else None
    yield window(
        ID,
        since.on if answered is None else max(since.on, answered + needs.DAY),
        hours_after(since.on, minute, s.house.number("settle_hours")),
        since.entry,
        "coarse solids ferment into rotten egg and bitterness; a must too bright ferments badly",
        (since.fact("must off the skins since"), s.fact("settle_hours"), s.fact("settle_ntu")),
        formula=f"+ {s.figure('settle_hours')} h",
        source=SOURCE,
        dose=_enzyme(s),
        task="settle the must cold, then rack it off the solids",
    )


RULE = Rule(
    ID,
    "settle the must",
    (
        "Settle white and rose must 12 to 24 h at 5 to 15 C, rack it off the solids at 100 to 250 NTU, then pitch. "
        "Under 50 NTU give some back."
    ),
    due,
    (
        ResponseForm("racking", ("to", "volume")),
        ResponseForm("addition", ("amount",), (("material", "pectic_enzyme"),)),
        ResponseForm("reading", ("turbidity",)),
    ),
    kit="hoses",
    cautions=(cautions.ENZYME, cautions.GAS),
    source=SOURCE,
)
