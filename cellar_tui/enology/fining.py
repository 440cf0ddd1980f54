"""From a bench trial to the vessel: how much stock goes into a sample, how much fining into a wine."""

from __future__ import annotations

from cellar_tui.enology.errors import VOLUME, Range

DOSE = Range("dose", 0.0, 1000.0, "g/hL", "give the dose in grams a hectolitre: bentonite 25 to 100, gelatin 1 to 5")
"""Published doses run to 100 g/hL of bentonite [seen: chart]."""
SAMPLE = Range("sample", 1.0, 100_000.0, "mL", "take a trial sample of 100 to 750 mL")
"""A measuring cylinder to a demijohn [common practice]."""
STOCK = Range("stock", 0.001, 30.0, "%", "give the grams of fining in 100 mL of stock, for instance 5 for bentonite")
"""A copper stock for glasses is 0.004 % [seen: iowa-copper]; slurries over 30 % do not pour [common practice]."""
SLURRY = 5.0
"""Bentonite slurry as it is usually made [% w/v] [from memory: common practice]."""
WATER_LIMIT = 1.0
"""Most water a treating material may carry into wine, US [% of volume] [seen: cfr24-246]."""
COPPER_DOSE = Range("copper", 0.0, 1.0, "mg/L", "trial 0.05 to 0.2 mg/L; over 0.5 in all hazes white wine")
"""What the OIV lets stay [seen: oiv-limits]."""
COPPER_CAUTION = 0.5
"""Copper over which a wine may haze, and the US limit as last read [mg/L] [seen: ucd-copper2016]."""
COPPER_SHARE = 0.2545
"""Grams of copper in a gram of copper sulfate with five waters [computed: 63.546 / 249.685]."""


def bench_ml(dose: float, sample: float, stock: float) -> float:
    """Stock [mL] of a strength [% w/v] that gives `dose` [g/hL] in a sample [mL].

    Equation: dose / 100 * sample / 1000 / (stock / 100). Valid: stock freshly shaken. Outside: OutOfRange; a result
    under 0.5 mL wants a weaker stock or a larger sample. Source: arithmetic.

    >>> bench_ml(50.0, 100.0, 5.0)
    1.0
    """
    return DOSE.check(dose) / 100.0 * SAMPLE.check(sample) / 1000.0 / (STOCK.check(stock) / 100.0)


def fining_grams(dose: float, volume: float) -> float:
    """Fining [g] for a dose [g/hL] in a volume [L]: dose * volume / 100. Outside: OutOfRange. Source: arithmetic.

    >>> fining_grams(50.0, 54.0)
    27.0
    """
    return DOSE.check(dose) * VOLUME.check(volume) / 100.0


def slurry_ml(grams: float, stock: float = SLURRY) -> float:
    """Slurry [mL] of a strength [% w/v] that holds `grams`: grams / (stock / 100). Outside: OutOfRange.

    Valid: thin slurries, a gram a millilitre. Source: arithmetic.

    >>> round(slurry_ml(27.0, 5.0), 3)
    540.0
    """
    return grams / (STOCK.check(stock) / 100.0)


def copper_sulfate_ml(volume: float, copper: float, stock: float = 1.0) -> float:
    """Copper sulfate solution [mL] of a strength [% w/v, with five waters] that gives `copper` [mg/L] in `volume` [L].

    Equation: volume * copper / (10 * stock * 0.2545). Valid: after a trial, never over 0.5 mg/L in all. Outside:
    OutOfRange for the stock; copper left in wine hazes and is limited by law. Source: stoichiometry.

    >>> round(copper_sulfate_ml(3.785, 0.1), 2)
    0.15
    """
    return VOLUME.check(volume) * copper / (10.0 * STOCK.check(stock) * COPPER_SHARE)


def copper_sulfate_grams(volume: float, copper: float) -> float:
    """Copper sulfate with five waters [g] that gives `copper` [mg/L] in `volume` [L]: volume * copper / 254.5.

    Valid: after a trial. Outside: OutOfRange over 1 mg/L. Source: stoichiometry.

    >>> round(copper_sulfate_grams(225.0, 0.2), 3)
    0.177
    """
    return VOLUME.check(volume) * COPPER_DOSE.check(copper) / (1000.0 * COPPER_SHARE)
