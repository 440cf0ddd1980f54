"""Guards on potassium sorbate: geranium taint, a dose that cannot be enough, wine that is not ready for it."""

from __future__ import annotations

from collections.abc import Iterator

from cellar_tui.enology import legal
from cellar_tui.enology.sorbate import SORBIC_SHARE
from cellar_tui.ledger import kinds as k
from cellar_tui.planning import arrested, handling, so2, sorbate
from cellar_tui.planning.ground import ground
from cellar_tui.planning.guards.base import Act, Finding
from cellar_tui.planning.subject import Subject
from cellar_tui.planning.verdicts.bacteria import on_target_since

TOLERANCE = 1.005
"""Rounding of a weighed dose that a limit forgives."""


def guard(act: Act) -> Iterator[Finding]:
    """Stop sorbate with live malolactic bacteria, sorbate that cannot be enough, and sorbic acid over the limit."""
    s, after = act.wine, act.result
    body = act.entry.body
    if s is None or after is None or not isinstance(body, k.Addition) or body.sorbate_g <= 0:
        return
    yield from _malolactic(s)
    if not sorbate.asked(s).enough:
        yield Finding(
            "sorbate_not_enough",
            "at this strength and pH the sorbate allowed cannot hold the yeast: lower the pH, filter sterile, or leave "
            "the wine dry.",
            True,
            (s.fact("jurisdiction"), *sorbate.ph_facts(s)[1:]),
        )
    if sorbate.ph_first(s):
        told = (
            "pH is not known, and the dose depends on it: test it first. A cellar without a meter sets the house rule "
            f"pH meter to no and doses the legal ceiling, {sorbate.asked(s).dose:.0f} mg/L."
        )
        yield Finding("sorbate_ph", told, None, (s.fact("ph_meter"),))
    yield from _limit(after)
    if s.clear is None or not handling.rackings(s):
        lacks = "not proven clear" if s.clear is None else "not racked"
        told = f"the wine is {lacks}; sorbate holds only few yeast: rack and check first."
        yield Finding("sorbate_cloudy", told, None, ground(s))
    if s.end is None or arrested.awake(s):
        told = "sorbate does not stop a running ferment, nor yeast that has woken: chill it first."
        yield Finding("sorbate_ferment", told, None, ground(s))


def _malolactic(s: Subject) -> Iterator[Finding]:
    taint = "bacteria turn sorbate into geranium taint, which cannot be removed"
    if s.ml.live:
        yield Finding(
            "sorbate_live_malolactic",
            f"{taint}: malolactic fermentation is alive or still to come. Settle it first, or leave the wine dry.",
            True,
            ground(s),
        )
    elif s.ml.state in ("done", "given_up"):
        run = on_target_since(s, -1)
        long = len(run) > 1 and run[-1].on - run[0].on >= s.days("bacteria_days")
        if not long or s.clear is None:
            yield Finding(
                "sorbate_after_malolactic",
                f"{taint}: this wine has been through malolactic fermentation. Keep free SO2 on target for "
                f"{s.house.days('bacteria_days')} days and the wine clear before sorbate.",
                True,
                (s.fact("bacteria_days"), *so2.target_rules(s), *ground(s)),
            )
    elif not s.c.given.untouched:
        yield Finding("malolactic_unknown", f"{taint}; whether this wine went through it before is not known: test it.")


def _limit(after: Subject) -> Iterator[Finding]:
    where = after.house.word("jurisdiction")
    limit = legal.find(where, "sorbic_acid", after.intents.colour)
    sorbic = after.sorbate * SORBIC_SHARE
    if sorbic > limit.value * TOLERANCE:
        told = f"{sorbic:.0f} mg/L sorbic acid is over {limit.value:.0f} mg/L ({limit.clause})."
        yield Finding("legal_sorbic", told, None if where == "home" else True, (after.fact("jurisdiction"),))


def total_so2(act: Act) -> Iterator[Finding]:
    """Stop total SO2 over the legal limit; the home rules caution with the OIV's figures."""
    after = act.result
    if after is None or not isinstance(act.entry.body, k.Addition | k.Topping | k.Blend | k.Bottle):
        return
    before = act.wine.total_so2 if act.wine is not None else 0.0
    if isinstance(act.entry.body, k.Bottle):
        before = 0.0
    limit = so2.total_limit(after)
    if after.total_so2 > limit * TOLERANCE and after.total_so2 > before + 1e-9:
        where = after.house.word("jurisdiction")
        sums = f"{after.total_so2:.0f} mg/L total SO2 is over {limit:.0f} mg/L"
        told = f"{sums}; test total SO2, and check your local rules."
        rules = (after.fact("jurisdiction"), *after.changed("yeast_so2", "small_lot", "sample_volume"))
        yield Finding("legal_total_so2", told, None if where == "home" else True, rules)
