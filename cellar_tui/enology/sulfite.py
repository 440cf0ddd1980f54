"""Metabisulfite and SO2 solution: the mass or volume that raises free SO2, and what it adds to the total."""

from __future__ import annotations

from cellar_tui.enology.errors import VOLUME, CalcError, Range

SO2_SHARE = {"potassium_metabisulfite": 0.576, "sodium_metabisulfite": 0.674}
"""Grams of SO2 from a gram of fresh dry salt [seen: pwv2014 for potassium; computed: 2 * 64.064 / 190.107]."""
POTASSIUM_SHARE_METABISULFITE = 0.35
"""Grams of potassium in a gram of potassium metabisulfite [computed: 2 * 39.098 / 222.32]."""
SHARE_STAYING = {"cloudy or sweet": 0.35, "first dose after the ferment": 0.5, "later": 0.67, "clear and dry": 0.75}
"""Share of an addition that stays free, by state [seen: pwv2014; from memory: peynaud1984]."""
STOCK = 10.0
"""Strength of the cellar's metabisulfite stock solution [% w/v] [common practice]."""
RAISE_RANGE = Range("raise", 0.0, 500.0, "mg/L", "no wine takes so much sulfite at once: check reading, pH and target")
"""A single dose; the charted maximum is far below [common practice]."""
SHARE_RANGE = Range("share", 0.1, 1.0, "", "0.35 cloudy or sweet, 0.5 the first dose after the ferment, 0.67 later")
"""Published shares staying free run from 0.33 to 0.75 [seen: pwv2014; from memory: peynaud1984]."""
STRENGTH_RANGE = Range("strength", 0.3, 1.0, "", "1 is fresh powder; replace an older bag that has lost more than this")
"""Opened powder is said to lose 10 to 20 % a year [from memory: common practice]."""
CONCENTRATION_RANGE = Range("concentration", 0.5, 20.0, "%", "give grams in 100 mL of solution, for instance 5 or 6")
"""Solutions sold or made in cellars hold 5, 6 or 10 % w/v [common practice]."""
AMOUNT_RANGE = Range("amount", 0.0, 1_000_000.0, "g", "give the weighed amount in grams")
"""Any amount that can be weighed [common practice]."""
TABLET = 0.44
"""Mass of a generic metabisulfite tablet [g]; makers differ and binder is not counted [common practice]."""
SO2_PER_ACETALDEHYDE = 1.454
"""Milligrams of SO2 bound by a milligram of acetaldehyde, mole for mole [computed: 64.064 / 44.053]."""
PEROXIDE = 0.5309
"""Hydrogen peroxide that takes a milligram of SO2 [mg] [computed: 34.0147 / 64.064]."""
LOWER = Range("lower", 0.0, 200.0, "mg/L", "take SO2 out in steps of 10 to 20 mg/L and measure between them")
"""More than the law lets in [common practice]."""
PEROXIDE_STRENGTH = Range("strength", 0.1, 35.0, "%", "pharmacy peroxide is 3 %; dilute stronger to under 1 % to dose")
"""Solutions as sold [seen: awri-tn06; common practice]."""


def share_of(material: str) -> float:
    """Mass share of SO2 [g/g] in a metabisulfite; CalcError names the ones known. Source: pwv2014, stoichiometry.

    >>> share_of("potassium_metabisulfite")
    0.576
    """
    if material not in SO2_SHARE:
        raise CalcError(f"material {material!r} gives no known SO2: use one of {', '.join(SO2_SHARE)}", "material")
    return SO2_SHARE[material]


def grams_for(
    volume: float,
    raise_mg_l: float,
    material: str = "potassium_metabisulfite",
    share: float = 1.0,
    strength: float = 1.0,
) -> float:
    """Metabisulfite [g] that raises free SO2 by `raise_mg_l` [mg/L] in `volume` [L].

    Equation: volume * raise / (1000 * SO2 share * fraction that stays free * strength left in the powder).
    Valid: dry powder, wine well stirred. Outside: damp or old powder holds less than it weighs; OutOfRange for a
    raise over 500 mg/L, a share under 0.1 or a strength under 0.3. Source: pwv2014, stoichiometry.

    >>> round(grams_for(20.0, 50.0), 3)
    1.736
    >>> round(grams_for(225.0, 7.0, share=0.67), 2)
    4.08
    """
    VOLUME.check(volume)
    RAISE_RANGE.check(raise_mg_l)
    SHARE_RANGE.check(share)
    STRENGTH_RANGE.check(strength)
    return volume * raise_mg_l / (1000.0 * share_of(material) * share * strength)


def solution_ml(volume: float, raise_mg_l: float, concentration: float, share: float = 1.0) -> float:
    """SO2 solution [mL] of a concentration [% w/v SO2] that raises free SO2 by `raise_mg_l` [mg/L] in `volume` [L].

    Equation: volume * raise / (10 * concentration * share). Valid: a solution of known strength; it loses gas each
    time it is opened, so titrate it monthly. Outside: OutOfRange outside 0.5 to 20 %. Source: stoichiometry.

    >>> round(solution_ml(225.0, 20.0, 5.0), 1)
    90.0
    """
    VOLUME.check(volume)
    RAISE_RANGE.check(raise_mg_l)
    SHARE_RANGE.check(share)
    return volume * raise_mg_l / (10.0 * CONCENTRATION_RANGE.check(concentration) * share)


def so2_mg(amount_g: float, material: str, strength: float = 1.0) -> float:
    """SO2 [mg] that an amount of metabisulfite [g] brings into the wine, free and bound together.

    Equation: amount * SO2 share * strength * 1000. Valid: as `grams_for`. Source: pwv2014, stoichiometry.

    >>> round(so2_mg(2.0, "potassium_metabisulfite") / 22.7, 1)
    50.7
    """
    AMOUNT_RANGE.check(amount_g)
    STRENGTH_RANGE.check(strength)
    return amount_g * share_of(material) * strength * 1000.0


def stock_ml(grams: float, percent: float = STOCK) -> float:
    """Volume [mL] of a solution [% w/v] that holds `grams` of a dry material.

    Equation: grams / percent * 100. Valid: fully dissolved. Outside: CalcError for a solution of no strength.
    Source: arithmetic.

    >>> round(stock_ml(1.736), 1)
    17.4
    """
    if percent <= 0.0:
        raise CalcError("stock must be more than 0 %: give the grams in 100 mL of the solution", "stock")
    return grams / percent * 100.0


def peroxide_ml(volume: float, lower: float, strength: float) -> float:
    """Hydrogen peroxide solution [mL] of a strength [% w/v] that takes `lower` [mg/L] SO2 out of `volume` [L].

    Equation: 0.5309 volume * lower / (10 strength). Valid: laboratory work, in parts, measured between. Outside:
    OutOfRange. Pitfall: free SO2 goes first and bound SO2 follows for hours; too much oxidises the wine for good.
    Source: stoichiometry; awri-tn06.

    >>> round(peroxide_ml(20.0, 20.0, 3.0), 1)
    7.1
    """
    VOLUME.check(volume)
    return PEROXIDE * volume * LOWER.check(lower) / (10.0 * PEROXIDE_STRENGTH.check(strength))
