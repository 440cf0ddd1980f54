"""The same figures by an independent route: libraries that share nothing with this program."""

from __future__ import annotations

import molmass
import pytest
from iapws import IAPWS95

from cellar_tui.enology import (
    acidity,
    alcohol,
    fining,
    gravity,
    malolactic,
    nutrients,
    oxygen,
    pressure,
    safety,
    sorbate,
    sulfite,
    sweetening,
    tartrate,
    water,
)


def mass(formula: str) -> float:
    """Molar mass [g/mol] of a formula."""
    return float(molmass.Formula(formula).mass)


@pytest.mark.parametrize("temperature", [0.1, 4.0, 10.0, 15.0, 20.0, 25.0, 30.0, 35.0, 40.0, 45.0])
def test_water_weighs_what_the_international_formulation_says(temperature: float) -> None:
    expected = IAPWS95(T=273.15 + temperature, P=0.101325).rho
    assert water.water_density(temperature) == pytest.approx(expected, abs=0.005)


@pytest.mark.parametrize("temperature", [5.0, 10.0, 15.0, 25.0, 30.0, 35.0])
def test_the_hydrometer_correction_follows_the_international_formulation(temperature: float) -> None:
    true, warm = (IAPWS95(T=273.15 + at, P=0.101325).rho for at in (20.0, temperature))
    expected = true / warm * (1.0 - 25e-6 * (temperature - 20.0))
    assert gravity.corrected_sg(1.0, temperature) == pytest.approx(expected, abs=2e-6)


def test_the_shares_of_salts_are_those_of_their_formulas() -> None:
    assert sulfite.SO2_SHARE["potassium_metabisulfite"] == pytest.approx(2 * mass("SO2") / mass("K2S2O5"), abs=5e-4)
    assert sulfite.SO2_SHARE["sodium_metabisulfite"] == pytest.approx(2 * mass("SO2") / mass("Na2S2O5"), abs=1e-4)
    assert pytest.approx(2 * mass("K") / mass("K2S2O5"), abs=2e-3) == sulfite.POTASSIUM_SHARE_METABISULFITE
    assert pytest.approx(mass("C6H8O2") / mass("C6H7KO2"), abs=5e-5) == sorbate.SORBIC_SHARE
    assert pytest.approx(mass("K") / mass("C6H7KO2"), abs=5e-4) == sorbate.POTASSIUM_SHARE_SORBATE
    assert pytest.approx(2 * mass("N") / mass("N2H9PO4"), abs=5e-5) == nutrients.DAP_NITROGEN
    assert pytest.approx(mass("Cu") / mass("CuSO4H10O5"), abs=5e-5) == fining.COPPER_SHARE
    assert pytest.approx(mass("SO2") / mass("C2H4O"), abs=5e-4) == sulfite.SO2_PER_ACETALDEHYDE


@pytest.mark.parametrize(
    ("acid", "formula", "groups"),
    [
        ("tartaric", "C4H6O6", 2),
        ("malic", "C4H6O5", 2),
        ("citric", "C6H8O7", 3),
        ("lactic", "C3H6O3", 1),
        ("acetic", "C2H4O2", 1),
        ("sulfuric", "H2SO4", 2),
    ],
)
def test_an_equivalent_of_acid_is_its_mass_over_its_acid_groups(acid: str, formula: str, groups: int) -> None:
    assert acidity.GRAMS_PER_EQUIVALENT[acid] == pytest.approx(mass(formula) / groups, abs=1e-3)


def test_the_carbonates_neutralise_what_their_formulas_can() -> None:
    assert pytest.approx(mass("KHCO3"), abs=1e-3) == acidity.POTASSIUM_BICARBONATE
    assert acidity.CARBONATE_RATE["calcium_carbonate"] == pytest.approx(mass("CaCO3") / mass("C4H6O6"), abs=1e-4)


def test_the_ferments_give_what_their_formulas_can() -> None:
    assert pytest.approx(2 * mass("CO2") / mass("C6H12O6"), abs=5e-5) == pressure.CO2_PER_SUGAR
    ethanol_per_sugar = 2 * mass("C2H6O") / mass("C6H12O6")
    assert pytest.approx(7.8924 / ethanol_per_sugar, abs=5e-3) == alcohol.SUGAR_PER_ALCOHOL_THEORY
    assert malolactic.lactic_formed(1.0) == pytest.approx(mass("C3H6O3") / mass("C4H6O5"), abs=1e-5)
    assert malolactic.gas_formed(1.0) == pytest.approx(mass("CO2") / mass("C4H6O5"), abs=1e-5)
    assert pytest.approx(2 * mass("C6H12O6") / mass("C12H22O11"), abs=5e-5) == sweetening.INVERSION


def test_the_molar_masses_of_crystals_and_gases_are_those_of_their_formulas() -> None:
    assert pytest.approx(mass("KHC4H4O6"), abs=5e-3) == tartrate.BITARTRATE
    assert pytest.approx(mass("C4H6O6"), abs=1e-3) == tartrate.TARTARIC
    assert pytest.approx(mass("K"), abs=1e-4) == tartrate.POTASSIUM
    assert pytest.approx(mass("SO2"), abs=1e-3) == safety.SO2_MOLAR_MASS
    assert pytest.approx(mass("CO2"), abs=1e-3) == safety.CO2_MOLAR_MASS
    assert pytest.approx(mass("O2"), abs=2e-3) == oxygen.OXYGEN_MOLAR_MASS
    assert pytest.approx(2 * mass("SO2") / mass("O2"), abs=5e-3) == oxygen.SO2_PER_OXYGEN
    assert pytest.approx(mass("SO2") / mass("O2"), abs=5e-3) == oxygen.SO2_PER_OXYGEN_FLOOR
