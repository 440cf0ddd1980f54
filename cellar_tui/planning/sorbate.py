"""Sorbate: the dose that the wine will need, and whether what is in it is effective."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from cellar_tui.enology import legal, sweetening
from cellar_tui.enology import sorbate as chemistry
from cellar_tui.enology.errors import ALCOHOL
from cellar_tui.ledger import kinds as k
from cellar_tui.planning import measure, so2
from cellar_tui.planning.once import once
from cellar_tui.planning.plan import Because, Dose, Fact
from cellar_tui.planning.subject import Subject

WEAKEST = 10.0
"""Strength taken where none is known [% vol]: the row of the table that asks for most."""


@dataclass(frozen=True, slots=True)
class Effective:
    """Sorbate that holds the yeast: the last addition and what made it fit."""

    on: date
    index: int
    facts: tuple[Fact, ...]


def chill_end(s: Subject) -> int | None:
    """Return the place of the end of the last cold, None where it goes on."""
    ends = [i for i, e in s.events(k.Chill, after=s.end_index) if isinstance(e.body, k.Chill) and e.body.end]
    return ends[-1] if ends else None


def asked(s: Subject, alcohol: float | None = None, ph: float | None = None) -> chemistry.SafeDose:
    """Return the dose asked by the wine's strength and pH [mg/L potassium sorbate], on the safe edge of the table."""
    # Too much spirit by a slip is no wine; the table has ended long before.
    strength = min((s.alcohol if alcohol is None else alcohol) or WEAKEST, ALCOHOL.high)
    ceiling = legal.find(s.house.word("jurisdiction"), "sorbic_acid", s.intents.colour).value
    if ph is None and s.ph is None:
        most = chemistry.sorbate_ceiling(ceiling)
        # Too weak for sorbate at the lowest pH of the table is too weak at any.
        enough = chemistry.planner_dose(chemistry.PH_COLUMNS[0], strength, ceiling).enough
        return chemistry.SafeDose(most, ("pH not known: the legal ceiling, as it may need that much",), enough)
    return chemistry.planner_dose(so2.charted_ph(s) if ph is None else ph, strength, ceiling)


def ph_first(s: Subject) -> bool:
    """Return whether the pH is to be read before a dose can rest on it: it never was, and the cellar can."""
    return s.ph is None and s.house.word("ph_meter") == "yes"


def ph_facts(s: Subject) -> tuple[Fact, ...]:
    """Return the pH that a dose of sorbate rests on, as inputs of an explanation; it is never assumed."""
    return so2.ph_facts(s) if s.ph is not None else (Fact("pH", "not known"), s.fact("ph_meter"))


def effect_rules(s: Subject) -> tuple[Fact, ...]:
    """Return the house rules that decide whether sorbate counts."""
    return (*map(s.fact, ("sorbate_effect", "sorbate_proof_age", "jurisdiction")), *so2.target_rules(s))


@once
def fit(s: Subject) -> Effective | None:
    """Return the sorbate that fits the wine: dose, clear, no live malolactic fermentation, free SO2 on target.

    Whether it also holds the yeast of a wine that was arrested, `arrested.effective` says.
    """
    seen = s.added("sorbate", after=s.end_index)
    if not seen:
        return None
    index, event = seen[-1]
    then = s.as_of(index)
    wanted = asked(s)
    if not wanted.enough or s.sorbate < wanted.dose * s.house.number("sorbate_effect") / 100:
        return None
    fresh = then.free is not None and event.on - then.free.on <= s.days("sorbate_proof_age")
    if then.clear is None or then.ml.live or not fresh or then.free is None:
        return None
    if then.free.value < so2.target(then).free - 1e-9:
        return None
    facts = (
        Fact("potassium sorbate", round(s.sorbate), "mg/L", (event.entry,), event.on),
        Fact("needed at this strength and pH", round(wanted.dose), "mg/L"),
        Fact("clear when it went in", "yes", "", then.clear.entries, then.clear.on),
        Fact("free SO2 when it went in", then.free.value, "mg/L", then.free.entries, then.free.on),
        *effect_rules(s),
    )
    return Effective(event.on, index, facts)


@dataclass(frozen=True, slots=True)
class Sweetened:
    """The wine as it will be: sugar to add [g], volume [L] and strength [% vol] after it, wine to draw off [L]."""

    sugar: float
    volume: float
    alcohol: float
    draw_off: float
    stays: float
    facts: tuple[Fact, ...]


def as_it_will_be(s: Subject) -> Sweetened:
    """Work out the sweetening wished, for the wine that stays where the result would not fit the vessel."""
    rise = max(0.0, (s.intents.sweetness or 0.0) - s.sugar_held.middle) if s.intents.sweet else 0.0
    sugar = sweetening.sugar_for(s.volume, rise)
    off = measure.draw_off(s.volume, sweetening.volume_after(s.volume, sugar), s.vessel.capacity)
    stays = s.volume - off
    sugar = sweetening.sugar_for(stays, rise)
    after = sweetening.volume_after(stays, sugar)
    strength = (s.alcohol or WEAKEST) * stays / after
    facts = (
        Fact("target sweetness", s.intents.sweetness or 0.0, "g/L", so2.intent_entries(s, "sweetness")),
        Fact("volume that stays", round(stays, 2), "L"),
        Fact("volume after the sugar", round(after, 2), "L"),
        Fact("strength after the sugar", round(strength, 1), "% vol"),
    )
    return Sweetened(sugar, after, strength, off, stays, facts)


def dose(s: Subject) -> tuple[Dose | None, Sweetened]:
    """Return the potassium sorbate for the wine as it will be [g], less what is in, and that wine."""
    will = as_it_will_be(s)
    wanted = asked(s, will.alcohol)
    grams = max(0.0, wanted.dose * will.volume / 1000 - s.c.now.sorbate * will.stays / max(s.volume, 0.001))
    note = f"{wanted.dose:.0f} mg/L in {will.volume:.1f} L at {will.alcohol:.1f} %"
    note += "" if s.ph is None else f", pH {s.ph.value:.2f}"
    if wanted.notes:
        note += "; " + "; ".join(wanted.notes)
    facts = (
        *will.facts,
        *ph_facts(s),
        Fact("dose by the table", round(wanted.dose), "mg/L"),
        s.fact("jurisdiction"),
    )
    because = Because(
        "sorbate",
        "the dose follows strength and pH of the wine as it will be",
        facts,
        "table dose x volume after the sugar / 1000",
        "Underhill, Making Better Wines, sorbate table",
    )
    return (Dose("potassium_sorbate", grams, "g", note, because) if grams > 0 else None), will
