"""The dose chosen in a bench trial goes into the vessel: grams a hectolitre, or a litre, times the volume."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from cellar_tui.enology import fining
from cellar_tui.ledger import kinds as k
from cellar_tui.ledger import trial_doses
from cellar_tui.ledger.contents import Event
from cellar_tui.ledger.history import additions
from cellar_tui.ledger.materials import MATERIALS, amount_for_dose, material
from cellar_tui.planning.plan import Because, Dose, Due, Fact
from cellar_tui.planning.rules import needs
from cellar_tui.planning.rules.base import ResponseForm, Rule, window
from cellar_tui.planning.rules.fining_trial import sours, treats, trials
from cellar_tui.planning.subject import Subject

ID = "fine"


def _known(name: str) -> bool:
    return treats(name) or sours(name)


KNOWN = tuple(name for name in MATERIALS if _known(name))
SOURCE = "arithmetic; settling times: source not verified"


def _chosen(s: Subject) -> tuple[int, Event, k.Trial] | None:
    """Return the last trial whose dose is still to go in, None where there is none."""
    made = trials(s, -1, _known)
    if not made or not made[-1][2].chosen:
        return None
    index, _, trial = made[-1]
    gone_in = any(True for _ in additions(s.c, lambda name: name == trial.material, index))
    return None if gone_in else made[-1]


def _dose(s: Subject, trial: k.Trial, fact: Fact) -> Dose:
    name, chosen = trial.material or "", trial.chosen or 0.0
    shown = f"{chosen:g} {trial_doses.shown_unit(trial)}"
    if sours(name) and trial_doses.unit_of(trial) == trial_doses.FINING:
        shown = f"{trial_doses.in_mg_l(trial, chosen) / 1000:g} g/L"
    note = f"{shown} by the trial, in {s.volume:.3g} L"
    facts = (fact, Fact("volume", round(s.volume, 2), "L"))
    amount = amount_for_dose(name, _of_itself(trial, chosen), s.volume, None)
    return Dose(name, amount, material(name).unit, note, Because(ID, note, facts, _formula(trial), SOURCE))


def _of_itself(trial: k.Trial, chosen: float) -> float:
    """Return the dose as the material itself [mg/L]: copper is tried by the copper that its sulfate brings."""
    dose = trial_doses.in_mg_l(trial, chosen)
    return dose / fining.COPPER_SHARE if trial_doses.by_copper(trial) else dose


def _formula(trial: k.Trial) -> str:
    if trial_doses.by_copper(trial):
        return "mg/L copper x volume / 254.5"
    return {"g/hL": "g/hL x volume / 100", "g/L": "g/L x volume"}.get(
        trial_doses.unit_of(trial), "mg/L x volume / 1000"
    )


def due(s: Subject) -> Iterator[Due]:
    """Yield the fining that a trial has chosen."""
    found = None if s.c.store else _chosen(s)
    if found is None:
        return
    index, event, trial = found
    shown = (trial.material or "").replace("_", " ")
    unit = trial_doses.shown_unit(trial)
    fact = Fact(f"{shown} chosen in the trial", trial.chosen or 0.0, unit, (event.entry,), event.on)
    yield window(
        ID,
        event.on,
        None,
        needs.moment((index, event)).entry,
        "the trial has given the dose",
        (fact,),
        formula=_formula(trial),
        dose=_dose(s, trial, fact),
        source=SOURCE,
        task=f"add {shown}, stirred in well",
    )


def _with(name: str) -> Callable[[Subject], bool]:
    def holds(s: Subject) -> bool:
        found = _chosen(s)
        return found is not None and found[2].material == name

    return holds


def _own(s: Subject) -> bool:
    found = _chosen(s)
    return found is not None and found[2].material not in KNOWN


RULE = Rule(
    ID,
    "add the fining",
    "Add the trial dose, stir well, let it settle, rack, and repeat the test that failed.",
    due,
    (
        *(ResponseForm("addition", ("amount",), (("material", name),), _with(name)) for name in KNOWN),
        ResponseForm("addition", ("material", "amount"), (), _own),
    ),
    kit="scales",
    source=SOURCE,
)
