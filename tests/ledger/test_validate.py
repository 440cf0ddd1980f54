"""What is wrong with an entry by itself, all of it at once."""

from __future__ import annotations

import math
from typing import Any

import pytest

from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.cellar_kinds import KINDS, HouseRule, MaterialOnHand, Vessel, WineStart
from cellar_tui.ledger.fields import specs
from cellar_tui.ledger.validate import REQUIRED, faults

WINE: dict[str, Any] = {"name": "Hill", "style": "dry_white", "volume": 20.0}
SOUND: tuple[k.Body, ...] = (
    k.Reading(ph=3.2),
    k.Reading(free_so2=30.0, total_so2=30.0),
    k.Reading(brix=20.0, method="refractometer"),
    k.Addition(material="sugar", amount=100.0),
    k.Addition(material="potassium_metabisulfite", dose=50.0),
    k.Addition(material="walnut leaves", amount=5.0),
    k.Racking(),
    k.Press(volume=18.0),
    k.Split(to=2, volume=5.0),
    k.Topping(source=2, volume=1.0),
    k.Topping(outside=True, wine="Moor", volume=1.0),
    k.Blend(source=2, volume=5.0),
    k.Filter(),
    k.Loss(volume=1.0),
    k.Gas(),
    k.Chill(start=True, temperature=2.0),
    k.Chill(end=True, temperature=2.0),
    k.Check(test="smell", result="pass"),
    k.Trial(material="bentonite", doses=(10.0, 20.0), chosen=10.0),
    k.Intent(sweetness=30.0),
    k.Decide(about="malolactic_unwanted", choice="stop", reason="a white"),
    k.Waive(stability="haze", reason="red"),
    k.Skip(action="rack", reason="clear"),
    k.Bottle(count=20, size=750),
    k.Bottle(count=20, size=750, filter="sterile"),
    k.Bottle(count=20, size=750, filter="0,45"),
    k.Note(text="x"),
    Vessel(name="V1", capacity=23.0, material="glass"),
    WineStart(**WINE),
    HouseRule(name="steady_days", value="4"),
    WineStart(**(WINE | {"style": "fortified", "colour": "red"})),
    MaterialOnHand(name="sugar"),
)


@pytest.mark.parametrize("body", SOUND, ids=lambda body: body.kind)
def test_a_sound_entry_has_no_fault(body: k.Body) -> None:
    assert faults(body) == []


FAULTY: tuple[tuple[k.Body, list[str]], ...] = (
    (k.Reading(), ["reading"]),
    (k.Reading(method="strip", sample_temperature=20.0), ["reading"]),
    (k.Reading(ph=2.19), ["ph"]),
    (k.Reading(ph=4.81), ["ph"]),
    (k.Reading(volume=-1.0), ["volume"]),
    (k.Reading(free_so2=40.0, total_so2=39.0), ["free_so2"]),
    (k.Reading(sg=1.05, brix=12.0), ["brix"]),
    (k.Reading(brix=12.0, method="strip"), ["method"]),
    (k.Reading(ph=9.0, free_so2=40.0, total_so2=30.0, volume=-2.0), ["ph", "volume", "free_so2"]),
    (k.Addition(), ["material", "amount"]),
    (k.Addition(material="sugar", amount=1.0, dose=1.0), ["amount"]),
    (k.Addition(material="sugar", amount=0.0), ["amount"]),
    (k.Addition(material="walnut leaves", dose=1.0), ["dose"]),
    (k.Press(), ["volume"]),
    (k.Topping(volume=1.0), ["with"]),
    (k.Topping(outside=True, volume=1.0), ["wine"]),
    (k.Split(), ["to", "volume"]),
    (k.Blend(), ["with", "volume"]),
    (k.Loss(), ["volume"]),
    (k.Chill(start=True, end=True, temperature=2.0), ["start"]),
    (k.Chill(), ["start", "temperature"]),
    (k.Check(test="tea leaves", result="pass"), ["test"]),
    (k.Check(), ["test", "result"]),
    (k.Trial(material="bentonite", doses=(10.0, -1.0)), ["doses"]),
    (k.Intent(), ["intent"]),
    (k.Decide(about="malolactic_unwanted", choice="warm", reason="x"), ["choice"]),
    (k.Waive(stability="yeast"), ["reason"]),
    (k.Waive(stability="yeast", reason="  "), ["reason"]),
    (k.Postpone(action="rack"), ["until", "reason"]),
    (k.Bottle(count=1.5, size=750, filter="fine"), ["filter", "count"]),
    (k.Note(), ["text"]),
    (Vessel(name="a:b", capacity=0.0), ["capacity", "material", "name"]),
    (
        WineStart(**(WINE | {"name": "wine:x", "style": "fortified", "malolactic": "done"})),
        ["name", "colour", "malolactic"],
    ),
    (HouseRule(name="moon", value="full"), ["name"]),
    (HouseRule(name="steady_days", value="three"), ["value"]),
    (HouseRule(name="units", value="roman"), ["value"]),
)


@pytest.mark.parametrize(("body", "fields"), FAULTY, ids=lambda one: one.kind if isinstance(one, k.Body) else "")
def test_every_fault_is_named_at_once(body: k.Body, fields: list[str]) -> None:
    assert [fault.field for fault in faults(body)] == fields


@pytest.mark.parametrize(("body", "fields"), FAULTY, ids=lambda one: one.kind if isinstance(one, k.Body) else "")
def test_every_fault_is_a_sentence(body: k.Body, fields: list[str]) -> None:
    for fault in faults(body):
        assert fault.message.endswith(".")
        assert "None" not in fault.message


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_what_is_no_number_is_refused(value: float) -> None:
    assert [fault.field for fault in faults(k.Reading(ph=value))] == ["ph"]


def test_both_ends_of_a_range_are_allowed() -> None:
    for kind in KINDS.values():
        for name, spec in specs(kind):
            if spec.sort == "number":
                for value in (spec.low, spec.high):
                    told = kind(**{name: value})
                    assert f"{name} " not in "".join(f.message for f in faults(told) if "cannot be right" in f.message)


def test_what_is_required_is_a_field_of_its_kind() -> None:
    for kind, names in REQUIRED.items():
        assert set(names) <= {name for name, _ in specs(kind)}, kind.kind
