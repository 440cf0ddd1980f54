"""A rose for the next summer: a hot ferment, a cold test failed and made again, bottled at three months."""

from __future__ import annotations

from tests.planning.styles.walk import Walk


def sulfited() -> Walk:
    """Dry on 26 September, sulfited the day after, racked on the 30th: 22.95 L in glass of 23 L."""
    wine = Walk("rose", "2026-09-12", sg=1.085)
    wine.skip("2026-09-12", "ph_check")  # a must is asked for pH and TA: no meter yet
    # No SO2: yeast the same day; nitrogen is asked for until it is read.
    settle = ("2026-09-12", "2026-09-13")  # a rose must settles for 12 to 24 h
    wine.asks("2026-09-12", yeast="2026-09-12", nutrient="2026-09-12", settle=settle).add("2026-09-12", "yeast", 6)
    wine.asks("2026-09-13", nutrient=("2026-09-12", "2026-09-13")).reading("2026-09-13", yan=220).asks("2026-09-13")
    wine.asks("2026-09-14", gravity_check="2026-09-14").reading("2026-09-14", sg=1.068, temperature=23)
    wine.asks("2026-09-14", warm="2026-09-14")  # rose over 22 C: at once
    wine.reading("2026-09-15", temperature=19).asks("2026-09-15")
    wine.reading("2026-09-16", sg=1.045).reading("2026-09-18", sg=1.020).reading("2026-09-20", sg=1.000)
    wine.asks("2026-09-22").asks("2026-09-23", gravity_check="2026-09-23")  # every 3 d from SG 1.000 down
    wine.reading("2026-09-23", sg=0.9925).reading("2026-09-26", sg=0.992)
    dose = ("2026-09-26", "2026-09-27")  # first sulfite, prevented: within 1 d; the pH with the dose
    wine.asks("2026-09-26", sulfite=dose, ph_check=dose, smell_check="2026-09-26")
    wine.stands(
        "2026-09-26", yeast="in_progress", bacteria="not_yet", air="not_yet", crystals="not_yet", haze="not_yet"
    )
    wine.weighs("sulfite", 22.95 * 60 / 576)  # no meter: a first dose of 60 mg/L
    wine.reading("2026-09-26", ph=3.3).looks("2026-09-26", "smell")
    # pH 3.3: 25.52 free, 25.52 x (e^(90 x 0.004) - 1) = 11.06 more for 90 d in glass, half of it staying: 73.2 mg/L
    wine.weighs("sulfite", 22.95 * 73.2 / 576).sulfite("2026-09-27", 68)
    wine.stands("2026-09-27", bacteria="in_progress", air="in_progress")
    rack = ("2026-09-29", "2026-10-06")  # first racking: 3 to 10 d after
    wine.asks("2026-09-29", rack=rack)
    wine.asks(
        "2026-09-30",
        rack=rack,
        gravity_check="2026-09-30",  # 7 d after the first of the steady readings
        so2_recheck="2026-09-30",  # 3 d after a sulfite addition
    )
    wine.reading("2026-09-30", sg=0.992).so2("2026-09-30", 34).stands("2026-09-30", yeast="shown", air="in_progress")
    wine.rack("2026-09-30").asks("2026-09-30", smell_check="2026-09-30")
    wine.looks("2026-09-30", "smell", "level").stands("2026-09-30", yeast="shown", air="not_yet")
    return wine.asks("2026-10-03", so2_recheck="2026-10-03").so2("2026-10-03", 33).stands("2026-10-03", air="shown")


def cold_stable() -> Walk:
    """At -2.8 C from 16 October; the first cold test fails, the second passes on the 25th."""
    wine = sulfited().so2("2026-10-14", 32).asks("2026-10-14", clarity_check="2026-10-14")  # 14 d after the racking
    # 9 weeks before 12 December was 10 October: both ends the first
    wine.looks("2026-10-14", "clarity").asks("2026-10-14", haze_test="2026-10-14")
    wine.looks("2026-10-15", "heat_test").stands("2026-10-15", haze="shown")
    # at least 6 weeks before bottling
    wine.asks("2026-10-15", cold_hold_start=("2026-10-15", "2026-10-31"))
    wine.chill("2026-10-16", -2.8, "chiller").at("holding_cold").asks("2026-10-17")
    # 5 d at -2.8 C: to 21 October; the test 3 d before
    wine.asks("2026-10-18", cold_hold_check="2026-10-18", cold_test="2026-10-18")
    wine.reading("2026-10-18", temperature=-2.8).check("2026-10-18", "cold_test", "fail").asks("2026-10-18")
    wine.reading("2026-10-20", temperature=-2.8, free_so2=32, method="aspiration")
    wine.reading("2026-10-22", temperature=-2.8).stands("2026-10-22", crystals="in_progress")
    wine.asks("2026-10-22").reading("2026-10-24", temperature=-2.8)  # full of credit, but served cold: no end untested
    wine.asks("2026-10-24").asks("2026-10-25", cold_test="2026-10-25")  # fail: hold on, test again after 7 d
    wine.looks("2026-10-25", "cold_test").stands("2026-10-25", crystals="shown")
    wine.asks("2026-10-25", cold_hold_end="2026-10-25").warm("2026-10-25", -2.5)
    wine.asks("2026-10-25", rack="2026-10-25").rack("2026-10-25", cold=True)  # a cold racking the same day
    wine.asks("2026-10-25", smell_check="2026-10-25").looks("2026-10-25", "smell", "level").at("ageing")
    wine.asks("2026-10-28", so2_recheck="2026-10-28").so2("2026-10-28", 29)
    # keeping: under 25.5 + 5; and the pH is from before the cold hold
    wine.asks("2026-10-28", sulfite="2026-10-28", ph_check="2026-10-28").reading("2026-10-28", ph=3.28)
    wine.stands("2026-10-28", bacteria="in_progress")  # on target since 30 September: 28 d
    wine.asks("2026-10-28", sulfite="2026-10-28").sulfite("2026-10-28", 10)
    wine.asks("2026-10-31").so2("2026-10-31", 35)
    return wine.stands("2026-10-31", bacteria="shown")  # 31 d


def test_a_rose_goes_from_must_to_kept_bottles() -> None:
    wine = cold_stable().so2("2026-11-08", 34).asks("2026-11-08", clarity_check="2026-11-08")
    wine.looks("2026-11-08", "clarity").so2("2026-11-24", 33)
    wine.asks("2026-11-24", level_look="2026-11-24").looks("2026-11-24", "level")  # every 30 d
    wine.so2("2026-12-01", 32).asks("2026-12-04")
    # Minimum age 3 months from 12 September: 12 December. Final SO2 4 to 7 d before, a clarity check 7 d before.
    wine.asks("2026-12-05", final_so2=("2026-12-05", "2026-12-08"), clarity_check="2026-12-05")
    # target 24.4 and 5 for the filling are there already: the reading closes it
    wine.looks("2026-12-05", "clarity").so2("2026-12-08", 31).asks("2026-12-11")
    wine.asks("2026-12-12", bottle=("2026-12-12", "2026-12-26")).at("ready")
    wine.stands("2026-12-12", yeast="shown", bacteria="shown", air="shown", crystals="shown", haze="shown")
    wine.bottle("2026-12-12", 30).keeps("2026-12-26", "2027-03-12", "2027-12-12")  # 14, 90, 365 d
