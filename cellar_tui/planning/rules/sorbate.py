"""Sorbate goes in before any sugar: the wine clear 14 days after its last racking, crystals and haze shown.

Free SO2 stands on target by a reading not older than 7 days and no malolactic fermentation is alive. The dose is that
of the table for the wine as it will be, so the sweetness wished is asked for first.
"""

from __future__ import annotations

from collections.abc import Iterator

from cellar_tui.ledger import kinds as k
from cellar_tui.ledger import trial_doses
from cellar_tui.planning import arrested, handling, measure, so2
from cellar_tui.planning import sorbate as chemistry
from cellar_tui.planning.plan import Due, Fact
from cellar_tui.planning.rules import cautions, needs
from cellar_tui.planning.rules.base import ResponseForm, Rule, always, window
from cellar_tui.planning.spirit import by_spirit
from cellar_tui.planning.subject import Subject
from cellar_tui.planning.verdicts.table import settled

ID = "sorbate"
AGE = "sorbate_reading_age"


def wanted(s: Subject) -> bool:
    """Return whether its yeast must be held by sorbate: sugar is or will be in it, and no filter nor spirit does it."""
    sugar = s.sweetened and (s.sugar or 0.0) >= s.house.number("dry_sugar")
    return (
        s.end is not None
        and (s.intents.sweet or sugar or s.alive_by_cold)
        and not s.intents.sterile_filtration
        and by_spirit(s) is None
    )


def short(s: Subject) -> bool:
    """Return whether less sorbate is in than the wine as it will be asks for."""
    dose, will = chemistry.dose(s)
    stays = s.c.now.sorbate * will.stays / s.volume if s.volume > 0 else 0.0
    asked = stays + (dose.amount if dose else 0.0)
    return stays < asked * s.house.number("sorbate_effect") / 100


def stable(s: Subject) -> bool:
    """Return whether it is clear since its last racking, and crystals and haze are settled.

    An arrested wine is held by its cold until the sorbate is in, and racked twice off its yeast; any other has left
    the cold and its crystals first.
    """
    out = len(handling.rackings(s)) >= s.house.number("cold_rackings") if s.alive_by_cold else needs.off_crystals(s)
    return out and needs.clear_after_racking(s) and settled(s, "crystals") and settled(s, "haze")


def sweetness_unknown(s: Subject) -> bool:
    """Return whether nobody has said yet how sweet it is to be."""
    return s.intents.sweet and not s.sweetened and s.intents.sweetness is None


def sweetness_said(s: Subject) -> needs.Moment | None:
    """Return when the sweetness was last said."""
    events = s.events(k.Intent, k.Trial)
    said = [event for event in events if trial_doses.wished_sweetness(event[1].body) is not None]
    return needs.moment(said[-1]) if said else None


def needs_but_reading(s: Subject) -> bool:
    """Return whether sorbate is wanted and waits for nothing but a fresh free SO2 reading."""
    return _asked(s) and not chemistry.ph_first(s)


def needs_ph(s: Subject) -> bool:
    """Return whether sorbate is wanted and its dose waits for the first pH."""
    return _asked(s) and chemistry.ph_first(s)


def _asked(s: Subject) -> bool:
    return wanted(s) and stable(s) and not s.ml.live and short(s) and not _stirring(s)


def _stirring(s: Subject) -> bool:
    """Return whether an arrested wine has woken and not yet stood still again in the cold."""
    found = arrested.cold(s)
    return found is not None and found.woke is not None and not needs.held(s)


def rules(s: Subject) -> tuple[Fact, ...]:
    """Return the house rules that decide whether and when sorbate goes in."""
    return (
        s.fact("clarity_after"),
        s.fact("sorbate_effect"),
        *s.changed("dry_sugar", *(("ph_meter",) if s.ph is None else ())),
        *so2.target_rules(s),
        *needs.behind(s, "crystals", "haze"),
    )


def too_little(s: Subject) -> bool:
    """Return whether sorbate is in a wine with its sugar, and less than its strength and pH ask for now."""
    found = arrested.cold(s)
    loose = s.sweetened or (found is not None and found.freed is not None)
    if (
        not loose
        or s.intents.sterile_filtration
        or by_spirit(s) is not None
        or not s.added("sorbate", after=s.end_index)
    ):
        return False
    asked = chemistry.asked(s)
    return not asked.enough or s.sorbate < asked.dose * s.house.number("sorbate_effect") / 100


def _more(s: Subject) -> Iterator[Due]:
    """Yield what is open where the sorbate in a sweet wine is no longer enough, by a later pH or strength."""
    since, asked = needs.came_true(s, too_little), chemistry.asked(s)
    if since is None:
        return
    dose = chemistry.dose(s)[0] if asked.enough else None
    ways = "lower its pH by a trial, filter it sterile, or keep it cold and drink it"
    facts = (
        since.fact("not enough since"),
        Fact("potassium sorbate", round(s.sorbate), "mg/L"),
        Fact("needed at this strength and pH", round(asked.dose), "mg/L"),
        Fact("strength", round(s.alcohol or chemistry.WEAKEST, 1), "% vol"),
        *chemistry.ph_facts(s),
        *chemistry.effect_rules(s),
    )
    asks = f"{asked.dose:.0f} mg/L are needed" if asked.enough else "none that is allowed holds it here"
    yield window(
        ID,
        since.on,
        None,
        since.entry,
        f"its {s.sorbate:.0f} mg/L of sorbate no longer hold the yeast: {asks}",
        facts,
        dose=dose,
        formula="table dose x volume / 1000, less what is in",
        source="sorbate table",
        task=f"add more sorbate, or {ways}" if dose else ways,
    )


def due(s: Subject) -> Iterator[Due]:
    """Yield the sorbate addition."""
    if not s.c.store and too_little(s):
        yield from _more(s)
        return
    ready = None if s.c.store else needs.came_true(s, needs_but_reading)
    run = needs.on_target(s, AGE)
    if ready is None or not run:
        return
    met = needs.last_of(ready, needs.seen(run[0]), sweetness_said(s))
    dose, will = chemistry.dose(s)
    enough = chemistry.asked(s, will.alcohol).enough
    facts = (
        met.fact("needs met"),
        needs.free_fact(run[-1]),
        s.fact(AGE),
        *rules(s),
        *(dose.because.facts if dose else ()),
    )
    task = f"draw off {measure.litres(will.draw_off)}, then add sorbate" if will.draw_off > 0 else ""
    reason = "clear, stable and on target: now the yeast can be held"
    if sweetness_unknown(s):
        dose, task = None, "say first how sweet it is to be: record the intent sweetness"
        reason += "; the dose is that of the sweetened wine, so record the intent sweetness first"
    elif not enough:
        dose, task = None, "sorbate is not enough here: lower the pH, filter sterile, or leave it dry"
    yield window(
        ID,
        met.on,
        None,
        met.entry,
        reason,
        facts,
        dose=dose,
        task=task,
        formula="table dose x volume after the sugar / 1000",
        source="sorbate table",
        expires=run[-1].on + s.days(AGE),
    )


RULE = Rule(
    ID,
    "add sorbate",
    (
        "Sorbate does not kill yeast: in a clear, sulfited wine it stops the few cells left from "
        "multiplying. Always before sugar."
    ),
    due,
    (
        ResponseForm("intent", ("sweetness",), (), sweetness_unknown),
        ResponseForm("addition", ("amount",), (("material", "potassium_sorbate"),)),
    ),
    kit="scales",
    guards=always,
    cautions=(cautions.GERANIUM, cautions.SORBATE),
    source="sorbate table",
)
