"""A fortified wine takes its spirit at the finish mark, without a mark at dryness: to 18.5 % vol by mixing, stirred.

It is racked 3 to 7 days after, and its gravity must then stand for 14 days.
"""

from __future__ import annotations

from collections.abc import Iterator

from cellar_tui.enology import alcohol
from cellar_tui.ledger.ferment import proved_dry
from cellar_tui.ledger.history import additions, readings
from cellar_tui.ledger.materials import material
from cellar_tui.planning.plan import Because, Dose, Due, Fact
from cellar_tui.planning.rules import cautions, needs, running
from cellar_tui.planning.rules.base import AGAIN_DAYS, Answer, Rule, window
from cellar_tui.planning.subject import Subject

ID = "fortify"
SPIRIT = "spirit"


def _ready(s: Subject) -> bool:
    """Return whether its ferment has come to the finish mark, or without one to dryness."""
    if not running.running(s) or s.intents.finish != "fortified":
        return False
    mark = running.mark(s)
    if mark is None:
        return proved_dry(s.c, s.house) is not None
    return bool(s.gravities) and running.at_or_under(s.gravities[-1].value, mark)


def _spirit_strength(s: Subject) -> Fact:
    """Return the strength of the spirit on hand [% vol], else the usual one."""
    held = s.house.stock.get(SPIRIT)
    if held is None or held.strength is None:
        return Fact("strength of the spirit, none on hand entered", material(SPIRIT).strength, "% vol")
    return Fact("strength of the spirit on hand", held.strength, "% vol", (held.entry,))


def _dose(s: Subject) -> tuple[Dose | None, str]:
    """Return the spirit and what to do; no dose where the wine's strength is not known or the spirit is too weak."""
    now, wanted, spirit = s.alcohol, s.house.number("fortify_strength"), _spirit_strength(s)
    if now is None:
        return None, "read its alcohol first: the spirit is worked out from it"
    strength = float(spirit.value)
    if not now < wanted < strength:
        weak = f"spirit of {strength:g} % cannot bring {now:.1f} % to {wanted:g} %"
        return None, f"{weak}: read the alcohol again, or take a stronger spirit"
    litres = alcohol.spirit_for(s.volume, now, strength, wanted)
    over = s.volume + litres - (s.vessel.capacity or 0.0)
    task = "add the spirit slowly and stir it through"
    if s.vessel.capacity is not None and over > 0:
        task = f"move it first, {over:.2g} L will not fit; then {task}"
    if s.on_skins:
        task = f"press first, then {task}"
    note = f"to {wanted:g} % vol by mixing, before contraction"
    facts = (
        Fact("alcohol now", round(now, 1), "% vol"),
        spirit,
        s.fact("fortify_strength"),
        Fact("volume", round(s.volume, 2), "L"),
    )
    formula = "volume x (wanted - alcohol) / (strength - wanted)"
    return Dose(SPIRIT, litres, "L", note, Because(ID, note, facts, formula, "mixing rule")), task


def due(s: Subject) -> Iterator[Due]:
    """Yield the spirit."""
    since = needs.came_true(s, _ready)
    if since is None:
        return
    dose, task = _dose(s)
    added = [needs.moment((i, e)) for i, e, _ in additions(s.c, lambda name: name == SPIRIT, since.index)]
    told = [needs.seen(one) for one in readings(s.c, "alcohol", since.index)]
    last = needs.last_of(since, *added, *told)
    day = added[-1].on + AGAIN_DAYS * needs.DAY if added else since.on
    mark = running.mark_fact(s) if running.mark(s) else s.fact("dry_sg")
    reason = "the ferment has come to its finish mark" if running.mark(s) else "the ferment has come to dryness"
    if added:
        reason += ", and the spirit so far leaves it under the strength wanted"
    facts = (running.gravity_fact(s), mark, *(dose.because.facts if dose else (s.fact("fortify_strength"),)))
    yield window(ID, day, None, last.entry, reason, facts, formula="gravity at or under the mark", dose=dose, task=task)


def _strength_unknown(s: Subject) -> bool:
    return s.alcohol is None


RULE = Rule(
    ID,
    "fortify",
    "Spirit to 18.5 % by mixing stops any wine yeast and keeps the sugar left; stir it, rack after 3 to 7 days.",
    due,
    (
        Answer("addition", ("amount", "strength"), (("material", SPIRIT),)),
        Answer("reading", ("alcohol",), (), _strength_unknown),
    ),
    kit="measuring jug",
    cautions=(cautions.FLAME, cautions.LICENCE, cautions.GAS),
)
