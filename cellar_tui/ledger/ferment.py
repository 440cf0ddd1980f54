"""The alcoholic ferment: where it stands, what proves its end, how dry and how strong the wine became."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from cellar_tui.enology import alcohol, gravity
from cellar_tui.enology.errors import OutOfRange
from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.contents import Contents
from cellar_tui.ledger.history import Evidence, additions, decisions, intents, last_reading, readings
from cellar_tui.ledger.house import House

SG_STEP = 10_000
"""Gravities are compared in whole 0.0001, so that no float noise decides whether a ferment is over."""

FALL_STARTS = 50
"""Fall of gravity that shows a ferment running, in 0.0001 (SG 0.005); contract of the program's stages."""

PROOF = ("dry_sg", "steady_sg", "steady_days")
"""House rules that decide when gravities prove a ferment over."""


FEEDING = ("feed_days", "feed_gravity_days")
"""House rules that decide whether sugar feeds a ferment or sweetens a wine."""

WATER_SG = 1.000
"""Gravity from which the sugar of a must is counted [SG 20/20]; common practice."""


def steps(sg: float) -> int:
    """Return a gravity in whole 0.0001."""
    return round(sg * SG_STEP)


@dataclass(frozen=True, slots=True)
class Finish:
    """The end of the ferment.

    Attributes:
        on: the day that completed the proof, or the day of the act that ended it.
        how: dry, finish_here, arrested, fortified, or stated by a person.
        entries: what shows it.
        index: place in the log after which the wine counts as finished; -1 where it began finished.
        steady_from: day of the first of the steady gravities, None where no gravities prove it.
        steady_sg: gravity of the first of them.
    """

    on: date
    how: str
    entries: tuple[int, ...]
    index: int
    steady_from: date | None = None
    steady_sg: float | None = None


def gravities(contents: Contents, after: int = -1) -> list[Evidence]:
    """Return the gravities that count [SG 20/20]: a refractometer only before the yeast, as alcohol fools it."""
    yeast = yeast_index(contents)
    sober = -1 if contents.given.fermenting else len(contents.log) if yeast is None else yeast
    return [
        reading
        for reading in readings(contents, "sg", after)
        if reading.method != "refractometer" or reading.index < sober
    ]


def yeast_index(contents: Contents) -> int | None:
    """Return the place of the first yeast addition in the log, None where none was made."""
    return next((index for index, _, _ in additions(contents, lambda name: name == "yeast")), None)


def fermenting(contents: Contents) -> bool:
    """Return whether yeast was added or the gravity has fallen by 0.005."""
    if contents.given.fermenting or yeast_index(contents) is not None:
        return True
    first, seen = first_gravity(contents), gravities(contents)
    return bool(first and seen) and steps(first or 0) - steps(seen[-1].value) >= FALL_STARTS


def first_gravity(contents: Contents) -> float | None:
    """Return the gravity of the must [SG 20/20], None where it was never stated or read."""
    if contents.first_sg is not None:
        return contents.first_sg
    if contents.given.finished is not None:
        return None
    seen = gravities(contents)
    return seen[0].value if seen else None


def fed_g_l(contents: Contents) -> float:
    """Return the sugar fed to the ferment since the start [g/L of the wine as it is]."""
    return contents.now.fed / contents.now.volume if contents.now.volume > 0 else 0.0


def potential_alcohol(contents: Contents) -> float | None:
    """Return the strength its sugar could give [% vol], from the first gravity and all sugar fed since."""
    first = first_gravity(contents)
    if first is None:
        return None
    try:
        return alcohol.potential_alcohol_from_sg(first) + fed_g_l(contents) / alcohol.SUGAR_PER_ALCOHOL
    except OutOfRange:
        return None


def dry_mark(contents: Contents) -> float:
    """Return the gravity at or under which this wine counts as dry [SG 20/20]."""
    red = intents(contents).colour == "red"
    strength = potential_alcohol(contents)
    if strength is None or strength <= 0:
        return alcohol.DRY_MARK_UNKNOWN_RED if red else alcohol.DRY_MARK_UNKNOWN
    return alcohol.dry_mark(strength, red)


def fermented_strength(contents: Contents, sg: float) -> float | None:
    """Return the strength that a fall to `sg` has made [% vol], None where the must's gravity is not known."""
    first = first_gravity(contents)
    if first is None or sg >= first:
        return None
    try:
        return alcohol.balling(gravity.sg_after_sugar(first, fed_g_l(contents)), sg)
    except OutOfRange:
        return None


def sugar_gone(contents: Contents, sg: float) -> float | None:
    """Return the share of the sugar that is gone at a gravity (0 to 1), None where the must's is not known.

    Counted as the trade counts it, in gravity above that of water; sugar fed since counts as if there from the first.
    """
    first = first_gravity(contents)
    if first is None or steps(first) <= steps(WATER_SG):
        return None
    try:
        begun = gravity.sg_after_sugar(first, fed_g_l(contents))
    except OutOfRange:
        return None
    # Rounded, so that no float noise decides whether a third is gone.
    return round(min(1.0, max(0.0, (begun - sg) / (begun - WATER_SG))), 4)


def proved_dry(contents: Contents, house: House) -> Finish | None:
    """Return the first run of gravities that proves the ferment over and dry, whatever the wine is meant to become."""
    seen = gravities(contents)
    limit, span = steps(house.number("dry_sg")), timedelta(days=house.days("steady_days"))
    width = steps(house.number("steady_sg"))
    for last, proof in enumerate(seen):
        low = high = steps(proof.value)
        first = last
        for index in range(last, -1, -1):
            value = steps(seen[index].value)
            low, high = min(low, value), max(high, value)
            if high - low > width or value > limit:
                break
            first = index
        if steps(proof.value) <= limit and proof.on - seen[first].on >= span:
            run = seen[first : last + 1]
            entries = tuple(entry for one in run for entry in one.entries)
            return Finish(proof.on, "dry", entries, proof.index, seen[first].on, seen[first].value)
    return None


def finish(contents: Contents, house: House) -> Finish | None:
    """Return how and when the ferment ended, None while it is to come or running."""
    given = contents.given
    if given.finished is not None:
        how = "fortified" if given.fortified else "arrested" if given.arrested else "stated"
        return Finish(given.finished, how, (contents.filling,), -1)
    wanted = intents(contents).finish
    ends = [proved_dry(contents, house)] if wanted in ("dry", "sweetened") else []
    for index, event in decisions(contents, "ferment_stuck", "finish_here"):
        ends.append(Finish(event.on, "finish_here", (event.entry,), index))
    if wanted == "arrested" and fermenting(contents):
        for index, event in contents.each(k.Chill):
            if isinstance(event.body, k.Chill) and event.body.start:
                ends.append(Finish(event.on, "arrested", (event.entry,), index))
    if wanted == "fortified":
        ends += _fortified(contents, house)
    return min((end for end in ends if end is not None), key=lambda end: end.index, default=None)


def _fortified(contents: Contents, house: House) -> Iterator[Finish]:
    """Yield what shows it strong enough: by mixing, or by an alcohol reading once the spirit is in."""
    spirit = [index for index, _, _ in additions(contents, lambda name: name == "spirit")]
    measured = [one.index for one in readings(contents, "alcohol", spirit[0])] if spirit else []
    for index in [*spirit, *measured]:
        event = contents.log[index]
        if (event.after.alcohol or 0) >= house.number("spirit_strength"):
            yield Finish(event.on, "fortified", (event.entry,), index)


def arrest(contents: Contents, end: Finish | None, house: House) -> Finish | None:
    """Return when the yeast was stopped with sugar left, None where it was not.

    By cold; by the decision to finish here without a dry sugar test; or by that decision on a wine that had finished
    and whose sugar test found 2 g/L or more.
    """
    if end is None or end.how == "fortified":
        return None
    if end.how == "arrested":
        return end
    dry = house.number("dry_sugar")
    if end.how == "finish_here":
        sugar = last_reading(contents, "residual_sugar")
        return end if sugar is None or sugar.value >= dry else None
    for index, event in decisions(contents, "ferment_stuck", "finish_here", after=end.index):
        sugars = readings(contents, "residual_sugar")
        before, since = ([one for one in sugars if (one.index < index) is early] for early in (True, False))
        if before and before[-1].value >= dry and not any(one.value < dry for one in since):
            return Finish(event.on, "finish_here", (event.entry,), index)
    return None


def alive_by_cold(contents: Contents, end: Finish | None, house: House) -> bool:
    """Return whether the yeast was stopped with sugar left, so that it may be alive."""
    return arrest(contents, end, house) is not None


def feeds(contents: Contents, on: date, house: House) -> bool:
    """Return whether sugar added on that day feeds a ferment; otherwise it sweetens a wine."""
    if finish(contents, house) is not None:
        return False
    if on - contents.started <= timedelta(days=house.days("feed_days")):
        return True
    seen = gravities(contents)
    if not seen or on - seen[-1].on > timedelta(days=house.days("feed_gravity_days")):
        return False
    return steps(seen[-1].value) > steps(dry_mark(contents))
