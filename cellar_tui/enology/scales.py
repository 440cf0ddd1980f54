"""Scales of must weight and of spirit: Oechsle, KMW, Baume and Brix to SG 20/20 and back, proof to % vol."""

from __future__ import annotations

import math

from cellar_tui.enology.errors import OutOfRange, Range
from cellar_tui.enology.ethanol import PER_PERCENT
from cellar_tui.enology.gravity import ANY_SG, SUGAR_SG, brix_from_sg, plato, sg_from_brix

KMW_TO_OECHSLE = (4.54, 0.022)
"""Oechsle in powers of KMW, from the first on [seen: kmw]."""
BAUME_MODULUS = 145.0
"""SG = 145 / (145 - Baume), 60/60 F [from memory: baume]."""
BAUME_MODULUS_OLD = 144.32
"""The same of older French instruments at 15 C: 0.0005 SG apart at 12 Baume [from memory: baume]."""
PROOF_US = 2.0
"""US proof for one % vol at 60 F [seen: proof]."""
PROOF_UK = 1.75
"""UK proof for one % vol; 100 is spirit of 12/13 the weight of water at 51 F [seen: proof]."""
OECHSLE = Range("oechsle", 0.0, 179.0, "Oe", "for must only, before it holds any alcohol; usual musts weigh 40 to 140")
"""What the sugar table reaches [seen: brixarticle]."""
KMW = Range("kmw", 0.0, 33.0, "KMW", "for must only, before it holds any alcohol; usual musts weigh 9 to 30")
"""33 KMW are 174 Oechsle [computed]."""
BAUME = Range("baume", 0.0, 22.0, "Baume", "for must only, before it holds any alcohol; usual musts weigh 5 to 16")
"""22 Baume are SG 1.179 [computed]."""
OECHSLE_SUGAR = (-30.0, 2.66)
"""Sugar of a grape must [g/L] in powers of Oechsle, within 0.6 of the table from 50 to 120 [computed: must-table]."""
OECHSLE_ALCOHOL = (-13.83, 1.237)
"""Alcohol of a grape must [g/L] in powers of Oechsle, within 0.04 of the table from 50 to 80 [computed: troost1988]."""
TABLE_OECHSLE = (50.0, 120.0)
"""Oechsle between which the sugar table was seen [seen: must-table]."""
HALVINGS = 50
"""Halvings of the bisection: past what a float can hold [computed]."""
SCALES = ("oechsle", "kmw", "baume", "brix", "sg")
"""Scales of must weight, by the names of their inputs [common practice]."""


def sg_from_oechsle(oechsle: float) -> float:
    """SG 20/20 of an Oechsle: 1 + Oe / 1000. Valid: must, 0 to 179 Oe, else OutOfRange. Source: kmw.

    >>> round(sg_from_oechsle(92.0), 3)
    1.092
    """
    return 1.0 + OECHSLE.check(oechsle) / 1000.0


def oechsle_from_sg(sg: float) -> float:
    """Oechsle of an SG 20/20: 1000 (SG - 1). Pitfall: "what a litre weighs" is 2 Oe low at 90. Source: kmw.

    >>> round(oechsle_from_sg(1.092), 3)
    92.0
    """
    return 1000.0 * (SUGAR_SG.check(sg) - 1.0)


def oechsle_from_kmw(kmw: float) -> float:
    """Oechsle of a KMW [g sugar in 100 g must, by convention]: 4.54 k + 0.022 k^2. Valid: 0 to 33. Source: kmw.

    >>> round(oechsle_from_kmw(27.0), 1)
    138.6
    """
    first, second = KMW_TO_OECHSLE
    return KMW.check(kmw) * (first + second * kmw)


def kmw_from_oechsle(oechsle: float) -> float:
    """KMW of an Oechsle, the inverse of `oechsle_from_kmw`. Valid: 0 to 179 Oe. Source: kmw.

    >>> round(kmw_from_oechsle(84.0), 2)
    17.09
    """
    first, second = KMW_TO_OECHSLE
    return (-first + math.sqrt(first * first + 4.0 * second * OECHSLE.check(oechsle))) / (2.0 * second)


def sg_from_baume(baume: float, modulus: float = BAUME_MODULUS) -> float:
    """SG of a Baume: modulus / (modulus - B). Valid: heavier than water, 0 to 22. Source: baume (from memory).

    >>> round(sg_from_baume(12.0), 5)
    1.09023
    """
    return modulus / (modulus - BAUME.check(baume))


def baume_from_sg(sg: float) -> float:
    """Baume of an SG: 145 - 145 / SG. Valid: 1.000 to 1.179. Source: baume (from memory).

    >>> round(baume_from_sg(1.09023), 2)
    12.0
    """
    return BAUME_MODULUS - BAUME_MODULUS / SUGAR_SG.check(sg)


def sg_of(scale: str, value: float) -> float:
    """SG 20/20 of a value on one of SCALES; OutOfRange, naming the scale, outside it.

    >>> round(sg_of("kmw", 17.0), 4)
    1.0835
    """
    ways = {
        "oechsle": sg_from_oechsle,
        "kmw": lambda kmw: sg_from_oechsle(oechsle_from_kmw(kmw)),
        "baume": sg_from_baume,
        "brix": sg_from_brix,
        "sg": SUGAR_SG.check,
    }
    return ways[scale](value)


def on_scale(scale: str, sg: float) -> float:
    """Value on one of SCALES of an SG 20/20; the inverse of `sg_of`.

    >>> round(on_scale("kmw", 1.0835), 1)
    17.0
    """
    ways = {
        "oechsle": oechsle_from_sg,
        "kmw": lambda one: kmw_from_oechsle(oechsle_from_sg(one)),
        "baume": baume_from_sg,
        "brix": brix_from_sg,
        "sg": SUGAR_SG.check,
    }
    return ways[scale](sg)


def sg_run_on(scale: str, value: float) -> float:
    """SG of a value on one of SCALES, run on below water as a hydrometer in finished wine does: -8 Oe is SG 0.992.

    Valid: SG 0.97 to 1.179. Outside: OutOfRange. Source: as `sg_of`; below water carried on (common practice).

    >>> round(sg_run_on("oechsle", -8.0), 3), round(sg_run_on("brix", -2.0), 4)
    (0.992, 0.9923)
    """
    if value >= 0.0 and scale != "sg":
        return sg_of(scale, value)
    if scale == "sg":
        return ANY_SG.check(value)
    low, high = ANY_SG.low, SUGAR_SG.low
    if value < run_on(scale, low):
        raise OutOfRange(f"{scale} {value:g} is outside {run_on(scale, low):.1f} and up: measure it again", scale)
    for _ in range(HALVINGS):
        middle = (low + high) / 2.0
        low, high = (middle, high) if run_on(scale, middle) < value else (low, middle)
    return (low + high) / 2.0


def run_on(scale: str, sg: float) -> float:
    """Value on one of SCALES of an SG, run on below water; the inverse of `sg_run_on`.

    >>> round(run_on("kmw", 0.992), 1), round(run_on("baume", 0.992), 1)
    (-1.8, -1.2)
    """
    if sg >= SUGAR_SG.low and scale != "sg":
        return on_scale(scale, sg)
    ANY_SG.check(sg)
    oechsle = 1000.0 * (sg - 1.0)
    first, second = KMW_TO_OECHSLE
    ways = {
        "oechsle": oechsle,
        "kmw": (-first + math.sqrt(first * first + 4.0 * second * oechsle)) / (2.0 * second),
        "baume": BAUME_MODULUS - BAUME_MODULUS / sg,
        "brix": plato(sg),
        "sg": sg,
    }
    return ways[scale]


def sugar_by_oechsle(oechsle: float) -> float:
    """Sugar [g/L] of a grape must by Oechsle: 2.66 Oe - 30, never under nought.

    Valid: 50 to 120 Oe within 0.6 g/L of the table. Outside: carried on. Source: must-table (seen), computed.

    >>> round(sugar_by_oechsle(80.0))
    183
    """
    constant, slope = OECHSLE_SUGAR
    return max(0.0, constant + slope * OECHSLE.check(oechsle))


def alcohol_by_oechsle(oechsle: float) -> float:
    """Alcohol [% vol] that a grape must can give, by Oechsle: (1.237 Oe - 13.83) / 7.8924, never under nought.

    Valid: 50 to 100 Oe within 0.1 % vol of the tables. Outside: carried on. Source: troost1988 (as quoted), computed.

    >>> round(alcohol_by_oechsle(90.0), 1)
    12.4
    """
    constant, slope = OECHSLE_ALCOHOL
    return max(0.0, constant + slope * OECHSLE.check(oechsle)) / PER_PERCENT


def alcohol_of_proof(proof: float, per: float, field: str) -> float:
    """Alcohol [% vol] of a proof, `per` proof in one % vol; OutOfRange, naming `field`, over 100 % vol.

    >>> alcohol_of_proof(80.0, PROOF_US, "proof_us")
    40.0
    """
    most = 100.0 * per
    if not 0.0 <= proof <= most:
        raise OutOfRange(f"{field} {proof:g} is outside 0 to {most:g}: spirit holds no more than 100 % vol", field)
    return proof / per
