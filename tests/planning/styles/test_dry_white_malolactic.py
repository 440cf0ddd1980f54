"""A white through malolactic fermentation in a barrel: topped every four weeks, cold stable without a cold hold."""

from __future__ import annotations

from tests.planning.styles.walk import Walk


def inoculated() -> Walk:
    """98 L in a barrel of 100 L, dry on 23 September, the culture in the same day. Potential alcohol 12.8 %."""
    wine = Walk("dry_white_malolactic", "2026-09-10", vessel="oak", capacity=100.0, volume=98.0, sg=1.090)
    wine.reading("2026-09-10", ph=3.3, ta=6.5, yan=280).asks(
        "2026-09-10",
        yeast="2026-09-10",
        settle=("2026-09-10", "2026-09-11"),  # 12 to 24 h
    )
    # read clear enough it has settled: under 250 NTU
    wine.reading("2026-09-10", turbidity=180).asks("2026-09-10", yeast="2026-09-10").add("2026-09-10", "yeast", 25)
    wine.asks("2026-09-12", gravity_check="2026-09-12").reading("2026-09-12", sg=1.070, temperature=18)
    wine.reading("2026-09-14", sg=1.045).reading("2026-09-16", sg=1.020).reading("2026-09-18", sg=1.002)
    wine.asks("2026-09-20", gravity_check="2026-09-20").reading("2026-09-20", sg=0.992)
    wine.asks("2026-09-22").asks("2026-09-23", gravity_check="2026-09-23").reading("2026-09-23", sg=0.9915)
    wine.asks(
        "2026-09-23",
        malolactic_start="2026-09-23",  # encouraged: at dryness
        malolactic_check="2026-09-23",  # beside a malic reading: it may be through already
        smell_check="2026-09-23",  # end of ferment
    )
    wine.at("malolactic").reading("2026-09-23", malic=3.0, temperature=19, ph=3.3)
    return wine.add("2026-09-23", "malolactic_culture", 2).looks("2026-09-23", "smell").asks("2026-09-23")


def through() -> Walk:
    """Malic acid gone on 27 October, sulfited the day after, on target on the 31st."""
    wine = inoculated()
    rack = ("2026-09-26", "2026-10-03")  # first racking: 3 to 10 d after, off gross lees
    wine.asks("2026-09-26", rack=rack)
    wine.asks("2026-09-27", rack=rack, gravity_check="2026-09-27")  # 7 d after the first of the steady readings
    wine.reading("2026-09-27", sg=0.9915).stands("2026-09-27", yeast="shown", bacteria="not_yet", air="not_yet")
    wine.rack("2026-09-27").asks("2026-09-27", smell_check="2026-09-27").looks("2026-09-27", "smell")
    wine.asks("2026-10-06").asks("2026-10-07", malolactic_check="2026-10-07")  # first 14 d after the start
    wine.reading("2026-10-07", malic=2.2, temperature=16)
    wine.asks("2026-10-07", malolactic_conditions="2026-10-07")  # running, under 18 C: at once
    wine.reading("2026-10-08", temperature=19).asks("2026-10-08")
    # smell: 14 d without SO2; clarity: 14 d after the racking
    wine.asks("2026-10-11", smell_check="2026-10-11", clarity_check="2026-10-11")
    wine.looks("2026-10-11", "smell").check("2026-10-11", "clarity", "fail").asks("2026-10-16")
    wine.asks("2026-10-17", malolactic_check="2026-10-17")  # every 10 d while malic falls
    wine.reading("2026-10-17", malic=1.2, temperature=19).asks("2026-10-20")
    wine.asks("2026-10-21", top_up="2026-10-21").top("2026-10-21", 0.2).asks("2026-10-21")  # oak: every 4 weeks
    wine.asks("2026-10-25", smell_check="2026-10-25").looks("2026-10-25", "smell")
    wine.asks("2026-10-27", malolactic_check="2026-10-27").reading("2026-10-27", malic=0.15).at("ageing")
    dose = ("2026-10-27", "2026-10-30")  # first sulfite, encouraged: within 3 d; the pH is from before malolactic
    wine.asks("2026-10-27", sulfite=dose, ph_check=dose).reading("2026-10-27", ph=3.4)
    # pH 3.4: 31.92 free, in oak 33.7 are lost in 90 d, 20 more at the most, half of it staying: 103.8 mg/L
    wine.weighs("sulfite", 98.2 * 103.8 / 576).sulfite("2026-10-28", 84)
    wine.stands("2026-10-28", bacteria="in_progress", air="in_progress").asks("2026-10-30")
    wine.asks("2026-10-31", so2_recheck="2026-10-31")  # 3 d after a sulfite addition
    wine.reading("2026-10-31", free_so2=42, total_so2=90, method="aspiration")
    return wine.stands(
        "2026-10-31", yeast="shown", bacteria="shown", air="shown", crystals="not_yet", haze="not_yet"
    ).rechecked("2026-10-31", 30)


def stable() -> Walk:
    """Racked, clear, heat stable on 18 November, conductivity drop 4 % on the 20th. Wished 10 March."""
    wine = through().asks("2026-11-01", rack="2026-11-01").rack("2026-11-01")  # about 5 weeks after the first
    wine.asks("2026-11-01", smell_check="2026-11-01").looks("2026-11-01", "smell").stands("2026-11-01", air="lapsed")
    wine.asks("2026-11-04", so2_recheck="2026-11-04").so2("2026-11-04", 40).stands("2026-11-04", air="shown")
    wine.so2("2026-11-15", 39).asks("2026-11-15", clarity_check="2026-11-15").looks("2026-11-15", "clarity")
    haze = ("2026-11-15", "2027-01-06")  # clear; at least 9 weeks before bottling
    wine.asks("2026-11-15", haze_test=haze)
    wine.asks("2026-11-18", haze_test=haze, top_up="2026-11-18").top("2026-11-18", 0.2)  # 4 weeks
    wine.looks("2026-11-18", "heat_test").stands("2026-11-18", haze="shown", crystals="not_yet")
    wine.asks("2026-11-18", cold_hold_start=("2026-11-18", "2027-01-27"))  # at least 6 weeks before bottling
    wine.reading("2026-11-20", conductivity_drop=4.0).asks("2026-11-20")  # conductivity drop under 5 %, without a hold
    return wine.stands("2026-11-20", crystals="shown")


def kept() -> Walk:
    """The winter in the barrel, to the last week of February."""
    wine = stable().so2("2026-11-29", 36).asks("2026-11-29", sulfite="2026-11-29")  # keeping: under 31.9 + 5
    wine.sulfite("2026-11-29", 12).asks("2026-11-30").asks("2026-12-02")
    wine.so2("2026-12-02", 42).so2("2026-12-16", 41).asks("2026-12-16", top_up="2026-12-16").top("2026-12-16", 0.2)
    wine.so2("2026-12-31", 39).asks("2026-12-31", smell_check="2026-12-31").looks("2026-12-31", "smell")  # 60 d
    wine.so2("2027-01-13", 38).asks("2027-01-13", top_up="2027-01-13").top("2027-01-13", 0.2)
    wine.rechecked("2027-01-13", 30).so2("2027-02-10", 36)
    # the pH is of 27 October: 106 d, older than 90 d, and no dose rests on it
    wine.asks("2027-02-10", top_up="2027-02-10", ph_check="2027-02-10").reading("2027-02-10", ph=3.4)
    wine.asks("2027-02-10", top_up="2027-02-10", sulfite="2027-02-10").sulfite("2027-02-10", 12).top("2027-02-10", 0.2)
    # 90 + 12 + 12 = 114 mg/L is over 100, but only 24 of it came since the total was read
    wine.asks("2027-02-10").asks("2027-02-13")
    wine.reading("2027-02-13", free_so2=42, total_so2=95, method="aspiration").asks("2027-02-19")
    wine.so2("2027-02-27", 40).asks("2027-02-28")
    return wine.asks("2027-03-01", smell_check="2027-03-01").looks("2027-03-01", "smell")  # 60 d


def test_a_barrel_white_goes_through_malolactic_fermentation_to_kept_bottles() -> None:
    wine = kept().asks("2027-03-02")
    # Minimum age 6 months from 10 September: 10 March. Final SO2 4 to 7 d before, a clarity check 7 d before.
    wine.asks("2027-03-03", final_so2=("2027-03-03", "2027-03-06"), clarity_check="2027-03-03")
    wine.looks("2027-03-03", "clarity").so2("2027-03-05", 38).asks("2027-03-09")  # 31.9 and 5 more are there
    wine.asks("2027-03-10", bottle=("2027-03-10", "2027-03-24"), top_up="2027-03-10").at("ready")
    wine.stands("2027-03-10", yeast="shown", bacteria="shown", air="shown", crystals="shown", haze="shown")
    wine.bottle("2027-03-10", 130).keeps("2027-03-24", "2027-06-08", "2028-03-09")  # 14, 90, 365 d
