"""Alcohol: what a must can give, what a ferment has given, what mixing makes of it, and how dry is dry."""

from __future__ import annotations

from cellar_tui.enology.errors import ALCOHOL, SUGAR, CalcError, OutOfRange, Range
from cellar_tui.enology.ethanol import STRENGTH, relative_density
from cellar_tui.enology.gravity import ANY_SG, SUGAR_SG, plato, sugar_from_brix, sugar_from_sg

SUGAR_PER_ALCOHOL = 16.83
"""Sugar for one % vol [g/L] [from memory: eu-factor]."""
SUGAR_PER_ALCOHOL_THEORY = 15.43
"""The same without yeast growth or losses [g/L] [computed: 7.8924 / 0.51143]."""
MUST_SOLIDS = 20.0
"""Solids of must that are not sugar [g/L], 15 to 25 [from memory: common practice]."""
GRAVITY_FACTOR = 131.25
"""Alcohol for the fall of SG by one [% vol] [from memory: common practice]."""
BALLING_EXTRACT = (0.1808, 0.8192)
"""Real extract from original and apparent extract [from memory: balling]."""
BALLING_ALCOHOL = (2.0665, 0.010665)
"""Extract used up for one per cent alcohol by mass [from memory: balling]."""
ETHANOL_SG = 0.794
"""Relative density of ethanol as the Balling formula takes it [from memory: balling]."""
TRUSTED_ORIGINAL = (1.040, 1.120)
"""Original gravities at which the methods were compared [computed]."""

DRY_MARK_AT_TEN = 0.996
"""SG at which a white wine of 10 % potential alcohol counts as dry [computed from Tabarie's relation]."""
DRY_MARK_SLOPE = 0.001
"""How much lower the expected dry gravity lies for each further % vol [computed from Tabarie's relation]."""
DRY_MARK_BASE = 10.0
"""Potential alcohol of the first figure [% vol] [computed]."""
DRY_MARK_RED = 0.002
"""How much higher the expected dry gravity of a red lies, for its extract [computed]."""
DRY_MARK_UNKNOWN = 0.993
"""Dry mark when no SG of the must is known [computed: 13 % vol]."""
DRY_MARK_UNKNOWN_RED = 0.995
"""The same for a red [computed: 13 % vol]."""
POTENTIAL = Range("potential_alcohol", 0.0, 30.0, "% vol", "check the SG of the must and the sugar fed since")
"""Any must that yeast could be asked to ferment [common practice]."""
EXTRACT_SG = Range("sg", 0.97, 1.18, "", "check SG and alcohol: such a wine would have no extract or be a syrup")
"""Wines whose extract the sucrose table can give [computed]."""


def potential_alcohol(sugar_g_l: float) -> float:
    """Alcohol [% vol] that a sugar [g/L] can give: sugar / 16.83.

    Valid: must of 150 to 270 g/L; yields vary by 3 %. Outside: yeast stops near 16 % vol and leaves sugar;
    OutOfRange over 500 g/L. Source: eu-factor (from memory); theory gives 15.43 g/L a % vol.

    >>> round(potential_alcohol(220.0), 2)
    13.07
    """
    return SUGAR.check(sugar_g_l) / SUGAR_PER_ALCOHOL


def potential_alcohol_from_sg(sg: float, solids: float = MUST_SOLIDS) -> float:
    """Alcohol [% vol] that a must of an SG can give, its other solids [g/L] taken off first.

    Equation: (sucrose of the SG - solids) / 16.83. Valid: SG 1.000 to 1.179, else OutOfRange. Pitfall: solids vary
    from 15 to 25 g/L, which is 0.3 % vol each way. Source: eu-factor, brixarticle.

    >>> round(potential_alcohol_from_sg(1.09193), 2)
    13.06
    """
    return potential_alcohol(max(0.0, sugar_from_sg(sg) - solids))


def potential_alcohol_from_brix(brix: float, solids: float = MUST_SOLIDS) -> float:
    """Alcohol [% vol] that a must of a Brix can give: as `potential_alcohol_from_sg`. Valid: 0 to 40 Brix.

    >>> round(potential_alcohol_from_brix(22.0), 2)
    13.06
    """
    return potential_alcohol(max(0.0, sugar_from_brix(brix) - solids))


def by_factor(original_gravity: float, final_gravity: float) -> float:
    """Alcohol [% vol] from the fall of SG: (OG - FG) * 131.25.

    Valid: OG 1.040 to 1.120, within 0.5 of `balling`. Outside: low in rich must. CalcError when FG is over OG.
    Source: common practice (from memory).

    >>> round(by_factor(1.095, 0.992), 2)
    13.52
    """
    _falls(original_gravity, final_gravity)
    return (original_gravity - final_gravity) * GRAVITY_FACTOR


def balling(original_gravity: float, final_gravity: float) -> float:
    """Alcohol [% vol] from original and final SG by way of real extract.

    Equation: RE = 0.1808 OE + 0.8192 AE; by mass (OE - RE) / (2.0665 - 0.010665 OE); times FG / 0.794.
    Valid: OG 1.040 to 1.120. Outside: unproved; CalcError when FG is over OG. Source: balling (from memory).

    >>> round(balling(1.095, 0.992), 1)
    13.9
    """
    _falls(original_gravity, final_gravity)
    original = plato(original_gravity)
    real = BALLING_EXTRACT[0] * original + BALLING_EXTRACT[1] * plato(final_gravity)
    by_mass = (original - real) / (BALLING_ALCOHOL[0] - BALLING_ALCOHOL[1] * original)
    return by_mass * final_gravity / ETHANOL_SG


def _falls(original_gravity: float, final_gravity: float) -> None:
    ANY_SG.check(original_gravity, "original_gravity")
    ANY_SG.check(final_gravity, "final_gravity")
    if final_gravity > original_gravity:
        raise CalcError("final_gravity is over original_gravity: change them round, or measure again", "final_gravity")


def dry_mark(potential: float, red: bool) -> float:
    """SG at or under which a wine of a potential alcohol [% vol] may be called dry.

    Equation: 0.996 - 0.001 (potential - 10), and 0.002 more for a red. Valid: 8 to 16 % vol. Outside: OutOfRange over
    30. Pitfall: at the mark a wine can still hold 2 to 4 g/L, and pear, plum and cherry keep unfermentable sugar
    alcohols: measure. Source: computed from Tabarie's relation.

    >>> round(dry_mark(12.0, red=False), 4)
    0.994
    """
    POTENTIAL.check(potential)
    mark = DRY_MARK_AT_TEN - DRY_MARK_SLOPE * (potential - DRY_MARK_BASE)
    return mark + DRY_MARK_RED if red else mark


def after_mixing(volume: float, alcohol: float, added_volume: float, added_strength: float) -> float:
    """Alcohol [% vol] once `added_volume` [L] of `added_strength` [% vol] is in `volume` [L] of `alcohol` [% vol].

    Equation: mean weighted by volume. Valid: before contraction, which raises it by 0.1 to 0.2 in a fortified wine.
    Outside: CalcError when there is no volume at all. Source: mixing rule, arithmetic.

    >>> round(after_mixing(9.0, 12.0, 1.0, 77.0), 2)
    18.5
    """
    if volume < 0.0 or added_volume < 0.0 or volume + added_volume <= 0.0:
        raise CalcError("volume must be more than 0 L: give what is in the vessel and what goes in", "volume")
    ALCOHOL.check(alcohol)
    STRENGTH.check(added_strength, "strength")
    return (volume * alcohol + added_volume * added_strength) / (volume + added_volume)


def spirit_for(volume: float, alcohol: float, strength: float, wanted: float) -> float:
    """Spirit [L] of a strength [% vol] that lifts `volume` [L] of an alcohol [% vol] to the alcohol wanted [% vol].

    Equation: volume * (wanted - alcohol) / (strength - wanted). Valid: before contraction, as `after_mixing`.
    Outside: CalcError where the wine is stronger, or the spirit weaker, than what is wanted. Source: mixing rule.

    >>> round(spirit_for(9.0, 12.0, 77.0, 18.5), 2)
    1.0
    """
    if wanted < alcohol:
        raise CalcError("wanted is under the alcohol of the wine: spirit cannot lower it", "wanted")
    if strength <= wanted:
        raise CalcError("strength must be over the alcohol wanted: take a stronger spirit", "strength")
    return volume * (wanted - alcohol) / (strength - wanted)


def extract_sg(sg: float, alcohol: float) -> float:
    """Relative density [-] of a wine's residue without alcohol, made up to volume again.

    Equation: SG - SG of ethanol and water of the same strength + 1. Valid: still wine at 20 C, 0 to 25 % vol.
    Outside: OutOfRange. Pitfall: an error of 0.1 % vol moves it by 0.00012. Source: oiv-extract (relation from memory).

    >>> round(extract_sg(0.992, 12.0), 5)
    1.00787
    """
    return EXTRACT_SG.check(sg) - relative_density(ALCOHOL.check(alcohol)) + 1.0


def dry_extract(sg: float, alcohol: float) -> float:
    """Total dry extract [g/L] of a wine: the sucrose [g/L] that gives its `extract_sg`.

    Valid: extract_sg 1.000 to 1.179, else OutOfRange: alcohol or SG is misread. Source: oiv-extract, brixarticle.

    >>> round(dry_extract(0.994, 12.5), 1)
    27.0
    """
    residue = extract_sg(sg, alcohol)
    if not SUGAR_SG.low <= residue <= SUGAR_SG.high:
        message = f"sg {sg:g} and {alcohol:g} % vol leave a residue of {residue:.4f}, outside "
        raise OutOfRange(f"{message}{SUGAR_SG.low:g} to {SUGAR_SG.high:g}: measure SG and alcohol again", "sg")
    return sugar_from_sg(residue)
