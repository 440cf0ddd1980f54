"""A white fermented dry, made stable and only then sweetened: the safe way, without a waiver."""

from __future__ import annotations

from cellar_tui.ledger import kinds as k
from tests.planning.styles.walk import Walk


def sulfited() -> Walk:
    """22 L in a steel tank with a floating lid, dry on 24 September, sulfited, racked on the 28th."""
    wine = Walk("sweet_white", "2026-09-10", vessel="steel", capacity=30.0, volume=22.0, lid="floating", sg=1.088)
    wine.reading("2026-09-10", ph=3.2, ta=7.0, yan=280).skip("2026-09-10", "settle")  # pressed clear
    wine.asks("2026-09-10", yeast="2026-09-10").add("2026-09-10", "yeast", 6).asks("2026-09-11")
    wine.asks("2026-09-12", gravity_check="2026-09-12").reading("2026-09-12", sg=1.066, temperature=17)
    wine.reading("2026-09-14", sg=1.040).reading("2026-09-16", sg=1.016).reading("2026-09-18", sg=1.000)
    wine.asks("2026-09-20").asks("2026-09-21", gravity_check="2026-09-21").reading("2026-09-21", sg=0.992)
    wine.asks("2026-09-24", gravity_check="2026-09-24").reading("2026-09-24", sg=0.9915)
    dose = ("2026-09-24", "2026-09-25")  # first sulfite, prevented: within 1 d; a floating lid is never topped
    wine.asks("2026-09-24", sulfite=dose, smell_check="2026-09-24")
    wine.reading("2026-09-24", ph=3.2).looks("2026-09-24", "smell")
    # a wine that is to get sorbate: 25 mg/L; in steel 6.3 are lost in 90 d, so 8 more; half stays: 66
    wine.weighs("sulfite", 22 * 66 / 576).sulfite("2026-09-25", 66).asks("2026-09-26")
    wine.stands("2026-09-25", bacteria="in_progress", air="in_progress", crystals="not_yet", haze="not_yet")
    wine.reading("2026-09-28", sg=0.9915, free_so2=33, method="aspiration")
    wine.asks("2026-09-28", rack=("2026-09-27", "2026-10-04")).rack("2026-09-28")  # 3 to 10 d after
    wine.asks("2026-09-28", smell_check="2026-09-28").looks("2026-09-28", "smell", "level")
    wine.asks("2026-10-01", so2_recheck="2026-10-01").so2("2026-10-01", 32)  # 3 d after the racking
    return wine.stands("2026-10-01", air="shown", bacteria="in_progress").rechecked("2026-10-01", 60)


def stable() -> Walk:
    """Heat stable on 13 October, cold stable on the 19th, clear and safe from bacteria on 2 November."""
    wine = sulfited().so2("2026-10-12", 32).asks("2026-10-12", clarity_check="2026-10-12")
    wine.intent("2026-10-12", sweetness=20).looks("2026-10-12", "clarity")
    # Minimum age 5 months: wished 10 February. To be sweetened: 15 weeks before.
    wine.asks("2026-10-12", haze_test=("2026-10-12", "2026-10-28"))
    wine.looks("2026-10-13", "heat_test").stands("2026-10-13", haze="shown")
    wine.asks("2026-10-13", cold_hold_start=("2026-10-13", "2026-11-18"))  # 12 weeks where it is to be sweetened
    wine.chill("2026-10-14", -3.0, "chiller").asks("2026-10-15")
    wine.asks("2026-10-16", cold_hold_check="2026-10-16", cold_test="2026-10-16")  # 5 d: 3 before 19 October
    wine.reading("2026-10-16", temperature=-3).reading("2026-10-18", temperature=-3, free_so2=32, method="aspiration")
    wine.asks("2026-10-19", cold_test="2026-10-16").looks("2026-10-19", "cold_test")
    wine.asks("2026-10-19", cold_hold_end="2026-10-19").warm("2026-10-19", -2)
    wine.asks("2026-10-19", rack="2026-10-19").rack("2026-10-19", cold=True)
    wine.asks("2026-10-19", smell_check="2026-10-19").looks("2026-10-19", "smell", "level")
    wine.asks("2026-10-22", so2_recheck="2026-10-22").so2("2026-10-22", 31)
    wine.so2("2026-11-02", 31).stands("2026-11-02", bacteria="shown", air="shown", crystals="shown", haze="shown")
    return wine.asks("2026-11-02", clarity_check="2026-11-02")  # 14 d after the racking


def sweetened() -> Walk:
    """Sorbate on 2 November, sugar on the 4th, SO2 for the new volume the same day."""
    wine = stable().reading("2026-11-02", alcohol=12.0).looks("2026-11-02", "clarity")
    # clear by a check 14 d after the last racking, crystals and haze shown, free SO2 read within 7 d: at once;
    # the pH is from before the cold hold
    wine.asks("2026-11-02", sorbate="2026-11-02", ph_check="2026-11-02").reading("2026-11-02", ph=3.2)
    # 20 g/L in 22 L: 445.5 g of sugar, 22.28 L, 11.85 % vol; pH 3.2: 150 at 11 %, 105 at 12 %: 111.7 mg/L
    wine.weighs("sorbate", 111.7 * 22.276 / 1000).add("2026-11-02", "potassium_sorbate", 2.5).asks("2026-11-02")
    wine.asks("2026-11-03", sweeten=("2026-11-03", "2026-11-09")).weighs("sweeten", 445.5)  # 1 to 7 d after
    wine.add("2026-11-04", "sugar", 445.5).at("sweetened").stands("2026-11-04", yeast="in_progress", air="lapsed")
    wine.reading("2026-11-04", temperature=20)
    wine.asks("2026-11-04", sulfite="2026-11-04").sulfite("2026-11-04", 10)  # for the new volume the same day
    wine.asks("2026-11-06").asks("2026-11-07", so2_recheck="2026-11-07").so2("2026-11-07", 34)
    return wine.stands("2026-11-07", yeast="in_progress", bacteria="shown", air="shown", crystals="shown", haze="shown")


def watched() -> Walk:
    """Watched at 20 C for 28 d, the yeast shown on 2 December; looked after until the end of January."""
    wine = sweetened().asks("2026-11-11", refermentation_watch="2026-11-11")  # SG at 7, 14, 28 d
    wine.reading("2026-11-11", sg=0.999, temperature=20, free_so2=33, method="aspiration").asks("2026-11-12")
    wine.asks("2026-11-17").so2("2026-11-18", 33)
    wine.asks("2026-11-18", refermentation_watch="2026-11-18")
    wine.reading("2026-11-18", sg=0.999, temperature=20).looks("2026-11-18", "level").asks("2026-11-18")
    wine.so2("2026-12-02", 32).asks("2026-12-02", refermentation_watch="2026-12-02")
    wine.stands("2026-12-02", yeast="in_progress").reading("2026-12-02", sg=0.9991, temperature=20)
    wine.asks("2026-12-02").stands("2026-12-02", yeast="shown").so2("2026-12-18", 32)
    wine.asks("2026-12-18", smell_check="2026-12-18").looks("2026-12-18", "level", "smell")
    wine.so2("2027-01-17", 31).asks("2027-01-17").looks("2027-01-17", "level")
    return wine.reading("2027-01-29", free_so2=31, method="aspiration", ph=3.2).asks("2027-02-02")


def test_a_sweet_white_goes_from_must_to_kept_bottles() -> None:
    wine = watched().asks("2027-02-03", final_so2=("2027-02-03", "2027-02-06"), clarity_check="2027-02-03")
    wine.looks("2027-02-03", "clarity").asks("2027-02-06", final_so2=("2027-02-03", "2027-02-06"))
    # 25 + 5 is aimed at: 2 mg/L short is no dose worth weighing, and the reading closes it
    wine.so2("2027-02-06", 28).asks("2027-02-09")
    wine.asks("2027-02-10", bottle=("2027-02-10", "2027-02-24")).at("ready")
    wine.stands("2027-02-10", yeast="shown", bacteria="shown", air="shown", crystals="shown", haze="shown")
    assert not [entry for entry in wine.entries if isinstance(entry.body, k.Waive)]
    # sweetened: 14, 28, 60, 90, 365 d
    wine.bottle("2027-02-10", 29).keeps("2027-02-24", "2027-03-10", "2027-04-11", "2027-05-11", "2028-02-10")
