"""The way to bottling: the steps still to come, what each waits for, how long it takes, and what holds it up.

A step may come twice, as clearing does before and after a cold hold: a need means the last such step before it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from datetime import date, timedelta

from cellar_tui.enology import cold
from cellar_tui.ledger.ferment import fermenting
from cellar_tui.planning import arrested, coldhold, handling, sulfur
from cellar_tui.planning.age import of_age, wished_bottling
from cellar_tui.planning.ground import ground
from cellar_tui.planning.plan import Because, Dated, Fact, Step, changed_rules
from cellar_tui.planning.rules import final_so2, needs
from cellar_tui.planning.rules.needs import Moment
from cellar_tui.planning.subject import Subject
from cellar_tui.planning.verdicts.bacteria import on_target_since
from cellar_tui.planning.verdicts.haze import needs_heat
from cellar_tui.planning.verdicts.table import settled
from cellar_tui.planning.verdicts.yeast import watch_start

OVER = ("gravity_check", "arrest", "fortify")
"""Steps that end the ferment, each of another style."""

FIRST_RACKING = {"arrested": "arrest_rack_from", "fortified": "spirit_rack_from"}
"""House rule of the days to the first racking of what does not end dry."""


def _step(  # noqa: PLR0913 (the cells of a row, by name)
    s: Subject,
    action: str,
    waits: tuple[str, ...],
    why: str,
    *,
    rule: str = "",
    days: int = 0,
    begin: date | None = None,
    begun: Moment | None = None,
    more: tuple[Fact, ...] = (),
) -> Step:
    """Make a step that lasts `days`, or as many as a house rule says; of those that have begun the rest is left."""
    facts = (*((s.fact(rule),) if rule else ()), *((begun.fact("started"),) if begun is not None else ()), *more)
    lasts = s.house.days(rule) if rule else days
    return Step(action, waits, lasts, why, begin, None if begun is None else begun.on, (*facts, *ground(s)))


def _held_alive(s: Subject) -> bool:
    """Return whether its yeast is, or is to be, held alive by cold alone."""
    return s.alive_by_cold or (s.end is None and s.intents.finish == "arrested")


def _ferment(s: Subject) -> Iterator[Step]:
    if s.end is not None:
        return
    if not fermenting(s.c):
        yield _step(s, "yeast", (), "the ferment is still to begin", days=1)
    if s.c.on_skins:
        yield _step(s, "press", ("yeast",), "off skins or pulp")
    if s.intents.finish == "arrested":
        yield _step(s, "arrest", ("yeast", "press"), "stopped by cold at its stopping gravity")
    elif s.intents.finish == "fortified":
        yield _step(s, "fortify", ("yeast", "press"), "spirit at its stopping gravity")
    else:
        yield _step(s, "gravity_check", ("yeast", "press"), "the ferment must be proven over", rule="yeast_proof_days")


def _young(s: Subject) -> Iterator[Step]:
    if s.intents.encouraged and not sulfur.ml_settled(s) and s.ml.state != "unknown":
        begun = None if s.ml.started is None else Moment(s.ml.started, s.ml.entries[0], s.ml.index)
        yield _step(
            s,
            "malolactic_check",
            OVER,
            "malolactic fermentation must be done",
            rule="malolactic_first_days",
            begun=begun,
        )
    if sulfur.sulfited(s) is False:
        yield _step(s, "sulfite", (*OVER, "malolactic_check"), "the first sulfite opens the keeping")
    racked = _racked(s)
    if racked is None and not s.intents.on_lees:
        name = FIRST_RACKING.get(s.intents.finish, "first_rack_from")
        begin = s.end.on + s.days(name) if s.end else None
        yield _step(s, "rack", OVER, "off the gross lees", begin=begin, more=(s.fact(name),))
    if s.intents.finish == "arrested":
        yield from _again(s, racked)
    if s.clear is None:
        yield _step(s, "clarity_check", ("rack",), "it must be clear", rule="clarity_after", begun=racked)


def _again(s: Subject, racked: Moment | None) -> Iterator[Step]:
    """Yield the cold rackings of an arrested wine after its first one."""
    wanted, again = s.house.days("cold_rackings"), s.house.days("arrest_again_from")
    left = wanted - max(len(handling.rackings(s)), 1)
    if left > 0:
        rules = (s.fact("arrest_again_from"), s.fact("cold_rackings"))
        yield _step(s, "rack", ("rack",), f"cold, {wanted} times in all", days=left * again, begun=racked, more=rules)


def _racked(s: Subject) -> Moment | None:
    return needs.moment(handling.rackings(s)[-1]) if handling.rackings(s) else None


def _ended(s: Subject) -> Moment | None:
    return None if s.end is None else Moment(s.end.on, s.end.entries[0], s.end.index)


def _hold(s: Subject) -> Iterator[Step]:
    """Yield the proof that a wine stopped with sugar left stands still."""
    if s.intents.finish == "arrested" and not needs.held(s):
        last = needs.arrest_marks(s)[-1]
        yield _step(
            s,
            "gravity_check",
            ("arrest",),
            "it must stand still in the cold",
            days=last,
            begun=_ended(s),
            more=needs.arrest_facts(s),
        )
    if s.intents.finish == "fortified" and not settled(s, "yeast"):
        yield _step(
            s,
            "gravity_check",
            ("fortify",),
            "gravity must stand still under the spirit",
            rule="fortified_days",
            begun=_ended(s),
        )


def _tests(s: Subject) -> Iterator[Step]:
    if needs_heat(s) and not needs.haze_ready(s):
        yield _step(s, "haze_test", ("clarity_check",), "protein stable before the cold")
    if not settled(s, "bacteria") and not s.intents.encouraged and not s.intents.sterile_filtration:
        run = on_target_since(s, -1) if s.end is not None else []
        why = f"{s.house.days('bacteria_days')} days on target against bacteria"
        begun = needs.seen(run[0]) if run else None
        yield _step(s, "so2_recheck", ("sulfite",), why, rule="bacteria_days", begun=begun)


def _cold(s: Subject) -> Iterator[Step]:
    if settled(s, "crystals"):
        return
    if not handling.tartrate(s):
        why = f"{s.house.days('fridge_test_days')} days at serving cold"
        yield _step(s, "cold_test", ("clarity_check",), why, rule="fridge_test_days")
        return
    held = coldhold.holding(s)
    end, rules = (None, ()) if held is None else (held.end, held.rules)
    tested = s.house.days("cold_test_days") if s.intents.served_cold else 0
    # The chill of an arrest is its cold hold too.
    if held is None and not _held_alive(s):
        waits = ("gravity_check", "haze_test", "clarity_check", "sulfite", "malolactic_check")
        days = math.ceil(cold.hold_days(s.house.number("hold_fridge")) * s.house.number("hold_factor"))
        cold_rules = (s.fact("hold_fridge"), s.fact("hold_factor"))
        yield _step(s, "cold_hold_start", waits, "cold drops the crystals", days=days - tested, more=cold_rules)
    if s.intents.served_cold:
        # The test runs in the last days of the hold.
        begin = None if end is None else end - s.days("cold_test_before")
        why = f"{tested} days at -4 C, or conductivity"
        yield _step(
            s,
            "cold_test",
            ("cold_hold_start", "gravity_check"),
            why,
            rule="cold_test_days",
            begin=begin,
            more=(*rules, s.fact("cold_test_before")),
        )
    if not _held_alive(s):
        served = ("cold_test", "cold_hold_start")
        yield _step(s, "cold_hold_end", served, "the hold served, then racked cold", begin=end, more=rules)
    if s.intents.sweet and not s.intents.sterile_filtration:
        yield _step(s, "clarity_check", ("cold_hold_end",), "clear again after its racking", rule="clarity_after")


def _sweet(s: Subject) -> Iterator[Step]:
    wants_sorbate = (s.intents.sweet or _held_alive(s)) and not s.intents.sterile_filtration
    if wants_sorbate and arrested.effective(s) is None:
        waits = ("gravity_check", "cold_test", "cold_hold_end", "haze_test", "clarity_check", "sulfite")
        yield _step(s, "sorbate", waits, "always before sugar, into a clear stable wine", rule="sweeten_from")
    if s.intents.sweet and not s.sweetened:
        yield _step(s, "sweeten", ("sorbate", "clarity_check"), "to the target sweetness")
    if _held_alive(s) and (s.end is None or coldhold.holding(s) is not None):
        why = "never before the yeast is held by sorbate or a sterile filter"
        yield _step(s, "cold_hold_end", ("gravity_check", "cold_test", "sorbate"), why)
    # The proof of a dry wine is undone by the sugar to come.
    watched = needs.to_be_sweetened(s) or not settled(s, "yeast")
    if (s.intents.sweet or _held_alive(s)) and watched and not s.intents.sterile_filtration:
        start = watch_start(s)
        begun = None if start is None else needs.moment((start, s.c.log[start]))
        why = f"{s.house.days('watch_days')} days without a move"
        yield _step(
            s, "refermentation_watch", ("sweeten", "sorbate", "cold_hold_end"), why, rule="watch_days", begun=begun
        )


def path(s: Subject) -> tuple[Step, ...]:
    """Return the steps still to come until bottling, in their order; empty once it is bottled."""
    if s.c.store:
        return ()
    steps = [*_ferment(s), *_young(s), *_hold(s), *_tests(s), *_cold(s), *_sweet(s)]
    waits = tuple(dict.fromkeys(step.action for step in steps))
    day = max(of_age(s), wished_bottling(s))
    final = day - s.days("final_to")
    why = "sulfite for the filling, and a reading after it"
    if final_so2.closed(s) is None:
        steps.append(_step(s, "final_so2", waits, why, rule="final_from", begin=final, more=(s.fact("final_to"),)))
        waits = ("final_so2",)
    by = "of age" if of_age(s) == day else "target date"
    steps.append(
        _step(s, "bottle", waits, f"all five kinds of stability proven, {by}", begin=day, more=(needs.wish(s),))
    )
    return tuple(steps)


LOOKS = ("clarity_check", "malolactic_check")
"""Steps that are a look once something has had its time: they stand on the day on which the look is due."""


def dated(steps: Iterable[Step], today: date, due: Mapping[str, date]) -> tuple[Dated, ...]:
    """Lay the steps on their days: each at the latest of its own day, its needs and today; a look when it is due.

    Args:
        steps: in their order.
        today: the day from which they are laid.
        due: the day on which each action is due that can be done.
    """
    ready: dict[str, date] = {}
    found = []
    for step in steps:
        waits = tuple(need for need in step.needs if need in ready)
        begin = max([today, *(ready[need] for need in waits), *([step.not_before] if step.not_before else [])])
        span = timedelta(days=step.days)
        done = begin + span if step.begun is None else max(begin, step.begun + span)
        if step.action in LOOKS and step.action not in ready and step.action in due:
            begin = max(begin, due[step.action])
            done = max(begin, done)
        # A step that comes twice is met by its last; whoever waits for it waits for both.
        ready[step.action] = max(done, ready.get(step.action, done))
        rules = changed_rules(step.facts)
        why = f"{step.why}.{rules}" if rules else step.why
        if step.action == "bottle" and step.not_before is not None and step.not_before < today:
            passed = f"{step.not_before.day} {step.not_before:%b %Y}"
            why = f"{why}; that day, {passed}, has passed: it moves to {begin.day} {begin:%b %Y}"
        because = _because(step, begin, waits, ready)
        found.append(Dated(step.action, begin, waits, why, done, (done - begin).days, because))
    return tuple(found)


def _because(step: Step, begin: date, waits: tuple[str, ...], ready: Mapping[str, date]) -> Because:
    days = {f"{need.replace('_', ' ')} done": ready[need] for need in waits}
    if step.not_before is not None:
        days["its own day"] = step.not_before
    days["so it can begin"] = begin
    facts = tuple(Fact(name, day.isoformat(), "", (), day) for name, day in days.items())
    return Because("path", step.why, (*facts, *step.facts), "the latest of today, its own day and what it waits for")


def held_up_by(found: tuple[Dated, ...]) -> tuple[Dated, ...]:
    """Return the steps that decide the day of the last one: the chain in which each waits for the one before it.

    Only steps that take days are named: nobody is held up by what is done the same day.
    """
    chain: list[Dated] = []
    place = len(found) - 1
    while place >= 0:
        step = found[place]
        if step.days > 0:
            chain.insert(0, step)
        before = [i for i in range(place) if found[i].action in step.needs and found[i].done == step.earliest]
        place = before[-1] if before else -1
    return tuple(chain)
