"""A filling in a few plain words, so that nobody has to learn the signs first."""

from __future__ import annotations

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
    shown = [kind for kind, one in plan.verdicts.items() if one.state in ("shown", "waived")]
    lapsed = [kind for kind, one in plan.verdicts.items() if one.state == "lapsed"]
    watched = plan.stage == "sweetened" and "yeast" in shown
    words = ["sweetened" if watched else _STAGES[plan.stage]]
    if shown:
        words.append("stable: " + ", ".join(shown))
    if lapsed:
        words.append("lapsed: " + ", ".join(lapsed))
    return " · ".join(words)
