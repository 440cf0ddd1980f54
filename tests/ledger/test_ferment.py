"""The alcoholic ferment: what proves its end, to the last figure."""

from __future__ import annotations

from datetime import date

import pytest

from cellar_tui.ledger import ferment
from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.house import House
from tests.ledger.lines import Lines

HOUSE = House()


def ended(*readings: tuple[str, float], style: str = "dry_white", **house: float) -> str | None:
    """Return the day on which these gravities prove a ferment over, None where they do not."""
    lines = Lines(23)
    lines.wine(style=style, sg=1.090)
    lines.add("2026-09-21", "yeast", 5)
    for at, sg in readings:
        lines.read(at, sg=sg)
    end = ferment.finish(lines.held(), House(dict(house)))
    return None if end is None else end.on.isoformat()


@pytest.mark.parametrize(
    ("statement", "readings", "day"),
    [
        ("one gravity proves nothing", [("2026-10-10", 0.992)], None),
        ("two days are not three", [("2026-10-10", 0.992), ("2026-10-12", 0.992)], None),
        ("three days exactly prove it", [("2026-10-10", 0.992), ("2026-10-13", 0.992)], "2026-10-13"),
        ("a difference of 0.001 exactly is steady", [("2026-10-10", 0.993), ("2026-10-13", 0.992)], "2026-10-13"),
        ("a difference of 0.0011 is not", [("2026-10-10", 0.9931), ("2026-10-13", 0.992)], None),
        ("0.996 exactly can be finished", [("2026-10-10", 0.996), ("2026-10-13", 0.996)], "2026-10-13"),
        ("0.9961 cannot", [("2026-10-10", 0.9961), ("2026-10-13", 0.9961)], None),
        (
            "a slow fall is not steady over its whole length",
            [("2026-10-10", 0.9950), ("2026-10-12", 0.9945), ("2026-10-13", 0.9939)],
            None,
        ),
        (
            "the steady run may begin after a fall",
            [("2026-10-01", 1.010), ("2026-10-10", 0.992), ("2026-10-11", 0.9915), ("2026-10-13", 0.992)],
            "2026-10-13",
        ),
        ("float noise decides nothing", [("2026-10-10", 0.9930000001), ("2026-10-13", 0.9919999999)], "2026-10-13"),
    ],
    ids=lambda one: one if isinstance(one, str) and " " in one else "",
)
def test_steady_gravities_prove_a_ferment_over(
    statement: str, readings: list[tuple[str, float]], day: str | None
) -> None:
    assert ended(*readings) == day, statement


def test_the_house_may_ask_for_other_proof() -> None:
    week = [("2026-10-10", 0.992), ("2026-10-16", 0.992)]
    assert ended(*week, steady_days=7) is None
    assert ended(*week, steady_days=6) == "2026-10-16"
    assert ended(("2026-10-10", 0.997), ("2026-10-13", 0.997), dry_sg=0.997) == "2026-10-13"


def test_gravities_do_not_end_a_ferment_that_is_to_be_stopped() -> None:
    dry = [("2026-10-10", 0.992), ("2026-10-13", 0.992)]
    assert ended(*dry, style="arrested_sweet") is None


def test_a_decision_to_finish_here_ends_it() -> None:
    lines = Lines(23)
    lines.wine(sg=1.090)
    lines.read("2026-10-10", sg=1.004)
    lines.write("2026-10-12", k.Decide(about="ferment_stuck", choice="finish_here", reason="sweet enough"), 1)
    end = ferment.finish(lines.held(), HOUSE)
    assert end is not None
    assert (end.how, end.on) == ("finish_here", date(2026, 10, 12))
    assert ferment.alive_by_cold(lines.held(), end, HOUSE)


def test_a_dry_sugar_test_shows_a_ferment_finished_here_to_be_dead() -> None:
    lines = Lines(23)
    lines.wine(sg=1.090)
    lines.write("2026-10-12", k.Decide(about="ferment_stuck", choice="finish_here", reason="it is dry"), 1)
    lines.read("2026-10-13", residual_sugar=1.9)
    assert not ferment.alive_by_cold(lines.held(), ferment.finish(lines.held(), HOUSE), HOUSE)


def test_the_cold_ends_an_arrested_ferment_once_it_has_begun() -> None:
    lines = Lines(23)
    lines.wine(style="arrested_sweet", sg=1.090)
    chill = k.Chill(start=True, temperature=2.0, place="fridge")
    lines.write("2026-09-21", chill, 1)
    assert ferment.finish(lines.held(), HOUSE) is None  # cold soak of a must
    lines.add("2026-09-22", "yeast", 5)
    lines.write("2026-09-30", chill, 1)
    end = ferment.finish(lines.held(), HOUSE)
    assert end is not None
    assert end.how == "arrested"
    assert ferment.alive_by_cold(lines.held(), end, HOUSE)


@pytest.mark.parametrize(("litres", "ends"), [(2.1, False), (4.0, True)])
def test_spirit_ends_a_ferment_at_eighteen_percent(litres: float, ends: bool) -> None:
    lines = Lines(30)
    lines.wine(style="fortified", colour="red", sg=1.090)
    lines.add("2026-09-21", "yeast", 5)
    lines.read("2026-09-25", sg=1.030)
    lines.add("2026-09-25", "spirit", litres)
    assert (ferment.finish(lines.held(), HOUSE) is not None) is ends


def test_a_wine_that_came_finished_was_finished_on_that_day() -> None:
    lines = Lines(23)
    filling = lines.finished()
    end = ferment.finish(lines.held(), HOUSE)
    assert end is not None
    assert (end.how, end.index, end.entries) == ("stated", -1, (filling,))


def test_a_refractometer_is_not_believed_once_there_is_alcohol() -> None:
    lines = Lines(23)
    lines.wine()
    lines.read("2026-09-20", sg=1.090, method="refractometer")
    lines.add("2026-09-21", "yeast", 5)
    lines.read("2026-10-10", sg=1.010, method="refractometer")
    assert [one.value for one in ferment.gravities(lines.held())] == [1.090]


def test_yeast_or_a_fall_of_five_points_shows_a_ferment_running() -> None:
    lines = Lines(23)
    lines.wine(sg=1.090)
    lines.read("2026-09-24", sg=1.0851)
    assert not ferment.fermenting(lines.held())
    lines.read("2026-09-25", sg=1.085)
    assert ferment.fermenting(lines.held())


def test_sugar_fed_to_the_ferment_counts_as_strength() -> None:
    lines = Lines(23)
    lines.wine(sg=1.090)
    without = ferment.potential_alcohol(lines.held())
    lines.add("2026-09-21", "sugar", 1000)
    fed = ferment.potential_alcohol(lines.held())
    assert without is not None
    assert fed is not None
    # 1000 g in 20.62 L at 16.83 g/L a % vol are 2.88 %; the must's own 12.8 % thin to 12.4 in the greater volume.
    assert without == pytest.approx(12.8, abs=0.05)
    assert fed == pytest.approx(12.8 * 20 / 20.62 + 2.88, abs=0.05)


@pytest.mark.parametrize(
    ("on", "sg", "feeds"),
    [
        ("2026-09-23", None, True),  # within three days of the start
        ("2026-09-24", None, False),  # later only with a gravity that shows it hungry
        ("2026-10-02", ("2026-10-01", 1.040), True),
        ("2026-10-02", ("2026-10-01", 0.990), False),  # dry
        ("2026-10-16", ("2026-10-01", 1.040), False),  # that gravity is older than 14 days
    ],
)
def test_sugar_feeds_a_ferment_or_sweetens_a_wine(on: str, sg: tuple[str, float] | None, feeds: bool) -> None:
    lines = Lines(23)
    lines.wine(sg=1.090)
    if sg is not None:
        lines.read(sg[0], sg=sg[1])
    assert ferment.feeds(lines.held(), date.fromisoformat(on), HOUSE) is feeds


@pytest.mark.parametrize(("sg", "gone"), [(1.090, 0.0), (1.060, 0.3333), (1.045, 0.5), (1.030, 0.6667), (0.995, 1.0)])
def test_sugar_gone_is_counted_in_gravity_above_that_of_water(sg: float, gone: float) -> None:
    lines = Lines(23)
    lines.wine(sg=1.090)
    lines.read("2026-09-28", sg=sg)
    assert ferment.sugar_gone(lines.held()) == gone


def test_a_third_is_counted_of_all_that_there_was_to_ferment() -> None:
    lines = Lines(23)
    lines.wine(sg=1.090)
    lines.add("2026-09-21", "sugar", 1000)
    lines.read("2026-09-28", sg=1.060)
    # 1.090 x 20 L + 1000 g / 998.2 in 20.62 L is SG 1.1058; 0.0458 of 0.1058 is gone.
    assert ferment.sugar_gone(lines.held()) == pytest.approx(0.433, abs=0.002)


def test_sugar_fed_after_a_gravity_is_not_taken_to_be_gone() -> None:
    lines = Lines(23)
    lines.wine(sg=1.090)
    lines.read("2026-09-24", sg=1.060)
    lines.add("2026-09-24", "sugar", 1000)
    # (21.8 - 21.2) of (21.8 - 20) SG x L was gone; 1000 g more to ferment leave 0.6 of 2.18.
    assert ferment.sugar_gone(lines.held()) == pytest.approx(0.275, abs=0.002)


def test_of_a_must_never_measured_no_share_is_known() -> None:
    lines = Lines(23)
    lines.wine()
    assert ferment.sugar_gone(lines.held()) is None
