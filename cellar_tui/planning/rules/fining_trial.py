"""What does not clear, fails its heat test or goes on smelling of rotten egg is tried in glasses before it is fined.

At once; first of all, months in bulk settle much by themselves. A pH that asks for more free SO2 than leaves room under
the limit is lowered in glasses first, with tartaric acid; best in the must, where too little acid is tried likewise.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from cellar_tui.enology import buffering, legal
from cellar_tui.enology.so2 import ph_for
from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.contents import Event
from cellar_tui.ledger.history import Evidence, additions, checks, last_reading, thinned
from cellar_tui.ledger.materials import MATERIALS, material
from cellar_tui.planning import handling, so2
from cellar_tui.planning.plan import Due, Fact
from cellar_tui.planning.rules import cautions, needs, running
from cellar_tui.planning.rules.base import AGAIN_DAYS, ResponseForm, Rule, window
from cellar_tui.planning.rules.haze_test import made
from cellar_tui.planning.subject import Subject
from cellar_tui.planning.verdicts.haze import needs_heat, tests

ID = "fining_trial"
TREATING = ("copper_sulfate", "pectic_enzyme")
"""What is tried and added like a fining without being one."""
FIRST = "months in bulk settle much by themselves"
"""What is said before any fining; common practice."""

SPAN = 1.0
"""From the least dose that lifts a low TA to the highest that is tried [g/L]; common practice."""

ACIDS = ("tartaric_acid",)
"""What lowers a pH that asks for more SO2 than is good; common practice."""


def treats(name: str) -> bool:
    """Return whether a material is tried in glasses and then added as a fining; the cellar's own ones may be."""
    return name in TREATING or name not in MATERIALS or material(name).sort == "fining"


def sours(name: str) -> bool:
    """Return whether a material is tried to lower the pH."""
    return name in ACIDS


@dataclass(frozen=True, slots=True)
class Cause:
    """What asks for a trial: the reading or look that shows it, why, what to try, and which materials answer it."""

    seen: Evidence
    reason: str
    task: str
    by: Callable[[str], bool] = treats

    def still_asked(self, s: Subject) -> bool:
        """Return whether nothing that answers it has gone in since."""
        return not any(True for _ in additions(s.c, self.by, self.seen.index))


def trials(s: Subject, after: int, by: Callable[[str], bool]) -> list[tuple[int, Event, k.Trial]]:
    """Return the bench trials of some materials, later than a place in the log."""
    return [
        (index, event, event.body)
        for index, event in s.events(k.Trial, after=after)
        if isinstance(event.body, k.Trial) and by(event.body.material or "")
    ]


def still_stinks(s: Subject) -> Evidence | None:
    """Return the smelling that found rotten egg again after a racking had given it air."""
    seen = [(one, c.result == "fail" and c.fault == "rotten_egg") for one, c in checks(s.c, "smell", after=s.end_index)]
    if not seen or not seen[-1][1]:
        return None
    last = seen[-1][0]
    before = [one for one, stank in seen[:-1] if stank]
    aired = any(before[0].index < index < last.index for index, _ in handling.rackings(s)) if before else False
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
            yield Cause(seen[-1][0], f"its heat test failed; {FIRST}", "try bentonite in glasses and heat each")
        elif enzyme:
            # Enzyme is the first cure of pectin and has its own action; what is left after it is tried in glasses.
            reason = f"pectin is left after the enzyme; {FIRST}"
            yield Cause(seen[-1][0], reason, "try more enzyme, or gelatin, in glasses")


def _high_ph(s: Subject) -> Iterator[Cause]:
    """Yield the acid trial that a high pH asks for before sulfite would eat up the room under its limit."""
    quiet = needs.ml_settled(s) or (not s.intents.encouraged and s.ml.state not in ("running", "unknown"))
    at_rest = running.must(s) or quiet
    if s.ph is None or not at_rest or not so2.much_needed(s):
        return
    wanted = f"at pH {s.ph.value:.2f} it needs {so2.by_molecular(s):.0f} mg/L free SO2"
    task = f"{_acid_range(s, s.ph.value)}, before the sulfite"
    yield Cause(s.ph, f"{wanted}: acid first leaves room under the limit", task, sours)


def _acid_range(s: Subject, ph: float) -> str:
    """Return the trial of tartaric acid that lowers a pH to where the target of free SO2 is no longer too much.

    In a must the doses for the usual buffer capacities, in a wine the rule of thumb: its own trial says more.
    """
    if not running.must(s):
        return "try tartaric acid in glasses, about -0.1 pH per g/L"
    wanted = ph_for(s.intents.molecular_so2, s.house.number("free_high"))
    low, high = (buffering.dose_for(ph, wanted, buffer, "tartaric") for buffer in buffering.USUAL_BUFFER)
    return f"try tartaric acid in glasses, {_doses(low, high)} for pH {wanted:.2f}"


def _doses(low: float, high: float) -> str:
    """Return a range of doses of acid [g/L], the legal most of a must as its end."""
    most = legal.find("oiv", "acidification", "any").value
    return f"{min(low, most):.1f} to {min(high, most):.1f} g/L"


def _low_ta(s: Subject) -> Iterator[Cause]:
    """Yield the acid trial of a must with too little acid."""
    ta, least = last_reading(s.c, "ta"), s.house.number("must_ta_low")
    if ta is None:
        return
    now = ta.value * thinned(s.c, ta.index)
    if now < least:
        task = f"try tartaric acid in glasses, {_doses(least - now, least - now + SPAN)}, and test the pH of each"
        yield Cause(ta, f"TA {now:.1f} g/L is little for a must: 1 g/L of tartaric acid raises it by 1", task, sours)


def causes(s: Subject) -> list[Cause]:
    """Return what asks for a trial and has not been treated since, oldest first."""
    found = [*_high_ph(s), *_low_ta(s)] if running.must(s) else [*_failed_tests(s), *_high_ph(s)]
    at_rest = s.ml.state not in ("running", "unknown")
    if not needs_heat(s) and at_rest and s.clarity and s.clarity[-1].value < 1:
        reason = f"it is not clear by itself; {FIRST}"
        found.append(Cause(s.clarity[-1], reason, "try gelatin or isinglass in glasses"))
    stink = still_stinks(s)
    if stink is not None:
        reason = "air did not take the rotten egg away"
        found.append(Cause(stink, reason, "try copper in glasses, by the tenth of a mg/L"))
    return sorted((one for one in found if one.still_asked(s)), key=lambda one: one.seen.index)


def _may_be_tried(s: Subject) -> bool:
    """Return whether it may be tried in glasses: a finished wine, or a must before its yeast for its acid."""
    return s.end is not None or running.must(s)


def _asks(entry: int, task: str) -> Callable[[Subject], bool]:
    """Return the question whether a wine asks for the trial of that task, because of that entry."""
    return lambda s: _may_be_tried(s) and any((cause.seen.entry, cause.task) == (entry, task) for cause in causes(s))


def due(s: Subject) -> Iterator[Due]:
    """Yield the bench trial."""
    if s.c.store or not _may_be_tried(s):
        return
    for cause in causes(s):
        tried = trials(s, cause.seen.index, cause.by)
        # What failed while bacteria still stirred the wine asks for its trial once they are through.
        begun = needs.came_true(s, _asks(cause.seen.entry, cause.task))
        if begun is None or any(trial.chosen is not None for _, _, trial in tried):
            continue
        since = needs.seen(cause.seen)
        day, facts = max(since.on, begun.on), [since.fact("read or failed")]
        if begun.index > since.index:
            facts.append(begun.fact("waited until"))
        for index, event, _ in tried[-1:]:
            last = needs.moment((index, event))
            day = last.on + timedelta(days=AGAIN_DAYS)
            facts.append(last.fact("trial without a dose chosen"))
        if cause.by is sours:
            day, facts = _acid_rested(s, day, [*facts, s.fact("free_high")])
        facts += [s.fact("must_ta_low")] if cause.seen == last_reading(s.c, "ta") else []
        yield window(ID, day, None, since.entry, cause.reason, tuple(facts), task=cause.task)


def _acid_rested(s: Subject, day: date, facts: list[Fact]) -> tuple[date, list[Fact]]:
    """Return the day of an acid trial, put off until the last acid has come to rest: in a wine as long as a fining."""
    for _, event, _ in [*additions(s.c, sours)][-1:]:
        wait = timedelta(days=AGAIN_DAYS) if s.end is None else s.days("settle_fining")
        if event.on + wait > day:
            rested = Fact("acid went in", event.on.isoformat(), "", (event.entry,), event.on)
            return event.on + wait, [*facts, rested, *([] if s.end is None else [s.fact("settle_fining")])]
    return day, facts


RULE = Rule(
    ID,
    "make a bench trial",
    "The lowest dose that works in the glass is the dose for the vessel. Try three or four; choose 0 for none.",
    due,
    (ResponseForm("trial", ("material", "doses", "chosen", "results")),),
    kit="bench trial",
    cautions=(cautions.TRIAL,),
    source="bentonite 25 to 100 g/hL, gelatin 1 to 5 (magazine chart)",
)
