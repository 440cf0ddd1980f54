"""The laws of tracing and of bottles as statements about any ledger."""

from __future__ import annotations

import math
from collections.abc import Iterator

from cellar_tui.ledger import bottle_stock, trace
from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.cellar import Cellar, house_of, vessels_of
from cellar_tui.ledger.cellar_kinds import WineStart
from cellar_tui.ledger.contents import Contents
from cellar_tui.ledger.entry import Entry
from cellar_tui.ledger.fold import apply, replay
from cellar_tui.ledger.standing import standing_entries
from tests.laws.book import Book

GONE = ("drunk", "given", "sold", "broken", "checked")
Holds = dict[int, Contents]
Step = tuple[Entry, Holds, Holds]


def steps(book: Book) -> list[Step]:
    """Every entry in the order it happened, with what each vessel held before and after it."""
    ordered = standing_entries(book.entries)
    cellar = Cellar(house_of(ordered), vessels_of(ordered))
    found = []
    for entry in ordered:
        before = dict(cellar.holds)
        apply(entry, cellar)
        found.append((entry, before, dict(cellar.holds)))
    return found


def what_wine_is_made_of_adds_up(book: Book) -> None:
    """The litres by their origin are the litres there are, whatever was topped, blended, spilt or bottled."""
    found = trace.trace(standing_entries(book.entries))
    assert set(found.holds) == set(found.cellar.holds)
    for vessel, origin in found.holds.items():
        volume = found.cellar.holds[vessel].now.volume
        assert math.isclose(sum(origin.litres.values()), volume, rel_tol=1e-9, abs_tol=1e-9)
        assert all(litres >= 0 for litres in origin.litres.values())
        assert set(origin.litres) <= origin.entries


def _edges(step: Step) -> Iterator[tuple[int, int]]:
    """Yield (from, to) of every flow of wine in one step, by what its entry says."""
    entry, before, after = step
    yield from ((one, one) for one in before if one in after)
    body, here = entry.body, entry.vessel or 0
    into: int | None = None
    if isinstance(body, k.Racking | k.Press | k.Split | k.Blend):
        into = body.to
    if isinstance(body, k.Bottle):
        lot, wine = before.get(body.into or 0), before[here].wine if here in before else ""
        goes_on = lot is not None and lot.store and lot.wine.casefold() == wine.casefold()
        into = body.into if goes_on else entry.root
    if into is not None and into != here and after.get(into) is not before.get(into):
        yield here, into
    if isinstance(body, k.Topping | k.Blend) and body.source in before:
        poured_into = here if into is None else into
        left = after[body.source].now.volume if body.source in after else 0.0
        if after.get(poured_into) is not before.get(poured_into) and left < before[body.source].now.volume:
            yield body.source, poured_into


def _came_in(step: Step) -> int | None:
    """Return the vessel into which an entry brought something, None where it brought nothing."""
    entry, before, after = step
    brings = isinstance(entry.body, WineStart | k.Harvest | k.Addition) or (
        isinstance(entry.body, k.Topping) and (entry.body.outside or entry.body.source is None)
    )
    changed = after.get(entry.vessel or 0) is not before.get(entry.vessel or 0)
    return entry.vessel if brings and changed else None


def the_trace_is_what_walking_back_finds(book: Book) -> None:
    """From each vessel back through the whole ledger, flow by flow: the same entries, no more and no fewer."""
    walked = steps(book)
    found = trace.trace(standing_entries(book.entries))
    for vessel in found.cellar.holds:
        reached, origin = {vessel}, set()
        for step in reversed(walked):
            if _came_in(step) in reached and _came_in(step) is not None:
                origin.add(step[0].root)
            reached = {source for source, to in _edges(step) if to in reached}
        assert origin == found.holds[vessel].entries, (vessel, origin ^ found.holds[vessel].entries)


def a_recall_finds_all_that_was_reached(book: Book) -> None:
    """From each entry forward through the whole ledger: every vessel that it ever reached is listed, and no other."""
    walked = steps(book)
    found = trace.trace(standing_entries(book.entries))
    for index, step in enumerate(walked):
        first = _came_in(step)
        if first is None:
            continue
        reached, ever = {first}, set()
        for number, later in enumerate(walked[index:]):
            if number:
                reached = {to for source, to in _edges(later) if source in reached}
            ever |= {one for one in reached if one in later[2]}
        assert {vessel for vessel, _ in found.reached([step[0].root])} == ever


def bottles_are_conserved(book: Book) -> None:
    """Filled bottles are those that left and those still there; nothing is taken that is not there."""
    for _, _, after in steps(book):
        for store in after.values():
            if not store.store:
                continue
            stock = bottle_stock.stock(store)
            gone = sum(count for how, count in stock.moved.items() if how in GONE)
            back = stock.moved.get("returned", 0)
            assert sum(stock.filled.values()) + back - gone == stock.total
            assert stock.total >= 0
            assert all(count > 0 for count in stock.left.values())
            assert stock.kept <= stock.total


def a_store_holds_the_wine_of_its_bottles(book: Book) -> None:
    """Bottles times their size are the litres of a store, where no line took what was not there."""
    cellar = replay(standing_entries(book.entries))
    if any(one.code == "no_volume" for one in cellar.problems):
        return
    for store in cellar.holds.values():
        if store.store:
            litres = sum(size * count for size, count in bottle_stock.stock(store).left.items()) / 1000
            assert math.isclose(store.now.volume, litres, rel_tol=0.02, abs_tol=0.1)


def a_press_conserves_the_must(book: Book) -> None:
    """What runs off and what stays on the skins are what there was."""
    for entry, before, after in steps(book):
        body, here = entry.body, entry.vessel or 0
        if not isinstance(body, k.Press) or body.fraction != "free_run" or body.to is None:
            continue
        if after.get(body.to) is before.get(body.to) or here not in before:
            continue
        left = after[here].now.volume if here in after else 0.0
        ran = after[body.to].now.volume if body.to in after else 0.0
        assert math.isclose(left + ran, before[here].now.volume, abs_tol=0.06)
        assert here not in after or after[here].on_skins == before[here].on_skins
