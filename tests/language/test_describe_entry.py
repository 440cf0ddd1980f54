"""An entry is told in one line, as one cellar hand tells another."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest

from cellar_tui.language import describe_entry
from cellar_tui.ledger import cellar_kinds as c
from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.cellar_kinds import KINDS
from cellar_tui.ledger.entry import Entry
from cellar_tui.planning.plan import Because, Dose

NAMES = {3: "Barrel 2", 4: "Steel 4"}
DAY = date(2026, 11, 26)


def entry(body: k.Body) -> Entry:
    return Entry(7, b"k" * 16, DAY, None, datetime(2026, 11, 26, tzinfo=UTC), "ida", body, 3)


TOLD: list[tuple[k.Body, str]] = [
    (
        k.Series(temperature=-2.5, count=1585, lowest=-2.8, highest=2.2, digest="00", parts=1),
        "1585 temperatures of a logger, -2.8 C to 2.2 C, last -2.5 C",
    ),
    (k.Addition(material="potassium_metabisulfite", amount=2), "2 g potassium metabisulfite"),
    (k.Addition(material="so2_solution", amount=12), "12 mL SO2 solution"),
    (k.Addition(material="spirit", amount=1.5, purpose="fortify"), "1.5 L spirit, for fortify"),
    (k.Addition(material="potassium_sorbate", amount=4.5, dose=200), "4.5 g potassium sorbate (200 mg/L)"),
    (k.Reading(free_so2=31, ph=3.12, method="aspiration"), "pH 3.12, free SO2 31 mg/L by aspiration"),
    (k.Reading(sg=0.994, temperature=18), "SG 0.994, temperature 18 C"),
    (k.Reading(brix=21.5, method="refractometer"), "Brix 21.5 by refractometer"),
    (k.Racking(to=4, volume=98), "racked to Steel 4, 98 L left"),
    (k.Racking(volume=22), "racked, 22 L left"),
    (k.Racking(volume=22, cold=True), "racked cold, 22 L left"),
    (k.Press(to=4, volume=80), "pressed to Steel 4, 80 L left"),
    (k.Topping(source=4, volume=1.5), "topped with 1.5 L of Steel 4"),
    (k.Topping(outside=True, wine="Regent", volume=2), "topped with 2 L of Regent from outside"),
    (k.Split(to=4, volume=20, name="Regent sweet"), "20 L split off to Steel 4 as Regent sweet"),
    (k.Blend(source=4, volume=40, to=3, name="Cuvee"), "blended with 40 L of Steel 4 in Barrel 2 as Cuvee"),
    (k.Blend(source=9, volume=40), "blended with 40 L of another vessel"),
    (k.Filter(pore=0.45, sterile=True), "filtered sterile at 0.45 um"),
    (k.Loss(volume=0.7, reason="spilt"), "0.7 L lost: spilt"),
    (k.Gas(), "headspace covered with gas"),
    (k.Chill(start=True, temperature=-2, place="fridge"), "cold hold started at -2 C, fridge"),
    (k.Chill(end=True, temperature=1), "cold hold ended at 1 C"),
    (k.Check(test="heat_test", result="pass"), "heat test passed"),
    (k.Check(test="smell", result="fail", fault="rotten_egg"), "smell failed, rotten egg"),
    (k.Trial(material="bentonite", doses=(50, 100), chosen=75), "bench trial of bentonite, chose 75 g/hL"),
    (k.Trial(material="sugar", chosen=28, unit="g/L"), "bench trial of sugar, chose 28 g/L"),
    (
        k.Trial(material="copper_sulfate", chosen=0.2, unit="mg/L"),
        "bench trial of copper sulfate, chose 0.20 mg/L copper",
    ),
    (k.Intent(served_cold=True, sweetness=35), "wanted: sweetness 35 g/L, served cold yes"),
    (
        k.Decide(about="ferment_stuck", choice="warm", reason="cellar at 12 C"),
        "decided on ferment stuck: warm, cellar at 12 C",
    ),
    (k.Waive(stability="crystals", reason="sold at the door"), "crystals waived: sold at the door"),
    (
        k.Postpone(action="so2_recheck", until=date(2026, 12, 3), reason="kit is out"),
        "test free SO2 postponed to 3 Dec 2026: kit is out",
    ),
    (k.Skip(action="top_up", reason="under gas"), "top up skipped: under gas"),
    (k.Bottle(count=29, size=750, filter="sterile", left=0.5), "bottled 29 of 750 mL, filter sterile, 0.5 L left"),
    (k.Bottle(count=9, size=750, lot="L27152-8"), "bottled 9 of 750 mL, lot L27152-8"),
    (
        k.LabReport(alcohol=12.1, method="infrared", laboratory="North Lab", reference="77/3"),
        "alcohol 12.1 % vol by infrared (North Lab, report 77/3)",
    ),
    (
        k.Tasting(nose="pears", palate="thin", faults=("oxidised", "nail_varnish"), score=12, scale=20),
        "tasted: 12 of 20; nose pears; palate thin; faults: oxidised, nail varnish",
    ),
    (k.Cleaning(how="sulfur_stick", agent="10 g sulfur"), "empty vessel: sulfur stick with 10 g sulfur"),
    (k.Cleaning(how="smelled", result="fail"), "empty vessel: smelled: mould or vinegar"),
    (
        k.Check(test="cap", result="pass", punch_downs=2, pump_overs=1),
        "cap passed, punched down 2 times, pumped over once",
    ),
    (k.Bottles(count=6, how="kept"), "6 bottles kept back"),
    (k.Bottles(count=30, how="given", size=375, whom="the club"), "30 bottles of 375 mL given, the club"),
    (
        k.Harvest(parcel="Upper Field", variety="Riesling", kg=420.0, state="sound"),
        "taken in: parcel Upper Field, variety Riesling, 420 kg, state sound",
    ),
    (k.Note(text="smells of pear\nand bread"), "smells of pear and bread"),
    (
        c.WineStart(name="Solaris", style="sweet_white", volume=22.7, sg=1.088),
        "Solaris started: style sweet white, volume 22.7 L, SG 1.088",
    ),
    (c.Vessel(name="Tub", capacity=60, material="plastic"), "vessel Tub: capacity 60 L, material plastic"),
    (c.HouseRule(name="dry_sg", value="0.997"), "house rule dry sg set to 0.997"),
    (c.HouseRule(name="dry_sg"), "house rule dry sg put back to its default"),
    (
        c.MaterialOnHand(name="potassium_metabisulfite", strength=0.95, opened=DAY, amount=250),
        "on hand: potassium metabisulfite, 250 g, strength 0.95, opened 26 Nov 2026",
    ),
    (k.Bottles(count=2, how="given", whom="the neighbours"), "2 bottles given, the neighbours"),
    (
        k.Harvest(parcel="north slope", variety="Solaris", kg=31.5, state="sound"),
        "taken in: parcel north slope, variety Solaris, 31.5 kg, state sound",
    ),
    (c.Void(of=6), "withdrew entry 6"),
    (c.Rebuild(version=2), "plans worked out again by a newer program"),
]


@pytest.mark.parametrize(("body", "told"), TOLD)
def test_an_entry_reads_like_a_line_in_a_cellar_book(body: k.Body, told: str) -> None:
    assert describe_entry.entry(entry(body), NAMES) == told


def test_every_kind_of_entry_can_be_told() -> None:
    assert {type(body) for body, _ in TOLD} == set(KINDS.values())


@pytest.mark.parametrize(
    ("value", "unit", "units", "told"),
    [
        (2.0, "g", "metric", "2 g"),
        (87.0, "L", "us", "23 gal"),
        (4.0, "C", "us", "39.2 F"),
        (3.1, "pH", "metric", "pH 3.10"),
        (1.5, "bottles", "metric", "1.5 bottles"),
        (3.0, "", "metric", "3"),
    ],
)
def test_an_amount_is_told_in_the_units_of_the_house(value: float, unit: str, units: str, told: str) -> None:
    assert describe_entry.amount(value, unit, units) == told


def test_a_dose_is_told_with_its_material() -> None:
    dose = Dose("potassium_metabisulfite", 2.72, "g", "", Because("sulfite", "under target"))
    assert describe_entry.dose(dose) == "potassium metabisulfite 2.7 g"
