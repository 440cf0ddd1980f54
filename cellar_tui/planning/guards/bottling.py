"""The bottling gate."""

from __future__ import annotations

from collections.abc import Iterator

from cellar_tui.ledger import kinds as k
from cellar_tui.planning import arrested
from cellar_tui.planning.guards.base import Act, Finding
from cellar_tui.planning.plan import STABILITIES
from cellar_tui.planning.planner import ended
from cellar_tui.planning.subject import Subject
from cellar_tui.planning.verdicts.table import verdict
from cellar_tui.planning.verdicts.yeast import warm_sample, watch_start, watched


def _watched(s: Subject) -> bool:
    start = watch_start(s)
    return start is not None and (warm_sample(s, start) is not None or watched(s, start)[1])


def guard(act: Act) -> Iterator[Finding]:
    """Stop a bottling while a kind of stability is not shown, and of a wine whose live yeast only cold held."""
    s, body = act.wine, act.entry.body
    if s is None or not isinstance(body, k.Bottle):
        return
    sterile = body.filter == "sterile"
    for kind in STABILITIES:
        if sterile and kind in ("yeast", "bacteria"):
            continue
        found = ended(verdict(s, kind), act.entry.on)
        if found.state not in ("shown", "waived"):
            told = f"{kind} is {found.state.replace('_', ' ')}: {found.because.reason}."
            rules = tuple(fact for fact in found.because.facts if fact.house_rule)
            yield Finding(f"bottle_{kind}", told, True, rules)
    if s.alive_by_cold and not sterile and not (arrested.effective(s) is not None and _watched(s)):
        yield Finding(
            "bottle_arrested",
            "bottles can burst: the yeast of an arrested wine is alive. It needs effective sorbate and a warm watch, "
            "or a sterile filter at bottling.",
            True,
            tuple(fact for fact in verdict(s, "yeast").because.facts if fact.house_rule),
        )
    age = s.house.days("final_reading_age")
    if s.free is None or (act.entry.on - s.free.on).days > age:
        last = "never tested" if s.free is None else f"last tested {(act.entry.on - s.free.on).days} d ago"
        told = f"free SO2 was {last}: test it within {age} d before the filling."
        yield Finding("bottle_reading", told, None, (s.fact("final_reading_age"),))
    if s.intents.sterile_filtration and not sterile:
        told = "the plan left yeast and bacteria to a sterile filter: set the filter of the bottling to sterile."
        yield Finding("bottle_filter", told, True)
