"""Calculations on gas in bottles: the pressure of sugar that ferments there, unwanted or wanted."""

from __future__ import annotations

from cellar_tui.enology import pressure
from cellar_tui.enology.calculations.common import VOLUME_INPUT
from cellar_tui.enology.calculations.model import REQUIRED, Given, Input, Outcome, Quantity, calculation, kept
from cellar_tui.enology.errors import Range

TEMPERATURE = Range("temperature", 0.0, 35.0, "C", "give the temperature of the bottle")
KIND_INPUT = Input(
    "kind", "", "grape", "grape for sugar left in the wine, cane for cane or beet", tuple(pressure.SUGARS)
)


@calculation(
    "bottle_pressure",
    "Pressure in a bottle that referments",
    (
        Input("sugar", "g/L", REQUIRED, "the sugar that may ferment", limits=pressure.SUGAR_LEFT),
        Input("alcohol", "% vol", REQUIRED, "the alcohol of the wine", limits=pressure.ALCOHOL),
        Input("co2", "g/L", pressure.CO2_START, "carbon dioxide already in it", limits=pressure.CO2),
        Input("temperature", "C", 20.0, "the temperature of the bottle", limits=TEMPERATURE),
        KIND_INPUT,
    ),
    ("eec2676", "iapws", "patterson2011", "stoichiometry"),
)
def bottle_pressure(given: Given) -> Outcome:
    """Pressure over the air's [bar] at a temperature if all the sugar ferments. Valid: 8 to 15 % vol, full bottle."""
    wine = given.number("sugar"), given.number("alcohol"), given.number("co2")
    bar = pressure.gauge_bar(*wine, given.number("temperature"), given.text("kind"))
    cane = pressure.gauge_bar(*wine, given.number("temperature"), "cane")
    warm = pressure.gauge_bar(*wine, pressure.WARM, given.text("kind"))
    worst = max(bar, warm)
    glass = f"still bottles carry no rating and corks move from {pressure.CORKS_MOVE:g} bar: this one can burst"
    return Outcome(
        {"pressure": Quantity(bar, "bar")},
        "bar = (co2 + y sugar) / (1.951e-5 (0.86 - 0.01 alcohol)) Pa * r(T) - 101325 Pa, not under 0; "
        "y = 0.4886 grape, 0.5143 cane",
        kept(
            f"as cane sugar it is {cane:.1f} bar; at {pressure.WARM:g} C {warm:.1f} bar",
            glass if worst >= pressure.CORKS_MOVE else "",
            "the trade's 4 g/L an atmosphere holds for about 10 C; at 20 C it depends on the CO2 already in the wine",
            f"from {pressure.SPARKLING:g} bar at 20 C a wine counts as sparkling" if bar >= pressure.SPARKLING else "",
        ),
    )


@calculation(
    "priming_sugar",
    "Sugar for a sparkling wine",
    (
        VOLUME_INPUT,
        Input("pressure", "bar", REQUIRED, "the pressure wanted at 20 C, over the air's", limits=pressure.WANTED),
        Input("alcohol", "% vol", REQUIRED, "the alcohol of the base wine", limits=pressure.ALCOHOL),
        Input("co2", "g/L", pressure.FIRST_CO2, "carbon dioxide already in it", limits=pressure.CO2),
        Input("kind", "", "cane", "cane for cane or beet sugar, grape for must or dextrose", tuple(pressure.SUGARS)),
        Input("sugar", "g/L", 0.0, "the sugar still in the base wine", limits=pressure.SUGAR_LEFT),
    ),
    ("eec2676", "iapws", "liger2017", "stoichiometry"),
)
def priming_sugar(given: Given) -> Outcome:
    """Sugar [g/L and g] that gives a pressure once fermented in the bottle, and that pressure at 30 C [bar].

    Valid: glass made for sparkling wine, dry base wine of 8 to 13 % vol; what sugar is in it counts fully.
    """
    bar, strength, kind = given.number("pressure"), given.number("alcohol"), given.text("kind")
    held = given.number("co2") + pressure.CO2_PER_SUGAR * given.number("sugar")
    dose = pressure.priming(bar, strength, min(held, pressure.CO2.high), kind)
    warm = pressure.gauge_bar(dose, strength, min(held, pressure.CO2.high), pressure.WARM, kind)
    only = (
        f"STOP over {pressure.STILL_GLASS:g} bar: only glass made for sparkling wine, never still wine bottles; "
        f"beer bottles work to about {pressure.BEER_GLASS:g} bar"
    )
    return Outcome(
        {
            "dose": Quantity(dose, "g/L"),
            "amount": Quantity(dose * given.number("volume"), "g"),
            "pressure_30": Quantity(warm, "bar"),
        },
        "g/L = (1.951e-5 (0.86 - 0.01 alcohol) (bar + 1.01325) 1e5 - co2) / y; y = 0.5143 cane, 0.4886 grape",
        kept(
            only if max(bar, warm) > pressure.STILL_GLASS else "",
            "the base wine already holds that much: add none, and expect more than was wanted" if dose == 0.0 else "",
            "bottles without scratches, crown cap of 29 mm; goggles, gloves, a crate with a lid",
            "do not warm, shake or use a bottle again",
        ),
    )


CALCULATIONS = (bottle_pressure, priming_sugar)
