"""Typed fields become an entry, or one refusal that names every fault."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

import pytest

from cellar_tui.language import parse_entry
from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.cellar_kinds import KINDS, MaterialOnHand, Vessel, WineStart
from cellar_tui.ledger.fields import specs

VESSELS = {"steel 4": 4}


def vessel(name: str) -> int:
    """Return the number of a vessel."""
    if name.casefold() not in VESSELS:
        raise LookupError(f"there is no vessel {name}.")
    return VESSELS[name.casefold()]


def read(kind: str, base: k.Body | None = None, bare: Mapping[str, str | None] | None = None, /, **said: str) -> k.Body:
    """Read fields as typed on 20 November 2026."""
    return parse_entry.read(kind, said, parse_entry.Typist(date(2026, 11, 20), vessel, bare or {}), base)


def faults(kind: str, /, **said: str) -> list[str]:
    """Return the fields at fault."""
    with pytest.raises(parse_entry.InputError) as refused:
        read(kind, **said)
    assert refused.value.field == refused.value.faults[0].field
    return [fault.field for fault in refused.value.faults]


@pytest.mark.parametrize(
    ("kind", "said", "body"),
    [
        ("reading", {"ph": "3,40", "free_so2": "28"}, k.Reading(ph=3.4, free_so2=28)),
        ("reading", {"sg": "1.090", "method": "Hydrometer"}, k.Reading(sg=1.09, method="hydrometer")),
        ("reading", {"temperature": "68 F"}, k.Reading(temperature=20)),
        (
            "addition",
            {"material": "Potassium metabisulfite", "amount": "1/2 g"},
            k.Addition(material="potassium_metabisulfite", amount=0.5),
        ),
        ("addition", {"material": "sugar", "dose": "20"}, k.Addition(material="sugar", dose=20_000)),
        ("addition", {"material": "bentonite", "dose": "30"}, k.Addition(material="bentonite", dose=300)),
        (
            "addition",
            {"material": "potassium_metabisulfite", "dose": "50"},
            k.Addition(material="potassium_metabisulfite", dose=50),
        ),
        (
            "addition",
            {"material": "spirit", "amount": "500 mL", "strength": "96"},
            k.Addition(material="spirit", amount=0.5, strength=96),
        ),
        (
            "addition",
            {"material": "potassium_metabisulfite", "amount": "2", "strength": "95 %"},
            k.Addition(material="potassium_metabisulfite", amount=2, strength=0.95),
        ),
        (
            "addition",
            {"material": "syrup", "amount": "100 mL", "strength": "600 g/L"},
            k.Addition(material="syrup", amount=100, strength=600),
        ),
        (
            "addition",
            {"material": "Walnut leaves", "amount": "5", "for": "body"},
            k.Addition(material="Walnut leaves", amount=5, purpose="body"),
        ),
        ("racking", {"to": "Steel 4", "cold": "yes"}, k.Racking(to=4, cold=True)),
        ("racking", {"cold": "N"}, k.Racking(cold=False)),
        ("topping", {"with": "steel 4", "volume": "1"}, k.Topping(source=4, volume=1)),
        ("topping", {"with": "Outside", "wine": "Moor", "volume": "1"}, k.Topping(outside=True, wine="Moor", volume=1)),
        ("intent", {"bottling": "+10d"}, k.Intent(bottling=date(2026, 11, 30))),
        ("intent", {"style": "sweet white"}, k.Intent(style="sweet_white")),
        (
            "trial",
            {"material": "bentonite", "doses": "10; 20 40"},
            k.Trial(material="bentonite", doses=(10.0, 20.0, 40.0)),
        ),
        # Sugar and acid are tried in g/L, copper in mg/L, a fining in g/hL, which its entry need not name.
        (
            "trial",
            {"material": "sugar", "doses": "0 20 28", "chosen": "28"},
            k.Trial(material="sugar", doses=(0.0, 20.0, 28.0), chosen=28.0, unit="g/L"),
        ),
        (
            "trial",
            {"material": "tartaric acid", "chosen": "50 g/hL"},
            k.Trial(material="tartaric_acid", chosen=0.5, unit="g/L"),
        ),
        (
            "trial",
            {"material": "copper_sulfate", "chosen": "0.1"},
            k.Trial(material="copper_sulfate", chosen=0.1, unit="mg/L"),
        ),
        (
            "trial",
            {"material": "gelatin", "doses": "20", "unit": "mg/l", "chosen": "2 g/hL"},
            k.Trial(material="gelatin", doses=(20.0,), chosen=20.0, unit="mg/L"),
        ),
        ("check", {"test": "cold test", "result": "PASS"}, k.Check(test="cold_test", result="pass")),
        ("note", {"text": "  two\nlines  "}, k.Note(text="two\nlines")),
        (
            "vessel",
            {"name": "V  1", "capacity": "6 US gal", "material": "glass"},
            Vessel(name="V 1", capacity=22.712470704, material="glass"),
        ),
        ("wine", {"name": "Hill", "style": "rose", "volume": "2 hL"}, WineStart(name="Hill", style="rose", volume=200)),
        (
            "material",
            {"name": "potassium_metabisulfite", "strength": "0.9", "opened": "yesterday"},
            MaterialOnHand("potassium_metabisulfite", 0.9, date(2026, 11, 19)),
        ),
    ],
)
def test_what_is_typed_becomes_an_entry(kind: str, said: dict[str, str], body: k.Body) -> None:
    assert parse_entry.read(kind, said, parse_entry.Typist(date(2026, 11, 20), vessel, {})) == body


def test_a_bare_number_is_in_the_unit_the_form_prints() -> None:
    assert read("loss", None, {"L": "gal"}, volume="2") == k.Loss(volume=7.570823568)  # two of 3.785411784 L
    assert read("loss", None, {"L": "gal"}, volume="2 L") == k.Loss(volume=2)


def test_a_bare_number_of_degrees_may_be_refused() -> None:
    with pytest.raises(parse_entry.InputError) as refused:
        read("reading", None, {"C": None}, temperature="60")
    assert "C or F" in str(refused.value)
    assert read("reading", None, {"C": None}, temperature="60 F").temperature == pytest.approx(15.56, abs=0.01)  # type: ignore[attr-defined]


def test_what_is_not_named_stays_and_an_empty_text_drops_it() -> None:
    base = k.Reading(ph=3.2, free_so2=28.0)
    assert read("reading", base, ph="3.4") == k.Reading(ph=3.4, free_so2=28.0)
    assert read("reading", base, ph=" ") == k.Reading(free_so2=28.0)


@pytest.mark.parametrize(
    ("kind", "said", "fields"),
    [
        ("reading", {"ph": "9", "free_so2": "5 kg", "colour": "red"}, ["free_so2", "colour", "ph"]),
        ("reading", {"ph": "acid"}, ["ph"]),
        ("reading", {}, ["reading"]),
        ("racking", {"to": "Steel 9"}, ["to"]),
        ("racking", {"cold": "maybe"}, ["cold"]),
        ("topping", {"with": "Steel 9", "volume": "3 kg"}, ["with", "volume"]),
        ("check", {"test": "tea leaves", "result": "pass"}, ["test"]),
        ("intent", {"bottling": "soon"}, ["bottling"]),
        ("addition", {"material": "potassium_metabisulfite", "amount": "2", "strength": "2"}, ["strength"]),
        ("note", {"text": "x" * 4001}, ["text"]),
        ("gas", {"colour": "red"}, ["colour"]),
    ],
)
def test_every_fault_is_told_at_once(kind: str, said: dict[str, str], fields: list[str]) -> None:
    assert faults(kind, **said) == fields


def test_a_fault_of_one_field_does_not_hide_as_missing_another() -> None:
    # The amount cannot be read; that it is therefore missing is not said too.
    assert faults("addition", material="sugar", amount="much") == ["amount"]
    assert faults("bottle", count="twenty", size="750") == ["count"]


def test_an_unknown_field_names_those_there_are_as_they_are_typed() -> None:
    with pytest.raises(parse_entry.InputError) as refused:
        read("topping", colour="red")
    assert "with" in str(refused.value)
    assert "source" not in str(refused.value)


def test_every_field_has_one_name_on_every_road() -> None:
    for kind in KINDS.values():
        names = [name for name, _ in specs(kind)]
        shown = [parse_entry.shown_name(name) for name in names]
        assert len(set(shown)) == len(shown), kind.kind
        assert [parse_entry.field_name(one) for one in shown] == names, kind.kind
