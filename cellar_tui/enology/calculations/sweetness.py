"""Calculations on sweetening: sugar, syrup, the sorbate that must come first."""

from __future__ import annotations

from cellar_tui.enology import alcohol, sorbate, sweetening
from cellar_tui.enology.calculations.common import ALCOHOL_INPUT, PH_INPUT, VOLUME_INPUT
from cellar_tui.enology.calculations.model import REQUIRED, Given, Input, Outcome, Quantity, calculation, kept
from cellar_tui.enology.errors import CalcError
from cellar_tui.enology.weighing import weighing_note

RAISE_INPUT = Input("raise", "g/L", REQUIRED, "the rise of sugar", limits=sweetening.RAISE_RANGE)
YEAST = "sugar feeds any living yeast: sorbate in a clear wine, sterile filtration or spirit first"


def _far(raise_g_l: float) -> str:
    far = f"over {sweetening.TRUSTED_RAISE:g} g/L the volume rule drifts: add nine tenths, measure, add the rest"
    return far if raise_g_l > sweetening.TRUSTED_RAISE else ""


@calculation("sugar_to_sweeten", "Dry sugar to sweeten", (VOLUME_INPUT, RAISE_INPUT), ("springer-app1", "arithmetic"))
def sugar_to_sweeten(given: Given) -> Outcome:
    """Dry sugar [g] for a rise of sugar, and the volume [L] after. Valid: a rise up to 200 g/L."""
    volume, rise = given.number("volume"), given.number("raise")
    grams = sweetening.sugar_for(volume, rise)
    return Outcome(
        {"amount": Quantity(grams, "g"), "volume": Quantity(sweetening.volume_after(volume, grams), "L")},
        "g = raise * volume / (1 - 0.00062 raise); volume after = volume + 0.00062 g",
        kept(
            YEAST,
            f"table sugar inverts in wine and then reads {rise * sweetening.INVERSION:.3g} g/L glucose and fructose",
            weighing_note(grams, solution=False),
            _far(rise),
        ),
    )


@calculation(
    "syrup_to_sweeten",
    "Syrup to sweeten",
    (VOLUME_INPUT, RAISE_INPUT, Input("syrup", "g/L", REQUIRED, "sugar in the syrup", limits=sweetening.SYRUP_RANGE)),
    ("icumsa", "arithmetic"),
)
def syrup_to_sweeten(given: Given) -> Outcome:
    """Syrup [mL] for a rise of sugar, and the volume [L] after. Syrup dilutes everything else in the wine."""
    volume, rise = given.number("volume"), given.number("raise")
    syrup = sweetening.syrup_for(volume, rise, given.number("syrup"))
    after = volume + syrup / 1000.0
    return Outcome(
        {"amount": Quantity(syrup, "mL"), "volume": Quantity(after, "L")},
        "mL = 1000 * volume * raise / (syrup - raise)",
        kept(
            YEAST,
            f"SO2, acid and alcohol fall to {100.0 * volume / after:.1f} % of what they were",
            "syrup of equal masses holds about 615 g/L, of two to one about 884",
            _far(rise),
        ),
    )


@calculation(
    "sorbate_dose",
    "Potassium sorbate",
    (
        VOLUME_INPUT,
        ALCOHOL_INPUT,
        PH_INPUT,
        Input("sweeten", "g/L", None, "the sugar still to come", limits=sweetening.RAISE_RANGE),
        Input("syrup", "g/L", None, "the sugar in the syrup, if it comes as syrup", limits=sweetening.SYRUP_RANGE),
    ),
    ("underhill", "peynaud1984", "eisenman", "oiv-sorbic"),
)
def sorbate_dose(given: Given) -> Outcome:
    """Dose [mg/L potassium sorbate] and amount [g] for the wine as it will be once sweetened.

    Valid: clear wine, 10 to 14 % vol and pH 3.1 to 3.5 after sweetening; refused outside. It stops multiplication
    only, needs SO2 beside it, and with live malolactic bacteria makes a geranium smell that nothing removes.
    """
    volume, strength = _as_it_will_be(given)
    dose = sorbate.table_dose(given.number("ph"), strength)
    grams = volume * dose / 1000.0
    ceiling = sorbate.sorbate_ceiling()
    second = sorbate.peynaud_dose(strength)
    return Outcome(
        {
            "dose": Quantity(dose, "mg/L"),
            "sorbic_acid": Quantity(sorbate.sorbic_acid(dose), "mg/L"),
            "amount": Quantity(grams, "g"),
            "volume": Quantity(volume, "L"),
            "alcohol": Quantity(strength, "% vol"),
        },
        "dose from the table by alcohol and pH after sweetening; g = volume after * dose / 1000",
        kept(
            f"over the ceiling of {sorbate.CEILING_SORBIC:g} mg/L sorbic acid: use at most {ceiling:.0f} mg/L"
            if dose > ceiling
            else "",
            f"another author gives {second:.0f} mg/L at any pH, a third {sorbate.FLAT_RULE:g} mg/L to every sweet wine",
            f"free SO2 of {sorbate.LOWEST_FREE_SO2:g} mg/L or more beside it; never with live malolactic bacteria",
            "the pH is taken to stay as it is: measure it once sweetened" if given.has("sweeten") else "",
            weighing_note(grams),
        ),
    )


def _as_it_will_be(given: Given) -> tuple[float, float]:
    """Volume [L] and alcohol [% vol] of the wine after the sweetening to come."""
    volume, strength = given.number("volume"), given.number("alcohol")
    if not given.has("sweeten"):
        if given.has("syrup"):
            raise CalcError("sweeten is missing: give the rise of sugar that the syrup is to bring", "sweeten")
        return volume, strength
    rise = given.number("sweeten")
    if given.has("syrup"):
        added = sweetening.syrup_for(volume, rise, given.number("syrup")) / 1000.0
    else:
        added = sweetening.volume_after(volume, sweetening.sugar_for(volume, rise)) - volume
    return volume + added, alcohol.after_mixing(volume, strength, added, 0.0)


CALCULATIONS = (sugar_to_sweeten, syrup_to_sweeten, sorbate_dose)
