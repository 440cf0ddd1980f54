"""A must short of nitrogen is fed: half 24 hours after the yeast, half at one third of the sugar, none past its half.

Short is a must whose measured nitrogen lies under the need for its Brix; fruit, honey and diluted must that was never
measured is taken to be short.
"""

from __future__ import annotations

from collections.abc import Iterator

from cellar_tui.enology import gravity, nutrients
from cellar_tui.ledger.contents import Event
from cellar_tui.ledger.ferment import must_entry
from cellar_tui.ledger.history import additions, last_reading
from cellar_tui.planning.plan import Because, Dose, Due, Fact
from cellar_tui.planning.rules import cautions, needs, running
from cellar_tui.planning.rules.base import Answer, Rule, hours_after, window
from cellar_tui.planning.subject import Subject

ID = "nutrient"
SOURCE = "Bisson & Butzke 2000 (from memory); timing: Gardner 2016 (seen)"
POOR = ("honey", "water")
"""Additions that leave a must poor in nitrogen; common practice."""


def need(s: Subject) -> tuple[float, tuple[Fact, ...]]:
    """Return the nitrogen that its yeast needs [mg N/L], by the Brix of the must."""
    first = s.c.now.original_gravity
    if first is None:
        return nutrients.NEED_YAN[0], (Fact("Brix of the must", "not known"),)
    brix = gravity.brix_from_sg(min(max(first, gravity.SUGAR_SG.low), gravity.SUGAR_SG.high))
    fact = Fact("Brix of the must", round(brix, 1), "Brix", (must_entry(s.c),))
    if brix < nutrients.NEED_BRIX[0]:
        return s.house.number("yan_light"), (fact, s.fact("yan_light"))
    return nutrients.yan_need(min(brix, nutrients.NEED_BRIX[-1])), (fact,)


def lack(s: Subject) -> tuple[float, tuple[Fact, ...]]:
    """Return the nitrogen that the must lacks [mg N/L] and the inputs; nought where it has enough or none is known."""
    wanted, facts = need(s)
    measured = last_reading(s.c, "yan")
    if measured is not None:
        fact = Fact("nitrogen measured", measured.value, "mg/L", measured.entries, measured.on)
        return max(0.0, wanted - measured.value), (fact, *facts)
    thin = s.c.source == "concentrate" or any(True for _ in additions(s.c, lambda name: name in POOR))
    if running.fruit(s) or thin:
        return max(0.0, wanted - s.house.number("yan_unmeasured")), (s.fact("yan_unmeasured"), *facts)
    return 0.0, ()


def _past(s: Subject, setting: str) -> bool:
    gone = running.gone(s)
    return gone is not None and 100 * gone >= s.house.number(setting)


def _third(s: Subject) -> bool:
    return running.running(s) and _past(s, "nutrient_second")


def _fed(s: Subject) -> list[tuple[int, Event]]:
    return s.added("nutrient")


def _dose(s: Subject, missing: float, part: float, facts: tuple[Fact, ...]) -> Dose:
    """Return the diammonium phosphate of one portion, cut to its legal most."""
    whole = min(missing / nutrients.DAP_NITROGEN, nutrients.DAP_LIMIT_US)
    told = "half of the whole dose" if part < 1 else "the whole dose, as a third of the sugar is gone"
    note = f"{told}; put part of it in as complex nutrient, for it is eaten at once alone"
    inputs = (*facts, Fact("nitrogen lacking", round(missing), "mg/L"), Fact("volume", round(s.volume, 2), "L"))
    because = Because(ID, note, inputs, "lack / 0.2121 x share of the dose x volume / 1000, 960 mg/L at most", SOURCE)
    return Dose("dap", whole * part * s.volume / 1000, "g", note, because)


def due(s: Subject) -> Iterator[Due]:
    """Yield the next portion of nutrient."""
    if not running.running(s) or _past(s, "nutrient_last"):
        return
    missing, facts = lack(s)
    begun, third, fed = needs.came_true(s, running.running), needs.came_true(s, _third), _fed(s)
    if missing <= 0 or begun is None:
        return
    if not fed:
        minute = s.c.log[begun.index].minute if begun.index >= 0 else None
        day = hours_after(begun.on, minute, s.house.number("nutrient_after"))
        inputs = (begun.fact("ferment begun"), *facts, s.fact("nutrient_after"), s.fact("nutrient_last"))
        yield window(
            ID,
            day,
            None,
            begun.entry,
            "this must is short of nitrogen, and hungry yeast stops or stinks",
            inputs,
            formula="yeast + hours",
            source=SOURCE,
            dose=_dose(s, missing, 1.0 if third else 0.5, facts),
        )
    elif third is not None and fed[-1][0] < third.index:
        inputs = (running.gravity_fact(s), *facts, s.fact("nutrient_second"), s.fact("nutrient_last"))
        yield window(
            ID,
            third.on,
            None,
            third.entry,
            "a third of the sugar is gone: the second half of its nutrient",
            inputs,
            formula="share of the sugar gone",
            source=SOURCE,
            dose=_dose(s, missing, 0.5, facts),
        )


RULE = Rule(
    ID,
    "feed the yeast",
    "Nitrogen missing from the must goes in by halves, a day after the yeast and at a third of the sugar; none later.",
    due,
    (
        Answer("addition", ("amount",), (("material", "dap"),)),
        Answer("addition", ("amount",), (("material", "complex_nutrient"),)),
    ),
    kit="scales",
    cautions=(cautions.NUTRIENT,),
    source=SOURCE,
)
