"""A must is asked for pH and TA before its yeast.

Later the pH is read with a dose that would rest on an old one, or on one from before acid, water, malolactic, cold or a
blend.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta

from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.contents import Event
from cellar_tui.ledger.ferment import moves_gravity
from cellar_tui.ledger.history import last_reading
from cellar_tui.ledger.materials import material
from cellar_tui.planning import sulfur
from cellar_tui.planning.plan import Due, Fact
from cellar_tui.planning.rules import arrest, cautions, final_so2, needs, running, sorbate, sulfite
from cellar_tui.planning.rules.base import ResponseForm, Rule, window
from cellar_tui.planning.subject import Subject

ID = "ph_check"
DOSED = (arrest, sulfite, sorbate, final_so2)
"""Rules whose doses rest on the pH."""


def _moved(s: Subject, after: int) -> Fact | None:
    """Return what has changed the acid of the wine since that place in the log."""
    changes = [(index, event, "acid changed") for index, event in s.added("acid", "carbonate", after=after)]
    changes += [
        (index, event, "cold hold")
        for index, event in s.events(k.Chill, after=after)
        if isinstance(event.body, k.Chill) and event.body.end
    ]
    changes += [(index, event, "thinned, or joined with other acid") for index, event in _thinned(s, after)]
    if s.ml.state == "done" and s.ml.index > after:
        changes.append((s.ml.index, s.c.log[s.ml.index], "malolactic fermentation done"))
    if not changes:
        return None
    index, event, name = max(changes, key=lambda change: change[0])
    return needs.moment((index, event)).fact(name)


def _thinned(s: Subject, after: int) -> Iterator[tuple[int, Event]]:
    """Yield the water, juice, syrup or spirit that made up more of it than another wine may without a word."""
    most = s.house.number("foreign_share") / 100
    for index, event in moves_gravity(s.c, after):
        liquid = isinstance(event.body, k.Addition) and material(event.body.material or "").unit != "g"
        if liquid and event.after.volume > event.before.volume * (1 + most):
            yield index, event


def _for(s: Subject, dose: Due, name: str, first: bool) -> Iterator[Due]:
    if dose.dose is None:
        return
    age = "ph_age_first" if first else "ph_age"
    behind = needs.changed(dose.because.facts)
    if s.ph is None:
        yield window(
            ID,
            dose.earliest,
            dose.latest,
            dose.anchor,
            f"pH is not known, and the {name} dose rests on it",
            (Fact("pH", "not known"), *behind),
            task="test pH, if there is a meter",
        )
        return
    acid, moved = Fact("pH", s.ph.value, "pH", s.ph.entries, s.ph.on), _moved(s, s.ph.index)
    old_from = s.ph.on + s.days(age) + timedelta(days=1)
    if moved is not None:
        yield window(
            ID,
            dose.earliest,
            dose.latest,
            dose.anchor,
            f"pH has moved since; the {name} dose rests on it",
            (acid, moved, *behind),
        )
    elif old_from <= (dose.expires or dose.latest):
        yield window(
            ID,
            max(old_from, dose.earliest),
            dose.latest,
            dose.anchor,
            f"the pH is old; the {name} dose rests on it",
            (acid, s.fact(age), *behind),
            expires=dose.expires,
        )


def _before_sorbate(s: Subject) -> Iterator[Due]:
    """Yield the first pH, which sorbate waits for where the cellar can read it."""
    since = None if s.c.store else needs.came_true(s, sorbate.needs_ph)
    if since is not None:
        yield window(
            ID,
            since.on,
            None,
            since.entry,
            "the sorbate dose follows the pH, and too little of it is none",
            (Fact("pH", "not known"), s.fact("ph_meter")),
            task="test pH: the sorbate waits for it",
        )


def _must(s: Subject) -> Iterator[Due]:
    """Yield what a must is asked for before its yeast: pH, where there is a meter, and TA."""
    if not running.must(s):
        return
    start, ta = running.start(s), last_reading(s.c, "ta")
    metered = s.house.word("ph_meter") == "yes"
    missing = ["pH"] if s.ph is None and metered else []
    missing += ["TA"] if ta is None else []
    if missing:
        facts = (start.fact("must since"), *(Fact(name, "not known") for name in missing), *s.changed("ph_meter"))
        task = f"test {' and '.join(missing)} of the must"
        yield window(ID, start.on, None, start.entry, "acid and sulfite of a must follow both", facts, task=task)


def due(s: Subject) -> Iterator[Due]:
    """Yield the pH readings that the doses now due ask for, and what a must is asked for before its yeast."""
    yield from _before_sorbate(s)
    yield from _must(s)
    for rule in DOSED:
        # A keeping sulfite on too old a pH is not asked for; the pH that it waits for is.
        for dose in sulfite.wanted(s) if rule is sulfite else rule.due(s):
            yield from _for(s, dose, rule.ID, rule in (arrest, sulfite) and sulfur.sulfited(s) is not True)


RULE = Rule(
    ID,
    "test pH",
    "Every sulfite and sorbate dose depends on pH, and pH moves with acid additions, MLF, cold and blending.",
    due,
    (
        ResponseForm("reading", ("ph", "ta"), (), running.must),
        ResponseForm("reading", ("ph",), (), lambda s: not running.must(s)),
    ),
    kit="pH meter",
    cautions=(cautions.BUFFERS,),
)
