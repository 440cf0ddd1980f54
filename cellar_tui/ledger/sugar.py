"""Sugar of a wine: the last reading carried through all that came after it, else estimated from gravity and strength.

A run of steady gravities at or under the dry mark is a proof that none is left; an estimate overrules neither that
proof nor a reading. What comes in later (sugar, syrup, wine poured in) is added to either. Beside what is likely, the
amounts carry what the guards against bursting count: the last reading and what came in since, on the high side.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import timedelta

from cellar_tui.enology import alcohol
from cellar_tui.enology.errors import OutOfRange
from cellar_tui.ledger import ferment
from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.contents import Amounts, Contents, Event, Sugar, exactly
from cellar_tui.ledger.history import Evidence, intents, readings
from cellar_tui.ledger.house import House
from cellar_tui.ledger.styles import Colour

SUGAR_FREE: Mapping[Colour, float] = {"white": 18.0, "rose": 18.0, "red": 24.0, "fruit": 22.0}
"""Usual extract of a wine without its sugar [g/L]; common practice."""

LEANER, RICHER = 6.0, 10.0
"""How much less and how much more extract without sugar a wine of its kind may have [g/L]; common practice."""

EATEN_PER_SG = 2150.0
"""Sugar that yeast has eaten for a fall of SG by one [g/L]; computed: less extract (sucrose table) and 1 % vol more
alcohol for 16.83 g/L (ethanol table) together lower SG by 0.000465 a g/L near dryness."""

EATEN_DOUBT = 0.2
"""Share by which that figure may be wrong either way; common practice."""

SWEETEST = 200.0
"""Sugar taken for a wine that may be sweet and of which nothing is known [g/L]: few ports and dessert wines hold more;
common practice."""

NOISE = 1e-6
"""Rise of sugar that is float noise of equal wines poured together [g/L]."""


def from_gravity(sg: float, strength: float, colour: Colour) -> Sugar | None:
    """Return the sugar in a litre [g] of a wine of a gravity [SG 20/20] and a strength [% vol].

    Its dry extract less the usual extract without sugar of its kind, with the band of that; None where gravity and
    strength cannot both be right.
    """
    try:
        extract = alcohol.dry_extract(sg, strength)
    except OutOfRange:
        return None
    middle = extract - SUGAR_FREE[colour]
    return Sugar(max(0.0, middle - RICHER), max(0.0, middle), max(0.0, middle + LEANER))


def came_in(event: Event) -> bool:
    """Return whether sugar came in with this event, or wine of which its sugar is not known."""
    before, after = event.before, event.after
    more = after.gained > before.gained + NOISE * after.volume
    return not isinstance(event.body, k.Reading) and (
        more or event.fed or (before.sugar.known and not after.sugar.known)
    )


def _since(contents: Contents) -> int:
    """Return the place of the last event with which sugar came in, -1 where none did."""
    return max(contents.among(contents.places.where("sugar came in", came_in)), default=-1)


def proves_dry(contents: Contents, seen: list[Evidence], house: House) -> bool:
    """Return whether the last of these gravities ends a steady run at or under the wine's expected dry gravity."""
    if not seen or ferment.steps(seen[-1].value) > ferment.steps(ferment.dry_mark(contents)):
        return False
    last, width = seen[-1], ferment.steps(house.number("steady_sg"))
    low = high = ferment.steps(last.value)
    for one in reversed(seen):
        low, high = min(low, ferment.steps(one.value)), max(high, ferment.steps(one.value))
        if high - low > width:
            return False
        if last.on - one.on >= timedelta(days=house.days("steady_days")):
            return True
    return False


def _counting(contents: Contents, newest: Evidence | None) -> list[Evidence]:
    """Return the gravities since sugar last came in, the newest among them."""
    return [*ferment.gravities(contents, _since(contents)), *([newest] if newest else [])]


def _eaten(contents: Contents, seen: list[Evidence], house: House) -> float:
    """Return the fall of gravity [SG] that the last of these shows for the first time since sugar was last known.

    A fall within the steady width is none.
    """
    read = readings(contents, "residual_sugar")
    known = max(read[-1].index if read else -1, _since(contents))
    after = [one.value for one in seen if one.index >= known]
    beside = [one.value for one in seen if one.index < known]
    run = [*beside[-1:], *after]
    if len(run) < 2:
        return 0.0
    width = ferment.steps(house.number("steady_sg"))
    falls = [fall if fall > width else 0 for fall in (ferment.steps(run[0]) - ferment.steps(one) for one in run)]
    return max(0, falls[-1] - max(falls[:-1])) / ferment.SG_STEP


def less_eaten(now: Amounts, fall: float) -> Amounts:
    """Return the amounts once yeast has eaten of the sugar what a fall of gravity [SG] shows."""
    eaten = fall * EATEN_PER_SG * now.volume
    sugar = Sugar(
        max(0.0, now.sugar.low - eaten * (1 + EATEN_DOUBT)),
        max(0.0, now.sugar.middle - eaten),
        max(0.0, now.sugar.high - eaten * (1 - EATEN_DOUBT)),
    )
    return replace(now, sugar=sugar, gained=max(0.0, now.gained - eaten * (1 - EATEN_DOUBT)))


def seen_in(
    values: Mapping[str, float], newest: Evidence | None, contents: Contents, now: Amounts, house: House
) -> Amounts:
    """Return the amounts with the sugar that a reading shows.

    `values` are those of the reading, `newest` its gravity where that counts, `now` the amounts with its strength.
    """
    if "residual_sugar" in values:
        grams = values["residual_sugar"] * now.volume
        return replace(now, sugar=exactly(grams), gained=grams)
    if newest is None and "alcohol" not in values:
        return now
    seen, finished = _counting(contents, newest), ferment.finish(contents, house) is not None
    if not seen:
        return now
    eaten = 0.0 if newest is None else _eaten(contents, seen, house)
    if (now.sugar.exact and not _risen(contents, now, newest, house)) or now.gained > 0:
        if eaten <= 0:
            return now
        if finished:
            return less_eaten(now, eaten)
    if newest is not None and proves_dry(contents, seen, house):
        return replace(now, sugar=exactly(0.0), gained=0.0)
    return _estimated(contents, seen[-1].value, now)


def _risen(contents: Contents, now: Amounts, newest: Evidence | None, house: House) -> bool:
    """Return whether a gravity contradicts the proof of dryness: over the dry mark, no sugar read or put in."""
    if newest is None or now.sugar.middle > 0 or readings(contents, "residual_sugar", _since(contents)):
        return False
    mark = ferment.steps(ferment.dry_mark(contents)) + ferment.steps(house.number("steady_sg"))
    return ferment.steps(newest.value) > mark


def _estimated(contents: Contents, sg: float, now: Amounts) -> Amounts:
    if contents.source == "honey":
        return now  # it has little extract but sugar, and how little nobody can say from its gravity
    strength = now.alcohol
    if strength is None and not ferment.fermenting(contents) and contents.given.finished is None:
        strength = 0.0
    a_litre = None if strength is None else from_gravity(sg, strength, intents(contents).colour)
    return now if a_litre is None else replace(now, sugar=a_litre.share(now.volume), gained=0.0)


def may_be_sweet(contents: Contents, house: House) -> bool:
    """Return whether a wine may hold sugar though none was read: it ferments, or its kind is stopped or made sweet."""
    end = ferment.finish(contents, house)
    return end is None or end.how in ("arrested", "fortified") or intents(contents).finish != "dry"


def brings(contents: Contents, source: Contents, house: House) -> float:
    """Return the sugar that a wine poured into `contents` counts with [g/L of the wine poured], on the high side.

    The same wine counts with what it holds more than this one; another wine less what this one surely holds itself.
    """
    own, poured = contents.now, source.now
    counted = own.g_l(own.gained)
    if source.wine.casefold() == contents.wine.casefold():
        both = own.sugar.known and poured.sugar.known
        there, here = (poured.sugar.middle, own.sugar.middle) if both else (poured.gained, own.gained)
        return counted + max(0.0, poured.g_l(there) - own.g_l(here))
    high = poured.g_l(poured.sugar.high)
    if not poured.sugar.known:
        high = max(poured.g_l(poured.gained), SWEETEST if may_be_sweet(source, house) else 0.0)
    return max(0.0, high - max(0.0, own.g_l(own.sugar.low) - counted))


def raised(before: Amounts, after: Amounts, house: House) -> float:
    """Return the sugar that wine poured in brought [g/L of the wine after it]; 0 while the whole counts as dry."""
    if before.volume <= 0 or after.volume <= 0:
        return 0.0
    now = after.g_l(after.gained)
    rise = now - before.g_l(before.gained)
    return rise if rise > NOISE and now >= house.number("dry_sugar") - NOISE else 0.0
