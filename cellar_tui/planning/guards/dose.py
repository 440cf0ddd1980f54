"""Guards on the size of a dose."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.materials import MATERIALS, material
from cellar_tui.planning import so2
from cellar_tui.planning.forecast.priors import share_rule
from cellar_tui.planning.forecast.track import track
from cellar_tui.planning.ground import ground
from cellar_tui.planning.guards.base import Act, Finding
from cellar_tui.planning.subject import Subject


def guard(act: Act) -> Iterator[Finding]:
    """Stop a dose three times the charted one, SO2 past 2 mg/L molecular, copper without a trial; caution the rest."""
    s, after, body = act.wine, act.result, act.entry.body
    if s is None or after is None or not isinstance(body, k.Addition):
        return
    if body.so2_mg > 0:
        yield from _sulfite(s, after, body, act.entry.on)
        yield from _old_bag(s, act.entry.on, body)
    else:
        yield from _other(after, body)
    if body.material == "copper_sulfate":
        yield from _copper(s, after)
    if body.material not in MATERIALS:
        told = f"{body.material} is an unknown material: recorded, not used in calculations."
        yield Finding("own_material", told)
    if "tsp" in act.entry.typed.get("amount", ""):
        yield Finding("teaspoon", "weigh it: a level quarter teaspoon of metabisulfite is anywhere from 1.3 to 2 g.")


def _sulfite(s: Subject, after: Subject, body: k.Addition, on: date) -> Iterator[Finding]:
    times = s.house.number("threefold")
    raised = after.c.now.mg_l(body.so2_mg)
    charted = so2.charted_raise(s)
    if raised >= times * charted - 1e-9:
        ratio = f"{raised:.0f} mg/L is {raised / charted:.1f} times the charted dose of {charted:.0f} mg/L"
        told = f"{ratio}: check unit and volume."
        rules = (s.fact("threefold"), s.fact("charted_molecular"), *so2.ph_facts(s)[1:], s.fact(share_rule(s)))
        yield Finding("threefold_dose", told, True, rules)
    if s.end is not None and s.ph is not None:
        expected = _free_after(s, after, raised, on)
        molecular = so2.molecular(expected, s.ph.value)
        most = s.house.number("molecular_most")
        if molecular > most + 1e-9:
            expected_there = f"about {molecular:.1f} mg/L molecular SO2 at pH {s.ph.value:.2f}"
            told = f"{expected_there} is sharp on the nose; limit {most:g}: add less."
            known = track(after)
            rules = tuple(map(s.fact, known.rules if known is not None else (share_rule(s),)))
            yield Finding("molecular_so2", told, True, (s.fact("molecular_most"), *rules))
    if s.intents.encouraged and s.ml.state not in ("done", "given_up"):
        yield from _hindered(s, after)


def _free_after(s: Subject, after: Subject, raised: float, on: date) -> float:
    """Return the free SO2 that surely stands after a sulfite [mg/L].

    That is the lower of what the forecast believes and what the last reading and its dose come to: a dose that rests on
    a reading must not be stopped because the forecast had believed in more.
    """
    stays = so2.share(s)[0] * raised
    believed, read = so2.expected(after, on), so2.free_now(s)[0]
    return min((one for one in (believed, None if read is None else read + stays) if one is not None), default=stays)


def _hindered(s: Subject, after: Subject) -> Iterator[Finding]:
    """Caution SO2 into a wine still meant to go through malolactic fermentation; a must bears some."""
    crush = s.house.number("malolactic_crush_so2")
    if s.end is not None or s.ml.state == "running":
        told = "malolactic fermentation is still to come or running; SO2 hinders it."
        yield Finding("sulfite_before_malolactic", told, None, ground(s))
    elif after.c.now.mg_l(after.c.now.so2_added) > crush + 1e-9:
        told = f"over {crush:g} mg/L SO2 in the must hinders the malolactic fermentation that is wanted later."
        yield Finding("sulfite_before_malolactic", told, None, (s.fact("malolactic_crush_so2"),))


def _old_bag(s: Subject, on: date, body: k.Addition) -> Iterator[Finding]:
    stock = s.house.stock.get(body.material or "")
    if stock is not None and stock.opened is not None:
        age = (on - date.fromisoformat(stock.opened)).days
        if age > s.house.days("bag_days"):
            told = f"this bag has been open for {age} days and has lost strength: buy fresh, or test after."
            yield Finding("old_bag", told, None, (s.fact("bag_days"),))


def _other(after: Subject, body: k.Addition) -> Iterator[Finding]:
    if material(body.material or "").most is None or body.amount is None:
        return
    rule = f"most_{body.material}"
    most, dose = after.house.number(rule), after.c.now.mg_l(body.amount * 1000)
    if dose >= after.house.number("threefold") * most - 1e-9:
        ratio = f"{dose:.0f} mg/L is {dose / most:.1f} times the usual most of {most:.0f} mg/L"
        told = f"{ratio}: check unit and volume."
        yield Finding("threefold_dose", told, True, (after.fact("threefold"), after.fact(rule)))


def _copper(s: Subject, after: Subject) -> Iterator[Finding]:
    copper, most = after.c.now.mg_l(after.c.now.copper), s.house.number("copper_most")
    if copper > most:
        told = f"{copper:.2f} mg/L copper in all is over {most:g} mg/L: add less."
        yield Finding("copper", told, True, (s.fact("copper_most"),))
    trials = [e for _, e in s.events(k.Trial) if isinstance(e.body, k.Trial) and e.body.material == "copper_sulfate"]
    if not trials:
        yield Finding("copper_trial", "copper goes in only after a bench trial: record the trial first.", True)
