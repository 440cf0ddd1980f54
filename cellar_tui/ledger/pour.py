"""Wines that meet: what a blend or a topping carries over, always the cautious side of every fact.

Masses add up; a fact of three values takes its worse side; no reading survives as evidence. Each of these merges is
commutative and associative, so that the order of pouring cannot matter.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from cellar_tui.enology import alcohol, gravity
from cellar_tui.enology.ethanol import relative_density
from cellar_tui.ledger import ferment, sugar
from cellar_tui.ledger import kinds as k
from cellar_tui.ledger import malolactic as ml
from cellar_tui.ledger.contents import Amounts, Contents, Given, Sugar, exactly
from cellar_tui.ledger.history import intents
from cellar_tui.ledger.house import House
from cellar_tui.ledger.styles import style_intents

SOURCES = ("grape", "juice", "concentrate", "fruit", "honey")
"""What wine is made from, the likeliest to drop crystals first; common practice."""


def live(contents: Contents, house: House) -> bool:
    """Return whether a malolactic fermentation may be alive in this wine."""
    return ml.malolactic(contents, house).live


def sulfited(contents: Contents, house: House) -> bool | None:
    """Return whether the first sulfite after the ferment is in; None where that is not known."""
    end = ferment.finish(contents, house)
    if end is None:
        return False
    if any(True for _ in first_sulfites(contents, house)):
        return True
    return contents.given.first_sulfite if contents.given.finished is not None else False


def first_sulfites(contents: Contents, house: House) -> Iterator[tuple[int, int]]:
    """Yield index and entry of the sulfite additions that count after the ferment, oldest first.

    An encouraged malolactic fermentation must be through (or given up) for a sulfite to count as the first.
    """
    end = ferment.finish(contents, house)
    if end is None:
        return
    state = ml.malolactic(contents, house)
    waits = intents(contents).malolactic == "encouraged"
    if waits and state.state not in ("done", "given_up"):
        return
    since = end.index if end.begun is None else min(end.index, end.begun)
    start = max(since, state.index if waits else -1)
    for index, event in contents.each(k.Addition, start):
        if event.so2 > 0:
            yield index, event.entry


def outside(contents: Contents, body: k.Topping, same: bool, runs: bool) -> Amounts:
    """Return what wine from outside the cellar brings: its sugar and strength as stated.

    What is not stated is not known, but for wine of the same name, which is taken to be like this one. Where a ferment
    `runs`, its sugar will be eaten, and counts in the gravity from which the ferment comes down.
    """
    own, volume = contents.now, body.volume or 0.0
    strength, held, counted = body.alcohol, Sugar(), own.g_l(own.gained)
    if same:
        strength = own.alcohol if strength is None else strength
        held = own.sugar.share(volume / own.volume if own.volume > 0 else 0.0)
    if body.sugar is not None:
        held, counted = exactly(body.sugar * volume), body.sugar
    elif not same:
        counted = 0.0
    # What it weighs is not asked: it is taken to be as this one.
    like = own.share(volume / own.volume) if own.volume > 0 else Amounts()
    if runs and not same and body.sugar is not None:
        like = _with_sugar(like, volume, body.sugar, body.alcohol)
    return Amounts(
        volume,
        sugar=held,
        gained=counted * volume,
        ethanol=None if strength is None else strength / 100 * volume,
        original=like.original,
        weight=like.weight,
        potential=like.potential,
    )


def _with_sugar(like: Amounts, volume: float, sugar_g_l: float, strength: float | None) -> Amounts:
    """Return what sweet wine [L, g/L, % vol] weighs and had to ferment beside its sugar; else as `like`.

    By its strength and sugar it weighs what spirit and sugar solution do, and weighed what sugar for both does. That
    takes the spirit of a fortified wine for fermented: the dry mark comes out lower, the safe side.
    """
    if strength is None:
        more = gravity.solution_weight(volume, sugar_g_l * volume) - volume
        original, weight = (None if one is None else one + more for one in (like.original, like.weight))
        return replace(like, original=original, weight=weight)
    eaten, solids = strength * alcohol.SUGAR_PER_ALCOHOL, alcohol.MUST_SOLIDS
    spirit = (relative_density(strength) - 1) * volume
    return replace(
        like,
        original=gravity.solution_weight(volume, (eaten + sugar_g_l + solids) * volume),
        weight=gravity.solution_weight(volume, (sugar_g_l + solids) * volume) + spirit,
        potential=eaten * volume,
    )


def share_of(source: Contents, part: float, contents: Contents, house: House) -> Amounts:
    """Return what a `part` (0 to 1) of another wine brings into `contents`, its sugar as the guards count it."""
    found = source.now.share(part)
    return replace(found, gained=sugar.brings(contents, source, house) * found.volume)


def _malolactic(first: Contents, second: Contents, house: House) -> tuple[str, bool]:
    states = [ml.malolactic(one, house) for one in (first, second)]
    done = [state.state == "done" for state in states]
    running = any(state.state in ("running", "unknown") for state in states)
    # Bacteria of a wine that has been through it meet the malic acid of one that has not.
    alive = any(state.live for state in states) or (any(done) and not all(done))
    return ("done" if all(done) else "running" if running else "none"), alive


def _given(first: Contents, second: Contents, house: House) -> Given:
    """Return the facts of two wines joined, each on its cautious side."""
    parts = (first, second)
    ends = [ferment.finish(part, house) for part in parts]
    finished = None if None in ends else max(end.on for end in ends if end is not None)
    state, alive = _malolactic(first, second, house)
    sulfites = [sulfited(part, house) for part in parts]
    in_all = all(sulfite is True for sulfite in sulfites)
    unknown = not in_all and all(sulfite is not False for sulfite in sulfites)
    return Given(
        finished=finished,
        malolactic=state,
        first_sulfite=None if unknown else in_all,
        # A finished wine brings its yeast along, and alcohol that fools a refractometer.
        fermenting=finished is None
        and any(end is not None or ferment.fermenting(one) for one, end in zip(parts, ends, strict=True)),
        sorbate_fit=False,
        arrested=finished is not None
        and any(ferment.alive_by_cold(one, end, house) for one, end in zip(parts, ends, strict=True)),
        fortified=any(ferment.spirited(part) for part in parts),
        live=alive,
        untouched=all(part.given.untouched for part in parts),
        strength_known=all(part.now.ethanol is not None for part in parts),
        stated_total=all(part.given.stated_total for part in parts),
    )


def feeds(wine: Contents, part: float, house: House) -> float:
    """Return the sugar that a part of a finished wine feeds to a ferment it is poured into [g]."""
    return wine.now.sugar.middle * part if ferment.finish(wine, house) is not None else 0.0


def fed(amounts: Amounts, feed: float) -> Amounts:
    """Return the amounts of a ferment once sugar [g] that is in them already counts as fed to it."""
    potential = None if amounts.potential is None else amounts.potential + feed
    return replace(amounts, fed=amounts.fed + feed, potential=potential)


def blend(  # noqa: PLR0913 (what is poured, into what, by whose rules)
    filling: int, vessel: int, first: Contents, second: Contents, part: float, body: k.Blend, house: House
) -> Contents:
    """Return the filling that all of `first` and a `part` (0 to 1) of `second` make together."""
    begin = first.now.plus(share_of(second, part, first, house))
    base = intents(first)
    if body.style:
        base = replace(style_intents(body.style), bottling=base.bottling)
    # The part that is likeliest to drop crystals tells what the whole is made from.
    source, fruit = min(
        ((one.source, one.fruit) for one in (first, second)), key=lambda one: (SOURCES.index(one[0]), one)
    )
    harvests = [one.harvested for one in (first, second) if one.harvested is not None]
    given = _given(first, second, house)
    if given.finished is None:
        # Its yeast eats the sugar of a finished wine poured in.
        begin = fed(begin, feeds(first, 1.0, house) + feeds(second, part, house))
    return Contents(
        filling=filling,
        vessel=vessel,
        wine=body.name or first.wine,
        base=base,
        started=max(first.started, second.started),
        harvested=max(harvests) if len(harvests) == 2 else None,
        source=source,
        fruit=fruit,
        skins=first.on_skins and second.on_skins,
        first_sg=None,
        given=given,
        begin=begin,
        parents=tuple(sorted({*first.parents, *second.parents, first.filling, second.filling})),
        before=first,
    )
