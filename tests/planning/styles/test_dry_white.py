"""A dry white: sulfited must, hungry yeast, a failed heat test mended with bentonite, a chiller, a January bottling."""

from __future__ import annotations

from cellar_tui.ledger import kinds as k
from tests.planning.styles.walk import Walk


def fermented() -> Walk:
    """From must to its last lees: 22.95 L in a plastic bucket of 30 L; potential alcohol about 12.8 % vol."""
    wine = Walk("dry_white", "2026-09-20", vessel="plastic", capacity=30.0, sg=1.090)
    asked = {"ph_check": "2026-09-20", "nutrient": "2026-09-20"}  # a must is asked for pH, TA and nitrogen
    settle = ("2026-09-20", "2026-09-21")  # a white must settles for 12 to 24 h; noon where no hour was given
    wine.asks("2026-09-20", yeast="2026-09-20", settle=settle, **asked).at("must")  # no SO2: yeast the same day
    wine.reading("2026-09-20", ph=3.2, ta=7.0, yan=140).sulfite("2026-09-20", 25)
    wine.asks("2026-09-20", settle=settle).asks("2026-09-21", yeast="2026-09-21", settle=settle)  # yeast 24 h after SO2
    wine.rack("2026-09-21").asks("2026-09-21", yeast="2026-09-21", smell_check="2026-09-21")  # each racking
    wine.looks("2026-09-21", "smell")
    wine.add("2026-09-21", "yeast", 6).at("fermenting").asks("2026-09-21")
    # 21.6 Brix needs about 214 mg/L YAN, 140 is there: half after 24 h
    wine.asks("2026-09-22", nutrient="2026-09-22").add("2026-09-22", "dap", 4).asks("2026-09-22")
    wine.asks("2026-09-23", gravity_check="2026-09-23")  # fermenting: every 2 d
    wine.reading("2026-09-23", sg=1.072, temperature=17).asks("2026-09-23")
    wine.asks("2026-09-25", gravity_check="2026-09-25").reading("2026-09-25", sg=1.054, temperature=17)
    wine.asks("2026-09-25", nutrient="2026-09-25")  # half at one third of the sugar: 36 of 90 points are gone
    wine.add("2026-09-25", "complex_nutrient", 4).asks("2026-09-25")
    wine.asks("2026-09-27", gravity_check="2026-09-27").reading("2026-09-27", sg=1.030, temperature=11.5)
    wine.asks("2026-09-27", warm="2026-09-27")  # white under 12 C: at once
    wine.reading("2026-09-28", temperature=16).asks("2026-09-28")
    wine.reading("2026-09-29", sg=1.008).reading("2026-10-01", sg=0.9925).asks("2026-10-03")
    wine.asks("2026-10-04", gravity_check="2026-10-04")  # every 3 d from SG 1.000 down
    return wine.reading("2026-10-04", sg=0.992)  # steady over 3 d, at or under 0.996: the ferment is finished


def sulfited() -> Walk:
    """Finished on 4 October, sulfited, racked into glass on the 8th, on target on the 11th."""
    wine = fermented().at("ageing").stands("2026-10-04", yeast="in_progress", crystals="not_yet", haze="not_yet")
    wine.asks(
        "2026-10-04",  # the pH of the must is 14 d old, not older
        sulfite=("2026-10-04", "2026-10-05"),  # first sulfite, prevented: within 1 d of the finish
        top_up="2026-10-04",  # plastic: a gap of 7 L is over 0.5 % and 50 mL
        smell_check="2026-10-04",  # end of ferment
    )
    wine.reading("2026-10-04", ph=3.2).looks("2026-10-04", "smell").then("gas", {}, "2026-10-04")
    wine.asks("2026-10-04", sulfite=("2026-10-04", "2026-10-05"))
    # pH 3.2: 0.8 mg/L molecular is 20.44 free; in plastic 20.44 x (e^(90 x 0.01) - 1) = 29.8 are lost in 90 d, 20 more
    # at the most; half stays: 80.9
    wine.weighs("sulfite", 22.95 * 80.9 / 576).sulfite("2026-10-05", 62).asks("2026-10-05")
    wine.stands("2026-10-05", yeast="in_progress", bacteria="in_progress", air="in_progress")
    wine.asks("2026-10-07", rack=("2026-10-07", "2026-10-14"))  # first racking: 3 to 10 d after the finish
    wine.asks(
        "2026-10-08",
        gravity_check="2026-10-08",  # finished: once, 7 d after the first of the steady readings
        so2_recheck="2026-10-08",  # 3 d after a sulfite addition
        rack=("2026-10-07", "2026-10-14"),
    )
    wine.reading("2026-10-08", sg=0.992, free_so2=31, total_so2=80, method="aspiration")
    wine.stands("2026-10-08", yeast="shown", bacteria="in_progress", air="shown", crystals="not_yet", haze="not_yet")
    wine.rack("2026-10-08", to=wine.tell_vessel("glass", 23.0))
    wine.asks("2026-10-08", smell_check="2026-10-08").stands("2026-10-08", air="lapsed")  # smell at each racking
    wine.looks("2026-10-08", "smell", "level").asks("2026-10-10")
    wine.asks("2026-10-11", so2_recheck="2026-10-11").so2("2026-10-11", 29)  # 3 d after a racking
    return wine.asks("2026-10-11").stands("2026-10-11", air="shown").rechecked("2026-10-11", 60)


def fined() -> Walk:
    """Clear on 22 October, hazy in the heat test, fined, racked and passed on 17 November. Wished 20 January."""
    wine = sulfited().so2("2026-10-22", 28)
    wine.asks("2026-10-22", clarity_check="2026-10-22").looks("2026-10-22", "clarity")  # 14 d after each racking
    # haze test: clear; at least 9 weeks before bottling
    wine.asks("2026-10-22", haze_test=("2026-10-22", "2026-11-18"))
    # haze test failed: at once
    wine.check("2026-10-24", "heat_test", "fail").asks("2026-10-24", fining_trial="2026-10-24")
    wine.record("2026-10-25", k.Trial(material="bentonite", doses=(40, 60, 80), chosen=60))
    wine.asks("2026-10-25", fine="2026-10-25").weighs("fine", 60 * 0.2295)  # a trial with a chosen dose; addition
    wine.add("2026-10-26", "bentonite", 13.8).stands("2026-10-26", haze="in_progress")  # bentonite begins it
    # it settles for 7 d, is racked off and tested again: only then comes the cold
    wine.asks("2026-10-26").so2("2026-11-02", 27).asks("2026-11-01").asks("2026-11-02", rack="2026-11-02")
    wine.rack("2026-11-02").asks("2026-11-02", smell_check="2026-11-02")
    wine.looks("2026-11-02", "smell", "level")
    wine.asks("2026-11-05", so2_recheck="2026-11-05").so2("2026-11-05", 27)
    wine.stands("2026-11-05", bacteria="in_progress")  # on target since 8 October: 28 d
    wine.so2("2026-11-16", 27).asks("2026-11-16", clarity_check="2026-11-16")
    wine.stands("2026-11-16", bacteria="shown")  # on target for 30 d or more, pH 3.5 or less, malic not tested
    wine.looks("2026-11-16", "clarity")
    wine.asks("2026-11-16", haze_test=("2026-11-16", "2026-11-18"))  # racking; retest
    wine.looks("2026-11-17", "heat_test").stands("2026-11-17", haze="shown")
    # cold hold start: haze shown, free SO2 on target within 14 d; at least 6 weeks before bottling
    return wine.asks("2026-11-17", cold_hold_start=("2026-11-17", "2026-12-09"))


def cold_stable() -> Walk:
    """Five days at -3 C, tested, racked off its crystals on 23 November, clear on 7 December."""
    wine = fined().chill("2026-11-18", -3.0, "chiller").at("holding_cold").asks("2026-11-18")
    wine.stands("2026-11-18", crystals="in_progress")
    wine.asks(
        "2026-11-20",
        cold_hold_check="2026-11-20",  # holding: every 2 d
        cold_test="2026-11-20",  # 3 d before the end is forecast: colder than -2.8 C takes 5 d, to 23 November
    )
    wine.reading("2026-11-20", temperature=-3).reading("2026-11-22", temperature=-3, free_so2=27, method="aspiration")
    wine.asks("2026-11-23", cold_test="2026-11-20").looks("2026-11-23", "cold_test")
    wine.stands("2026-11-23", crystals="shown").asks("2026-11-23", cold_hold_end="2026-11-23")  # credit 1, test passed
    wine.warm("2026-11-23", -2).asks("2026-11-23", rack="2026-11-23")  # then a cold racking the same day
    wine.rack("2026-11-23", cold=True).asks("2026-11-23", smell_check="2026-11-23")
    wine.looks("2026-11-23", "smell", "level").at("ageing")
    wine.asks("2026-11-26", so2_recheck="2026-11-26").so2("2026-11-26", 27)
    wine.so2("2026-12-07", 24)
    wine.asks(
        "2026-12-07",
        clarity_check="2026-12-07",  # 14 d after the racking
        sulfite="2026-12-07",  # keeping: at once under the target plus 5 mg/L: 25.4
        ph_check="2026-12-07",  # the pH was taken before the cold hold
    )
    wine.reading("2026-12-07", ph=3.18).looks("2026-12-07", "clarity").asks("2026-12-07", sulfite="2026-12-07")
    wine.sulfite("2026-12-07", 6).asks("2026-12-07")
    wine.asks("2026-12-10").so2("2026-12-10", 28).so2("2026-12-23", 27)
    return wine.asks("2026-12-23", level_look="2026-12-23").looks("2026-12-23", "level")  # every 30 d


def test_a_dry_white_goes_from_must_to_kept_bottles() -> None:
    wine = cold_stable().so2("2027-01-09", 26).asks("2027-01-12")
    # Minimum age 4 months from 20 September: wished bottling 20 January.
    final = ("2027-01-13", "2027-01-16")  # final SO2: 4 to 7 d before bottling
    wine.asks("2027-01-13", final_so2=final, clarity_check="2027-01-13")  # clarity: again 7 d before
    # pH 3.18: 20 against air + 5 is aimed at: 1 mg/L short is no dose worth weighing, and the reading closes it
    wine.looks("2027-01-13", "clarity").asks("2027-01-15", final_so2=final).so2("2027-01-15", 24)
    wine.asks("2027-01-19").asks("2027-01-20", bottle=("2027-01-20", "2027-02-03")).at("ready")  # from the wished day
    wine.stands("2027-01-20", yeast="shown", bacteria="shown", air="shown", crystals="shown", haze="shown")
    # 14, 90, 365 d after bottling
    wine.bottle("2027-01-20", 30).asks("2027-01-20").keeps("2027-02-03", "2027-04-20", "2028-01-20")
