"""A sweet fruit wine: sulfited juice of fruit, a pectin haze cleared late, a fridge test, sorbate and sugar."""

from __future__ import annotations

from tests.planning.styles.walk import Walk


def sulfited() -> Walk:
    """20 L in steel under a floating lid, dry and sulfited on 24 July, racked on the 28th."""
    wine = Walk(
        "sweet_fruit",
        "2026-07-10",
        vessel="steel",
        capacity=30.0,
        volume=20.0,
        lid="floating",
        sg=1.086,
        source="fruit",
    )
    wine.reading("2026-07-10", ph=3.2, ta=7.5)
    wine.asks("2026-07-10", pectic_enzyme="2026-07-10", yeast="2026-07-10").sulfite("2026-07-10", 20)
    # enzyme 12 h after any SO2 (noon and 12 h is midnight: the next day), yeast 24 h after it
    wine.asks("2026-07-10").asks("2026-07-11", pectic_enzyme="2026-07-11", yeast="2026-07-11")
    wine.add("2026-07-11", "pectic_enzyme", 2).add("2026-07-11", "yeast", 5).asks("2026-07-11")
    wine.asks("2026-07-12", nutrient="2026-07-12").add("2026-07-12", "dap", 3)  # fruit never measured: after 24 h
    wine.asks("2026-07-13", gravity_check="2026-07-13").reading("2026-07-13", sg=1.072, temperature=20)
    wine.asks("2026-07-13").reading("2026-07-15", sg=1.052, temperature=20)
    wine.asks("2026-07-15", nutrient="2026-07-15")  # at one third of the sugar: 34 of 86 points
    wine.add("2026-07-15", "complex_nutrient", 3).asks("2026-07-15")
    wine.reading("2026-07-17", sg=1.028).reading("2026-07-19", sg=1.006).reading("2026-07-21", sg=0.993)
    wine.asks("2026-07-23").asks("2026-07-24", gravity_check="2026-07-24").reading("2026-07-24", sg=0.9925)
    dose = ("2026-07-24", "2026-07-25")
    wine.asks("2026-07-24", sulfite=dose, smell_check="2026-07-24")
    wine.reading("2026-07-24", ph=3.3).looks("2026-07-24", "smell")
    wine.weighs("sulfite", 20 * 67.0 / 576).sulfite("2026-07-24", 67).asks(
        "2026-07-26"
    )  # (25.5 + 8) / 0.5: 6.4 lost in 90 d
    rack = ("2026-07-27", "2026-08-03")
    wine.asks("2026-07-27", rack=rack, so2_recheck="2026-07-27")
    wine.reading("2026-07-27", free_so2=34, total_so2=85, method="aspiration")
    wine.reading("2026-07-28", sg=0.9925).asks("2026-07-28", rack=rack).rack("2026-07-28")
    wine.asks("2026-07-28", smell_check="2026-07-28").looks("2026-07-28", "smell", "level")
    return wine.asks("2026-07-31", so2_recheck="2026-07-31").so2("2026-07-31", 33).asks("2026-08-01")


def stable() -> Walk:
    """Its pectin haze is digested by 4 September; the fridge test passed on 19 August."""
    wine = sulfited().intent("2026-08-01", sweetness=40).so2("2026-08-11", 32)
    wine.asks("2026-08-11", clarity_check="2026-08-11").looks("2026-08-11", "clarity")
    wine.asks(
        "2026-08-11",
        haze_test="2026-08-11",  # to be sweetened: 15 weeks before 10 November was 28 July, both ends the first
        cold_test=("2026-08-11", "2026-09-15"),  # fruit to be sweetened: at least 8 weeks before
    )
    wine.looks("2026-08-12", "heat_test").check("2026-08-12", "pectin_test", "fail")
    assert wine.due("pectic_enzyme") == ("2026-08-12", "2026-08-12")  # late: pectin test failed: now
    wine.stands("2026-08-12", haze="in_progress").add("2026-08-12", "pectic_enzyme", 6)
    assert wine.due("pectic_enzyme") is None
    wine.looks("2026-08-19", "fridge_test").stands("2026-08-19", crystals="shown").so2("2026-08-20", 32)
    wine.rack("2026-08-20").looks("2026-08-20", "smell", "level").so2("2026-08-23", 32)
    wine.so2("2026-09-03", 32).stands("2026-09-03", bacteria="shown")  # on target since 27 July: 38 d
    assert wine.due("clarity_check") == ("2026-09-03", "2026-09-03")  # 14 d after the racking
    wine.looks("2026-09-03", "clarity").looks("2026-09-04", "heat_test", "pectin_test")
    return wine.stands("2026-09-04", haze="shown")


def sweetened() -> Walk:
    """Sorbate on 4 September, sugar on the 6th, SO2 for the new volume the same day."""
    wine = stable().reading("2026-09-04", alcohol=12.0).asks("2026-09-04", sorbate="2026-09-04")  # the haze came last
    # 40 g/L in 20 L: 820.3 g, 20.51 L, 11.70 % vol; pH 3.3: 180 at 11 %, 120 at 12 %: 137.9 mg/L
    wine.weighs("sorbate", 137.9 * 20.509 / 1000).add("2026-09-04", "potassium_sorbate", 2.84).asks("2026-09-04")
    wine.asks("2026-09-05", sweeten=("2026-09-05", "2026-09-11")).weighs("sweeten", 820.3)  # 1 to 7 d after
    wine.add("2026-09-06", "sugar", 820.3).reading("2026-09-06", temperature=20).at("sweetened")
    wine.asks("2026-09-06", sulfite="2026-09-06").sulfite("2026-09-06", 10).stands("2026-09-06", yeast="in_progress")
    wine.asks("2026-09-08").asks("2026-09-09", so2_recheck="2026-09-09").so2("2026-09-09", 34)
    return wine.stands("2026-09-09", air="shown")


def watched() -> Walk:
    """Quiet for 28 d at 20 C: the yeast shown on 4 October."""
    wine = sweetened().asks("2026-09-13", refermentation_watch="2026-09-13")  # SG at 7, 14, 28 d
    wine.reading("2026-09-13", sg=1.0075, temperature=20, free_so2=34, method="aspiration").asks("2026-09-14")
    wine.reading("2026-09-20", sg=1.0075, temperature=20, free_so2=33, method="aspiration")
    wine.asks("2026-09-20").looks("2026-09-20", "level")
    wine.so2("2026-10-04", 33).asks("2026-10-04", refermentation_watch="2026-10-04")
    wine.reading("2026-10-04", sg=1.0074, temperature=20).asks("2026-10-04").stands("2026-10-04", yeast="shown")
    wine.so2("2026-10-19", 32).asks("2026-10-19", smell_check="2026-10-19").looks("2026-10-19", "smell")  # 60 d
    wine.asks("2026-10-20").looks("2026-10-20", "level")
    return wine.reading("2026-10-29", free_so2=32, method="aspiration", ph=3.3).asks("2026-11-02")


def test_a_sweet_fruit_wine_goes_from_must_to_kept_bottles() -> None:
    wine = watched().asks("2026-11-03", final_so2=("2026-11-03", "2026-11-06"), clarity_check="2026-11-03")
    wine.looks("2026-11-03", "clarity").asks("2026-11-06", final_so2=("2026-11-03", "2026-11-06"))
    # 25.5 + 5 is aimed at: 1.5 mg/L short is no dose worth weighing, and the reading closes it
    wine.so2("2026-11-06", 29).asks("2026-11-09")
    # Minimum age 4 months from 10 July: 10 November.
    wine.asks("2026-11-10", bottle=("2026-11-10", "2026-11-24")).at("ready")
    wine.stands("2026-11-10", yeast="shown", bacteria="shown", air="shown", crystals="shown", haze="shown")
    # sweetened: 14, 28, 60, 90, 365 d
    wine.bottle("2026-11-10", 27).keeps("2026-11-24", "2026-12-08", "2027-01-09", "2027-02-08", "2027-11-10")
