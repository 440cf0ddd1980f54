"""Cold holds, freezing, and the tests for crystals."""

from __future__ import annotations

import math

import pytest

from tests.enology.rows import calc, cautions, rows, topic


def test_a_hold_lasts_5_days_at_27_f_and_30_at_40_f() -> None:
    assert calc("cold_hold_days", "days", temperature=-2.8) == 5.0
    assert calc("cold_hold_days", "days", temperature=-10.0) == 5.0
    assert calc("cold_hold_days", "days", temperature=4.4) == pytest.approx(30.0)
    assert calc("cold_hold_days", "days", temperature=0.8) == pytest.approx(5.0 * math.sqrt(6.0))
    assert calc("cold_hold_days", "days", temperature=8.0) == pytest.approx(5.0 * 6.0**1.5)


def test_warmer_than_8_degrees_earns_nothing() -> None:
    assert topic("cold").hold_days(8.01) == math.inf
    with pytest.raises(topic("errors").OutOfRange, match="chill the wine") as caught:
        calc("cold_hold_days", "days", temperature=8.01)
    assert caught.value.field == "temperature"


def test_the_published_holds_that_disagree_are_shown() -> None:
    said = cautions("cold_hold_days", temperature=-4.0)
    assert "10 d at -4 C, 5 d at -5.5 C, 14 d at -3.9 C" in said
    assert "down to this temperature only" in said


def test_the_freezing_point_is_that_of_ethanol_and_water_and_shows_the_range() -> None:
    point = calc("freezing_point", "temperature", alcohol=12.0)
    assert point == pytest.approx(-4.2, abs=0.05)
    assert point == topic("cold").freezing_points(12.0)["ethanol and water"]
    assert calc("freezing_point", "range", alcohol=12.0) == "-6.0 to -4.2"
    assert "disagree by 1.8 K" in cautions("freezing_point", alcohol=12.0)


def test_a_freezing_point_carried_on_beyond_its_fit_says_so() -> None:
    assert "carried on" in cautions("freezing_point", alcohol=5.9)
    assert "carried on" not in cautions("freezing_point", alcohol=6.0)
    assert "carried on" not in cautions("freezing_point", alcohol=22.0)
    assert "carried on" in cautions("freezing_point", alcohol=22.1)


def test_water_freezes_at_nought_and_spirit_is_not_asked() -> None:
    assert calc("freezing_point", "temperature", alcohol=0.0) == pytest.approx(0.0, abs=1e-9)
    assert topic("cold").freezing_points(20.0)["engineering table"] == -9.0
    assert "engineering table" not in topic("cold").freezing_points(21.0)


def test_the_solubility_is_the_least_squares_fit_of_the_published_cells() -> None:
    table = [row for row in rows() if row.quantity == "solubility of potassium bitartrate"]
    points = [(1.0, -1.0 / (row.number("T") + 273.15), -row.number("alcohol")) for row in table]
    logs = [math.log(float(row.expected)) for row in table]
    normal = [[sum(p[i] * p[j] for p in points) for j in range(3)] for i in range(3)]
    right = [sum(p[i] * y for p, y in zip(points, logs, strict=True)) for i in range(3)]
    assert pytest.approx(_solved(normal, right), rel=1e-4) == topic("tartrate").SOLUBILITY_FIT


def _solved(matrix: list[list[float]], right: list[float]) -> tuple[float, ...]:
    """The solution of three equations, by Cramer's rule."""

    def determinant(m: list[list[float]]) -> float:
        (a, b, c), (d, e, f), (g, h, i) = m
        return a * (e * i - f * h) - b * (d * i - f * g) + c * (d * h - e * g)

    whole = determinant(matrix)
    columns = [[[right[r] if c == k else matrix[r][c] for c in range(3)] for r in range(3)] for k in range(3)]
    return tuple(determinant(replaced) / whole for replaced in columns)


def test_solubility_is_a_trend_and_says_so() -> None:
    assert "a trend only" in cautions("bitartrate_solubility", temperature=10.0, alcohol=12.0)
    assert calc("bitartrate_solubility", "solubility", temperature=-4.0, alcohol=12.0) == pytest.approx(0.94, rel=0.08)
    assert "carried on beyond" in cautions("bitartrate_solubility", temperature=-4.0, alcohol=12.0)


def test_a_wine_is_crystal_stable_only_when_every_test_given_says_so() -> None:
    def stable(**given: object) -> object:
        return calc("tartrate_stability", "stable", **given)

    assert stable(conductivity_drop=4.99) is True
    assert stable(conductivity_drop=5.0) is False
    assert stable(conductivity_drop=4.0, saturation_drop=300.0, colour="white") is False
    assert stable(saturation_drop=351.6, colour="white") is True
    assert stable(saturation_drop=351.0, colour="white") is False


@pytest.mark.parametrize(("colour", "limit"), [("white", 16.5), ("rose", 16.5), ("fruit", 16.5), ("red", 30.0)])
def test_the_concentration_product_is_judged_by_colour(colour: str, limit: float) -> None:
    share = topic("tartrate").bitartrate_share(3.4)
    for factor, verdict in ((0.999, True), (1.001, False)):
        potassium = factor * limit * 1e-5 / share / (2.0 / 150.087) * 39098.3
        wine = {"potassium": potassium, "tartaric": 2.0, "ph": 3.4, "colour": colour}
        assert calc("tartrate_stability", "stable", **wine) is verdict


def test_reds_and_roses_share_an_equation_for_saturation() -> None:
    red = calc("tartrate_stability", "saturation_temperature", saturation_drop=583.0, colour="red")
    rose = calc("tartrate_stability", "saturation_temperature", saturation_drop=583.0, colour="rose")
    assert red == rose == pytest.approx(19.9)


def test_a_test_without_its_other_figures_names_the_one_missing() -> None:
    for given, missing in (
        ({}, "conductivity_drop"),
        ({"saturation_drop": 300.0}, "colour"),
        ({"potassium": 900.0, "tartaric": 2.0, "colour": "red"}, "ph"),
    ):
        with pytest.raises(topic("errors").CalcError, match="missing") as caught:
            calc("tartrate_stability", "stable", **given)
        assert caught.value.field == missing


def test_a_gram_of_bitartrate_takes_208_mg_of_potassium_along() -> None:
    assert topic("tartrate").lost_with_crystals(1.0)[2] == pytest.approx(208.0, abs=0.5)
