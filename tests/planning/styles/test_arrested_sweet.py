"""A white stopped by cold, its sugar left: alive until sorbate, cold rackings and a warm watch say otherwise."""

from __future__ import annotations

from tests.planning.styles.walk import Walk


def stopped() -> Walk:
    """22 L in steel under a floating lid, SG 1.100, to stop at 1.015: chilled and sulfited at 1.018."""
    wine = Walk("arrested_sweet", "2026-09-20", vessel="steel", capacity=30.0, volume=22.0, lid="floating", sg=1.100)
    wine.reading("2026-09-20", ph=3.3, ta=6.5, yan=280).intent("2026-09-20", finish_sg=1.015)
    settle = ("2026-09-20", "2026-09-21")  # a white must settles for 12 to 24 h; noon where no hour was given
    wine.asks("2026-09-20", yeast="2026-09-20", settle=settle).rack("2026-09-20")
    wine.asks("2026-09-20", yeast="2026-09-20", smell_check="2026-09-20").looks("2026-09-20", "smell")  # each racking
    wine.add("2026-09-20", "yeast", 6)
    wine.asks("2026-09-22", gravity_check="2026-09-22").reading("2026-09-22", sg=1.080, temperature=17)
    wine.reading("2026-09-24", sg=1.060).asks("2026-09-25").asks("2026-09-26", gravity_check="2026-09-26")
    wine.reading("2026-09-26", sg=1.040).asks("2026-09-27").reading("2026-09-28", sg=1.024, ph=3.2)
    # from 0.010 above the stopping gravity read twice a day: 12 h after noon is the next day
    assert wine.due("gravity_check") == ("2026-09-29", "2026-09-29")
    wine.reading("2026-09-29", sg=1.018).asks("2026-09-29", arrest="2026-09-29")  # at 0.003 above it the same hour
    # 1.5 mg/L molecular at pH 3.2: 38.32 free; in steel 38.32 x (e^(90 x 0.0025) - 1) = 9.67 are lost in 90 d; 0.35
    # stays: 137.1 mg/L
    wine.weighs("arrest", 22 * 137.1 / 576).chill("2026-09-29", 2.0, "chiller").sulfite("2026-09-29", 132)
    # end of ferment; 15 + 132 mg/L is under 75 % of the 300 of a wine with sugar
    wine.asks("2026-09-29", smell_check="2026-09-29").looks("2026-09-29", "smell")
    wine.asks("2026-09-30").at("holding_cold")
    return wine.stands("2026-09-29", yeast="not_yet", bacteria="in_progress", air="in_progress", crystals="in_progress")


def held() -> Walk:
    """Racked twice in the cold, steady over 14 d, cold test passed on 12 October."""
    wine = stopped()
    rack = ("2026-10-01", "2026-10-04")  # off the yeast: 2 to 5 d after the arrest
    wine.asks("2026-10-01", rack=rack, cold_hold_check="2026-10-01")  # the chill of an arrest is its cold hold too
    wine.reading("2026-10-01", temperature=1)
    wine.asks("2026-10-02", rack=rack, gravity_check="2026-10-02", so2_recheck="2026-10-02")  # SG at 3 d; 3 d
    wine.reading("2026-10-02", sg=1.0175, free_so2=46, method="aspiration", temperature=1).rack("2026-10-02", cold=True)
    wine.asks("2026-10-02", smell_check="2026-10-02").looks("2026-10-02", "smell", "level")
    wine.reading("2026-10-04", temperature=1).asks("2026-10-05", so2_recheck="2026-10-05")
    wine.reading("2026-10-05", temperature=1, free_so2=45, method="aspiration")
    wine.asks("2026-10-06", gravity_check="2026-10-06").reading("2026-10-06", sg=1.0172, temperature=1)  # 7 d
    wine.asks("2026-10-08", cold_hold_check="2026-10-08").reading("2026-10-08", temperature=1)
    wine.asks(
        "2026-10-09",
        rack=("2026-10-09", "2026-10-16"),  # again after 7 to 14 d
        # 2 d at 2 C of 16.5, then 1 C: 12.9 d; credit 1 on 12 October; the test 3 d before
        cold_test="2026-10-09",
    )
    wine.rack("2026-10-09", cold=True).looks("2026-10-09", "smell").reading("2026-10-10", temperature=1)
    wine.asks("2026-10-12", so2_recheck="2026-10-12", cold_hold_check="2026-10-12", cold_test="2026-10-09")
    wine.reading("2026-10-12", temperature=1, free_so2=45, method="aspiration").looks("2026-10-12", "cold_test")
    # full of credit and tested, and yet no end: live yeast, no sorbate
    wine.asks("2026-10-12").stands("2026-10-12", crystals="shown", air="shown")
    wine.asks("2026-10-13", gravity_check="2026-10-13").reading("2026-10-13", sg=1.0171, temperature=1)  # 14 d
    return wine.asks("2026-10-14").stands("2026-10-13", yeast="not_yet")  # settled, nothing more


def sorbated() -> Walk:
    """Clear on 23 October, 14 d after the last racking; sorbate on the 24th, out of the cold on the 25th."""
    wine = held()
    for on in ("2026-10-15", "2026-10-17", "2026-10-19", "2026-10-21", "2026-10-23"):
        wine.reading(on, temperature=1)
    wine.reading("2026-10-23", free_so2=44, method="aspiration", ph=3.2, alcohol=11.0)
    wine.asks("2026-10-23", clarity_check="2026-10-23").looks("2026-10-23", "clarity")
    # Minimum age 5 months: wished 20 February; its sugar is in: 9 weeks before
    wine.asks("2026-10-23", haze_test=("2026-10-23", "2026-12-19")).looks("2026-10-24", "heat_test")
    wine.asks("2026-10-24", sorbate="2026-10-24").weighs("sorbate", 150 * 22 / 1000)  # 11 %, pH 3.2: 150 mg/L
    wine.add("2026-10-24", "potassium_sorbate", 3.3).stands("2026-10-24", yeast="in_progress", haze="shown")
    wine.asks("2026-10-24", cold_hold_end="2026-10-24")  # arrested: and the sorbate is in
    wine.warm("2026-10-25", 1).asks("2026-10-25", rack="2026-10-25").rack("2026-10-25", cold=True)
    wine.asks("2026-10-25", smell_check="2026-10-25").looks("2026-10-25", "smell", "level")
    wine.reading("2026-10-26", temperature=19).asks("2026-10-27")
    # after a racking on the forecast's day: 44 x 0.88 = 38.7 stay, far over 25
    return wine.asks("2026-10-28").so2("2026-10-28", 40)


def watched() -> Walk:
    """Watched warm from the end of the cold to 22 November; looked after until February."""
    wine = sorbated().asks("2026-11-01", refermentation_watch="2026-11-01")  # from the chill end: 7, 14, 28 d
    wine.reading("2026-11-01", sg=1.0172, temperature=20).asks("2026-11-02")
    wine.reading("2026-11-08", sg=1.0172, temperature=20, free_so2=39, method="aspiration")
    wine.asks("2026-11-08", clarity_check="2026-11-08").looks("2026-11-08", "clarity")  # 14 d after the racking
    wine.stands("2026-11-08", yeast="in_progress", bacteria="shown", air="shown", crystals="shown", haze="shown")
    wine.so2("2026-11-22", 38).asks("2026-11-22", refermentation_watch="2026-11-22")
    wine.reading("2026-11-22", sg=1.0171, temperature=20).asks("2026-11-22").stands("2026-11-22", yeast="shown")
    wine.asks("2026-11-24").looks("2026-11-24", "level").so2("2026-12-24", 36)
    # target 0.8 mg/L molecular now, 25 free for sorbate: 36 is plenty
    wine.asks("2026-12-24", smell_check="2026-12-24").looks("2026-12-24", "level", "smell")
    wine.reading("2027-01-23", free_so2=34, method="aspiration", ph=3.2)
    return wine.asks("2027-01-23").looks("2027-01-23", "level")


def test_an_arrested_sweet_white_goes_from_must_to_kept_bottles() -> None:
    # over 100 mg/L by the ledger before bottling: the total is read with the rest
    wine = watched().reading("2027-02-08", free_so2=33, total_so2=115, method="aspiration").asks("2027-02-12")
    wine.asks("2027-02-13", final_so2=("2027-02-13", "2027-02-16"), clarity_check="2027-02-13")
    wine.looks("2027-02-13", "clarity").so2("2027-02-15", 33).asks("2027-02-19")  # 25 and 5 more are there
    wine.asks("2027-02-20", bottle=("2027-02-20", "2027-03-06")).at("ready")
    wine.stands("2027-02-20", yeast="shown", bacteria="shown", air="shown", crystals="shown", haze="shown")
    # arrested: 14, 28, 60, 90, 365 d
    wine.bottle("2027-02-20", 29).keeps("2027-03-06", "2027-03-20", "2027-04-21", "2027-05-21", "2028-02-20")
