"""The fold: standing entries, in the order they happened, to what each vessel holds.

An entry touches only the vessels it names. What cannot have happened becomes a problem beside its entry; the fold
then does what is nearest to it (no vessel gives more than it holds), so that a wrong line never hides the rest.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from typing import Any

from cellar_tui.enology import gravity
from cellar_tui.ledger import bottle_stock, ferment, pour, sugar
from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.care import ASKED, Care, Treated
from cellar_tui.ledger.cellar import Cellar, VesselInfo, house_of, vessels_of
from cellar_tui.ledger.cellar_kinds import OUTSIDE_TIME, WineStart
from cellar_tui.ledger.contents import Amounts, Contents, Event, Given, Sugar, exactly
from cellar_tui.ledger.effects import added, measured, of_must, sample_taken
from cellar_tui.ledger.entry import Entry
from cellar_tui.ledger.house import House
from cellar_tui.ledger.outranked import counted, overruled
from cellar_tui.ledger.styles import Colour, Intents, style_intents

BRIM = 1.0005
"""A vessel is overfull when it holds more than this times its capacity; half a per mille is within any reading."""


LEAST = 0.001
"""A vessel that holds less than this is empty [L]; a millilitre is no wine that can be planned for."""


EVAPORATED = 0.02
"""Most that a barrel is taken to have lost to the air between two toppings, as a share of it; 1 to 9 % a year are
published (Swiss glossary, seen), and a barrel may be left for a season."""


def replay(entries: Iterable[Entry], house: House | None = None) -> Cellar:
    """Fold standing entries, in the order they happened, into the cellar; `house` overrides their house rules."""
    ordered = list(entries)
    cellar = Cellar(house or house_of(ordered), vessels_of(ordered))
    for entry in ordered:
        apply(entry, cellar)
    return cellar


def apply(entry: Entry, cellar: Cellar) -> None:
    """Let one standing entry happen in the cellar."""
    body = entry.body
    if isinstance(body, OUTSIDE_TIME) or entry.vessel is None:
        return
    before = {one: held for one in _named(entry) if (held := cellar.holds.get(one)) is not None}
    _happen(entry, body, cellar)
    _count(entry, before, cellar)


def _named(entry: Entry) -> set[int]:
    """Return the vessels and the store that an entry names."""
    body = entry.body
    named = (entry.vessel, entry.root, getattr(body, "to", None), getattr(body, "source", None))
    return {one for one in named if isinstance(one, int)}


def _count(entry: Entry, before: Mapping[int, Contents], cellar: Cellar) -> None:
    """Note of every vessel that an entry filled or emptied that it did so."""
    for vessel in _named(entry):
        info, care = cellar.vessels.get(vessel), cellar.care.get(vessel, Care())
        if info is None or info.capacity is None or (vessel in before) == (vessel in cellar.holds):
            continue
        if vessel in before:
            care = replace(care, emptied=entry.on, by=entry.root, wine=before[vessel].wine)
        else:
            care = replace(care, fills=care.fills + 1)
        cellar.care[vessel] = care


def _kept_empty(entry: Entry, body: k.Body, cellar: Cellar) -> bool:
    """Note what was done to an empty vessel; return whether the entry is about one."""
    vessel = entry.vessel or 0
    put_off = isinstance(body, k.Skip | k.Postpone) and body.action in ASKED and vessel not in cellar.holds
    if not isinstance(body, k.Cleaning) and not put_off:
        return False
    if vessel in cellar.holds:
        told = f"{cellar.name(vessel)} holds {cellar.holds[vessel].wine}: empty it before it is cleaned."
        cellar.blame(entry, vessel, told, "not_empty")
    else:
        done = Treated(entry.root, entry.on, body)
        cellar.care[vessel] = cellar.care.get(vessel, Care()).with_work(done)
    return True


def _happen(entry: Entry, body: k.Body, cellar: Cellar) -> None:
    """Let an entry happen to the wine, or to the empty vessel, that it is about."""
    if isinstance(body, WineStart):
        _start(entry, body, cellar)
        return
    if _kept_empty(entry, body, cellar):
        return
    contents = cellar.holds.get(entry.vessel or 0)
    if contents is None:
        cellar.blame(entry, entry.vessel, f"{cellar.name(entry.vessel)} held no wine on that day.", "no_wine")
        return
    _APPLY.get(type(body), _plain)(entry, body, contents, cellar)
    for vessel in _named(entry):
        if vessel in cellar.holds and cellar.holds[vessel].now.volume < LEAST:
            del cellar.holds[vessel]


def event_of(entry: Entry, before: Amounts, after: Amounts, **more: Any) -> Event:
    """Make the event of an entry that changed the amounts from `before` to `after`."""
    return Event(entry.root, entry.on, entry.minute, entry.by, entry.body, before, after, **more)


def _start(entry: Entry, body: WineStart, cellar: Cellar) -> None:
    vessel = entry.vessel or 0
    if body.count:
        cellar.vessels[vessel] = VesselInfo(vessel, body.store or f"{body.name} bottles", None, "bottles")
    if vessel in cellar.holds:
        cellar.blame(entry, vessel, f"{cellar.name(vessel)} was not empty when {body.name} was put in.", "not_empty")
        return
    volume = body.volume or 0.0
    base = style_intents(body.style or "dry_red", body.colour)  # type: ignore[arg-type]
    base = replace(base, bottling=body.bottling)
    # The yeast makes its own SO2 during the ferment; a stated total replaces the guess.
    total = cellar.house.number("yeast_so2") if body.total_so2 is None else body.total_so2
    begin = Amounts(
        volume,
        so2_total=total * volume,
        sorbate=(body.sorbate or 0.0) * volume / 1000,
        sugar=_sugar(body, base.colour).share(volume),
        gained=(body.sugar or 0.0) * volume if body.finished else 0.0,
        ethanol=None if body.alcohol is None else body.alcohol / 100 * volume,
    )
    if body.sg is not None:
        begin = of_must(begin, body.sg)
    given = _stated(entry, body, base, cellar.house)
    source = body.source or ("fruit" if base.colour == "fruit" else "grape")
    cellar.holds[vessel] = Contents(
        entry.root,
        vessel,
        body.name or "",
        base,
        entry.on,
        body.harvested,
        source,
        bool(body.skins),
        body.sg,
        given,
        begin,
        material=_material(cellar, vessel),
        fruit=body.fruit or "",
    )
    if body.count:
        held = replace(cellar.holds[vessel], store=True)
        cellar.holds[vessel] = held.with_event(event_of(entry, begin, begin))
    _overfull(entry, vessel, cellar)


def _stated(entry: Entry, body: WineStart, base: Intents, house: House) -> Given:
    """Return what is stated of the past of a wine as it begins."""
    first_sulfite: bool | None = False
    finished = bool(body.finished or body.count)
    if finished:
        first_sulfite = None if body.total_so2 is None else body.total_so2 > house.number("yeast_so2")
    return Given(
        finished=entry.on if finished else None,
        malolactic=body.malolactic or "none",
        first_sulfite=first_sulfite,
        fortified=bool(finished and base.finish == "fortified"),
        arrested=bool(finished and base.finish == "arrested"),
        untouched=not finished,
        strength_known=body.alcohol is not None,
        stated_total=body.total_so2 is not None,
    )


def _sugar(body: WineStart, colour: Colour) -> Sugar:
    """Return the sugar in a litre [g] of a wine as it begins: stated, or by the gravity of a must."""
    if body.sugar is not None:
        return exactly(body.sugar)
    must = None if body.finished or body.sg is None else sugar.from_gravity(body.sg, 0.0, colour)
    return must or Sugar()


def _material(cellar: Cellar, vessel: int) -> str:
    info = cellar.vessels.get(vessel)
    return "glass" if info is None else info.material


def _plain(entry: Entry, body: k.Body, contents: Contents, cellar: Cellar) -> None:
    """Kinds that change no amount: checks, intents, decisions, waivers, gas, chill, trials, notes, overrides."""
    cellar.holds[contents.vessel] = contents.with_event(event_of(entry, contents.now, contents.now))


def _reading(entry: Entry, body: k.Reading, contents: Contents, cellar: Cellar) -> None:
    contents = overruled(body, contents, entry.on)
    read = measured(entry, counted(body, contents, entry.on), contents, cellar.house)
    for doubt in read.doubts:
        cellar.blame(entry, contents.vessel, doubt, "differs")
    after = sample_taken(body, read.after, cellar.house)
    event = event_of(entry, contents.now, after, values=read.values, must=read.must)
    cellar.holds[contents.vessel] = contents.with_event(event)
    if body.volume is not None:
        # Any other reading fills nothing: a vessel that is too full already stays readable.
        _overfull(entry, contents.vessel, cellar)


def _addition(entry: Entry, body: k.Addition, contents: Contents, cellar: Cellar) -> None:
    after, raised = added(body, contents, entry.on, cellar.house)
    cellar.holds[contents.vessel] = contents.with_event(event_of(entry, contents.now, after, **raised))
    _overfull(entry, contents.vessel, cellar)


def _racking(entry: Entry, body: k.Racking | k.Press, contents: Contents, cellar: Cellar) -> None:
    before = contents.now
    left = before.volume if body.volume is None else body.volume
    if left > before.volume * BRIM and isinstance(body, k.Racking):
        told = f"{left:g} L cannot be left of {before.volume:.4g} L."
        cellar.blame(entry, contents.vessel, told, "no_volume")
        left = before.volume
    part = left / before.volume if before.volume > 0 else 0.0
    target, into = contents.vessel if body.to is None else body.to, ""
    if target != contents.vessel:
        if target in cellar.holds or target not in cellar.vessels:
            told = f"{cellar.name(target)} was not empty; the wine is kept where it was."
            cellar.blame(entry, target, told, "not_empty")
            target = contents.vessel
        else:
            del cellar.holds[contents.vessel]
            into = _material(cellar, target)
    moved = contents.with_event(event_of(entry, before, before.share(part), into=into))
    # Out of bottles it is bulk wine again.
    cellar.holds[target] = replace(moved, vessel=target, store=contents.store and target == contents.vessel)
    if target != contents.vessel:
        _overfull(entry, target, cellar)


def _press(entry: Entry, body: k.Press, contents: Contents, cellar: Cellar) -> None:
    """Press a wine off its skins; free run leaves the rest on them, still to be pressed."""
    if body.fraction != "free_run" or body.to in (None, contents.vessel):
        _racking(entry, body, contents, cellar)
        return
    target = body.to or 0
    if target in cellar.holds or target not in cellar.vessels:
        cellar.blame(entry, target, f"{cellar.name(target)} was not empty; nothing was pressed into it.", "not_empty")
        return
    kept = _kept(contents, _available(entry, body.volume or 0.0, contents, cellar))
    run = replace(contents, filling=entry.root, vessel=target, parents=(*contents.parents, contents.filling))
    part = contents.now.share(1 - kept)
    cellar.holds[target] = run.with_event(event_of(entry, contents.now, part, into=_material(cellar, target)))
    _set_or_empty(cellar, contents, event_of(entry, contents.now, contents.now.share(kept), passive=True))
    _overfull(entry, target, cellar)


def _harvest(entry: Entry, body: k.Harvest, contents: Contents, cellar: Cellar) -> None:
    """Take in grapes or fruit; must that they add is as sweet as its own gravity says."""
    before = contents.now
    after = before
    if body.volume:
        sg = body.sg if body.brix is None else gravity.sg_from_brix(min(body.brix, gravity.BRIX.high))
        held = None if sg is None else sugar.from_gravity(sg, 0.0, contents.base.colour)
        must = Amounts(body.volume, sugar=(held or Sugar()).share(body.volume), ethanol=0.0)
        must = replace(must, so2_total=cellar.house.number("yeast_so2") * body.volume)
        after = before.plus(must if sg is None else of_must(must, sg))
    cellar.holds[contents.vessel] = contents.with_event(event_of(entry, before, after))
    _overfull(entry, contents.vessel, cellar)


def _bottles(entry: Entry, body: k.Bottles, contents: Contents, cellar: Cellar) -> None:
    """Take bottles out of a store, or put some back."""
    if not contents.store:
        told = f"{cellar.name(contents.vessel)} holds no bottles: name the store, such as `{contents.wine} bottles`."
        cellar.blame(entry, contents.vessel, told, "no_volume")
        return
    there = bottle_stock.stock(contents).left
    size, count = bottle_stock.size_of(body.size, there), int(body.count or 0)
    if body.how != "returned":
        count = _in_stock(entry, count, size, contents, cellar)
    out = {"returned": -count, "kept": 0}.get(body.how or "", count) * size / 1000
    _out_of(entry, contents, out, cellar)


def _in_stock(entry: Entry, count: int, size: float, contents: Contents, cellar: Cellar) -> int:
    """Return how many bottles of a size [mL] a store can give; blame the entry that asks for more."""
    has = bottle_stock.stock(contents).left.get(size, 0)
    if count > has:
        told = f"{cellar.name(contents.vessel)} held {has} bottles of {size:g} mL, not {count}."
        cellar.blame(entry, contents.vessel, told, "no_volume")
    return min(count, has)


def _check(entry: Entry, body: k.Check, contents: Contents, cellar: Cellar) -> None:
    """Look at a wine; bottles that were opened for it are gone from their store."""
    if not body.opened or not contents.store:
        _plain(entry, body, contents, cellar)
        return
    size = bottle_stock.size_of(None, bottle_stock.stock(contents).left)
    count = _in_stock(entry, int(body.opened), size, contents, cellar)
    _out_of(entry, contents, count * size / 1000, cellar)


def _out_of(entry: Entry, contents: Contents, out: float, cellar: Cellar) -> None:
    """Take so many litres of bottles out of a store, or put them back where there are less than none."""
    before = contents.now
    part = (before.volume - out) / before.volume if before.volume > 0 else 0.0
    _set_or_empty(cellar, contents, event_of(entry, before, before.share(max(0.0, part))))


def _loss(entry: Entry, body: k.Loss, contents: Contents, cellar: Cellar) -> None:
    taken = _available(entry, body.volume or 0.0, contents, cellar)
    _set_or_empty(cellar, contents, event_of(entry, contents.now, contents.now.share(_kept(contents, taken))))


def _topping(entry: Entry, body: k.Topping, contents: Contents, cellar: Cellar) -> None:
    source, fed = cellar.holds.get(body.source or 0), ferment.feeds(contents, entry.on, cellar.house)
    if body.outside or body.source is None:
        volume = body.volume or 0.0
        same = (body.wine or "").casefold() == contents.wine.casefold()
        poured = pour.outside(contents, body, same, fed)
        source, live, feed = None, False, 0.0 if same else poured.sugar.middle
    elif source is None or source.vessel == contents.vessel:
        cellar.blame(entry, contents.vessel, f"{cellar.name(body.source)} held no wine to top with.", "no_wine")
        return
    else:
        volume = _available(entry, body.volume or 0.0, source, cellar)
        part = 1 - _kept(source, volume)
        same = source.wine.casefold() == contents.wine.casefold()
        poured = pour.share_of(source, part, contents, cellar.house)
        live, feed = pour.live(source, cellar.house), pour.feeds(source, part, cellar.house)
        _set_or_empty(cellar, source, event_of(entry, source.now, source.now.share(1 - part), passive=True))
    after = _evaporated(contents, poured.volume, cellar).plus(poured)
    more = {"foreign": 0.0 if same else volume / after.volume if after.volume > 0 else 0.0, "live": live}
    if fed:
        after = pour.fed(replace(after, gained=contents.now.gained), feed)
    rise = after.g_l(feed) if fed else sugar.raised(contents.now, after, cellar.house)
    event = event_of(entry, contents.now, after, sugar=rise, fed=fed and feed > 0, **more, **_poured(source))
    cellar.holds[contents.vessel] = contents.with_event(event)
    _overfull(entry, contents.vessel, cellar)


def _poured(source: Contents | None) -> dict[str, Any]:
    """Return what an event keeps of the wine that it poured in."""
    return {} if source is None else {"poured": source, "poured_mark": source.mark}


def _evaporated(contents: Contents, poured: float, cellar: Cellar) -> Amounts:
    """Return the amounts of a barrel about to be topped: the little of `poured` [L] without room had evaporated.

    Water and alcohol leave alike, and nothing dissolved with them.
    """
    info, now = cellar.vessels.get(contents.vessel), contents.now
    if info is None or info.capacity is None or info.material != "oak":
        return now
    over = now.volume + poured - info.capacity
    if not 0 < over <= min(EVAPORATED * info.capacity, now.volume):
        return now
    left = now.share(1 - over / now.volume)
    return replace(
        now,
        volume=left.volume,
        ethanol=left.ethanol,
        original=left.original,
        weight=left.weight,
        potential=left.potential,
    )


def _split(entry: Entry, body: k.Split, contents: Contents, cellar: Cellar) -> None:
    target = body.to or 0
    if target in cellar.holds or target not in cellar.vessels:
        cellar.blame(entry, target, f"{cellar.name(target)} was not empty; nothing was moved into it.", "not_empty")
        return
    moved = _available(entry, body.volume or 0.0, contents, cellar)
    kept = _kept(contents, moved)
    part = contents.now.share(1 - kept)
    twin = replace(
        contents,
        filling=entry.root,
        vessel=target,
        wine=body.name or contents.wine,
        parents=(*contents.parents, contents.filling),
        store=False,
    )
    into = _material(cellar, target)
    cellar.holds[target] = twin.with_event(event_of(entry, contents.now, part, into=into))
    _set_or_empty(cellar, contents, event_of(entry, contents.now, contents.now.share(kept)))
    _overfull(entry, target, cellar)


def _blend(entry: Entry, body: k.Blend, contents: Contents, cellar: Cellar) -> None:
    source = cellar.holds.get(body.source or 0)
    target = contents.vessel if body.to is None else body.to
    if source is None or source.vessel == contents.vessel:
        cellar.blame(entry, contents.vessel, f"{cellar.name(body.source)} held no wine to blend with.", "no_wine")
        return
    if target != contents.vessel and (target in cellar.holds or target not in cellar.vessels):
        cellar.blame(entry, target, f"{cellar.name(target)} was not empty; nothing was blended.", "not_empty")
        return
    volume = _available(entry, body.volume or 0.0, source, cellar)
    part = 1 - _kept(source, volume)
    joined = pour.blend(entry.root, target, contents, source, part, body, cellar.house)
    joined = replace(joined, material=_material(cellar, target))
    fed = joined.given.finished is None and any(
        ferment.feeds(one, entry.on, cellar.house) for one in (contents, source)
    )
    if fed:
        joined = replace(joined, begin=replace(joined.begin, gained=0.0))
    _set_or_empty(cellar, source, event_of(entry, source.now, source.now.share(1 - part), passive=True))
    del cellar.holds[contents.vessel]
    foreign = 0.0 if contents.now.volume <= 0 else part * source.now.volume / joined.begin.volume
    rise = 0.0 if fed or joined.given.arrested else sugar.raised(contents.now, joined.begin, cellar.house)
    event = event_of(entry, contents.now, joined.begin, foreign=foreign, sugar=rise, **_poured(source))
    cellar.holds[target] = joined.with_event(event)
    _overfull(entry, target, cellar)


def _bottle(entry: Entry, body: k.Bottle, contents: Contents, cellar: Cellar) -> None:
    before, left = contents.now, body.left or 0.0
    filled = (body.count or 0) * (body.size or 0) / 1000
    if filled + left > before.volume * BRIM + 0.05:
        told = f"{filled + left:.4g} L cannot be bottled or left of {before.volume:.4g} L."
        cellar.blame(entry, contents.vessel, told, "no_volume")
    name = body.store or f"{contents.wine} bottles"
    part = min(1.0, filled / before.volume) if before.volume > 0 else 0.0
    lot, filling = cellar.holds.get(body.into or 0), before.share(part)
    if lot is not None and lot.store and lot.wine.casefold() == contents.wine.casefold():
        cellar.holds[lot.vessel] = lot.with_event(event_of(entry, lot.now, lot.now.plus(filling)))
    else:
        place = cellar.vessels[contents.vessel].place
        cellar.vessels[entry.root] = VesselInfo(entry.root, name, None, "bottles", place)
        stored = replace(contents, vessel=entry.root, store=True)
        cellar.holds[entry.root] = stored.with_event(event_of(entry, before, filling))
    kept = min(1.0, left / before.volume) if before.volume > 0 else 0.0
    _set_or_empty(cellar, contents, event_of(entry, before, before.share(kept), passive=True))


def _available(entry: Entry, wanted: float, source: Contents, cellar: Cellar) -> float:
    """Return how much of `wanted` [L] the source can give; blame the entry that asks for more."""
    if wanted > source.now.volume * BRIM:
        told = f"{cellar.name(source.vessel)} held {source.now.volume:.4g} L, not {wanted:g} L."
        cellar.blame(entry, source.vessel, told, "no_volume")
    return min(wanted, source.now.volume)


def _kept(source: Contents, taken: float) -> float:
    return (source.now.volume - taken) / source.now.volume if source.now.volume > 0 else 0.0


def _set_or_empty(cellar: Cellar, contents: Contents, event: Event) -> None:
    """Keep what is left in the vessel; a vessel whose last wine is gone is empty."""
    if event.after.volume <= contents.now.volume * (BRIM - 1):
        cellar.holds.pop(contents.vessel, None)
    else:
        cellar.holds[contents.vessel] = contents.with_event(event)


def _overfull(entry: Entry, vessel: int, cellar: Cellar) -> None:
    info, contents = cellar.vessels.get(vessel), cellar.holds.get(vessel)
    if info is None or contents is None or info.capacity is None:
        return
    if contents.now.volume > info.capacity * BRIM:
        told = f"{info.name} holds {info.capacity:g} L to the stopper, not {contents.now.volume:.4g} L."
        cellar.blame(entry, vessel, told, "overfull")


_APPLY: dict[type[k.Body], Callable[[Entry, Any, Contents, Cellar], None]] = {
    k.Reading: _reading,
    k.Series: _reading,
    k.LabReport: _reading,
    k.Addition: _addition,
    k.Racking: _racking,
    k.Press: _press,
    k.Loss: _loss,
    k.Topping: _topping,
    k.Split: _split,
    k.Blend: _blend,
    k.Bottle: _bottle,
    k.Bottles: _bottles,
    k.Harvest: _harvest,
    k.Check: _check,
}
