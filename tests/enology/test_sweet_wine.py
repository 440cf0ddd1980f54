"""Sorbate, sugar and pressure: the dose on and off the table, and what a sweet bottle can do."""

from __future__ import annotations

import pytest

from tests.enology.rows import calc, cautions, rows, topic

CEILING = 200.0 / 0.7464


def test_the_plan_keeps_to_the_table_where_it_reaches() -> None:
    for row in rows():
        if row.quantity == "potassium sorbate dose":
            safe = topic("sorbate").planner_dose(row.number("pH"), row.number("alcohol"))
            assert safe.dose == pytest.approx(min(float(row.expected), CEILING)), row.title
            assert safe.enough


def test_the_cells_of_the_table_are_exactly_what_was_printed_as_millilitres_of_a_30_g_solution() -> None:
    for row in rows():
        if row.quantity == "potassium sorbate dose":
            printed = 30.0 * row.number("mL_per_L")
            assert topic("sorbate").table_dose(row.number("pH"), row.number("alcohol")) == pytest.approx(
                printed, rel=1e-9
            )


def test_between_cells_the_dose_is_linear_both_ways() -> None:
    table_dose = topic("sorbate").table_dose
    assert table_dose(3.25, 12.0) == pytest.approx((105.0 + 120.0) / 2.0)
    assert table_dose(3.3, 11.5) == pytest.approx((180.0 + 120.0) / 2.0)
    assert table_dose(3.15, 13.5) == pytest.approx((78.0 + 90.0 + 60.0 + 66.0) / 4.0)


@pytest.mark.parametrize(
    ("ph", "alcohol", "dose", "enough", "said"),
    [
        (2.9, 12.0, 96.0, True, "3.1 column"),
        (3.3, 16.0, 72.0, True, "14 % row"),
        (3.0, 15.0, 60.0, True, "14 % row"),
        (3.5, 10.0, CEILING, True, "cut to the legal"),
        (3.3, 9.0, CEILING, True, "under 10 % vol"),
        (3.3, 9.99, CEILING, True, "under 10 % vol"),
        (3.7, 11.0, CEILING, True, "pH over 3.5"),
        (3.51, 16.0, CEILING, True, "pH over 3.5"),
        (3.31, 9.5, CEILING, False, "not enough"),
        (3.3, 8.99, CEILING, False, "not enough"),
        (3.71, 12.0, CEILING, False, "not enough"),
        (3.6, 10.99, CEILING, False, "not enough"),
    ],
)
def test_off_the_table_the_plan_takes_the_safe_edge_and_names_it(
    ph: float, alcohol: float, dose: float, enough: bool, said: str
) -> None:
    safe = topic("sorbate").planner_dose(ph, alcohol)
    assert (safe.dose, safe.enough) == (pytest.approx(dose), enough)
    assert said in " ".join(safe.notes)


def test_the_safe_edge_ends_where_practice_ends_it() -> None:
    planner_dose = topic("sorbate").planner_dose
    assert planner_dose(3.3, 9.0).enough
    assert not planner_dose(3.301, 9.5).enough
    assert not planner_dose(3.3, 8.999).enough
    assert planner_dose(3.7, 11.0).enough
    assert not planner_dose(3.701, 11.0).enough
    assert not planner_dose(3.6, 10.999).enough
    assert planner_dose(3.29, 9.0).enough
    assert planner_dose(3.69, 11.05).enough
    assert not planner_dose(3.72, 12.0).enough
    assert not planner_dose(3.32, 9.05).enough


def test_a_lower_ceiling_cuts_more_doses() -> None:
    assert topic("sorbate").planner_dose(3.4, 10.0, ceiling_sorbic=150.0).dose == pytest.approx(150.0 / 0.7464)


def test_calc_goes_on_refusing_off_the_table_and_says_what_to_do() -> None:
    for wine, field in (({"alcohol": 9.5, "ph": 3.2}, "alcohol"), ({"alcohol": 12.0, "ph": 3.6}, "ph")):
        with pytest.raises(topic("errors").OutOfRange, match="lower the pH, filter sterile") as caught:
            calc("sorbate_dose", "dose", volume=20.0, **wine)
        assert caught.value.field == field


def test_the_cell_over_the_ceiling_is_shown_as_printed_with_a_caution() -> None:
    assert calc("sorbate_dose", "dose", volume=1.0, alcohol=10.0, ph=3.5) == pytest.approx(270.0)
    assert "use at most 268 mg/L" in cautions("sorbate_dose", volume=1.0, alcohol=10.0, ph=3.5)


def test_sorbate_is_worked_out_for_the_wine_as_it_will_be() -> None:
    sugar = {"volume": 22.0, "alcohol": 12.0, "ph": 3.12, "sweeten": 40.0}
    after = 22.0 / (1.0 - 0.00062 * 40.0)
    assert calc("sorbate_dose", "volume", **sugar) == pytest.approx(after)
    assert calc("sorbate_dose", "alcohol", **sugar) == pytest.approx(12.0 * 22.0 / after)
    syrup = {**sugar, "syrup": 614.8}
    diluted = 22.0 + 22.0 * 40.0 / (614.8 - 40.0)
    assert calc("sorbate_dose", "volume", **syrup) == pytest.approx(diluted)
    assert calc("sorbate_dose", "dose", **syrup) > calc("sorbate_dose", "dose", **sugar)


def test_other_authors_doses_stand_beside_the_tables() -> None:
    said = cautions("sorbate_dose", volume=1.0, alcohol=12.0, ph=3.3)
    assert "gives 134 mg/L at any pH, a third 250 mg/L" in said
    assert topic("sorbate").peynaud_dose(10.5) == pytest.approx(137.5 / 0.7464)


def test_sweetening_counts_the_volume_the_sugar_takes() -> None:
    assert calc("sugar_to_sweeten", "amount", volume=100.0, **{"raise": 17.0}) == pytest.approx(1718.0, abs=1.0)
    assert calc("sugar_to_sweeten", "volume", volume=20.0, **{"raise": 30.0}) == pytest.approx(20.379, abs=0.001)
    assert calc("syrup_to_sweeten", "amount", volume=20.0, syrup=614.8, **{"raise": 30.0}) == pytest.approx(
        1026, abs=0.5
    )
    assert calc("syrup_to_sweeten", "amount", volume=20.0, syrup=884.0, **{"raise": 30.0}) == pytest.approx(
        703, abs=0.5
    )


def test_syrup_no_sweeter_than_the_wish_is_refused() -> None:
    with pytest.raises(topic("errors").CalcError, match="use more sugar"):
        calc("syrup_to_sweeten", "amount", volume=20.0, syrup=60.0, **{"raise": 60.0})


def test_12_g_of_sugar_left_to_ferment_make_3_7_bar_and_a_warning() -> None:
    assert calc("bottle_pressure", "pressure", sugar=12.0, alcohol=12.0) == pytest.approx(3.74, abs=0.005)
    assert "can burst" in cautions("bottle_pressure", sugar=12.0, alcohol=12.0)
    assert "can burst" not in cautions("bottle_pressure", sugar=2.0, alcohol=12.0)


def test_a_dry_flat_wine_makes_no_pressure() -> None:
    assert calc("bottle_pressure", "pressure", sugar=0.0, alcohol=12.0) == 0.0


def test_pressure_follows_the_equation_to_the_third_figure() -> None:
    expected = (1.0 + 0.4886 * 24.0) / (1.951e-5 * (0.86 - 0.14)) - 101325.0
    assert calc("bottle_pressure", "pressure", sugar=24.0, alcohol=14.0) == pytest.approx(expected / 1e5, rel=1e-9)


def test_sugar_in_the_wine_lowers_what_gas_it_holds() -> None:
    saturation = topic("pressure").saturation
    assert saturation(101325.0, 12.0, 50.0) == pytest.approx(saturation(101325.0, 12.0) * (1.0 - 0.072))
