"""What a label says of a bottle: drinks, energy and units; and what the bottle has cost."""

from __future__ import annotations

from cellar_tui.enology.bottling import BOTTLE, LOSS, SLACK
from cellar_tui.enology.errors import ALCOHOL, SUGAR, VOLUME, CalcError, Range
from cellar_tui.enology.ethanol import PER_PERCENT

KILOJOULES = {"alcohol": 29.0, "sugar": 17.0, "acid": 13.0, "polyol": 10.0}
"""Energy of a gram [kJ] [seen: eu1169]."""
KILOCALORIES = {"alcohol": 7.0, "sugar": 4.0, "acid": 3.0, "polyol": 2.4}
"""Energy of a gram [kcal] [seen: eu1169]."""
GLYCEROL = Range("glycerol", 0.0, 30.0, "g/L", "a dry wine holds 5 to 10, a botrytised one up to 25")
"""Wines as found [common practice]."""
MONEY = Range("cost", 0.0, 1e9, "", "give what the lot has cost, in any one currency")
"""Any lot [common practice]."""
GOODS = Range("dry_goods", 0.0, 1e6, "", "give glass, cork, capsule and label of one bottle, in the same currency")
"""Any bottle [common practice]."""
YEARS = Range("years", 0.0, 100.0, "", "give the years for which that share is lost, 1 for a loss met once")
"""Any cellar [common practice]."""


def drinks(bottle_ml: float, alcohol: float, grams: float) -> float:
    """Standard drinks of so many grams of ethanol in a bottle [mL] of an alcohol [% vol]: mL A / 100 * 0.78924 / g.

    Valid: a country's own drink holds 8 to 20 g. Outside: OutOfRange. Source: computed.

    >>> round(drinks(750.0, 13.5, 10.0), 2)
    7.99
    """
    return BOTTLE.check(bottle_ml) * ALCOHOL.check(alcohol) * PER_PERCENT / 1000.0 / grams


def uk_units(bottle_ml: float, alcohol: float) -> float:
    """UK units in a bottle [mL] of an alcohol [% vol], 10 mL of ethanol each. Source: computed.

    >>> round(uk_units(750.0, 13.5), 3)
    10.125
    """
    return BOTTLE.check(bottle_ml) * ALCOHOL.check(alcohol) / 1000.0


def energy(alcohol: float, sugar: float, acids: float, polyols: float, factors: dict[str, float]) -> float:
    """Energy [kJ or kcal by the factors] of 100 mL, by alcohol [% vol] and sugar, acids, polyols [g/L].

    Valid: wine; what else is in it counts for under 1 %. Outside: OutOfRange. Source: eu1169, Annex XIV as quoted.

    >>> round(energy(12.0, 3.0, 6.0, 7.0, KILOJOULES))
    295
    """
    grams = {
        "alcohol": PER_PERCENT / 10.0 * ALCOHOL.check(alcohol),
        "sugar": SUGAR.check(sugar) / 10.0,
        "acid": acids / 10.0,
        "polyol": GLYCEROL.check(polyols) / 10.0,
    }
    return sum(factors[name] * gram for name, gram in grams.items())


def left_after(volume: float, loss: float, years: float = 1.0) -> float:
    """Volume [L] left of `volume` [L] at a loss [%] met in each of so many years: V (1 - loss)^years.

    >>> round(left_after(225.0, 4.5, 2.0), 1)
    205.2
    """
    return float(VOLUME.check(volume) * (1.0 - LOSS.check(loss) / 100.0) ** YEARS.check(years))


def bottle_cost(cost: float, left: float, bottle_ml: float, dry_goods: float) -> float:
    """Cost of a bottle [as typed] from that of the lot, the litres left [L] and the bottle [mL], dry goods added.

    Equation: cost / whole bottles + dry goods. Valid: one currency. Outside: CalcError where no bottle is filled.
    Source: arithmetic.

    >>> round(bottle_cost(1200.0, left_after(225.0, 3.0), 750.0, 1.60), 2)
    5.72
    """
    bottles = int(left * 1000.0 / BOTTLE.check(bottle_ml) + SLACK)
    if bottles < 1:
        raise CalcError("volume fills no bottle of that size: check both", "volume")
    return MONEY.check(cost) / bottles + GOODS.check(dry_goods)
