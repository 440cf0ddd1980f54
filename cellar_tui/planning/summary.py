"""A filling in a few plain words, so that nobody has to learn the signs first."""

from __future__ import annotations

from collections.abc import Mapping

from cellar_tui.planning.plan import Plan

_STAGES = {
    "must": "must, ferment still to start",
    "fermenting": "fermenting",
    "ageing": "ferment finished",
    "malolactic": "malolactic fermentation running or awaited",
    "sweetened": "sweetened, under watch",
    "holding_cold": "in its cold hold",
    "ready": "ready for bottling",
    "bottled": "in bottles",
}


def summary(plan: Plan) -> str:
    """Return the stage of a filling and what is shown of its stability."""
    return in_words(plan.stage, {kind: one.state for kind, one in plan.verdicts.items()})


def in_words(stage: str, states: Mapping[str, str]) -> str:
    """Return a stage and the states of the five kinds of stability in plain words."""
    shown = [kind for kind, state in states.items() if state in ("shown", "waived")]
    lapsed = [kind for kind, state in states.items() if state == "lapsed"]
    watched = stage == "sweetened" and "yeast" in shown
    words = ["sweetened" if watched else _STAGES[stage]]
    if shown:
        words.append("stable: " + ", ".join(shown))
    if lapsed:
        words.append("lapsed: " + ", ".join(lapsed))
    return " · ".join(words)
