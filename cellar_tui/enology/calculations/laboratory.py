"""Calculations of the cellar laboratory: burette, refractometer."""

from __future__ import annotations

from collections.abc import Callable

from cellar_tui.enology import gravity, refractometer, titration
from cellar_tui.enology.calculations.model import REQUIRED, Given, Input, Outcome, Quantity, calculation, kept

TITRATED = (
    Input("titrant", "mL", REQUIRED, "the millilitres run in", limits=titration.TITRANT),
    Input("normality", "N", REQUIRED, "the normality of the titrant", limits=titration.NORMALITY),
    Input("sample", "mL", REQUIRED, "the wine titrated", limits=titration.SAMPLE),
    Input("blank", "mL", 0.0, "what a sample without wine takes", limits=titration.BLANK),
)
"""Inputs of every titration [common practice]."""


def _run(given: Given, way: Callable[[float, float, float, float], float]) -> float:
    return way(given.number("titrant"), given.number("normality"), given.number("sample"), given.number("blank"))


@calculation("so2_titration", "SO2 from a titration", TITRATED, ("ao2021", "stoichiometry"))
def so2_titration(given: Given) -> Outcome:
    """SO2 [mg/L] from millilitres of titrant, by iodine or by aeration-oxidation. Valid: to 400 mg/L.

    Iodine: the normality is twice the molarity of I2. Aeration-oxidation: that of the sodium hydroxide.
    """
    found = titration.SO2_RESULT.check(_run(given, titration.so2))
    return Outcome(
        {"so2": Quantity(found, "mg/L")},
        "mg/L = (titrant - blank) * normality * 32030 / sample",
        (
            "iodine reads 5 to 15 mg/L high in reds and sweet wines: finish within "
            f"{titration.TITRATION_TIME:g} minutes; 100 mg/L ascorbic acid reads as "
            f"{100 * titration.ASCORBIC_AS_SO2:.0f} mg/L SO2",
            "restandardise iodine each week: it fades",
        ),
    )


@calculation("ta_titration", "Titratable acidity from a titration", TITRATED, ("stoichiometry", "handout"))
def ta_titration(given: Given) -> Outcome:
    """TA [g/L as tartaric] from millilitres of sodium hydroxide. Valid: to 30 g/L, carbon dioxide driven off first."""
    found = titration.TA_RESULT.check(_run(given, titration.ta))
    return Outcome(
        {"ta": Quantity(found, "g/L")},
        "g/L = (titrant - blank) * normality * 75.04 / sample",
        kept(
            f"under {titration.TA_TRUSTED:g} g/L a drop of the burette counts: take a larger sample"
            if found < titration.TA_TRUSTED
            else "",
            "drive the gas off first: 1 g/L of CO2 reads as 1.7 g/L; note the end point, pH 8.2 or 7.0",
            "old sodium hydroxide reads high: restandardise it every month",
        ),
    )


@calculation("va_titration", "Volatile acidity from a titration", TITRATED, ("stoichiometry", "oiv313"))
def va_titration(given: Given) -> Outcome:
    """Volatile acidity [g/L as acetic] from millilitres of sodium hydroxide into a distillate. Valid: to 3 g/L."""
    found = titration.VA_RESULT.check(_run(given, titration.va))
    return Outcome(
        {"va": Quantity(found, "g/L")},
        "g/L = (titrant - blank) * normality * 60.05 / sample",
        (
            "not corrected for SO2: 30 mg/L can read as 0.03 g/L; sorbic and lactic acid distil in part",
            "times 0.817 as sulfuric acid",
        ),
    )


@calculation("formol_yan", "Yeast nitrogen from a formol titration", TITRATED, ("stoichiometry", "formol"))
def formol_yan(given: Given) -> Outcome:
    """Assimilable nitrogen [mg/L] from millilitres of sodium hydroxide after formaldehyde. Valid: to 600 mg/L."""
    found = titration.YAN_RESULT.check(_run(given, titration.yan))
    return Outcome(
        {"yan": Quantity(found, "mg/L")},
        "mg/L = (titrant - blank) * normality * 14007 / sample",
        kept(
            f"under {titration.YAN_TRUSTED:g} mg/L the titration says nothing: take a larger sample"
            if found < titration.YAN_TRUSTED
            else "",
            "formaldehyde is a carcinogen: hood, gloves; enzyme kits do without it",
            "take SO2 out first with two drops of peroxide; it counts part of the proline",
        ),
    )


@calculation(
    "refractometer_ferment",
    "SG of a ferment from a refractometer",
    (
        Input("brix_start", "Brix", REQUIRED, "the Brix of the must", limits=refractometer.START),
        Input("brix", "Brix", REQUIRED, "the Brix measured now", limits=gravity.BRIX),
    ),
    ("novotny2017", "terrill2011"),
)
def refractometer_ferment(given: Given) -> Outcome:
    """SG of a fermenting must from refractometer Brix, and how far it may be out. It cannot prove dryness."""
    start, now = given.number("brix_start"), given.number("brix")
    found = refractometer.sg(start, now)
    beer = refractometer.sg_of_beer(start, now)
    return Outcome(
        {"sg": Quantity(found, ""), "error": Quantity(refractometer.SG_ERROR, "")},
        "SG = 1 - 0.002349 brix_start + 0.006276 brix",
        (
            f"within {refractometer.SG_ERROR:g}, 8 g/L of sugar: it follows a ferment and cannot prove dryness",
            f"the quadratic form gives {refractometer.sg_quadratic(start, now):.4f}; one fitted to beer, which "
            f"misleads in must, {beer:.4f}",
            "cloud blurs the line; without compensation it reads 0.3 low at 15 C and 0.7 at 10 C",
        ),
    )


@calculation(
    "alcohol_from_refractometer",
    "Alcohol from refractometer and hydrometer",
    (
        Input("brix", "Brix", REQUIRED, "the Brix of the wine by refractometer", limits=gravity.BRIX),
        Input("sg", "", REQUIRED, "the SG of the wine by hydrometer, at 20 C", limits=gravity.ANY_SG),
    ),
    ("roesener",),
)
def alcohol_from_refractometer(given: Given) -> Outcome:
    """Alcohol [% vol] and solids [g/L, sugar included] of a wine. Valid: dry to medium, both at one temperature."""
    brix, sg = given.number("brix"), given.number("sg")
    return Outcome(
        {
            "alcohol": Quantity(refractometer.alcohol(brix, sg), "% vol"),
            "solids": Quantity(refractometer.solids(brix, sg), "g/L"),
        },
        "alcohol = 0.365 (4.16 brix - 1000 (sg - 1)); solids = 2.52 (1000 (sg - 1) + 1.264 alcohol)",
        (
            f"within {refractometer.ALCOHOL_ERROR:g} % vol at best: for the label send a sample out",
            "gas lifts the hydrometer, cloud blurs the refractometer",
        ),
    )


CALCULATIONS = (
    so2_titration,
    ta_titration,
    va_titration,
    formol_yan,
    refractometer_ferment,
    alcohol_from_refractometer,
)
