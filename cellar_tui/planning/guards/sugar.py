"""The guard against bottles that burst: sugar on live yeast that nothing holds, by whatever road it comes."""

from __future__ import annotations

from collections.abc import Iterator

from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.materials import material
from cellar_tui.ledger.names import as_words
from cellar_tui.ledger.sugar import NOISE, SWEETEST
from cellar_tui.planning import arrested, so2, sorbate
from cellar_tui.planning.ground import ground
from cellar_tui.planning.guards.base import Act, Finding
from cellar_tui.planning.spirit import by_spirit
from cellar_tui.planning.subject import Subject

TOO_SWEET = 2.0
"""Times the sweetness wished from which sugar is taken for a slip; common practice."""

BY_STRENGTH = ("juice", "concentrate")
"""Materials whose sugar differs from one to the next, and is asked for."""


def held(s: Subject) -> bool:
    """Return whether the yeast is held: effective sorbate, a sterile filter, or 18 % by spirit."""
    filtered = any(isinstance(e.body, k.Filter) and e.body.sterile for _, e in s.events(k.Filter, after=s.end_index))
    spirit = s.intents.finish == "fortified" and by_spirit(s) is not None
    return s.intents.sterile_filtration or filtered or spirit or arrested.effective(s) is not None


def _held_after(act: Act, before: Subject, after: Subject) -> bool:
    """Return whether the yeast is held in what the entry makes; of wines blended it must be held in each."""
    if isinstance(act.entry.body, k.Blend):
        return held(before) and act.poured is not None and held(act.poured)
    return held(after)


def _surely(s: Subject) -> float:
    """Return the sugar that counts in a wine as it is [g/L]: read and come in, or surely there by its gravity."""
    return max(s.c.now.counted, s.sugar_held.low)


def guard(act: Act) -> Iterator[Finding]:
    """Stop what brings sugar to 2 g/L or more onto yeast that nothing holds; wine of unknown sugar is cautioned.

    Sugar that feeds a must or a running ferment is none of it.
    """
    before, after = act.wine, act.result
    if before is None or after is None or not isinstance(act.entry.body, k.Addition | k.Topping | k.Blend):
        return
    yield from _unknown(act, before, after)
    yield from _unprotected(act, before, after)
    yield from _past_wish(act, before, after)
    yield from _strength_taken(act)
    dry = act.before.house.number("dry_sugar") - NOISE
    rose = after.c.now.counted > before.c.now.counted + NOISE
    open_before = _surely(before) >= dry and not held(before)
    loosed = before.end is not None and not open_before and _surely(after) >= dry
    if not (rose and after.c.now.counted >= dry) and not loosed:
        return
    if _held_after(act, before, after):
        return
    facts = (act.fact("dry_sugar"), *sorbate.effect_rules(before), *ground(before))
    yield Finding("sugar_before_sorbate", _told(act, before, after), True, facts)


def _told(act: Act, before: Subject, after: Subject) -> str:
    sugar = _surely(after)
    if before.end is None:
        days = before.house.days("feed_gravity_days")
        return (
            f"bottles can burst: this makes {sugar:.0f} g/L of sugar in a wine that no gravity of the last {days} d "
            "shows to be fermenting. Test its gravity first: a running ferment uses sugar up."
        )
    poured = act.poured
    if poured is not None and not poured.sugar_held.known:
        return (
            f"bottles can burst: the sugar of {poured.c.wine} is not known, and wine of its kind may hold "
            f"{SWEETEST:.0f} g/L, which makes {sugar:.0f} g/L here. Test its sugar, or gravity and alcohol, first."
        )
    remedy = "First clear it, bring free SO2 to target and stir in its potassium sorbate; sugar a day later."
    if not isinstance(act.entry.body, k.Addition):
        remedy = "Take a wine without sugar, or first hold the yeast: clear, free SO2 on target, potassium sorbate."
    return (
        f"bottles can burst: this makes {sugar:.0f} g/L of sugar in a finished wine whose yeast is not held. {remedy}"
    )


def _past_wish(act: Act, before: Subject, after: Subject) -> Iterator[Finding]:
    """Caution sugar that makes the wine twice as sweet as it is wished."""
    wished = before.intents.sweetness
    now, rose = after.sugar_held.middle, after.c.now.counted > before.c.now.counted + NOISE
    if wished and rose and before.end is not None and now >= TOO_SWEET * wished:
        told = f"this makes {now:.0f} g/L of sugar where {wished:g} is the target: check weight, unit and volume."
        yield Finding("sugar_past_wish", told)


def _strength_taken(act: Act) -> Iterator[Finding]:
    """Caution a concentrate, syrup or juice whose sugar nobody told: the usual one is taken."""
    body = act.entry.body
    if isinstance(body, k.Addition) and body.material in BY_STRENGTH and body.strength is None:
        usual = material(body.material).strength
        taken = f"the sugar of {as_words(body.material)} is taken as {usual:g} g/L"
        told = f"{taken}: type its strength, from the label or by Brix."
        yield Finding("strength_taken", told)


def _unprotected(act: Act, before: Subject, after: Subject) -> Iterator[Finding]:
    """Caution sugar that goes in while free SO2 was last read under its target: it thins and binds what there is."""
    if before.end is None or before.free is None or after.c.now.counted <= before.c.now.counted + NOISE:
        return
    wanted = so2.target(before)
    if after.c.now.counted >= act.before.house.number("dry_sugar") - NOISE and before.free.value < wanted.free - NOISE:
        told = (
            f"free SO2 was {before.free.value:.0f} mg/L on {before.free.on}, under its target of {wanted.free:.0f}: "
            "sulfite first, sugar once a reading is on target."
        )
        yield Finding("sugar_before_sulfite", told, None, so2.target_rules(before))


def _unknown(act: Act, before: Subject, after: Subject) -> Iterator[Finding]:
    """Caution wine poured in whose sugar nobody knows: the whole then counts as unknown."""
    if before.end is None or not before.sugar_held.known or after.sugar_held.known:
        return
    body = act.entry.body
    name = act.poured.c.wine if act.poured is not None else getattr(body, "wine", None) or "the wine poured in"
    way = "type its sugar and alcohol" if isinstance(body, k.Topping) and body.outside else "test its sugar"
    told = (
        f"the sugar of {name} is not known: {way}. Without it the sugar of the whole is not known, and can wake yeast."
    )
    yield Finding("sugar_unknown", told)
