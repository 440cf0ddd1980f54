"""The laws of the core as statements about any ledger; each raises AssertionError where it does not hold."""

from __future__ import annotations

import copy
import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import date, timedelta
from itertools import combinations

from cellar_tui.ledger import ferment, pour
from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.cellar import Cellar, house_of, vessels_of
from cellar_tui.ledger.cellar_kinds import Vessel, Void, WineStart
from cellar_tui.ledger.contents import Amounts, Contents, Sugar
from cellar_tui.ledger.entry import Entry
from cellar_tui.ledger.fold import BRIM, EVAPORATED, LEAST, apply
from cellar_tui.ledger.house import House
from cellar_tui.ledger.standing import chains, standing_entries
from cellar_tui.planning import planner
from cellar_tui.planning.consider import CellarState
from cellar_tui.planning.plan import Because, Plan
from tests.laws.book import START, Book, made_in_order
from tests.laws.picture import picture

MASSES = ("so2_added", "so2_total", "sorbate", "sugar", "potassium", "copper")


# -- 1: the plan is a pure function of the ledger and the house rules


def the_same_ledger_gives_the_same_plan(book: Book) -> None:
    """However often and in whatever order of storage it is read."""
    first = picture(book.entries)
    assert picture(list(reversed(copy.deepcopy(book.entries)))) == first


def today_moves_nothing_but_the_list(book: Book, days: int) -> None:
    """A day sorts the actions of a plan; the plan itself stays, and each action is listed once or has run out."""
    today = START + timedelta(days=days)
    for found in CellarState(book.entries).plans.values():
        before = copy.deepcopy(found)
        day = planner.on_day(found, today)
        assert found == before
        assert day == planner.on_day(found, today)
        live = {one for one in found.actions if one.expires is None or one.expires >= today}
        assert len(day.actions) == len(live)
        assert set(day.actions) == live
        assert all(one.show > today for one in day.ahead)
        assert all(one.show <= today <= max(one.show, one.latest) for one in day.today)
        assert all(max(one.show, one.latest) < today for one in day.late)


# -- 3 and 4: corrections, withdrawals, late entries


def what_stands_is_what_was_meant(book: Book) -> None:
    """The program's account of corrections and withdrawals is that of the book."""
    found = {one.root: (one.on, one.minute, one.vessel, one.body) for one in standing_entries(book.entries)}
    assert found == {one.root: (one.on, one.minute, one.vessel, one.body) for one in book.stands}


def a_correction_is_as_if_made_rightly(book: Book) -> None:
    """Corrected and withdrawn entries leave the plan of a ledger in which they were made rightly, or never."""
    assert picture(book.entries) == picture(book.rightly())


def late_entries_change_nothing(book: Book, order: Sequence[int]) -> None:
    """Entries made in any order, and in the order they happened, give one plan."""
    expected = picture(book.rightly())
    late, old = made_in_order(book.rightly(), lambda one: (order[one.seq % len(order)], one.seq))
    assert picture(late, old) == expected
    timely, old = made_in_order(book.rightly(), lambda one: one.position)
    assert picture(timely, old) == expected


# -- 6: masses and volumes


def steps(book: Book) -> Iterator[tuple[Entry, dict[int, Contents], Cellar]]:
    """Yield each standing entry in the order it happened, with what was held before it and the cellar after it."""
    ordered = standing_entries(book.entries)
    cellar = Cellar(house_of(ordered), vessels_of(ordered))
    for entry in ordered:
        before = dict(cellar.holds)
        apply(entry, cellar)
        yield entry, before, cellar


def _mass(amounts: Amounts, name: str) -> float:
    # Of sugar what is likely, or of one not known the part of it that is.
    found = getattr(amounts, name)
    return float(found.middle if isinstance(found, Sugar) else found)


def _sum(holds: dict[int, Contents], name: str) -> float:
    return sum(_mass(one.now, name) for one in holds.values())


def no_addition_lowers_a_mass(book: Book) -> None:
    """An addition never lowers total SO2, sorbate or sugar."""
    for entry, before, cellar in steps(book):
        if isinstance(entry.body, k.Addition):
            for name in ("so2_added", "so2_total", "sorbate", "sugar"):
                assert _sum(cellar.holds, name) >= _sum(before, name), f"{entry.body.material} lowers {name}"


def moving_wine_conserves_it(book: Book) -> None:
    """Topping, splitting and blending move litres and masses; a racking leaves all of them in the stated volume."""
    for entry, before, cellar in steps(book):
        body = entry.body
        if isinstance(body, k.Topping | k.Split | k.Blend):
            _conserved(entry, body, before, cellar)
        elif isinstance(body, k.Racking) and entry.vessel in before:
            _racked(
                body, before[entry.vessel].now, next(one for v, one in cellar.holds.items() if one is not before.get(v))
            )


def _conserved(entry: Entry, body: k.Topping | k.Split | k.Blend, before: dict[int, Contents], cellar: Cellar) -> None:
    brought = (body.volume or 0.0) if isinstance(body, k.Topping) and body.outside and entry.vessel in before else 0.0
    named = {entry.vessel, getattr(body, "to", None), getattr(body, "source", None)} - {None}
    emptied = not named <= set(cellar.holds)
    rest = [before[one].now for one in named if one in before] if emptied else []
    room = cellar.vessels[entry.vessel or 0].capacity or 0.0
    # What does not fit into a topped barrel had evaporated before; nothing dissolved went with it.
    filled = (
        isinstance(body, k.Topping) and entry.vessel in cellar.holds and cellar.holds[entry.vessel].now.volume == room
    )
    air = EVAPORATED * room if filled else 0.0
    volumes = _volume(before) + brought, _volume(cellar.holds)
    assert math.isclose(*volumes, rel_tol=1e-9, abs_tol=_rest(rest, "volume") + air), f"{body.kind}: {volumes} L"
    for name in MASSES:
        was, now = _sum(before, name), _sum(cellar.holds, name)
        if name == "sugar" and isinstance(body, k.Topping) and body.outside:
            continue  # it brings what is stated of it
        assert math.isclose(was, now, rel_tol=1e-9, abs_tol=_rest(rest, name)), f"{body.kind} of {name}: {was} to {now}"


def _rest(emptied: list[Amounts], name: str) -> float:
    """Return what may go with the last drops of a vessel that counts as empty."""
    lost = 1e-9
    for one in emptied:
        lost += _mass(one, name) * max(BRIM - 1, LEAST / one.volume)
    return lost


def _volume(holds: dict[int, Contents]) -> float:
    return sum(one.now.volume for one in holds.values())


def _racked(body: k.Racking, before: Amounts, racked: Contents) -> None:
    left = before.volume if body.volume is None else min(body.volume, before.volume)
    assert math.isclose(racked.now.volume, left, rel_tol=1e-9)
    for name in MASSES:
        now, was = _mass(racked.now, name), _mass(before, name)
        assert math.isclose(now * before.volume, was * left, rel_tol=1e-9, abs_tol=1e-9)


# -- 6: what a blend inherits


def _poured(first: Contents, second: Contents, house: House) -> Contents:
    return pour.blend(900, 1, first, second, 1.0, k.Blend(), house)


def _facts(joined: Contents) -> tuple[object, ...]:
    return (
        joined.given,
        joined.started,
        joined.harvested,
        joined.source,
        joined.skins,
        tuple(joined.parents),
        joined.begin.ethanol is None,
    )


def _same_wine(one: Contents, other: Contents) -> None:
    assert _facts(one) == _facts(other)
    for name in ("volume", "so2_added", "so2_total", "sorbate", "sugar", "fed", "potassium", "copper"):
        assert math.isclose(_mass(one.begin, name), _mass(other.begin, name), rel_tol=1e-9, abs_tol=1e-9), name


def the_order_of_pouring_is_no_matter(book: Book) -> None:
    """Two wines joined are the same whichever is poured into the other, and three whichever two meet first."""
    cellar = CellarState(book.entries).cellar
    held = list(cellar.holds.values())
    for first, second in combinations(held, 2):
        _same_wine(_poured(first, second, cellar.house), _poured(second, first, cellar.house))
    for first, second, third in combinations(held, 3):
        left = _poured(_poured(first, second, cellar.house), third, cellar.house)
        right = _poured(first, _poured(second, third, cellar.house), cellar.house)
        _same_wine(left, right)


def a_blend_takes_the_cautious_side(book: Book) -> None:
    """Any sorbate, any unfinished ferment or malolactic fermentation, the youngest age; no reading is handed on."""
    cellar = CellarState(book.entries).cellar
    for first, second in combinations(cellar.holds.values(), 2):
        parts, joined = (first, second), _poured(first, second, cellar.house)
        assert joined.log == ()
        assert {first.filling, second.filling, *first.parents, *second.parents} <= {*joined.parents}
        assert joined.started == max(one.started for one in parts)
        assert pour.live(joined, cellar.house) >= any(pour.live(one, cellar.house) for one in parts)
        ends = [ferment.finish(one, cellar.house) for one in parts]
        assert (joined.given.finished is None) == (None in ends)
        assert (joined.begin.sorbate > 0) == any(one.now.sorbate > 0 for one in parts)
        assert not joined.given.sorbate_fit
        if joined.given.first_sulfite:
            assert all(pour.sulfited(one, cellar.house) for one in parts)


# -- 7: verdicts rest on evidence


def no_verdict_without_evidence(book: Book) -> None:
    """What shows or waives a verdict stands in the ledger, and taken back it shows the verdict no longer."""
    stands = {one.root for one in standing_entries(book.entries)}
    for vessel, found in CellarState(book.entries).plans.items():
        for name, one in found.verdicts.items():
            if one.state not in ("shown", "waived"):
                continue
            assert one.evidence, f"{name} is {one.state} by nothing"
            assert set(one.evidence) <= stands
            after = _without(book.entries, one.evidence).get(vessel)
            left = after.verdicts[name] if after is not None else None
            assert left is None or not set(left.evidence) & set(one.evidence)


def _without(entries: Sequence[Entry], roots: Sequence[int]) -> dict[int, Plan]:
    made = list(entries)
    newest = {root: one.tip.seq for root, one in chains(entries).items()}
    for root in roots:
        first = next(one for one in entries if one.seq == root)
        if not isinstance(first.body, Vessel | WineStart):
            seq = len(made) + 1
            made.append(replace(first, seq=seq, key=seq.to_bytes(16, "big"), body=Void(root), supersedes=newest[root]))
    return CellarState(made).plans


def _written(made: list[Entry], body: k.Body, where: int | None, day: date) -> int:
    seq = len(made) + 1
    made.append(replace(made[0], seq=seq, key=seq.to_bytes(16, "big"), on=day, body=body, vessel=where))
    return seq


def a_blend_leaves_no_verdict_shown(entries: Sequence[Entry], vessel: int, on: date) -> None:
    """Wine blended in undoes all five kinds of stability, the waived ones too."""
    made = list(entries)
    other = _written(made, Vessel(name="other", capacity=10.0, material="glass"), None, on)
    _written(made, WineStart(name="Moor", style="dry_white", volume=5.0, finished=True), other, on)
    blend = _written(made, k.Blend(source=other, volume=5.0), vessel, on)
    for name, one in CellarState(made).plans[vessel].verdicts.items():
        assert one.state not in ("shown", "waived"), f"{name} is still {one.state} after a blend"
        assert set(one.evidence) <= {blend}, f"{name} rests on what was known before the blend"


def another_wine_topped_in_lets_verdicts_lapse(entries: Sequence[Entry], vessel: int, on: date, share: float) -> None:
    """Other wine of more than 2 % ends what was shown or waived and is named as the reason; less changes nothing."""
    made = list(entries)
    before = CellarState(made)
    volume = before.cellar.holds[vessel].now.volume * share / (1 - share)
    topping = _written(made, k.Topping(outside=True, wine="Moor", volume=volume), vessel, on)
    after = CellarState(made).plans[vessel]
    for name, was in before.plans[vessel].verdicts.items():
        now = after.verdicts[name]
        if was.state in ("shown", "waived") and share > 0.02:
            assert now.state in ("lapsed", "in_progress"), f"{name} was {was.state} and is {now.state}"
            assert now.state != "lapsed" or now.evidence == (topping,)
        elif was.state in ("shown", "waived"):
            assert now.state == was.state


# -- 8: every figure can be explained


def everything_has_its_reason(entries: Sequence[Entry]) -> None:
    """Every action, dose, verdict and forecast has a reason, a source, and inputs that stand in the ledger."""
    found = CellarState(list(entries))
    known = {one.root for one in found.ordered}
    for made in found.plans.values():
        for action in made.actions:
            _explained(action.because, known)
            if action.dose is not None:
                _explained(action.dose.because, known)
                assert action.dose.because.formula, f"{action.rule}: a dose without its formula"
        for verdict in made.verdicts.values():
            _explained(verdict.because, known, bare=verdict.state == "not_yet")
        if made.forecast is not None:
            _explained(made.forecast.because, known)


def _explained(because: Because, known: set[int], *, bare: bool = False) -> None:
    assert because.rule
    assert because.reason.strip(), f"{because.rule}: no reason"
    assert because.source.strip(), f"{because.rule}: no source"
    assert because.facts or bare, f"{because.rule}: no inputs"
    assert set(because.entries) <= known, f"{because.rule}: rests on an entry that does not stand"
