"""Acid in and out: what an addition or a deacidification weighs, and how the ways of stating acidity convert."""

from __future__ import annotations

from cellar_tui.enology.errors import VOLUME, CalcError, Range

GRAMS_PER_EQUIVALENT = {
    "tartaric": 75.0435,
    "malic": 67.0435,
    "citric": 64.0417,
    "lactic": 90.078,
    "acetic": 60.052,
    "sulfuric": 49.0393,
}
"""Grams of acid in one equivalent [computed: molar mass over the number of acid groups]."""
POTASSIUM_BICARBONATE = 100.115
"""Molar mass of potassium bicarbonate [g/mol] [computed]."""
ADDABLE = ("tartaric", "malic", "citric")
"""Acids a cellar adds [common practice]."""
CARBONATE_RATE = {"potassium_bicarbonate": 0.9, "calcium_carbonate": 0.6668}
"""Grams of salt that take 1 g/L of TA from a litre [seen: genoa for potassium; computed: 100.087 / 150.087]."""
CARBONATE_RANGE = {"potassium_bicarbonate": (0.67, 1.33), "calcium_carbonate": (0.66, 0.67)}
"""Published and computed rates [g per g/L of TA]: potassium between all of it leaving as bitartrate and neutralisation
alone [from memory, seen, computed]; calcium as printed and as computed [seen: handout; computed]."""
RAISE_RANGE = Range("raise", 0.0, 10.0, "g/L", "add acid in steps of 1 g/L and taste between them")
"""No must needs more at once [common practice]."""
LOWER_RANGE = Range("lower", 0.0, 6.0, "g/L", "lower TA in steps of 1 g/L and measure between them")
"""No wine keeps its balance beyond this [common practice]."""
TA_RANGE = Range("ta", 0.0, 30.0, "g/L", "give titratable acidity in grams of tartaric acid a litre")
"""From flat wine to the sharpest fruit must [common practice]."""
PH_FALL = 0.1
"""Fall of pH for a gram a litre of tartaric acid in a sharp wine [from memory: awri-acid]."""
PH_FALL_SOFT = 0.2
"""The same in a soft wine near pH 3.8: a model of its acids gives 0.23 at most [computed]."""


def equivalent_factor(to: str, of: str = "tartaric") -> float:
    """Grams of the acid `to` [g/g] that equal a gram of the acid `of` in titration.

    Equation: ratio of the grams an equivalent. Valid: the six acids of the table, else CalcError. Pitfall: TA to
    pH 8.2 reads 1 to 5 % over TA to pH 7.0. Source: stoichiometry.

    >>> round(equivalent_factor("sulfuric"), 4)
    0.6535
    """
    for acid, field in ((to, "to"), (of, "of")):
        if acid not in GRAMS_PER_EQUIVALENT:
            raise CalcError(f"{acid!r} has no factor: use one of {', '.join(GRAMS_PER_EQUIVALENT)}", field)
    return GRAMS_PER_EQUIVALENT[to] / GRAMS_PER_EQUIVALENT[of]


def milliequivalents(ta: float) -> float:
    """Titratable acidity [meq/L] of a TA [g/L tartaric]: TA / 0.0750435. Valid: 0 to 30 g/L. Source: stoichiometry.

    >>> round(milliequivalents(6.0), 2)
    79.95
    """
    return TA_RANGE.check(ta) / GRAMS_PER_EQUIVALENT["tartaric"] * 1000.0


def acetic_from_milliequivalents(meq_l: float) -> float:
    """Volatile acidity [g/L acetic acid] of meq/L: meq * 0.060052. Valid: any. Source: stoichiometry.

    >>> round(acetic_from_milliequivalents(20.0), 2)
    1.2
    """
    return meq_l * GRAMS_PER_EQUIVALENT["acetic"] / 1000.0


def acid_for(volume: float, raise_g_l: float, acid: str) -> float:
    """Acid [g] that raises the TA of `volume` [L] by `raise_g_l` [g/L as tartaric].

    Equation: volume * raise * equivalent factor. Valid: before cold, which takes part of tartaric acid out again.
    Outside: OutOfRange over 10 g/L, CalcError for an acid cellars do not add. Source: stoichiometry.

    >>> round(acid_for(20.0, 1.0, "malic"), 1)
    17.9
    """
    if acid not in ADDABLE:
        raise CalcError(f"acid {acid!r} is not one to add: use {', '.join(ADDABLE)}", "acid")
    return VOLUME.check(volume) * RAISE_RANGE.check(raise_g_l) * equivalent_factor(acid)


def carbonate_for(volume: float, lower_g_l: float, salt: str) -> float:
    """Carbonate [g] that lowers the TA of `volume` [L] by `lower_g_l` [g/L as tartaric].

    Equation: volume * lower * 0.9 (potassium bicarbonate) or 0.667 (calcium carbonate). Valid: by trial; published
    potassium rates run from 0.67 to 1.33. Outside: OutOfRange over 6 g/L, CalcError for another salt.
    Source: genoa, stoichiometry.

    >>> round(carbonate_for(20.0, 1.0, "potassium_bicarbonate"), 1)
    18.0
    """
    if salt not in CARBONATE_RATE:
        raise CalcError(f"salt {salt!r} is not one for this: use {', '.join(CARBONATE_RATE)}", "salt")
    return VOLUME.check(volume) * LOWER_RANGE.check(lower_g_l) * CARBONATE_RATE[salt]


def neutralised(salt_g_l: float) -> float:
    """TA [g/L as tartaric] that a gram a litre of potassium bicarbonate neutralises before anything drops out.

    Equation: dose * 75.0435 / 100.115. Valid: any dose. Source: stoichiometry.

    >>> round(neutralised(1.0), 2)
    0.75
    """
    return salt_g_l * GRAMS_PER_EQUIVALENT["tartaric"] / POTASSIUM_BICARBONATE
