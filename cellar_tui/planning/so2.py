"""Free SO2: the target, what is free now, and the dose that brings it up."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date, timedelta

from cellar_tui.enology import legal, so2
from cellar_tui.enology.errors import SUGAR
from cellar_tui.ledger import kinds as k
from cellar_tui.ledger import trial_doses
from cellar_tui.ledger.contents import Event
from cellar_tui.planning import sulfur
from cellar_tui.planning.estimate import estimate
from cellar_tui.planning.forecast.belief import SHARE_LEAST, SHARE_MOST
from cellar_tui.planning.forecast.priors import about_to_be_sweetened, loss_rule, share_rule
from cellar_tui.planning.forecast.track import fading, track
from cellar_tui.planning.plan import Because, Dose, Fact
from cellar_tui.planning.small_lot import weighed, with_room
from cellar_tui.planning.subject import Subject

SOURCE = "Waterhouse, Sacks & Jeffery 2016, ch. 17; pKa 1.81 fitted to the UC table of 1982"


@dataclass(frozen=True, slots=True)
class Target:
    """Free SO2 aimed at [mg/L] and what it follows from."""

    free: float
    by_molecular: float
    floor: float
    molecular: float
    ph: float
    facts: tuple[Fact, ...]


def charted_ph(s: Subject) -> float:
    """Return the last pH, or the charted one where none is known."""
    return s.house.number("charted_ph") if s.ph is None else s.ph.value


def ph_facts(s: Subject) -> tuple[Fact, ...]:
    """Return the pH that is reckoned with, as inputs of an explanation."""
    if s.ph is None:
        return Fact("pH not known, taken as", charted_ph(s), "pH"), s.fact("charted_ph")
    return (Fact("pH", s.ph.value, "pH", s.ph.entries, s.ph.on),)


def _held_by_cold(s: Subject) -> bool:
    return s.alive_by_cold and s.sorbate <= 0


def molecular_wanted(s: Subject) -> float:
    """Return the molecular SO2 aimed at [mg/L]: more while live yeast is held by cold alone."""
    if _held_by_cold(s):
        return max(s.house.number("arrest_molecular"), s.intents.molecular_so2)
    return s.intents.molecular_so2


def by_molecular(s: Subject) -> float:
    """Return the free SO2 that the wine's own molecular target asks for at its pH [mg/L]."""
    return so2.free_needed(s.intents.molecular_so2, charted_ph(s))


def much_needed(s: Subject) -> bool:
    """Return whether a known pH asks for so much free SO2 that acid is tried before sulfite."""
    return s.ph is not None and by_molecular(s) > s.house.number("free_high")


def target(s: Subject) -> Target:
    """Return the free SO2 target [mg/L]: for the molecular target at its pH, or the floor against air."""
    ph = charted_ph(s)
    wanted = molecular_wanted(s)
    by_molecular = so2.free_needed(wanted, ph)
    gets_sorbate = s.sorbate > 0 or ((s.intents.sweet or s.alive_by_cold) and not s.intents.sterile_filtration)
    name = "free_floor_sorbate" if gets_sorbate else "" if s.intents.red else "free_floor"
    floor = s.house.number(name) if name else 0.0
    floor = min(floor, so2.free_needed(s.house.number("floor_molecular"), ph))
    facts = [*ph_facts(s), Fact("molecular SO2 aimed at", wanted, "mg/L", intent_entries(s, "molecular_so2"))]
    if _held_by_cold(s):
        facts.append(s.fact("arrest_molecular"))
    if name:
        facts += (s.fact(name), s.fact("floor_molecular"))
    return Target(max(by_molecular, floor), by_molecular, floor, wanted, ph, tuple(facts))


def target_rules(s: Subject) -> tuple[Fact, ...]:
    """Return the house rules that the free SO2 target rests on."""
    return tuple(fact for fact in target(s).facts if fact.house_rule)


def intent_entries(s: Subject, field: str = "") -> tuple[int, ...]:
    """Return the entry that last said what is wanted (of `field`, or at all), else the one that started the filling."""
    for _, event in reversed(s.events(k.Intent, k.Trial)):
        body = event.body
        if isinstance(body, k.Trial):
            if field in ("", "sweetness") and trial_doses.sweetness(body) is not None:
                return (event.entry,)
        elif not field or getattr(body, field) is not None or (isinstance(body, k.Intent) and body.style):
            return (event.entry,)
    return (s.c.filling,)


def share(s: Subject) -> tuple[float, tuple[Fact, ...]]:
    """Return the share of the next sulfite that stays free, and what it rests on.

    It is the house rule's, until the wine has a reading before a sulfite and one after it: then it is the wine's own.
    """
    rule = share_rule(s)
    usual, found = s.house.number(rule), track(s)
    if found is None or not found.told or about_to_be_sweetened(s):
        # What the dry wine showed of itself says little of the sweet one it is to be.
        return usual, (s.fact(rule),)
    own = round(found.belief.staying(usual), 2)
    return own, (
        Fact("fraction that stays free, from the wine's own history", own, "", found.told),
        s.fact(rule),
        *s.changed(*found.rules),
    )


def share_range(s: Subject) -> tuple[float, float]:
    """Return the range in which the share of the next sulfite that stays free probably lies.

    Of a wine that has shown its own share it is that one, a deviation each way. Else it lies between the house rules
    of a first and of a later dose; where the wine is sweet, cloudy or arrested, between that of such wines and of a
    first dose.
    """
    history = track(s)
    if history is not None and history.told and not about_to_be_sweetened(s):
        own, spread = history.belief.staying(s.house.number(share_rule(s))), history.belief.share_spread
        return max(own - spread, SHARE_LEAST), min(own + spread, SHARE_MOST)
    rules = ("share_sweet", "share_first") if share_rule(s) == "share_sweet" else ("share_first", "share_later")
    low, high = sorted(s.house.number(rule) for rule in rules)
    return low, high


def free_now(s: Subject, *, firm: bool = True) -> tuple[float | None, tuple[Fact, ...]]:
    """Return the free SO2 that a dose rests on [mg/L]: the last reading, thinned, plus what stays of sulfite since.

    `firm` takes only a reading that a dose may rest on; otherwise a single strip counts too.
    """
    last = s.free if firm or not sulfur.reads(s) else sulfur.reads(s)[-1]
    if last is None:
        return None, ()
    value = last.value
    facts = [Fact("last free SO2", last.value, "mg/L", last.entries, last.on)]
    for index, event in s.c.at(s.c.places.where("thins or sulfites", _thins_or_sulfites), last.index):
        if _thins(event):
            value *= event.before.volume / event.after.volume
        if event.so2 > 0 and index > s.end_index:
            part, part_facts = share(s.as_of(index))
            value += part * event.so2
            facts.append(Fact("sulfite since, mg/L total", round(event.so2, 1), "mg/L", (event.entry,), event.on))
            facts += part_facts
    return value, tuple(facts)


def expected(s: Subject, on: date | None = None) -> float | None:
    """Return the free SO2 of a day [mg/L], else after the last work on it; None where it was never read."""
    known = fading(s)
    found = estimate(known, known.since if on is None else on) if known is not None else None
    return None if found is None else found.free_so2


def daily_loss(s: Subject) -> tuple[float, tuple[Fact, ...]]:
    """Return the share of free SO2 lost in a day, and what it rests on: house rules and the wine's own readings."""
    found = track(s)
    if found is None:
        rule = loss_rule(s.vessel.material)
        return s.house.number(rule), (s.fact(rule),)
    rate = math.exp(found.belief.rate)
    losses = tuple(s.fact(rule) for rule in found.rules if rule.startswith("loss_"))
    rules = tuple(dict.fromkeys((*losses, *s.changed(*found.rules))))
    if len(found.readings) < 2:
        return rate, rules
    return rate, (Fact("share lost in a day", round(rate, 4), "", found.readings), *rules)


def longest(s: Subject) -> tuple[int, Fact]:
    """Return the longest time between two rechecks in this vessel [d], and the house rule it comes from."""
    name = {"oak": "recheck_oak", "plastic": "recheck_plastic"}.get(s.vessel.material, "recheck_full")
    return s.house.days(name), s.fact(name)


def molecular(free: float, ph: float) -> float:
    """Return molecular SO2 [mg/L]; a slip over what any wine holds is reckoned too, so that a guard can stop it."""
    return free * so2.molecular_fraction(ph)


def stings(s: Subject, raised: float) -> bool:
    """Return whether sulfite that raises total SO2 by so much [mg/L] takes the last reading to where it irritates."""
    now = free_now(s)[0]
    if now is None or s.ph is None:
        return False
    return molecular(now + share(s)[0] * raised, s.ph.value) > s.house.number("molecular_most")


def limit_at(s: Subject, sugar: float) -> legal.Limit:
    """Return the legal limit of total SO2 of this wine with so much sugar [g/L].

    More sugar than any wine holds, which a slip of the keyboard brings, has the limit of the richest.
    """
    return legal.total_so2_limit(s.house.word("jurisdiction"), s.intents.colour, min(max(sugar, 0.0), SUGAR.high))


def total_limit(s: Subject) -> float:
    """Return the legal limit of total SO2 for this wine [mg/L]; the home rules take the OIV's figures."""
    # The limit rises with sugar: only what is surely there counts.
    return limit_at(s, s.sugar_held.low if s.end is not None else 0.0).value


def aim(s: Subject, wanted: Target) -> tuple[float, tuple[Fact, ...]]:
    """Return the free SO2 a dose aims at [mg/L]: from there it is back at the target after the days it is to last."""
    rate, rate_facts = daily_loss(s)
    days = s.house.number("dose_lasts")
    lost = wanted.free * math.expm1(rate * days)
    above = min(max(lost, s.house.number("dose_least")), s.house.number("dose_most"))
    ceiling = so2.free_needed(s.house.number("molecular_most"), wanted.ph)
    limits = (s.fact(name) for name in ("dose_lasts", "dose_least", "dose_most", "molecular_most"))
    return min(wanted.free + above, ceiling), (*rate_facts, *limits)


def fit_until(s: Subject) -> tuple[date | None, tuple[Fact, ...]]:
    """Return the last day on which a dose may rest on the last free SO2 reading, None where there is none.

    It ends with the reading's age, or once free SO2 is too uncertain; it lasts as long as no new reading is asked for.
    """
    found = track(s)
    if s.free is None or found is None:
        return None, ()
    # Where the house reads again sooner than that, the reading comes first there too.
    age = min(s.house.days("dose_reading_age"), longest(s)[0] - 1)
    start = (found.at[0] - s.free.on).days
    spread = s.house.number("dose_spread")
    sure = next((days for days in range(age + 1) if found.belief.aged(days - start).spread >= spread), age + 1)
    days = max(s.house.days("recheck_least"), sure - 1)
    facts = (s.fact("dose_reading_age"), s.fact("dose_spread"), s.fact("recheck_least"))
    return s.free.on + timedelta(days=min(age, days)), facts


def ph_until(s: Subject) -> date | None:
    """Return the last day on which a dose may rest on the last pH, None where none was read."""
    return None if s.ph is None else s.ph.on + s.days("ph_age")


def dose(s: Subject, goal: float | None = None, goal_facts: tuple[Fact, ...] = ()) -> Dose | None:
    """Return the metabisulfite that brings free SO2 to `goal` [mg/L], else to the aim; None where none is worth it.

    `goal_facts` are what the goal rests on.
    """
    wanted = target(s)
    part, part_facts = share(s)
    now, now_facts = free_now(s)
    first = sulfur.sulfited(s) is not True
    facts = [*wanted.facts, *part_facts, *now_facts]
    note = f"{part:g} of it is taken to stay free"
    if s.ph is None and first and goal is None:
        blind = "dose_blind_malolactic" if s.ml.state == "done" else "dose_blind"
        raise_total = s.house.number(blind)
        facts.append(s.fact(blind))
        note = "pH not known: the usual first dose"
        formula = f"{raise_total:g} mg/L total, the usual first dose without a pH"
    else:
        if now is None and not first:
            return None
        if goal is None:
            goal, goal_facts = aim(s, wanted)
        facts += goal_facts
        raise_total = max(0.0, goal - (now or 0.0)) / part
        formula = "(aim - free now) / fraction that stays free x volume / (1000 x 0.576)"
        facts.append(Fact("free SO2 aimed at", round(goal, 1), "mg/L"))
    facts += (s.fact("jurisdiction"), *s.changed("dose_worth", "yeast_so2", "small_lot", "sample_volume"))
    room = total_limit(s) - s.total_so2
    if raise_total > room:
        raise_total = max(0.0, room)
        note += "; cut to the legal limit of total SO2"
    if raise_total <= 0 or raise_total < s.house.number("dose_worth"):
        return None
    stuff, amount, unit, made = weighed(s, raise_total)
    facts += [s.fact("small_lot"), s.fact("balance_step")] if made else s.changed("balance_step")
    facts += [Fact("volume", round(s.volume, 2), "L"), Fact("rise of total SO2", round(raise_total, 1), "mg/L")]
    note = f"+{raise_total:.0f} mg/L total; {note}" + (f"; {made}" if made else "")
    note = with_room(s, amount, unit, note)
    because = Because("sulfite", note, tuple(dict.fromkeys(facts)), formula, SOURCE)
    return Dose(stuff, amount, unit, note, because)


def charted_raise(s: Subject) -> float:
    """Return the SO2 from none free to the charted molecular SO2, at the house rule's share [mg/L total]."""
    return so2.free_needed(s.house.number("charted_molecular"), charted_ph(s)) / s.house.number(share_rule(s))


def _thins(event: Event) -> bool:
    """Return whether more wine or water came in."""
    return event.before.volume > 0 and event.after.volume > event.before.volume and not event.values


def _thins_or_sulfites(event: Event) -> bool:
    return event.so2 > 0 or _thins(event)
