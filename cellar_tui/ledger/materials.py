"""The materials of a cellar: in what unit each is weighed or measured, and what it brings into the wine."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from cellar_tui.enology import sulfite
from cellar_tui.enology.sweetening import LITRES_PER_GRAM

Sort = Literal["so2", "sorbate", "sugar", "acid", "carbonate", "fining", "nutrient", "culture", "volume", "other"]


@dataclass(frozen=True, slots=True)
class Material:
    """What one unit of a material does.

    Attributes:
        unit: unit of its amount, g, mL or L.
        sort: what it is for.
        strength: usual strength: a mass share for salts, % w/v SO2 for a solution, g/L for syrups, % vol for spirit.
        sugar: g of fermentable sugar in a gram; for syrups it follows from the strength [g/L].
        litres: volume that one unit brings [L].
        dose_unit: unit of a bare dose.
        most: usual most of one addition [mg/L of wine], the default of a house rule.
    """

    unit: Literal["g", "mL", "L"]
    sort: Sort
    strength: float = 1.0
    sugar: float = 0.0
    litres: float = 0.0
    dose_unit: str = "g/L"
    most: float | None = None


MATERIALS: dict[str, Material] = {
    "potassium_metabisulfite": Material("g", "so2", dose_unit="mg/L"),
    "sodium_metabisulfite": Material("g", "so2", dose_unit="mg/L"),
    "so2_solution": Material("mL", "so2", strength=5.0, litres=0.001, dose_unit="mg/L"),
    "potassium_sorbate": Material("g", "sorbate", dose_unit="mg/L", most=267.0),
    "sugar": Material("g", "sugar", sugar=1.0, litres=LITRES_PER_GRAM),
    "syrup": Material("mL", "sugar", strength=614.8, litres=0.001),  # one part sugar, one part water by mass, 50 Brix
    "juice": Material("L", "sugar", strength=180.0, litres=1.0),
    "concentrate": Material("mL", "sugar", strength=880.0, litres=0.001),
    "honey": Material("g", "sugar", sugar=0.8, litres=0.0007),
    "unfermentable_sweetener": Material("g", "other", litres=LITRES_PER_GRAM),
    "spirit": Material("L", "volume", strength=96.0, litres=1.0),
    "water": Material("L", "volume", litres=1.0),
    "pectic_enzyme": Material("g", "other", dose_unit="g/hL", most=400.0),
    "yeast": Material("g", "culture", dose_unit="g/hL", most=1000.0),
    "malolactic_culture": Material("g", "culture", dose_unit="g/hL"),
    "dap": Material("g", "nutrient", most=960.0),
    "complex_nutrient": Material("g", "nutrient", most=1000.0),
    "tartaric_acid": Material("g", "acid", most=4000.0),
    "malic_acid": Material("g", "acid", most=4000.0),
    "citric_acid": Material("g", "acid", most=1000.0),
    "potassium_bicarbonate": Material("g", "carbonate", most=3000.0),
    "calcium_carbonate": Material("g", "carbonate", most=3000.0),
    "bentonite": Material("g", "fining", dose_unit="g/hL", most=1000.0),
    "gelatin": Material("g", "fining", dose_unit="g/hL", most=250.0),
    "isinglass": Material("g", "fining", dose_unit="g/hL", most=50.0),
    "cream_of_tartar": Material("g", "other", most=4000.0),
    "metatartaric_acid": Material("g", "other", dose_unit="mg/L", most=100.0),
    "tannin": Material("g", "fining", dose_unit="g/hL", most=500.0),
    "oak": Material("g", "other", most=8000.0),
    "copper_sulfate": Material("g", "other", dose_unit="mg/L"),
    "ascorbic_acid": Material("g", "other", dose_unit="mg/L", most=150.0),
    "lysozyme": Material("g", "fining", dose_unit="mg/L", most=500.0),
}

OWN = Material("g", "other")
"""A material the program does not know: weighed in grams, it changes nothing that is worked out."""

PROTEIN_FININGS = ("gelatin", "isinglass", "lysozyme", "tannin")
"""Finings that bring protein or tannin; they undo the haze test. Common practice."""


def material(name: str) -> Material:
    """Return what is known of a material."""
    return MATERIALS.get(name, OWN)


def named(written: str) -> str:
    """Return the name of a known material however it is written; one of the cellar's own stays as it is."""
    name = written.casefold().replace(" ", "_")
    return name if name in MATERIALS else written


@dataclass(frozen=True, slots=True)
class Active:
    """What an addition brings: SO2 [mg], potassium sorbate [g], fermentable sugar [g], volume [L]."""

    so2_mg: float = 0.0
    sorbate_g: float = 0.0
    sugar_g: float = 0.0
    litres: float = 0.0


def active(name: str, amount: float, strength: float | None) -> Active:
    """Work out what `amount` of a material brings, in the material's own unit and at its strength."""
    known = material(name)
    power = known.strength if strength is None else strength
    litres = amount * known.litres
    if name == "so2_solution":
        return Active(so2_mg=amount * power * 10, litres=litres)  # 1 % w/v is 10 mg in a millilitre
    if known.sort == "so2":
        return Active(so2_mg=sulfite.so2_mg(amount, name, power))
    if known.sort == "sorbate":
        return Active(sorbate_g=amount * power)
    if known.sort == "sugar":
        # A syrup, juice or concentrate is told by its sugar content, dry sugar and honey by a share of their weight.
        sugar = amount * known.sugar * (power if known.unit == "g" else 1.0) if known.sugar else litres * power
        return Active(sugar_g=sugar, litres=litres)
    return Active(litres=litres)


def amount_for_dose(name: str, dose: float, volume: float, strength: float | None) -> float:
    """Return the amount [g, mL or L] that brings `dose` [mg/L] to `volume` [L].

    For sulfites the dose is mg/L of SO2, for sugars mg/L of sugar, for the rest mg/L of the material itself.
    """
    known = material(name)
    power = known.strength if strength is None else strength
    wanted = dose * volume  # mg
    if name == "so2_solution":
        return wanted / (power * 10)
    if known.sort == "so2":
        return wanted / 1000 / sulfite.SO2_SHARE[name] / power
    if known.sort == "sugar" and not known.sugar:
        return wanted / 1000 / power / known.litres
    grams = wanted / 1000
    if known.sort in ("sugar", "sorbate"):
        return grams / ((known.sugar or 1.0) * power)
    return grams if known.unit == "g" else grams / 1000 / known.litres
