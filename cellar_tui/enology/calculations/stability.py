"""Calculations on cold and crystals."""

from __future__ import annotations

import math

from cellar_tui.enology import cold, tartrate
from cellar_tui.enology.calculations.common import ALCOHOL_INPUT, COLOURS
from cellar_tui.enology.calculations.model import REQUIRED, Given, Input, Outcome, Quantity, calculation, kept
from cellar_tui.enology.errors import PH, CalcError, OutOfRange, Range

HOLD_TEMPERATURE = Range("temperature", -15.0, 45.0, "C", "give the temperature of the wine, not of the air")
TRUSTED_FREEZING = (6.0, 22.0)
"""Alcohol between which the freezing point was fitted to 0.11 K [% vol] [computed: melinder]."""


@calculation(
    "cold_hold_days",
    "Days of cold for crystals",
    (Input("temperature", "C", REQUIRED, "the temperature of the wine itself", limits=HOLD_TEMPERATURE),),
    ("practice", "handbook2", "jackson"),
)
def cold_hold_days(given: Given) -> Outcome:
    """Days of hold at a temperature: 5 at -2.8 C or under, about 30 at 4.4 C. Warmer than 8 C earns nothing."""
    temperature = given.number("temperature")
    days = cold.hold_days(temperature)
    if math.isinf(days):
        advice = "warmer drops no crystals in useful time; chill the wine, or ask for a cold test"
        raise OutOfRange(f"temperature {temperature:g} C is outside -15 to {cold.WARMEST:g} C: {advice}", "temperature")
    published = ", ".join(f"{hold:g} d at {at:g} C" for at, hold in cold.PUBLISHED_HOLDS)
    return Outcome(
        {"days": Quantity(days, "d")},
        "days = 5 * 6^((T + 2.8) / 7.2), 5 at -2.8 C or under",
        (
            f"common practice; published holds disagree: {published}",
            "shows stability down to this temperature only: test a chilled sample before bottling",
            "watch for ice below the freezing point",
        ),
    )


@calculation(
    "freezing_point",
    "Freezing point of a wine",
    (ALCOHOL_INPUT,),
    ("melinder", "lange", "freezetable", "rule-less-one", "rule-half"),
)
def freezing_point(given: Given) -> Outcome:
    """Freezing point [C] of ethanol and water alone at an alcohol, and the range of the sources. Valid: 6 to 22 % vol.

    What else is dissolved makes a wine freeze colder still: by about 0.4 K when dry, 1.4 K more with 100 g/L sugar.
    """
    strength = given.number("alcohol")
    points = cold.freezing_points(strength)
    sources = ", ".join(f"{name}: {point:.1f}" for name, point in points.items())
    low, high = TRUSTED_FREEZING
    return Outcome(
        {
            "temperature": Quantity(cold.freezing_point(strength), "C"),
            "range": Quantity(f"{min(points.values()):.1f} to {max(points.values()):.1f}", "C"),
        },
        "-0.25875 A - 0.0076133 A^2, ethanol and water",
        kept(
            f"the sources disagree by {max(points.values()) - min(points.values()):.1f} K ({sources})",
            "dry extract lowers the real point by a further 0.4 K, 100 g/L sugar by 1.4 K more; warn 1 K above it",
            "" if low <= strength <= high else f"fitted from {low:g} to {high:g} % vol: carried on beyond it",
        ),
    )


@calculation(
    "bitartrate_solubility",
    "Solubility of potassium bitartrate",
    (
        Input("temperature", "C", REQUIRED, "the temperature", limits=tartrate.SOLUBILITY_TEMPERATURE),
        Input("alcohol", "% vol", REQUIRED, "the alcohol", limits=tartrate.SOLUBILITY_ALCOHOL),
    ),
    ("berg1958",),
)
def bitartrate_solubility(given: Given) -> Outcome:
    """Bitartrate [g/L] that stays dissolved in ethanol and water. Valid: 0 to 20 C and 0 to 20 % vol within 8 %."""
    temperature = given.number("temperature")
    low, high = tartrate.TABLE_TEMPERATURE
    return Outcome(
        {"solubility": Quantity(tartrate.solubility(temperature, given.number("alcohol")), "g/L")},
        "ln S = 14.1139 - 3648.6 / T[K] - 0.05443 alcohol",
        kept(
            "sources differ by a quarter in water at 20 C (4.9, 5.7, 6.2 g/L), and wine holds more: a trend only",
            "" if low <= temperature <= high else f"the table ends at {low:g} and {high:g} C: carried on beyond it",
        ),
    )


@calculation(
    "tartrate_stability",
    "Crystal stability from laboratory figures",
    (
        Input("conductivity_drop", "%", None, "the fall in the mini-contact test", limits=tartrate.CONDUCTIVITY_DROP),
        Input("saturation_drop", "uS/cm", None, "the conductivity difference", limits=tartrate.SATURATION_DROP),
        Input("potassium", "mg/L", None, "the potassium", limits=tartrate.POTASSIUM_RANGE),
        Input("tartaric", "g/L", None, "the tartaric acid", limits=tartrate.TARTARIC_RANGE),
        Input("ph", "", None, "the pH", limits=PH),
        Input("colour", "", None, "the colour", COLOURS),
    ),
    ("handbook2", "hornsey2007", "wurdig1982", "desoto1963"),
)
def tartrate_stability(given: Given) -> Outcome:
    """Whether a wine is stable by conductivity, by saturation temperature, or by concentration product.

    Stable when every test given says so: a drop under 5 %, a saturation temperature of 8 C or less, a product of at
    most 16.5 (white, rose, fruit) or 30.0 (red). Valid: dry wine near 12.5 % vol; a chilled sample outranks all.
    """
    values: dict[str, Quantity] = {}
    verdicts: list[bool] = []
    cautions: list[str] = []
    formulas: list[str] = []
    if given.has("conductivity_drop"):
        verdicts.append(given.number("conductivity_drop") < tartrate.CONDUCTIVITY_LIMIT)
        formulas.append("stable when the conductivity falls by less than 5 %")
        cautions.append(f"{tartrate.CONDUCTIVITY_STRICT:g} % is the strict limit; reds are judged more loosely")
    if given.has("saturation_drop"):
        saturation = tartrate.saturation_temperature(given.number("saturation_drop"), _as_red(given))
        values["saturation_temperature"] = Quantity(saturation, "C")
        verdicts.append(saturation <= tartrate.SATURATION_LIMIT)
        formulas.append("Tsat = 20 - drop / 29.30 (white), 29.90 - drop / 58.30 (red, rose); stable to 8 C")
        stable_to = tartrate.critical_temperature(saturation)
        cautions.append(
            f"at 12.5 % vol stable down to about {stable_to:.0f} C, at 11 % three degrees lower; reds looser"
        )
    if any(given.has(name) for name in ("potassium", "tartaric", "ph")):
        product = tartrate.concentration_product(
            given.number("potassium"), given.number("tartaric"), tartrate.bitartrate_share(given.number("ph"))
        )
        values["concentration_product"] = Quantity(product, "mol2/L2 x1e5")
        verdicts.append(product <= tartrate.PRODUCT_LIMIT[given.text("colour")])
        formulas.append("product = [K] * [tartaric] * bitartrate share; stable to 16.5, red 30.0")
        cautions.append("a white near 13 was found unstable by the product and stable by conductivity: test a sample")
    if not verdicts:
        wish = "conductivity_drop, or saturation_drop and colour, or potassium, tartaric, ph and colour"
        raise CalcError(f"conductivity_drop is missing: give {wish}", "conductivity_drop")
    values["stable"] = Quantity(all(verdicts), "")
    return Outcome(values, "; ".join(formulas), tuple(cautions))


def _as_red(given: Given) -> bool:
    return given.text("colour") in ("red", "rose")


CALCULATIONS = (cold_hold_days, freezing_point, bitartrate_solubility, tartrate_stability)
