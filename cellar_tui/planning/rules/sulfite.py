"""Sulfite: the first one after the ferment (or after malolactic fermentation), and what keeps free SO2 on target.

First: within 3 days of a wanted malolactic fermentation done, within 1 day of the finish where it is prevented, within
3 where it is left open. Keeping: at once when a reading lies under the target and its margin. Sweetened: the same day.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from cellar_tui.ledger.history import readings
from cellar_tui.planning import arrested, so2, sulfur
from cellar_tui.planning.plan import Due
from cellar_tui.planning.rules import cautions, final_so2, needs, sulfiting
from cellar_tui.planning.rules.base import ResponseForm, Rule, window
from cellar_tui.planning.subject import Subject, all_skips

ID = "sulfite"
FIRST_DAYS = {
    "encouraged": "first_sulfite_days_encouraged",
    "prevented": "first_sulfite_days",
    "either": "first_sulfite_days_either",
}
"""House rule of the days to the first sulfite, by what is intended for malolactic fermentation."""


def first_wanted(s: Subject) -> bool:
    """Return whether the first sulfite is to go in: the ferment over, a wanted malolactic fermentation through."""
    # A wine left with its sugar is chilled first: the arrest asks for cold and sulfite together.
    if s.end is None or needs.sulfited(s) or s.ml.state == "running" or arrested.awake(s):
        return False
    if s.intents.encouraged and s.ml.state not in ("done", "given_up"):
        return False
    # What a finished wine brought with it is not known before a reading.
    return sulfur.sulfited(s) is False or s.free is not None


def _first(s: Subject) -> Iterator[Due]:
    since, dose = needs.came_true(s, first_wanted), so2.dose(s)
    if since is None or dose is None:
        return
    if s.ml.state == "given_up":
        latest, facts = since.on, [since.fact("malolactic fermentation given up")]
    else:
        name = FIRST_DAYS[s.intents.malolactic]
        latest, facts = since.on + s.days(name), [since.fact("ready for sulfite since"), s.fact(name)]
    reason = (
        "malolactic fermentation is over, the wine lies open to air and bacteria"
        if s.intents.encouraged
        else ("the ferment is over, its carbon dioxide no longer protects the wine")
    )
    facts += s.changed("keeping_margin")
    until, age = (None, ()) if sulfur.sulfited(s) is False else so2.fit_until(s)
    if until is not None and until < since.on:
        return
    yield window(
        ID,
        since.on,
        latest,
        since.entry,
        reason,
        (*facts, *age, *dose.because.facts),
        dose=dose,
        source=so2.SOURCE,
        expires=until,
    )


def _slipping(s: Subject) -> bool:
    unanswered = s.free is not None and not any(index > s.free.index for index, _ in sulfur.sulfites(s))
    if not unanswered or sulfur.sulfited(s) is not True or not needs.ml_settled(s) or needs.doubtful(s):
        return False
    return needs.low(s)


def _no_room(s: Subject) -> bool:
    """Return whether no dose worth giving has room under the limit of total SO2, and nobody has measured it since."""
    seen = readings(s.c, "total_so2")
    measured = bool(seen) and not s.added("so2", after=seen[-1].index)
    return so2.total_limit(s) - s.total_so2 < s.house.number("dose_worth") and not measured


def _keeping(s: Subject) -> Due | None:
    """Return the sulfite that a reading asks for, until that reading is too old."""
    since = needs.came_true(s, _slipping)
    until, age = so2.fit_until(s)
    if since is None or s.free is None or until is None or until < since.on:
        return None
    dose, task, reason = so2.dose(s), "", "free SO2 is under the target and its margin"
    facts = (
        needs.free_fact(s.free),
        s.fact("keeping_margin"),
        *age,
        *(dose.because.facts if dose else so2.target(s).facts),
        s.fact("jurisdiction"),
        *s.changed("yeast_so2"),
    )
    if dose is None and _no_room(s):
        task = "test total SO2: by the ledger no room is left under its limit"
        reason += f", and total SO2 stands at {s.total_so2:.0f} of {so2.total_limit(s):.0f} mg/L"
    elif dose is None:
        return None
    return window(
        ID,
        since.on,
        None,
        since.entry,
        reason,
        facts,
        dose=dose,
        task=task,
        formula="reading < target + margin",
        source=so2.SOURCE,
        expires=until,
    )


def _sweetened(s: Subject) -> Iterator[Due]:
    until, age = so2.fit_until(s)
    for index, event in s.sweetenings[-1:]:
        # Once it was read again, the reading says whether there is enough.
        if s.free is not None and s.free.index > index:
            return
        dose = so2.dose(s)
        if dose is None or until is None or until < event.on or any(place > index for place, _ in sulfur.sulfites(s)):
            return
        fact = needs.moment((index, event)).fact("sweetened")
        yield window(
            ID,
            event.on,
            None,
            event.entry,
            "sugar thinned the SO2 and binds what comes",
            (fact, *age, *dose.because.facts),
            dose=dose,
            source=so2.SOURCE,
            expires=min(until, event.on + s.days("recheck_after_work") - needs.DAY),
        )


def _acid_first(s: Subject, due: Due) -> Due:
    """Return a dose that says, where the pH asks for much of it, that acid is tried first."""
    if not so2.much_needed(s):
        return due
    reason = f"{due.because.reason}; the pH asks for {so2.by_molecular(s):.0f} mg/L free: try tartaric acid first"
    because = replace(due.because, reason=reason, facts=(*due.because.facts, s.fact("free_high")))
    return replace(due, because=because)


def wanted(s: Subject) -> Iterator[Due]:
    """Yield the sulfite that the wine wants, on whatever pH it rests."""
    if s.c.store or s.end is None:
        return
    kept = _keeping(s)
    for one in (*_first(s), *(() if kept is None else (kept,)), *_sweetened(s)):
        yield from final_so2.unless_open(s, _acid_first(s, one))


def asked(s: Subject) -> Due | None:
    """Return the sulfite that is wanted now, None where none is or the first one was looked at and put off."""
    found = next((one for one in wanted(s) if one.dose is not None), None)
    return None if found is not None and found.expires is None and all_skips(s, ID) else found


def due(s: Subject) -> Iterator[Due]:
    """Yield the sulfite that the wine asks for: after the first one no dose rests on a pH that is too old."""
    ph_until = so2.ph_until(s)
    for one in wanted(s):
        if one.dose is None or one.expires is None or ph_until is None:
            yield one
        elif ph_until >= one.earliest:
            yield replace(one, expires=min(one.expires, ph_until))


RULE = Rule(
    ID,
    "add sulfite",
    "Bring free SO2 to the target for this pH. Part of every dose binds at once; only the free part protects.",
    due,
    (
        *sulfiting.ANSWERS,
        ResponseForm("reading", ("total_so2",), (), _no_room),
    ),
    kit="scales",
    guards=first_wanted,
    cautions=(*cautions.SULFITE, cautions.DECLARE),
    source=so2.SOURCE,
)
