"""From millilitres in the burette to what they measure."""

from __future__ import annotations

from cellar_tui.enology.acidity import GRAMS_PER_EQUIVALENT
from cellar_tui.enology.errors import CalcError, Range

SO2_EQUIVALENT = 32.03
"""Grams of SO2 in one equivalent of iodine or alkali [computed: 64.064 / 2]."""
NITROGEN = 14.007
"""Grams of nitrogen in one equivalent of alkali [computed]."""
PHTHALATE = 204.22
"""Molar mass of potassium hydrogen phthalate [g/mol] [computed]."""
ASCORBIC_AS_SO2 = 0.3637
"""SO2 that iodine reads for a gram of ascorbic acid [g] [computed: 64.064 / 176.124]."""
OIV_VA = (5.0, 0.1, 0.05)
"""Volatile acidity [meq/L] of 20 mL: 5 (n - 0.1 n1 - 0.05 n2) [seen: oiv313]."""
TITRANT = Range("titrant", 0.0, 100.0, "mL", "give the millilitres run in from the burette, of a smaller sample")
"""What a burette holds, filled twice [common practice]."""
BLANK = Range("blank", 0.0, 20.0, "mL", "give the millilitres that a sample without wine takes")
"""A blank over this means a spoilt reagent [common practice]."""
NORMALITY = Range("normality", 0.001, 1.0, "N", "give equivalents a litre: 0.1 N sodium hydroxide, 0.01 N for SO2")
"""Titrants of a cellar laboratory [common practice]."""
SAMPLE = Range("sample", 1.0, 500.0, "mL", "give the millilitres of wine titrated, usually 5 to 50")
"""A pipette of a cellar laboratory [common practice]."""
SO2_RESULT = Range("so2", 0.0, 400.0, "mg/L", "check normality and sample; dilute a richer wine and titrate again")
"""Total SO2 of any wine that may be sold [seen: eu934]."""
TA_RESULT = Range("ta", 0.0, 30.0, "g/L", "check normality and sample: no must is so sharp")
"""Flat wine to the sharpest fruit must [common practice]."""
VA_RESULT = Range("va", 0.0, 3.0, "g/L", "check normality and sample; a wine so sour is vinegar")
"""Twice what the law allows [common practice]."""
YAN_RESULT = Range("yan", 0.0, 600.0, "mg/L", "check normality and sample; dilute the juice and titrate again")
"""Juices as found [common practice]."""
YAN_TRUSTED = 20.0
"""Nitrogen [mg/L] under which the titration says nothing [common practice]."""
TA_TRUSTED = 2.0
"""TA [g/L] under which a drop of the burette is more than the result can bear [common practice]."""
TITRATION_TIME = 2.0
"""Minutes within which an iodine titration must end [seen: ao2021]."""


def _concentration(titrant: float, blank: float, normality: float, sample: float, grams: float) -> float:
    TITRANT.check(titrant)
    BLANK.check(blank)
    if blank > titrant:
        raise CalcError("blank is over titrant: read the burette again", "blank")
    return (titrant - blank) * NORMALITY.check(normality) * grams / SAMPLE.check(sample)


def so2(titrant: float, normality: float, sample: float, blank: float = 0.0) -> float:
    """SO2 [mg/L] of a titration [mL of a normality, mL of wine], by iodine and by aeration-oxidation alike.

    Equation: (mL - blank) N 32030 / sample. Valid: iodine as normality (twice its molarity). Outside: OutOfRange;
    CalcError for a blank over the titrant. Pitfall: iodine reads 5 to 15 mg/L high in reds and sweet wines, and counts
    ascorbic acid. Source: ao2021 (worked example), stoichiometry.

    >>> round(so2(2.3, 0.01, 20.0), 1)
    36.8
    """
    return 1000.0 * _concentration(titrant, blank, normality, sample, SO2_EQUIVALENT)


def ta(titrant: float, normality: float, sample: float, blank: float = 0.0) -> float:
    """TA [g/L as tartaric] of a titration with alkali: mL N 75.04 / sample. Valid, outside: as `so2`.

    Pitfall: a gram a litre of CO2 left in the sample reads as 1.7 g/L. Source: stoichiometry.

    >>> round(ta(12.0, 0.1, 15.0), 2)
    6.0
    """
    return _concentration(titrant, blank, normality, sample, GRAMS_PER_EQUIVALENT["tartaric"])


def va(titrant: float, normality: float, sample: float, blank: float = 0.0) -> float:
    """Volatile acidity [g/L as acetic] of a distillate: mL N 60.05 / sample. Valid, outside: as `so2`.

    Pitfall: not corrected for SO2 (30 mg/L can read as 0.03 g/L); sorbic acid distils in part. Source: stoichiometry.

    >>> round(va(0.95, 0.1, 10.0), 2)
    0.57
    """
    return _concentration(titrant, blank, normality, sample, GRAMS_PER_EQUIVALENT["acetic"])


def va_meq(n: float, free: float, bound: float) -> float:
    """Volatile acidity [meq/L] of 20 mL by the OIV: 5 (n - 0.1 n1 - 0.05 n2), mL of 0.1 M alkali and 0.005 M iodine.

    >>> round(va_meq(2.40, 0.20, 0.60), 2)
    11.75
    """
    scale, first, second = OIV_VA
    return scale * (n - first * free - second * bound)


def yan(titrant: float, normality: float, sample: float, blank: float = 0.0) -> float:
    """Assimilable nitrogen [mg/L] by formol titration: mL N 14007 / sample. Valid, outside: as `so2`.

    Pitfall: good to a tenth; counts part of proline; formaldehyde is a carcinogen. Source: formol, stoichiometry.

    >>> round(yan(1.2, 0.1, 10.0), 1)
    168.1
    """
    return 1000.0 * _concentration(titrant, blank, normality, sample, NITROGEN)


def strength(phthalate_g: float, titrant: float) -> float:
    """Strength [mol/L] of sodium hydroxide from potassium hydrogen phthalate [g] and mL: g / 204.22 / L.

    >>> round(strength(0.5105, 25.10), 4)
    0.0996
    """
    return phthalate_g / PHTHALATE / (titrant / 1000.0)
