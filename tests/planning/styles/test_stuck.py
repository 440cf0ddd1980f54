"""A ferment that stands still above its finish, and the decision to leave it there."""

from __future__ import annotations

from tests.planning.styles.walk import Walk


def stuck() -> Walk:
    """SG 0.9985 on 30 September, 0.9975 three days later: no fall of 0.002."""
    wine = Walk("dry_white", "2026-09-20", sg=1.090).add("2026-09-20", "yeast", 6)
    wine.reading("2026-09-22", sg=1.070, temperature=18).reading("2026-09-24", sg=1.050)
    wine.reading("2026-09-26", sg=1.030).reading("2026-09-28", sg=1.008).reading("2026-09-30", sg=0.9985)
    wine.asks("2026-10-02").asks("2026-10-03", gravity_check="2026-10-03").reading("2026-10-03", sg=0.9975)
    return wine.asks("2026-10-03", ferment_decision="2026-10-03")  # 4 d or more after the yeast: at once


def test_finished_here_with_its_sugar_read_under_2_g_l_it_is_dry() -> None:
    wine = (
        stuck().reading("2026-10-03", residual_sugar=1.5, ph=3.2).decide("2026-10-03", "ferment_stuck", "finish_here")
    )
    wine.asks("2026-10-03", sulfite=("2026-10-03", "2026-10-04"), smell_check="2026-10-03").at("ageing")
    wine.stands("2026-10-03", yeast="shown").looks("2026-10-03", "smell").sulfite("2026-10-04", 51)
    wine.asks("2026-10-05").asks("2026-10-06", rack=("2026-10-06", "2026-10-13"))  # first racking: 3 to 10 d after


def test_finished_here_with_its_sugar_unknown_it_takes_the_road_of_an_arrested_wine() -> None:
    wine = stuck().reading("2026-10-03", ph=3.2).decide("2026-10-03", "ferment_stuck", "finish_here")
    assert wine.due("arrest") == ("2026-10-03", "2026-10-03")  # chill first, then the rest
    # 1.5 mg/L molecular at pH 3.2: 38.3 free; in glass 16.6 are lost in 90 d, past the 51.1 that are 2 mg/L molecular;
    # 0.35 stays
    wine.weighs("arrest", 22.95 * 51.1 / 0.35 / 576)
    assert wine.due("sulfite") is None
    assert wine.due("rack") is None
    wine.chill("2026-10-03", 2.0, "chiller")
    assert wine.due("sulfite") == ("2026-10-03", "2026-10-04")  # first sulfite, prevented: within 1 d
    assert wine.due("gravity_check") == ("2026-10-06", "2026-10-06")  # arrest held: SG at 3, 7, 14 d
    assert wine.due("rack") == ("2026-10-05", "2026-10-08")  # off the yeast: 2 to 5 d after
    wine.sulfite("2026-10-03", 110).rack("2026-10-05", cold=True)
    for on in ("2026-10-06", "2026-10-10", "2026-10-17"):
        wine.reading(on, sg=0.9975, temperature=1)
    wine.stands("2026-10-17", yeast="not_yet")  # steady SG alone never
    assert wine.due("gravity_check") is None
