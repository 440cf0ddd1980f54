"""A dry red in a cellar of 12 C: on skins, pressed, a slow malolactic fermentation, crystals accepted, no waiver."""

from __future__ import annotations

from cellar_tui.ledger import kinds as k
from tests.planning.styles.walk import Walk


def pressed() -> Walk:
    """24 L on skins in a bucket, pressed at SG 1.009 into glass of 23 L on 20 September."""
    wine = Walk("dry_red", "2026-09-14", vessel="plastic", capacity=30.0, volume=24.0, sg=1.092, skins=True)
    assert wine.due("yeast") == ("2026-09-14", "2026-09-14")  # no SO2: the same day
    # a must is asked for pH, TA and nitrogen
    assert wine.due("ph_check") == wine.due("nutrient") == ("2026-09-14", "2026-09-14")
    wine.reading("2026-09-14", ph=3.5, ta=6.5, yan=280).add("2026-09-14", "yeast", 6).looks("2026-09-14", "cap").asks(
        "2026-09-14"
    )
    # gravity: daily on skins; cap: one action a day
    wine.asks("2026-09-15", gravity_check="2026-09-15", cap="2026-09-15")
    falls = {"2026-09-15": 1.085, "2026-09-16": 1.070, "2026-09-17": 1.052, "2026-09-18": 1.035, "2026-09-19": 1.020}
    for on, sg in falls.items():
        wine.asks(on, gravity_check=on, cap=on).reading(on, sg=sg, temperature=24).looks(on, "cap").asks(on)
    wine.reading("2026-09-20", sg=1.009, temperature=24).looks("2026-09-20", "cap")
    wine.asks("2026-09-20", press="2026-09-20")  # red at SG 1.010 to 0.998
    return wine.press("2026-09-20", wine.tell_vessel("glass", 23.0), 22.95).asks("2026-09-20")


def inoculated() -> Walk:
    """Dry on 28 September in the cold cellar, the culture in the same day, racked on 2 October onto oak."""
    rack = ("2026-09-21", "2026-09-23")  # pressed reds: heavy solids after 1 to 3 d
    wine = pressed().asks("2026-09-21", rack=rack).asks("2026-09-22", rack=rack, gravity_check="2026-09-22")
    wine.reading("2026-09-22", sg=1.000, temperature=22).rack("2026-09-22")
    wine.asks("2026-09-22", smell_check="2026-09-22").looks("2026-09-22", "smell")  # each racking
    wine.asks("2026-09-25", gravity_check="2026-09-25").reading("2026-09-25", sg=0.9942)  # every 3 d
    wine.asks("2026-09-28", gravity_check="2026-09-28").reading("2026-09-28", sg=0.9938)
    wine.asks(
        "2026-09-28",
        malolactic_start="2026-09-28",  # at dryness
        malolactic_check="2026-09-28",  # beside a malic reading
        smell_check="2026-09-28",  # end of ferment
    )
    wine.reading("2026-09-28", malic=2.5, temperature=12, ph=3.5).add("2026-09-28", "malolactic_culture", 2)
    wine.looks("2026-09-28", "smell").at("malolactic")
    wine.asks("2026-09-28", malolactic_conditions="2026-09-28")  # running under 18 C: at once
    wine.record("2026-09-28", k.Note(text="no room to warm it")).asks("2026-09-28")
    # what was noted is quiet for 14 d, to 12 October; first racking 3 to 10 d after the finish
    first = ("2026-10-01", "2026-10-08")
    wine.asks("2026-09-30").reading("2026-09-30", temperature=12)
    wine.asks("2026-10-01", rack=first)
    # gravity: 7 d after the first of the steady readings, 25 September
    wine.asks("2026-10-02", rack=first, gravity_check="2026-10-02")
    wine.reading("2026-10-02", sg=0.9938, temperature=12).rack("2026-10-02").looks("2026-10-02", "smell", "level")
    return wine.add("2026-10-02", "oak", 40).asks("2026-10-02").stands("2026-10-02", yeast="shown", bacteria="not_yet")


def oaked() -> Walk:
    """Malic acid falls slowly; the oak is tasted and left behind on 23 October."""
    wine = inoculated().asks("2026-10-12", malolactic_check="2026-10-12", malolactic_conditions="2026-10-12")  # 14 d
    wine.reading("2026-10-12", malic=1.8, temperature=12)
    wine.asks(
        "2026-10-16",
        smell_check="2026-10-16",  # 14 d without SO2
        level_look="2026-10-16",  # 14 d without SO2
        clarity_check="2026-10-16",  # 14 d after the racking
        oak_taste="2026-10-16",  # oak added: 14 d
        # malolactic conditions were read on the 12th, and cold still: not before the 19th
    )
    wine.looks("2026-10-16", "smell", "level", "taste").check("2026-10-16", "clarity", "fail")
    wine.record("2026-10-16", k.Note(text="as cold as before"))
    # red: a failed clarity check leads to a trial, but no fining while bacteria still stir the wine
    wine.asks("2026-10-16")
    # oak taste: then every 7 d until racked off
    wine.asks("2026-10-23", oak_taste="2026-10-23").looks("2026-10-23", "taste")
    wine.rack("2026-10-23").asks("2026-10-23", smell_check="2026-10-23")
    wine.looks("2026-10-23", "smell").record("2026-10-23", k.Note(text="cold")).asks("2026-10-23")
    # level: racked to the neck on 23 October, 14 d after that; malic: every 21 d below 15 C
    return wine.asks("2026-11-01").asks("2026-11-02", malolactic_check="2026-11-02")


def through() -> Walk:
    """Malic acid gone on 23 November, before the 60 d are over; sulfited on the 24th; crystals accepted."""
    wine = oaked().reading("2026-11-02", malic=1.0, temperature=12).looks("2026-11-02", "level").asks("2026-11-03")
    # smell and clarity 14 d after 23 October; conditions a week after they were read on 2 November
    wine.asks("2026-11-06", smell_check="2026-11-06", clarity_check="2026-11-06")
    wine.looks("2026-11-06", "smell", "clarity").stands("2026-11-06", haze="shown")  # red: clarity passed, no fining
    wine.asks("2026-11-20", smell_check="2026-11-20", level_look="2026-11-16", malolactic_conditions="2026-11-09")
    wine.looks("2026-11-20", "smell", "level").record("2026-11-20", k.Note(text="cold")).asks("2026-11-21")
    wine.asks("2026-11-23", malolactic_check="2026-11-23")  # 21 d
    wine.reading("2026-11-23", malic=0.15).at("ageing")
    dose = ("2026-11-23", "2026-11-26")  # first sulfite, encouraged: within 3 d; the pH is from before malolactic
    wine.asks("2026-11-23", sulfite=dose, ph_check=dose).reading("2026-11-23", ph=3.5)
    # pH 3.5: 0.5 mg/L molecular is 24.99 free, 24.99 x (e^(90 x 0.004) - 1) = 10.83 more for 90 d in glass, half of it
    # staying: 71.6 mg/L
    wine.weighs("sulfite", 22.95 * 71.6 / 576).sulfite("2026-11-24", 66).asks("2026-11-26")
    wine.asks("2026-11-27", so2_recheck="2026-11-27").so2("2026-11-27", 34)
    wine.stands("2026-11-27", yeast="shown", bacteria="shown", air="shown", crystals="not_yet", haze="shown")
    wine.asks("2026-11-27", cold_hold_start=("2026-11-27", "2027-04-02"))  # at least 6 weeks before 14 May
    wine.intent("2026-11-28", crystals_accepted=True).asks("2026-11-28")  # not served cold: its way out
    return wine.stands("2026-11-28", crystals="shown")


def kept() -> Walk:
    """The winter and spring: level every 30 d, smell every 60 d."""
    wine = through().so2("2026-12-20", 33).asks("2026-12-20", level_look="2026-12-20").looks("2026-12-20", "level")
    wine.so2("2027-01-19", 32).asks("2027-01-19", level_look="2027-01-19", smell_check="2027-01-19")
    wine.looks("2027-01-19", "level", "smell").so2("2027-02-18", 29)
    # keeping: under 25 + 5; the pH of 23 November is 87 d old and will do
    wine.asks("2027-02-18", level_look="2027-02-18", sulfite="2027-02-18").looks("2027-02-18", "level")
    wine.sulfite("2027-02-18", 10).asks("2027-02-20").asks("2027-02-21")
    wine.so2("2027-02-21", 35).so2("2027-03-20", 34)
    wine.asks("2027-03-20", level_look="2027-03-20", smell_check="2027-03-20").looks("2027-03-20", "level", "smell")
    wine.so2("2027-04-19", 33).asks("2027-04-19", level_look="2027-04-19").looks("2027-04-19", "level")
    return wine.reading("2027-05-02", free_so2=32, method="aspiration", ph=3.5).asks("2027-05-06")


def test_a_dry_red_goes_from_skins_to_kept_bottles_in_a_cold_cellar() -> None:
    wine = kept()
    # Minimum age 8 months from 14 September: 14 May. Final SO2 4 to 7 d before, a clarity check 7 d before.
    wine.asks("2027-05-07", final_so2=("2027-05-07", "2027-05-10"), clarity_check="2027-05-07")
    wine.looks("2027-05-07", "clarity").asks("2027-05-10", final_so2=("2027-05-07", "2027-05-10"))
    # 25 + 5 is aimed at: 1 mg/L short is no dose worth weighing, and the reading closes it
    wine.so2("2027-05-10", 29).asks("2027-05-13")
    wine.asks("2027-05-14", bottle=("2027-05-14", "2027-05-28")).at("ready")
    wine.stands("2027-05-14", yeast="shown", bacteria="shown", air="shown", crystals="shown", haze="shown")
    assert not [entry for entry in wine.entries if isinstance(entry.body, k.Waive)]
    wine.bottle("2027-05-14", 30).keeps("2027-05-28", "2027-08-12", "2028-05-13")  # 14, 90, 365 d
