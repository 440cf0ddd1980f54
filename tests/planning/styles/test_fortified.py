"""A red stopped with spirit at SG 1.030, sugar left: a year in steel, steady because it is strong."""

from __future__ import annotations

import pytest

from tests.planning.styles.walk import Walk


def fortified() -> Walk:
    """19 L of 8.5 % vol and 2.41 L of spirit of 96 %: 18.5 % by mixing on 17 September."""
    wine = Walk(
        "fortified", "2026-09-10", vessel="steel", capacity=30.0, volume=19.0, lid="floating", sg=1.095, colour="red"
    )
    wine.reading("2026-09-10", ph=3.5, ta=6.0, yan=280).intent("2026-09-10", finish_sg=1.030)
    wine.asks("2026-09-10", yeast="2026-09-10").add("2026-09-10", "yeast", 5)
    wine.asks("2026-09-12", gravity_check="2026-09-12").reading("2026-09-12", sg=1.078, temperature=24)
    wine.reading("2026-09-14", sg=1.056, temperature=24).asks("2026-09-15")
    wine.asks("2026-09-16", gravity_check="2026-09-16").reading("2026-09-16", sg=1.036, temperature=24)
    # 0.006 above the mark: read again in 12 h, the spirit announced for the next day: SG 1.030 makes 8.8 % of SG 1.095
    wine.asks("2026-09-16").weighs("fortify", 2.33)
    wine.asks("2026-09-17", gravity_check="2026-09-17", fortify="2026-09-17")
    wine.reading("2026-09-17", sg=1.030, alcohol=8.5)
    # At the finish mark: spirit to 18.5 % by mixing. 19 L of 8.5 % weigh 18.75 kg with 6.8 % of ethanol by mass, the
    # spirit holds 93.9 %, wine of 18.5 % 14.97 %: 18.75 x 0.0817 / 0.789 = 1.94 kg at 0.807 kg/L are 2.41 L, where the
    # square without contraction asks 2.45.
    wine.asks("2026-09-17", fortify="2026-09-17").weighs("fortify", 2.406)
    wine.add("2026-09-17", "spirit", 2.41, 96).reading("2026-09-17", sg=1.005, ph=3.5).at("ageing")
    assert wine.subject().volume == pytest.approx(21.217, abs=0.01), "contracted by 0.2 L"
    assert wine.subject().alcohol == pytest.approx(18.5, abs=0.05)
    return wine


def sulfited() -> Walk:
    """Sulfited on 18 September, racked on the 21st, crystals accepted; the yeast shown on 1 October."""
    wine = fortified()
    dose = ("2026-09-17", "2026-09-20")  # first sulfite, either: fortified: within 3 d
    wine.asks("2026-09-17", sulfite=dose, smell_check="2026-09-17").looks("2026-09-17", "smell")
    wine.sulfite("2026-09-18", 66).asks("2026-09-19")
    wine.asks("2026-09-21", rack=("2026-09-20", "2026-09-24"), so2_recheck="2026-09-21")  # rack 3 to 7 d after
    wine.so2("2026-09-21", 33).stands("2026-09-21", bacteria="shown")  # the spirit, then free SO2 on target
    wine.asks(
        "2026-09-21",
        rack=("2026-09-20", "2026-09-24"),
        cold_hold_start=("2026-09-21", "2027-07-30"),  # at least 6 weeks before 10 September
    )
    wine.intent("2026-09-21", crystals_accepted=True).rack("2026-09-21").stands("2026-09-21", crystals="shown")
    wine.asks("2026-09-21", smell_check="2026-09-21").looks("2026-09-21", "smell", "level")
    wine.asks("2026-09-24", so2_recheck="2026-09-24").so2("2026-09-24", 32).stands("2026-09-24", air="shown")
    wine.so2("2026-10-01", 32).asks("2026-10-01", gravity_check="2026-10-01").reading("2026-10-01", sg=1.005)
    wine.asks("2026-10-01").stands("2026-10-01", yeast="shown")  # 18 % by mixing, SG steady 14 d
    wine.asks("2026-10-05", clarity_check="2026-10-05").looks("2026-10-05", "clarity")  # 14 d after the racking
    return wine.stands("2026-10-05", haze="shown", bacteria="shown").asks("2026-10-06")


def aged() -> Walk:
    """The year in steel: smell every 60 d, under a lid that lies on it, one more sulfite in February."""
    wine = sulfited().so2("2026-10-21", 32).asks("2026-10-21").looks("2026-10-21", "level")
    months = {
        "2026-11-20": 32,
        "2026-12-20": 31.5,
        "2027-01-19": 31,
        "2027-02-18": 29,
        "2027-03-20": 33,
        "2027-04-19": 33,
        "2027-05-19": 32,
        "2027-06-18": 32,
        "2027-07-18": 31.5,
        "2027-08-17": 31,
    }
    smelt = ("2026-11-20", "2027-01-19", "2027-03-20", "2027-05-19", "2027-07-18")
    for on, free in months.items():
        wine.so2(on, free)
        due = {"smell_check": on} if on in smelt else {}
        # February: under 25 + 5; the pH of September is older than 90 d, and no dose rests on it
        due |= {"ph_check": on} if on == "2027-02-18" else {}
        wine.asks(on, **due).looks(on, "level", *(["smell"] if on in smelt else []))
        if on == "2027-02-18":
            wine.reading(on, ph=3.5).asks(on, sulfite=on).sulfite(on, 8)
            wine.asks("2027-02-21").so2("2027-02-21", 34)
    return wine.reading("2027-08-17", ph=3.5).so2("2027-08-30", 31).asks("2027-09-02")


def test_a_fortified_red_goes_from_must_to_kept_bottles() -> None:
    wine = aged().asks("2027-09-03", final_so2=("2027-09-03", "2027-09-06"), clarity_check="2027-09-03")
    wine.looks("2027-09-03", "clarity").asks("2027-09-06", final_so2=("2027-09-03", "2027-09-06"))
    # 25 + 5 is aimed at: 2 mg/L short is no dose worth weighing, and the reading closes it
    wine.so2("2027-09-06", 28).asks("2027-09-09")
    # Minimum age 12 months from 10 September.
    wine.asks("2027-09-10", bottle=("2027-09-10", "2027-09-24")).at("ready")
    wine.stands("2027-09-10", yeast="shown", bacteria="shown", air="shown", crystals="shown", haze="shown")
    wine.bottle("2027-09-10", 28).keeps("2027-09-24", "2027-12-09", "2028-09-09")  # 14, 90, 365 d
