"""A must short of nitrogen is fed: half 24 hours after the yeast, half at one third of the sugar, none past its half.

Short is a must whose measured nitrogen lies under the need for its Brix; fruit, honey and diluted must that was never
measured is taken to be short, other must is asked for it. What was given before, in either kind, counts.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from cellar_tui.enology import gravity, nutrients
from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.ferment import must_entry
from cellar_tui.ledger.history import additions, last_reading, thinned
from cellar_tui.ledger.materials import material
from cellar_tui.planning.plan import Because, Dose, Due, Fact
from cellar_tui.planning.rules import cautions, needs, running
from cellar_tui.planning.rules.base import ResponseForm, Rule, hours_after, window
from cellar_tui.planning.subject import Subject

ID = "nutrient"
SOURCE = "Bisson & Butzke 2000 (source not verified); timing: Gardner 2016"
LEAST = 10.0
"""Lack of nitrogen that no titration finds [mg N/L]; common practice: a formol number is right to 10 %."""
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


def unknown(s: Subject) -> bool:
    """Return whether its nitrogen was never measured and is not taken to be short."""
    return last_reading(s.c, "yan") is None and not _poor(s)


def _poor(s: Subject) -> bool:
    thin = s.c.source in ("concentrate", "honey") or any(True for _ in additions(s.c, lambda name: name in POOR))
    return running.fruit(s) or thin


def _given(s: Subject, after: int) -> tuple[float, tuple[Fact, ...]]:
    """Return the nitrogen given since that place in the log, in either kind [mg N/L of it as it is], as inputs too."""
    found, facts = 0.0, []
    for index, event, name in additions(s.c, lambda name: material(name).sort == "nutrient", after):
        if isinstance(event.body, k.Addition) and event.after.volume > 0:
            share = nutrients.DAP_NITROGEN if name == "dap" else s.house.number("complex_nitrogen") / 100
            raised = 1000 * (event.body.amount or 0.0) * share / event.after.volume * thinned(s.c, index)
            found += raised
            facts.append(Fact("nitrogen given", round(raised), "mg/L", (event.entry,), event.on))
            if name != "dap":
                facts.append(s.fact("complex_nitrogen"))
    return found, tuple(dict.fromkeys(facts))


@dataclass(frozen=True, slots=True)
class Lack:
    """What a must lacks: nitrogen in all and of it still to give [mg N/L], and the inputs."""

    whole: float = 0.0
    left: float = 0.0
    facts: tuple[Fact, ...] = ()


def lack(s: Subject) -> Lack:
    """Return the nitrogen that the must lacks; nothing where it has enough or none is known."""
    wanted, facts = need(s)
    measured = last_reading(s.c, "yan")
    if measured is not None:
        own = measured.value * thinned(s.c, measured.index)
        basis = Fact("nitrogen measured", measured.value, "mg/L", measured.entries, measured.on)
    elif _poor(s):
        own, basis = s.house.number("yan_unmeasured"), s.fact("yan_unmeasured")
    else:
        return Lack()
    given, told = _given(s, -1 if measured is None else measured.index)
    whole = max(0.0, wanted - own)
    return Lack(whole, max(0.0, whole - given), (basis, *facts, *told))


def _past(s: Subject, setting: str) -> bool:
    gone = running.gone(s)
    return gone is not None and 100 * gone >= s.house.number(setting)


def _third(s: Subject) -> bool:
    return running.running(s) and _past(s, "nutrient_second")


def _dose(s: Subject, missing: Lack, portion: float) -> Dose:
    """Return the diammonium phosphate of one portion [mg N/L], so that all of it stays under its legal most."""
    salt = sum(
        1000 * (event.body.amount or 0.0) / event.after.volume
        for _, event, _ in additions(s.c, lambda name: name == "dap")
        if isinstance(event.body, k.Addition) and event.after.volume > 0
    )
    wanted = max(0.0, min(portion / nutrients.DAP_NITROGEN, nutrients.DAP_LIMIT_US - salt))
    told = (
        "half of the whole dose" if portion < missing.left else "the rest of the dose, as a third of the sugar is gone"
    )
    note = f"{told}; put part of it in as complex nutrient, for it is eaten at once alone"
    inputs = (*missing.facts, Fact("nitrogen lacking", round(portion), "mg/L"), Fact("volume", round(s.volume, 2), "L"))
    because = Because(ID, note, inputs, "lack / 0.2121 x volume / 1000, 960 mg/L at most in all", SOURCE)
    return Dose("dap", wanted * s.volume / 1000, "g", note, because)


def _ask(s: Subject, begun: needs.Moment | None) -> Iterator[Due]:
    """Yield the test of a must of which nobody knows how much nitrogen it holds."""
    start = running.start(s)
    if s.added("nutrient"):
        return
    wanted, facts = need(s)
    latest = start.on if begun is None else _first_day(s, begun)
    told = (start.fact("must since"), Fact("nitrogen", "not known"), Fact("needed", round(wanted), "mg/L"), *facts)
    reason = "its nitrogen is not known, and hungry yeast stops or stinks"
    yield window(ID, start.on, latest, start.entry, reason, told, source=SOURCE, task="test nitrogen (YAN)")


def _first_day(s: Subject, begun: needs.Moment) -> date:
    minute = s.c.log[begun.index].minute if begun.index >= 0 else None
    return hours_after(begun.on, minute, s.house.number("nutrient_after"))


def due(s: Subject) -> Iterator[Due]:
    """Yield the nitrogen test of a must, or the next portion of nutrient."""
    begun = needs.came_true(s, running.running)
    if _past(s, "nutrient_last") or (begun is None and not running.must(s)):
        return
    if unknown(s):
        yield from _ask(s, begun)
        return
    missing = lack(s)
    if begun is not None and missing.left >= LEAST:
        yield from _portion(s, missing, begun)


def _portion(s: Subject, missing: Lack, begun: needs.Moment) -> Iterator[Due]:
    third, fed = needs.came_true(s, _third), s.added("nutrient", after=begun.index)
    half = missing.left - missing.whole / 2
    if not fed and (half >= LEAST or third is not None):
        inputs = (begun.fact("ferment started"), *missing.facts, s.fact("nutrient_after"), s.fact("nutrient_last"))
        yield window(
            ID,
            _first_day(s, begun),
            None,
            begun.entry,
            "this must is short of nitrogen, and hungry yeast stops or stinks",
            inputs,
            formula="yeast + hours",
            source=SOURCE,
            dose=_dose(s, missing, missing.left if third else half),
        )
    elif third is not None and (not fed or fed[-1][0] < third.index):
        inputs = (running.gravity_fact(s), *missing.facts, s.fact("nutrient_second"), s.fact("nutrient_last"))
        yield window(
            ID,
            third.on,
            None,
            third.entry,
            "a third of the sugar is gone: the second half of its nutrient",
            inputs,
            formula="sugar depletion",
            source=SOURCE,
            dose=_dose(s, missing, missing.left),
        )


RULE = Rule(
    ID,
    "feed the yeast",
    (
        "Make up missing nitrogen in two halves: 24 h after pitching and at one third sugar depletion. Never "
        "after half the sugar is gone."
    ),
    due,
    (
        ResponseForm("reading", ("yan",), (), unknown),
        ResponseForm("addition", ("amount",), (("material", "dap"),)),
        ResponseForm("addition", ("amount",), (("material", "complex_nutrient"),)),
    ),
    kit="scales",
    cautions=(cautions.NUTRIENT,),
    source=SOURCE,
)
