"""A dry fruit wine: enzyme and yeast at crush, fed unmeasured, pressed off its pulp, a fridge test and no cold hold."""

from __future__ import annotations

from tests.planning.styles.walk import Walk


def pressed() -> Walk:
    """24 L on pulp in a bucket from 1 August, pressed into glass on the 6th at SG 1.032."""
    wine = Walk(
        "dry_fruit", "2026-08-01", vessel="plastic", capacity=30.0, volume=24.0, sg=1.085, skins=True, source="fruit"
    )
    assert wine.due("pectic_enzyme") == ("2026-08-01", "2026-08-01")  # fruit: at crush
    assert wine.due("yeast") == ("2026-08-01", "2026-08-01")  # no SO2: the same day
    wine.add("2026-08-01", "pectic_enzyme", 2).add("2026-08-01", "yeast", 5).looks("2026-08-01", "cap")
    wine.asks("2026-08-01")
    # nutrient: fruit never measured, half after 24 h; gravity daily on pulp; cap one action a day
    wine.asks("2026-08-02", nutrient="2026-08-02", gravity_check="2026-08-02", cap="2026-08-02")
    wine.reading("2026-08-02", sg=1.076, temperature=21).looks("2026-08-02", "cap").add("2026-08-02", "dap", 3)
    wine.asks("2026-08-02").asks("2026-08-03", gravity_check="2026-08-03", cap="2026-08-03")
    wine.reading("2026-08-03", sg=1.066, temperature=21).looks("2026-08-03", "cap").asks("2026-08-03")
    wine.reading("2026-08-04", sg=1.050, temperature=21).looks("2026-08-04", "cap")
    wine.asks("2026-08-04", nutrient="2026-08-04")  # half at one third of the sugar: 35 of 85 points are gone
    wine.add("2026-08-04", "complex_nutrient", 3).asks("2026-08-04")
    wine.reading("2026-08-05", sg=1.040, temperature=21).looks("2026-08-05", "cap").asks("2026-08-05")
    wine.reading("2026-08-06", sg=1.032, temperature=21).looks("2026-08-06", "cap")
    wine.asks("2026-08-06", press=("2026-08-06", "2026-08-08"))  # fruit at 5 to 7 d or SG 1.030
    return wine.press("2026-08-06", wine.tell_vessel("glass", 23.0), 22.95).asks("2026-08-07")


def sulfited() -> Walk:
    """Dry on 15 August, sulfited the day after, racked on the 19th, on target on the 22nd."""
    wine = pressed().asks("2026-08-08", gravity_check="2026-08-08").reading("2026-08-08", sg=1.016)  # every 2 d
    wine.reading("2026-08-10", sg=1.002).reading("2026-08-12", sg=0.9935).asks("2026-08-14")
    wine.asks("2026-08-15", gravity_check="2026-08-15").reading("2026-08-15", sg=0.993)
    dose = ("2026-08-15", "2026-08-16")
    wine.asks("2026-08-15", sulfite=dose, ph_check=dose, smell_check="2026-08-15")
    wine.stands(
        "2026-08-15", yeast="in_progress", bacteria="not_yet", air="not_yet", crystals="not_yet", haze="not_yet"
    )
    wine.reading("2026-08-15", ph=3.3).looks("2026-08-15", "smell")
    wine.weighs("sulfite", 22.95 * 73.2 / 576).sulfite("2026-08-16", 68).asks(
        "2026-08-17"
    )  # 25.5 + 11.1 for 90 d in glass, half free
    rack = ("2026-08-18", "2026-08-25")
    wine.asks("2026-08-19", rack=rack, gravity_check="2026-08-19", so2_recheck="2026-08-19")
    wine.reading("2026-08-19", sg=0.993, free_so2=34, method="aspiration").rack("2026-08-19")
    wine.asks("2026-08-19", smell_check="2026-08-19").looks("2026-08-19", "smell", "level")
    wine.stands("2026-08-19", yeast="shown", bacteria="in_progress")
    return wine.asks("2026-08-22", so2_recheck="2026-08-22").so2("2026-08-22", 33).stands("2026-08-22", air="shown")


def stable() -> Walk:
    """Clear on 2 September, heat and pectin tests passed on the 3rd, the fridge test on the 10th. Wished 1 December."""
    wine = sulfited().so2("2026-09-02", 32).asks("2026-09-02", clarity_check="2026-09-02")
    wine.looks("2026-09-02", "clarity")
    haze = ("2026-09-02", "2026-09-29")  # at least 9 weeks before bottling
    cold = ("2026-09-02", "2026-10-20")  # fruit without grape or tartaric acid: clear, no hold, at least 6 weeks
    wine.asks("2026-09-02", haze_test=haze, cold_test=cold).looks("2026-09-03", "heat_test")
    wine.asks("2026-09-03", haze_test=haze, cold_test=cold)  # fruit: pectin test too
    wine.looks("2026-09-03", "pectin_test").stands("2026-09-03", haze="shown").asks("2026-09-03", cold_test=cold)
    wine.so2("2026-09-10", 32).looks("2026-09-10", "fridge_test").asks("2026-09-10")
    wine.stands("2026-09-10", crystals="shown", bacteria="in_progress").so2("2026-09-18", 32)
    wine.stands("2026-09-18", bacteria="shown")  # on target since 19 August: 30 d
    return wine.asks("2026-09-18", level_look="2026-09-18").looks("2026-09-18", "level")


def kept() -> Walk:
    """The autumn, with one more sulfite."""
    wine = stable().so2("2026-10-18", 29)
    # level 30 d, smell 60 d; keeping: under 25.5 + 5, on a pH 64 d old
    wine.asks("2026-10-18", level_look="2026-10-18", smell_check="2026-10-18", sulfite="2026-10-18")
    wine.looks("2026-10-18", "level", "smell").sulfite("2026-10-18", 10).asks("2026-10-20")
    # a later sulfite is followed on the forecast's day
    wine.asks("2026-10-21").so2("2026-10-21", 34)
    wine.reading("2026-11-17", free_so2=33, method="aspiration", ph=3.3)
    wine.asks("2026-11-17", level_look="2026-11-17").looks("2026-11-17", "level")
    return wine.so2("2026-11-20", 33).asks("2026-11-23")


def test_a_dry_fruit_wine_goes_from_pulp_to_kept_bottles() -> None:
    wine = kept().asks("2026-11-24", final_so2=("2026-11-24", "2026-11-27"), clarity_check="2026-11-24")
    wine.looks("2026-11-24", "clarity").so2("2026-11-27", 33).asks("2026-11-30")  # 25.5 and 5 more are there
    # Minimum age 4 months from 1 August: 1 December.
    wine.asks("2026-12-01", bottle=("2026-12-01", "2026-12-15")).at("ready")
    wine.stands("2026-12-01", yeast="shown", bacteria="shown", air="shown", crystals="shown", haze="shown")
    wine.bottle("2026-12-01", 30).keeps("2026-12-15", "2027-03-01", "2027-12-01")  # 14, 90, 365 d
