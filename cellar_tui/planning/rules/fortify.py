"""A fortified wine takes its spirit at the finish mark, without a mark at dryness: to 18.5 % vol by mixing, stirred.

From 0.010 above the mark the spirit is announced with its amount for the next day. What a topping or blend has thinned
is brought back. It is racked 3 to 7 days after, and its gravity must then stand for 14 days.
"""

from __future__ import annotations

from collections.abc import Iterator

from cellar_tui.enology import ethanol
from cellar_tui.ledger.ferment import dry_limit, proved_dry, strength_at
from cellar_tui.ledger.history import additions, readings
from cellar_tui.ledger.materials import material
from cellar_tui.planning import measure
from cellar_tui.planning.plan import Because, Dose, Due, Fact
from cellar_tui.planning.rules import cautions, needs, running
from cellar_tui.planning.rules.base import AGAIN_DAYS, ResponseForm, Rule, window
from cellar_tui.planning.subject import Subject
from cellar_tui.planning.verdicts.yeast import spirit_holds

ID = "fortify"
SPIRIT = "spirit"


def _ready(s: Subject) -> bool:
    """Return whether its ferment has come to the stopping gravity, or without one to dryness."""
    if not running.running(s) or s.intents.finish != "fortified":
        return False
    mark = running.mark(s)
    if mark is None:
        return proved_dry(s.c, s.house) is not None
    return bool(s.gravities) and running.at_or_under(s.gravities[-1].value, mark)


def _thinned(s: Subject) -> bool:
    """Return whether a fortified wine no longer holds the strength that keeps its yeast down."""
    fortified = s.intents.finish == "fortified" and s.end is not None
    return fortified and s.alcohol is not None and not spirit_holds(s)


def _spirit_strength(s: Subject) -> Fact:
    """Return the strength of the spirit on hand [% vol], else the usual one."""
    held = s.house.stock.get(SPIRIT)
    if held is None or held.strength is None:
        return Fact("strength of the spirit, none on hand entered", material(SPIRIT).strength, "% vol")
    return Fact("strength of the spirit on hand", held.strength, "% vol", (held.entry,))


def _dose(s: Subject, now: float | None, when: str) -> tuple[Dose | None, str]:
    """Return the spirit for a strength and what to do; no dose where that is not known or the spirit is too weak."""
    wanted, spirit = s.house.number("fortify_strength"), _spirit_strength(s)
    if now is None:
        return None, "test its alcohol first: the spirit is worked out from it"
    strength = float(spirit.value)
    if not now < wanted < strength:
        weak = f"spirit of {strength:g} % cannot bring {now:.1f} % to {wanted:g} %"
        return None, f"{weak}: test the alcohol again, or take a stronger spirit"
    _, after = ethanol.spirit_to(s.volume, now, strength, wanted)
    off = measure.draw_off(s.volume, after, s.vessel.capacity)
    spare, after = ethanol.spirit_to(s.volume - off, now, strength, wanted)
    task = "add the spirit slowly and stir it through"
    if off > 0:
        task = f"draw off {measure.litres(off)} first, the spirit will not fit; then {task}"
    if s.c.on_skins:
        task = f"press first, then {task}"
    note = f"to {wanted:g} % vol by mixing, {after:.3g} L after contraction"
    facts = (
        Fact(f"alcohol {when}", round(now, 1), "% vol"),
        spirit,
        s.fact("fortify_strength"),
        Fact("volume that stays", round(s.volume - off, 2), "L"),
    )
    formula = "mass of wine x (share wanted - its share) / (share of the spirit - share wanted), ethanol by mass"
    return Dose(SPIRIT, spare, "L", note, Because(ID, note, facts, formula, "Regulation (EEC) 2676/90 tables")), task


def _spirits(s: Subject, after: int) -> list[needs.Moment]:
    return [needs.moment((i, e)) for i, e, _ in additions(s.c, lambda name: name == SPIRIT, after)]


def _now(s: Subject, since: needs.Moment, reason: str, facts: tuple[Fact, ...]) -> Iterator[Due]:
    """Yield the spirit that is wanted now; again 2 days after one that left it too weak."""
    dose, task = _dose(s, s.alcohol, "now")
    added = _spirits(s, since.index)
    said = [needs.seen(reading) for reading in readings(s.c, "alcohol", since.index)]
    last = needs.last_of(since, *added, *said)
    day = added[-1].on + AGAIN_DAYS * needs.DAY if added else since.on
    if added:
        reason += ", and the spirit so far leaves it under the strength wanted"
    facts = (*facts, *(dose.because.facts if dose else (s.fact("fortify_strength"),)))
    yield window(
        ID,
        day,
        None,
        last.entry,
        reason,
        facts,
        formula="gravity at or below the stopping gravity",
        dose=dose,
        task=task,
    )


def _announced(s: Subject) -> Iterator[Due]:
    """Yield the spirit that a day may ask for: it must be at hand when the mark is reached."""
    mark = running.mark(s)
    if mark is None:
        yield from _announced_dry(s)
        return
    if s.intents.finish != "fortified" or not running.near_mark(s):
        return
    last = needs.seen(s.gravities[-1])
    dose, task = _dose(s, strength_at(s.c, mark), "at the stopping gravity")
    behind = dose.because.facts if dose else (s.fact("fortify_strength"),)
    facts = (running.gravity_fact(s), running.mark_fact(s), s.fact("arrest_near"), *behind)
    reason = "the stopping gravity is near: have the spirit at hand, it goes in at the stopping gravity"
    day = last.on + needs.DAY
    yield window(ID, day, None, last.entry, reason, facts, formula="last gravity + 1 d", dose=dose, task=task)


def _announced_dry(s: Subject) -> Iterator[Due]:
    """Yield the spirit of a wine that is to ferment out, for the first day on which its dryness can be proven."""
    limit = dry_limit(s.c, s.house)
    over = [place for place, one in enumerate(s.gravities) if not running.at_or_under(one.value, limit)]
    dry = s.gravities[over[-1] + 1 if over else 0 :]
    if s.intents.finish != "fortified" or not running.running(s) or not dry:
        return
    dose, task = _dose(s, s.alcohol, "now")
    behind = dose.because.facts if dose else (s.fact("fortify_strength"),)
    facts = (running.gravity_fact(s), *running.end_facts(s), s.fact("steady_days"), *behind)
    yield window(
        ID,
        max(dry[0].on + s.days("steady_days"), dry[-1].on + needs.DAY),
        None,
        dry[-1].entry,
        "it is dry once its gravity has stood: have the spirit at hand, it goes in then",
        facts,
        formula=f"first dry gravity + {s.figure('steady_days')} d",
        dose=dose,
        task=task,
    )


def due(s: Subject) -> Iterator[Due]:
    """Yield the spirit: announced the day before the mark, wanted at it, and again for a wine that was thinned."""
    since = needs.came_true(s, _ready)
    if since is not None:
        mark = running.mark_fact(s) if running.mark(s) else s.fact("dry_sg")
        reason = (
            "the ferment has come to its stopping gravity" if running.mark(s) else "the ferment has come to dryness"
        )
        yield from _now(s, since, reason, (running.gravity_fact(s), mark))
        return
    yield from _announced(s)
    thin = None if s.c.store else needs.came_true(s, _thinned)
    if thin is not None and thin.index >= 0:
        facts = (thin.fact("thinned by"), s.fact("spirit_strength"), s.fact("spirit_index"))
        yield from _now(s, thin, "what came in has brought it under the strength that keeps its yeast down", facts)


def _strength_unknown(s: Subject) -> bool:
    return s.alcohol is None


RULE = Rule(
    ID,
    "fortify",
    "Mixing to 18.5 % stops any wine yeast and keeps the remaining sugar. Stir in, rack after 3 to 7 days.",
    due,
    (
        ResponseForm("addition", ("amount", "strength"), (("material", SPIRIT),)),
        ResponseForm("reading", ("alcohol",), (), _strength_unknown),
    ),
    kit="measuring jug",
    cautions=(cautions.FLAME, cautions.LICENCE, cautions.GAS),
)
