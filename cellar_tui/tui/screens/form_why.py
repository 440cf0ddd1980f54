"""The working of what an open form shows: what the entry brings, the dates it moves, the figures before it."""

from __future__ import annotations

from collections.abc import Iterator

from cellar_tui.enology.sulfite import SO2_SHARE
from cellar_tui.entry_form.work import Work
from cellar_tui.language import describe_entry
from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.materials import material
from cellar_tui.planning.day_text import short_day
from cellar_tui.planning.plan import Because, Fact
from cellar_tui.planning.so2 import SOURCE
from cellar_tui.service.views import Change, Outcome
from cellar_tui.tui.screens.why import Part
from cellar_tui.tui.screens.wine_figures import figure_items

HOW = {
    "so2": "amount x strength x fraction of SO2 in it / volume after; of a solution 10 mg in a millilitre for each %",
    "sorbate": "amount x strength / volume after",
    "sugar": "amount x fraction of sugar in it / volume after",
}
"""How what a material brings is worked out, by its sort; arithmetic on masses."""


def _brought(outcome: Outcome) -> Iterator[Part]:
    """Yield what an addition brings to the wine."""
    body, after = outcome.entry.body, outcome.after
    if not isinstance(body, k.Addition) or body.material is None or after is None or after.volume_l <= 0:
        return
    known = material(body.material)
    rises = {"so2": body.so2_mg, "sorbate": body.sorbate_g * 1000, "sugar": body.sugar_g * 1000}
    rise = rises.get(known.sort, (body.amount or 0.0) * 1000) / after.volume_l
    facts = [
        Fact("amount", round(body.amount or 0.0, 3), known.unit),
        Fact("strength", body.strength if body.strength is not None else known.strength),
        Fact("volume after", round(after.volume_l, 2), "L"),
        Fact("rise", round(rise, 1), "mg/L"),
    ]
    if body.material in SO2_SHARE:
        facts.insert(1, Fact("fraction of SO2 in it", SO2_SHARE[body.material]))
    source = f"atomic weights; {SOURCE}" if known.sort == "so2" else "computed"
    reason = f"what {describe_entry.words(body.material)} brings"
    yield reason, Because("addition", reason, tuple(facts), HOW.get(known.sort, "amount / volume after"), source)


def _moved(one: Change) -> Iterator[Part]:
    """Yield why an action stands where it will, else why it stood where it was."""
    task = one.now or one.was
    if task is None:
        return
    days = " → ".join("not due" if t is None else short_day(t.action.show) for t in (one.was, one.now))
    yield f"{describe_entry.action(one.action)}: {days}", task.action.because
    if task.action.dose is not None:
        yield f"{describe_entry.action(one.action)}: the dose", task.action.dose.because


def parts(work: Work) -> list[Part]:
    """Return the working of every number and date that a form shows."""
    found: list[Part] = []
    for outcome in () if work.answer is None else work.answer.outcomes:
        found += _brought(outcome)
        for finding in outcome.findings:
            found.append((finding.why, Because(finding.guard, finding.why, finding.facts)))
        for change in outcome.changes:
            found += _moved(change)
    if work.form.numbers:
        name = next((outcome.vessel for outcome in work.answer.outcomes), work.target) if work.answer else work.target
        for item in figure_items(work.service.view.wine(name)) if ":" not in name else []:
            if item.because is not None:
                found.append((f"before: {' '.join(f'{item.head} {item.text}'.split())}", item.because))
    return found
