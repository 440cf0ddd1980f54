"""The guard against bottles that burst: sugar into a finished wine before its yeast is held."""

from __future__ import annotations

from collections.abc import Iterator

from cellar_tui.ledger import kinds as k
from cellar_tui.planning import sorbate
from cellar_tui.planning.guards.base import Act, Finding
from cellar_tui.planning.subject import Subject


def held(s: Subject) -> bool:
    """Return whether the yeast is held: effective sorbate, a sterile filter, or 18 % by spirit."""
    filtered = any(isinstance(e.body, k.Filter) and e.body.sterile for _, e in s.events(k.Filter, after=s.end_index))
    spirit = s.intents.finish == "fortified" and s.strong is not None
    return s.sterile or filtered or spirit or sorbate.effective(s) is not None


def guard(act: Act) -> Iterator[Finding]:
    """Stop sugar, by any road, that lifts a finished wine to 2 g/L or more without its yeast being held."""
    before, after = act.wine, act.result
    if before is None or after is None or not isinstance(act.entry.body, k.Addition | k.Topping | k.Blend):
        return
    finished = [one for one in (before, act.poured) if one is not None and one.end is not None]
    # A finished wine poured into a ferment feeds it; only a wine that is finished after the act can be sweetened.
    if not finished or after.sugar is None or after.c.now.sugar <= before.c.now.sugar + 1e-9:
        return
    sugar = after.sugar
    if sugar < act.before.house.number("dry_sugar") - 1e-9 or held(before):
        return
    yield Finding(
        "sugar_before_sorbate",
        f"bottles can burst: this makes {sugar:.0f} g/L of sugar in a finished wine whose yeast is not held. "
        "First clear it, bring free SO2 to target and stir in its potassium sorbate; sugar a day later.",
        True,
        (act.fact("dry_sugar"), *sorbate.effect_rules(before), *before.ground),
    )
