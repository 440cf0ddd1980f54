"""Faults of an entry that can be seen from the entry alone; every fault is reported at once."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from cellar_tui.ledger import kinds as k
from cellar_tui.ledger import titrated
from cellar_tui.ledger.cellar_kinds import HouseRule, MaterialOnHand, Vessel, WineStart
from cellar_tui.ledger.fields import Spec, specs
from cellar_tui.ledger.house import SETTINGS, setting_fault
from cellar_tui.ledger.materials import MATERIALS

REQUIRED: dict[type[k.Body], tuple[str, ...]] = {
    k.Addition: ("material",),
    k.Press: ("volume",),
    k.Topping: ("volume",),
    k.Split: ("to", "volume"),
    k.Blend: ("source", "volume"),
    k.Loss: ("volume",),
    k.LabReport: ("laboratory",),
    k.Cleaning: ("how",),
    k.Check: ("test", "result"),
    k.Trial: ("material",),
    k.Decide: ("about", "choice", "reason"),
    k.Waive: ("stability", "reason"),
    k.Postpone: ("action", "until", "reason"),
    k.Skip: ("action", "reason"),
    k.Bottle: ("count", "size"),
    k.Bottles: ("count", "how"),
    k.Note: ("text",),
    Vessel: ("name", "capacity", "material"),
    WineStart: ("name", "style"),
    HouseRule: ("name",),
    MaterialOnHand: ("name",),
}


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing wrong with an entry: the field and a sentence that says what to do."""

    field: str
    message: str


def _figure(value: float) -> str:
    return f"{value:g}"


def _number_fault(name: str, value: float, spec: Spec) -> Fault | None:
    unit = f" {spec.unit}" if spec.unit and spec.unit not in ("pH", "SG") else ""
    if not math.isfinite(value):
        return Fault(name, f"{name} must be a number.")
    if value < 0 and spec.low >= 0:
        return Fault(name, f"{name} cannot be negative; write it as a positive number.")
    if not spec.low <= value <= spec.high:
        low, high = _figure(spec.low), _figure(spec.high)
        told = f"{name} {_figure(value)}{unit} cannot be right: it must lie between {low} and {high}{unit}."
        return Fault(name, told)
    return None


def _field_fault(name: str, value: Any, spec: Spec) -> Fault | None:
    if spec.sort == "number":
        return _number_fault(name, float(value), spec)
    if spec.sort == "list":
        return next((fault for item in value if (fault := _number_fault(name, float(item), spec))), None)
    if spec.sort == "words" and (strange := [one for one in value if one not in spec.choices]):
        return Fault(name, f"{name} has no word {strange[0]}; there are: {', '.join(spec.choices)}.")
    if spec.sort == "choice" and value not in spec.choices:
        return Fault(name, f"{name} must be one of: {', '.join(spec.choices)}.")
    if spec.sort == "text" and not str(value).strip():
        return Fault(name, f"{name} is empty; write it or leave it out.")
    return None


def _addition(body: k.Addition) -> Iterator[Fault]:
    if (body.amount is None) == (body.dose is None):
        yield Fault("amount", "give either the amount or the dose of the addition.")
    if 0 in (body.amount, body.dose):
        yield Fault("amount", "nothing was added: give the amount that went in.")
    if body.material and body.material not in MATERIALS and body.dose is not None:
        yield Fault("dose", f"{body.material} is the cellar's own material: give its amount in grams.")


NO_VALUE = frozenset({"method", "sample_temperature", *titrated.WITH})
"""Fields of a reading that say nothing of the wine by themselves."""


def _reading(body: k.Reading) -> Iterator[Fault]:
    yield from (Fault(field, message) for field, message in titrated.faults(body))
    if all(getattr(body, name) is None for name, _ in specs(k.Reading) if name not in NO_VALUE):
        yield Fault("reading", "type at least one value, such as pH 3.4 or free SO2 28.")
    if body.free_so2 is not None and body.total_so2 is not None and body.free_so2 > body.total_so2:
        yield Fault("free_so2", "free SO2 cannot be more than total SO2; test both again.")
    if body.second_strip is not None and (body.free_so2 is None or body.method != "strip"):
        yield Fault("second_strip", "a second strip goes with the first: give free SO2 by strip as well.")
    if body.brix is not None and body.method not in (None, "hydrometer", "refractometer"):
        yield Fault("method", "Brix is measured by hydrometer or refractometer.")
    if body.sg is not None and body.brix is not None:
        yield Fault("brix", "give the gravity as SG or as Brix, not both.")
    if body.dip is not None and body.ullage is not None:
        yield Fault("ullage", "give the dip of a tank or the ullage of a barrel, not both.")


def _check(body: k.Check) -> Iterator[Fault]:
    if body.opened is not None and body.test != "kept_bottle":
        yield Fault("opened", "bottles are opened to check retained ones only.")
    if body.opened is not None and body.opened != int(body.opened):
        yield Fault("opened", "count whole bottles.")
    for name in ("punch_downs", "pump_overs"):
        if getattr(body, name) is not None and body.test != "cap":
            yield Fault(name, f"{name.replace('_', ' ')} are counted for the cap only.")


def _tasting(body: k.Tasting) -> Iterator[Fault]:
    if body.look is None and not body.smelled:
        yield Fault("nose", "say what was found: look, nose, palate, faults or score.")
    if body.scale is not None and body.score is None:
        yield Fault("score", "a scale needs a score.")
    if body.scale is not None and body.score is not None and body.score > body.scale:
        yield Fault("score", f"score {body.score:g} is over the scale of {body.scale:g}.")


def _cleaning(body: k.Cleaning) -> Iterator[Fault]:
    if (body.how == "smelled") != (body.result is not None):
        yield Fault("result", "smelling at a vessel has a result: pass, or fail where it smells of mould or vinegar.")


def _chill(body: k.Chill) -> Iterator[Fault]:
    if bool(body.start) == bool(body.end):
        yield Fault("start", "say whether it starts or ends.")
    if body.temperature is None:
        yield Fault("temperature", "give the wine's own temperature at that moment.")


def _topping(body: k.Topping) -> Iterator[Fault]:
    if body.source is None and not body.outside:
        yield Fault("with", "say with which vessel, or outside and the name of the wine.")
    if body.outside and not body.wine:
        yield Fault("wine", "name the wine that came from outside.")


def _decide(body: k.Decide) -> Iterator[Fault]:
    if body.about and body.choice and body.choice not in k.DECISIONS[body.about]:
        yield Fault("choice", f"{body.about} is decided by: {', '.join(k.DECISIONS[body.about])}.")


def _intent(body: k.Intent) -> Iterator[Fault]:
    if all(getattr(body, name) is None for name, _ in specs(k.Intent)):
        yield Fault("intent", "say what is wanted, such as the day of bottling.")


def _wine(body: WineStart) -> Iterator[Fault]:
    if body.name and ":" in body.name:
        yield Fault("name", "a wine's name must not contain a colon.")
    if body.volume is None and body.count is None:
        yield Fault("volume", "volume is missing.")
    if (body.count is None) != (body.size is None):
        missing = "size" if body.size is None else "count"
        yield Fault(missing, "wine in bottles needs their count and their size, such as 24 of 750 mL.")
    if body.count is not None and body.count != int(body.count):
        yield Fault("count", "count whole bottles.")
    if body.count is not None and (body.skins or body.sg is not None):
        yield Fault("count", "a wine in bottles is no must: leave out skins and sg.")
    if body.style == "fortified" and body.colour is None:
        yield Fault("colour", "a fortified wine needs its colour: red, white, rose or fruit.")
    if body.malolactic is not None and not body.finished and body.malolactic == "done":
        yield Fault("malolactic", "malolactic done goes with a finished wine.")


def _vessel(body: Vessel) -> Iterator[Fault]:
    if body.name and ":" in body.name:
        yield Fault("name", "a vessel's name must not contain a colon.")
    if body.bung_diameter and body.head_diameter and body.head_diameter > body.bung_diameter:
        yield Fault("head_diameter", "a barrel is widest at its bung: look whether the two are mixed up.")


def _rule(body: HouseRule) -> Iterator[Fault]:
    if body.name not in SETTINGS:
        yield Fault("name", f"there is no house rule {body.name}; `cellar-tui rule` lists them.")
    elif body.value is not None and (message := setting_fault(body.name, body.value)):
        yield Fault("value", message)


def _bottle(body: k.Bottle) -> Iterator[Fault]:
    if body.filter not in (None, "sterile"):
        try:
            pore = float(str(body.filter).replace(",", "."))
        except ValueError:
            pore = -1.0
        if not 0.01 <= pore <= 500:
            yield Fault("filter", "filter is `sterile`, or the pore in um, such as 0.45.")
    if body.count is not None and body.count != int(body.count):
        yield Fault("count", "count whole bottles.")


def _bottles(body: k.Bottles) -> Iterator[Fault]:
    if body.count is not None and body.count != int(body.count):
        yield Fault("count", "count whole bottles.")


def _harvest(body: k.Harvest) -> Iterator[Fault]:
    if body.parcel is None and body.variety is None and body.kg is None:
        yield Fault("parcel", "say what came in: parcel, variety or kg.")
    if body.sg is not None and body.brix is not None:
        yield Fault("brix", "give the gravity as SG or as Brix, not both.")


def _press(body: k.Press) -> Iterator[Fault]:
    if body.fraction == "free_run" and body.to is None:
        yield Fault("to", "free run goes into a vessel of its own: say to which; the rest stays on the skins.")


_CHECKS: dict[type[k.Body], Any] = {
    k.Addition: _addition,
    k.Reading: _reading,
    k.LabReport: _reading,
    k.Tasting: _tasting,
    k.Cleaning: _cleaning,
    k.Check: _check,
    k.Chill: _chill,
    k.Topping: _topping,
    k.Decide: _decide,
    k.Intent: _intent,
    WineStart: _wine,
    Vessel: _vessel,
    HouseRule: _rule,
    k.Bottle: _bottle,
    k.Bottles: _bottles,
    k.Harvest: _harvest,
    k.Press: _press,
}


def faults(body: k.Body) -> list[Fault]:
    """Return everything that is wrong with an entry, in the order of its fields; an empty list means it is sound."""
    found = []
    kind = type(body)
    for name, spec in specs(kind):
        value = getattr(body, name)
        if value is None:
            if name in REQUIRED.get(kind, ()):
                shown = "with" if name == "source" and kind is not WineStart else name
                found.append(Fault(shown, f"{shown} is missing."))
        elif fault := _field_fault(name, value, spec):
            found.append(fault)
    check = _CHECKS.get(kind)
    if check is not None:
        found.extend(check(body))
    return found
