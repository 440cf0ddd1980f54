"""The alcoholic ferment: where it stands, what proves its end, how dry and how strong the wine became."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from cellar_tui.enology import alcohol
from cellar_tui.enology.errors import OutOfRange
from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.beginnings import FAR
from cellar_tui.ledger.contents import Amounts, Contents, Event
from cellar_tui.ledger.history import Evidence, additions, decisions, intents, last_reading, readings
from cellar_tui.ledger.house import House
from cellar_tui.ledger.materials import material

SG_STEP = 10_000
"""Gravities are compared in whole 0.0001, so that no float noise decides whether a ferment is over."""

FALL_STARTS = 50
"""Fall of gravity that shows a ferment running, in 0.0001 (SG 0.005); contract of the program's stages."""

YEAST_LAG = 1
"""Days that yeast takes to get to work [d]; common practice: 12 to 36 hours."""

PROOF = ("dry_sg", "steady_sg", "steady_days")
"""House rules that decide when gravities prove a ferment over."""


FEEDING = ("feed_days", "feed_gravity_days")
"""House rules that decide whether sugar feeds a ferment or sweetens a wine."""

LEFT_MOST, LEFT_WITHIN, LEFT_APART = 8.0, 0.5, timedelta(days=14)
"""Sugar that yeast leaves in a fruit wine is under this [g/L], and two tests so far apart find it within [g/L] the
same; common practice."""

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
        begun: place of the chill that led to an arrest: sulfite since then is that of the arrest.
    """

    on: date
    how: str
    entries: tuple[int, ...]
    index: int
    steady_from: date | None = None
    steady_sg: float | None = None
    begun: int | None = None


def counts(contents: Contents, method: str | None) -> bool:
    """Return whether a gravity read now by this method counts: a refractometer is fooled by alcohol."""
    return method != "refractometer" or (yeast_index(contents) is None and not contents.given.fermenting)


def gravities(contents: Contents, after: int = -1) -> list[Evidence]:
    """Return the gravities that count [SG 20/20]: a refractometer only before the yeast, as alcohol fools it."""
    yeast = yeast_index(contents)
    sober = -1 if contents.given.fermenting else FAR if yeast is None else yeast
    return [
        reading
        for reading in readings(contents, "sg", after)
        if reading.method != "refractometer" or reading.index < sober
    ]


def yeast_index(contents: Contents) -> int | None:
    """Return the place of the first yeast addition in the log, None where none was made."""
    return next((index for index, _, _ in additions(contents, lambda name: name == "yeast")), None)


def fermenting(contents: Contents) -> bool:
    """Return whether yeast was added or the gravity has fallen by 0.005, by more than what came in explains."""
    return works(contents, contents.now)


def works(contents: Contents, amounts: Amounts) -> bool:
    """Return whether yeast is at work in it once it has come to these amounts."""
    if contents.given.fermenting or yeast_index(contents) is not None:
        return True
    return fallen(amounts) >= FALL_STARTS


def fallen(amounts: Amounts) -> int:
    """Return how far its ferment has brought the gravity down, in 0.0001; 0 where that is not known."""
    original, now = amounts.original_gravity, amounts.gravity
    return 0 if original is None or now is None else steps(original) - steps(now)


def of_must(contents: Contents, sg: float, on: date, house: House) -> bool:
    """Return whether a gravity read on that day is the must's own, read before the yeast worked.

    It then replaces a stated one, and sugar, juice and water that went in before are in it. Yeast works from the day
    after it was added. Without recorded yeast a must is taken to lie still for its first days, or until its gravity has
    fallen by more than what came in explains.
    """
    if contents.given.fermenting or contents.given.finished is not None:
        return False
    yeast, expected = yeast_index(contents), contents.now.original_gravity
    if expected is None:
        begun = contents.started if yeast is None else contents.log[yeast].on
        still = house.days("feed_days") if yeast is None else YEAST_LAG
        return not readings(contents, "sg") and (on - begun).days <= still
    if yeast is not None:
        return on <= contents.log[yeast].on
    age = (on - contents.started).days
    if age <= YEAST_LAG:
        return True
    if max(fallen(contents.now), steps(expected) - steps(sg)) >= FALL_STARTS:
        return False
    unread = not musts(contents)
    return (unread and age <= house.days("feed_days")) or _came_in(contents)


def _came_in(contents: Contents) -> bool:
    """Return whether sugar, juice, water or spirit went into a must since its gravity was last read."""
    last = max(musts(contents), default=-1)
    return any(True for _ in moves_gravity(contents, last))


def musts(contents: Contents) -> Sequence[int]:
    """Return the places of the gravities that were read of the must, before the yeast worked."""
    return contents.among(contents.places.where("must", lambda event: event.must))


def moves_gravity(contents: Contents, after: int = -1) -> Iterator[tuple[int, Event]]:
    """Yield what moved the gravity without a ferment: sugar, juice, water or spirit added, another wine poured in."""
    for index, event in contents.at(contents.places.of(k.Addition, k.Blend, k.Topping), after):
        body = event.body
        if not isinstance(body, k.Addition):
            moved = not event.passive and (isinstance(body, k.Blend) or event.foreign > 0)
        else:
            moved = material(body.material or "").litres > 0 and body.material != "so2_solution"
        if moved:
            yield index, event


def must_entry(contents: Contents) -> int:
    """Return the entry that gave the gravity of its must: the last reading before the yeast, or its beginning."""
    read = musts(contents)
    return contents.log[read[-1]].entry if read else contents.filling


def potential_alcohol(contents: Contents) -> float | None:
    """Return the strength its sugar could give [% vol], from the gravity of the must and all that came in since."""
    sugar = contents.now.per_litre(contents.now.potential)
    return None if sugar is None else sugar / alcohol.SUGAR_PER_ALCOHOL


def dry_mark(contents: Contents, amounts: Amounts | None = None) -> float:
    """Return the gravity at or under which this wine counts as dry [SG 20/20], by its amounts at some moment or now."""
    now = contents.now if amounts is None else amounts
    red = intents(contents).colour == "red"
    sugar = now.per_litre(now.potential)
    if sugar is None or sugar <= 0:
        return alcohol.DRY_MARK_UNKNOWN_RED if red else alcohol.DRY_MARK_UNKNOWN
    # More sugar by a slip, which no yeast finishes: a gravity read then must still find its mark.
    return alcohol.dry_mark(min(sugar / alcohol.SUGAR_PER_ALCOHOL, alcohol.POTENTIAL.high), red)


def dry_limit(contents: Contents, house: House, amounts: Amounts | None = None) -> float:
    """Return the gravity at or under which its ferment can be finished [SG 20/20]; a weak wine dries higher."""
    return max(house.number("dry_sg"), dry_mark(contents, amounts))


def strength_made(original: float | None, sg: float) -> float | None:
    """Return the strength that a fall from an original gravity to `sg` makes [% vol], None where there is no fall."""
    if original is None or sg >= original:
        return None
    try:
        return max(0.0, alcohol.balling(original, sg))
    except OutOfRange:
        return None


def strength_at(contents: Contents, sg: float) -> float | None:
    """Return the strength that it will have when its ferment comes down to `sg` [% vol], None where not known."""
    now = contents.now
    made = strength_made(now.original_gravity, sg)
    if made is None or now.alcohol is None or now.gravity is None:
        return made
    return now.alcohol + made - (strength_made(now.original_gravity, now.gravity) or 0.0)


def sugar_gone(contents: Contents) -> float | None:
    """Return the share of its sugar that is gone by the last gravity (0 to 1), None where the must's is not known.

    Counted as the trade counts it, in gravity above that of water; what came in since the last gravity counts as if
    there from the first.
    """
    original, now = contents.now.original_gravity, contents.now.gravity
    if original is None or now is None or steps(original) <= steps(WATER_SG):
        return None
    # Rounded, so that no float noise decides whether a third is gone.
    return round(min(1.0, max(0.0, (original - now) / (original - WATER_SG))), 4)


def proved_dry(contents: Contents, house: House) -> Finish | None:
    """Return the first proof that the ferment is over and dry, whatever the wine is meant to become.

    That is a run of steady gravities low enough for its strength, or of any height with a dry sugar test beside it.
    """
    ends = (_dry_by_gravity(contents, house), _dry_by_sugar(contents, house))
    return min((end for end in ends if end is not None), key=lambda end: end.index, default=None)


def _steady_runs(contents: Contents, house: House) -> Iterator[list[Evidence]]:
    """Yield each run of gravities that stood still for long enough, by the reading that ends it."""
    seen = gravities(contents)
    span, width = timedelta(days=house.days("steady_days")), steps(house.number("steady_sg"))
    for last in range(len(seen)):
        run = standing_still(seen[: last + 1], width)
        if run[-1].on - run[0].on >= span:
            yield run


def standing_still(seen: Sequence[Evidence], width: int) -> list[Evidence]:
    """Return the last gravities in a row that lie within `width` of each other, in 0.0001, the last of `seen` among."""
    low = high = steps(seen[-1].value)
    begin = len(seen) - 1
    while begin > 0:
        value = steps(seen[begin - 1].value)
        if max(high, value) - min(low, value) > width:
            break
        low, high, begin = min(low, value), max(high, value), begin - 1
    return list(seen[begin:])


def _dry_by_gravity(contents: Contents, house: House) -> Finish | None:
    for run in _steady_runs(contents, house):
        limit = steps(dry_limit(contents, house, contents.log[run[-1].index].after))
        high = max((place for place, one in enumerate(run) if steps(one.value) > limit), default=-1)
        low = run[high + 1 :]
        if low and low[-1].on - low[0].on >= timedelta(days=house.days("steady_days")):
            return _dry(low, low[-1].on, low[-1].index)
    return None


def _dry_by_sugar(contents: Contents, house: House) -> Finish | None:
    fed = max(contents.among(contents.places.where("fed", lambda event: event.fed)), default=-1)
    tests, dry = readings(contents, "residual_sugar", fed), house.number("dry_sugar")
    for run in _steady_runs(contents, house) if tests else ():
        proof = run[-1]
        before = [test for test in tests if test.index <= proof.index]
        test = before[-1] if before else next(test for test in tests if test.index > proof.index)
        if test.value < dry:
            return _dry(run, max(proof.on, test.on), max(proof.index, test.index), *test.entries)
    return None


def _dry(run: list[Evidence], on: date, index: int, *tests: int) -> Finish:
    entries = (*(entry for one in run for entry in one.entries), *tests)
    return Finish(on, "dry", tuple(dict.fromkeys(entries)), index, run[0].on, run[0].value)


def finish(contents: Contents, house: House) -> Finish | None:
    """Return how and when the ferment ended, None while it is to come or running."""
    given = contents.given
    if given.finished is not None:
        # Of a blend with a fortified wine counts what the mix holds.
        thin = contents.before is not None and (contents.begin.alcohol or 0) < house.number("spirit_strength")
        how = "fortified" if given.fortified and not thin else "arrested" if given.arrested else "stated"
        return Finish(given.finished, how, (contents.filling,), -1)
    wanted = intents(contents).finish
    ends = [proved_dry(contents, house)] if wanted in ("dry", "sweetened") else []
    for index, event in decisions(contents, "ferment_stuck", "finish_here"):
        ends.append(Finish(event.on, "finish_here", (event.entry,), index))
    if wanted == "arrested":
        ends.append(_arrested(contents, house))
    if wanted == "fortified":
        ends += _fortified(contents, house)
    return min((end for end in ends if end is not None), key=lambda end: end.index, default=None)


def own_temperature(event: Event) -> float | None:
    """Return the temperature of the wine itself that an entry tells [C], None where it tells none."""
    if isinstance(event.body, k.Chill):
        return event.body.temperature
    return event.values.get("temperature") if isinstance(event.body, k.Reading) and not event.passive else None


def _arrested(contents: Contents, house: House) -> Finish | None:
    """Return the first reading of its own at which cold holds a ferment that had begun to run.

    A must chilled to settle it is none, nor is a chill before the wine has become cold.
    """
    most, chill = house.number("arrest_cold"), None
    told = contents.places.where(
        "own temperature", lambda e: isinstance(e.body, k.Chill) or own_temperature(e) is not None
    )
    for index, event in contents.at(told):
        if isinstance(event.body, k.Chill):
            chill = index if event.body.start else None
        warmth = own_temperature(event)
        if warmth is None or warmth > most or not _ran(contents.prefix(index)):
            continue
        begun = index if chill is None or not _ran(contents.prefix(chill)) else chill
        return Finish(event.on, "arrested", (event.entry,), index, begun=begun)
    return None


def _ran(contents: Contents) -> bool:
    """Return whether yeast was at work: its gravity had fallen, or where none was read, yeast was in."""
    yeast = yeast_index(contents)
    read_since = gravities(contents, -1 if yeast is None else yeast)
    return fallen(contents.now) >= FALL_STARTS if read_since else fermenting(contents)


def _fortified(contents: Contents, house: House) -> Iterator[Finish]:
    """Yield what shows it strong enough: by mixing, or by an alcohol reading once the spirit is in."""
    spirit = [index for index, _, _ in additions(contents, lambda name: name == "spirit")]
    measured = [reading.index for reading in readings(contents, "alcohol", spirit[0])] if spirit else []
    for index in [*spirit, *measured]:
        event = contents.log[index]
        if (event.after.alcohol or 0) >= house.number("spirit_strength"):
            yield Finish(event.on, "fortified", (event.entry,), index)


def spirited(contents: Contents) -> bool:
    """Return whether spirit is in it."""
    return contents.given.fortified or any(True for _ in additions(contents, lambda name: name == "spirit"))


def arrest(contents: Contents, end: Finish | None, house: House) -> Finish | None:
    """Return when the yeast was stopped with sugar left, None where it was not.

    By cold; by the decision to finish here without a dry sugar test; or by that decision on a wine that had finished
    and whose sugar test found 2 g/L or more.
    """
    if end is None or end.how == "fortified":
        return None
    if end.how == "arrested":
        return end
    if intents(contents).finish == "sweetened" and unfermentable(contents, house):
        return None
    dry = house.number("dry_sugar")
    if end.how == "finish_here":
        sugar = last_reading(contents, "residual_sugar")
        return end if sugar is None or sugar.value >= dry else None
    for index, event in decisions(contents, "ferment_stuck", "finish_here", after=end.index):
        sugars = readings(contents, "residual_sugar")
        before, since = ([sugar for sugar in sugars if (sugar.index < index) is early] for early in (True, False))
        if before and before[-1].value >= dry and not any(one.value < dry for one in since):
            return Finish(event.on, "finish_here", (event.entry,), index)
    return None


def unfermentable(contents: Contents, house: House) -> tuple[Evidence, Evidence] | None:
    """Return the two sugar readings that show sugar alcohols yeast leaves: plum, pear and cherry keep some.

    Two readings of a fruit wine 14 d or more apart and within 0.5 g/L, under 8 g/L, the gravity steady meanwhile.
    """
    seen = readings(contents, "residual_sugar")
    if not fruit(contents) or len(seen) < 2 or not dry_left(seen[-1].value, house):
        return None
    last, width = seen[-1], steps(house.number("steady_sg"))
    for one in seen[:-1]:
        values = [steps(g.value) for g in gravities(contents) if one.on <= g.on <= last.on]
        steady = len(values) > 1 and max(values) - min(values) <= width
        if steady and last.on - one.on >= LEFT_APART and abs(one.value - last.value) <= LEFT_WITHIN:
            return one, last
    return None


def dry_left(sugar: float, house: House) -> bool:
    """Return whether a sugar [g/L] is more than a dry wine's and as little as sugar alcohols of fruit can be."""
    return house.number("dry_sugar") <= sugar < LEFT_MOST


def fruit(contents: Contents) -> bool:
    """Return whether it is made from fruit other than grapes."""
    return contents.source == "fruit" or intents(contents).colour == "fruit" or other_fruit(contents)


def other_fruit(contents: Contents) -> bool:
    """Return whether somebody said that it is made from a fruit other than grapes."""
    return bool(contents.fruit) and "grape" not in contents.fruit.casefold()


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
