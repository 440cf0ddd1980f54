"""What does not clear, fails its heat test or goes on smelling of rotten egg is tried in glasses before it is fined.

At once; first of all, months in bulk settle much by themselves.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta

from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.contents import Event
from cellar_tui.ledger.history import Evidence, additions, checks
from cellar_tui.ledger.materials import MATERIALS, material
from cellar_tui.planning.plan import Due
from cellar_tui.planning.rules import cautions, needs
from cellar_tui.planning.rules.base import AGAIN_DAYS, Answer, Rule, window
from cellar_tui.planning.rules.haze_test import made
from cellar_tui.planning.subject import Subject
from cellar_tui.planning.verdicts.haze import needs_heat, tests

ID = "fining_trial"
TREATING = ("copper_sulfate", "pectic_enzyme")
"""What is tried and added like a fining without being one."""
FIRST = "months in bulk settle much by themselves"
"""What is said before any fining; common practice."""

Cause = tuple[Evidence, str, str]
"""The look that failed, why a trial is asked for, and what to try."""


def treats(name: str) -> bool:
    """Return whether a material is tried in glasses and then added as a fining; the cellar's own ones may be."""
    return name in TREATING or name not in MATERIALS or material(name).sort == "fining"


def treated(s: Subject, index: int) -> bool:
    """Return whether a fining, enzyme or copper went in later than that place in the log."""
    return any(True for _ in additions(s.c, treats, index))


def trials(s: Subject, after: int) -> list[tuple[int, Event, k.Trial]]:
    """Return the bench trials of what treats a wine, later than a place in the log."""
    return [
        (index, event, event.body)
        for index, event in s.events(k.Trial, after=after)
        if isinstance(event.body, k.Trial) and treats(event.body.material or "")
    ]


def still_stinks(s: Subject) -> Evidence | None:
    """Return the smelling that found rotten egg again after a racking had given it air."""
    seen = [(one, c.result == "fail" and c.fault == "rotten_egg") for one, c in checks(s.c, "smell", after=s.end_index)]
    if not seen or not seen[-1][1]:
        return None
    last = seen[-1][0]
    before = [one for one, stank in seen[:-1] if stank]
    aired = any(before[0].index < index < last.index for index, _ in s.rackings) if before else False
    return last if aired else None


def _failed_tests(s: Subject) -> Iterator[Cause]:
    if not needs_heat(s):
        return
    for name in tests(s):
        seen = made(s, name)
        if not seen or seen[-1][1].result == "pass":
            continue
        enzyme = any(True for _ in additions(s.c, lambda one: one == "pectic_enzyme", s.end_index))
        if name == "heat_test":
            yield seen[-1][0], f"its heat test failed; {FIRST}", "try bentonite in glasses and heat each"
        elif enzyme:
            # Enzyme is the first cure of pectin and has its own action; what is left after it is tried in glasses.
            yield seen[-1][0], f"pectin is left after the enzyme; {FIRST}", "try more enzyme, or gelatin, in glasses"


def causes(s: Subject) -> list[Cause]:
    """Return what asks for a trial and has not been treated since, oldest first."""
    found = list(_failed_tests(s))
    at_rest = s.ml.state not in ("running", "unknown")
    if not needs_heat(s) and at_rest and s.clarity and s.clarity[-1].value < 1:
        found.append((s.clarity[-1], f"it is not clear by itself; {FIRST}", "try gelatin or isinglass in glasses"))
    stink = still_stinks(s)
    if stink is not None:
        found.append((stink, "air did not take the rotten egg away", "try copper in glasses, by the tenth of a mg/L"))
    return sorted((one for one in found if not treated(s, one[0].index)), key=lambda one: one[0].index)


def due(s: Subject) -> Iterator[Due]:
    """Yield the bench trial."""
    if s.c.store or s.end is None:
        return
    for cause, reason, task in causes(s):
        tried = trials(s, cause.index)
        if any(trial.chosen is not None for _, _, trial in tried):
            continue
        since = needs.seen(cause)
        day, facts = since.on, [since.fact("failed")]
        for index, event, _ in tried[-1:]:
            last = needs.moment((index, event))
            day = last.on + timedelta(days=AGAIN_DAYS)
            facts.append(last.fact("trial without a dose chosen"))
        yield window(ID, day, None, since.entry, reason, tuple(facts), task=task)


RULE = Rule(
    ID,
    "make a bench trial",
    "The least dose that does it in a glass is the dose of the vessel: try three or four, choose one, 0 for none.",
    due,
    (Answer("trial", ("material", "doses", "chosen", "results")),),
    kit="bench trial",
    cautions=(cautions.TRIAL,),
    source="bentonite 25 to 100 g/hL, gelatin 1 to 5 (magazine chart, seen)",
)
