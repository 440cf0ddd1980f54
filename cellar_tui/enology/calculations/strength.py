"""Calculations on gravity, sugar and alcohol."""

from __future__ import annotations

from cellar_tui.enology import alcohol, ethanol, gravity, scales, water
from cellar_tui.enology.calculations.common import ALCOHOL_INPUT
from cellar_tui.enology.calculations.model import REQUIRED, Given, Input, Outcome, Quantity, calculation, kept
from cellar_tui.enology.errors import ALCOHOL, SUGAR, Range

SOLIDS = Range("solids", 0.0, 60.0, "g/L", "grape must holds 15 to 25 g/L of solids that are not sugar")
SUGARY = 1.040
"""SG from which a must's own expansion shows in the third decimal of the correction [from memory: nbs440]."""
THIN = 1.000
"""SG under which there is alcohol in it, or it could not be so light [exact]."""
YEAST_LIMIT = 16.0
"""Alcohol at which most yeasts stop [% vol] [common practice]."""


@calculation(
    "brix_from_sg",
    "Brix from specific gravity",
    (Input("sg", "", REQUIRED, "the SG of the must at 20 C", limits=gravity.SUGAR_SG),),
    ("brixarticle", "springer-app1"),
)
def brix_from_sg(given: Given) -> Outcome:
    """Brix of a must from its SG 20/20. Valid: 1.000 to 1.179, before any alcohol is in it."""
    return Outcome(
        {"brix": Quantity(gravity.brix_from_sg(given.number("sg")), "Brix")},
        "Brix = 182.46007 SG^3 - 775.68212 SG^2 + 1262.7794 SG - 669.56218",
        ("true for must only: alcohol makes both hydrometer and refractometer wrong",),
    )


@calculation(
    "sg_from_brix",
    "Specific gravity from Brix",
    (Input("brix", "Brix", REQUIRED, "the Brix of the must at 20 C", limits=gravity.BRIX),),
    ("practice", "springer-app1"),
)
def sg_from_brix(given: Given) -> Outcome:
    """SG 20/20 of a must from its Brix. Valid: 0 to 40 Brix, before any alcohol is in it."""
    return Outcome(
        {"sg": Quantity(gravity.sg_from_brix(given.number("brix")), "")},
        "SG = 1 + Brix / (258.6 - 227.1 Brix / 258.2)",
        ("true for must only: alcohol makes both hydrometer and refractometer wrong",),
    )


@calculation(
    "hydrometer_correction",
    "Hydrometer reading corrected for temperature",
    (
        Input("sg", "", REQUIRED, "the SG as measured", limits=gravity.ANY_SG),
        Input("sample_temperature", "C", REQUIRED, "the temperature of the sample", limits=gravity.SAMPLE),
        Input(
            "calibration_temperature",
            "C",
            gravity.CALIBRATION,
            "the temperature printed on the hydrometer",
            limits=water.TEMPERATURE,
        ),
        Input("alcohol", "% vol", None, "the alcohol, where it is wine", limits=ALCOHOL),
    ),
    ("kell1975", "hydrotable", "nbs440", "oiml-r22"),
)
def hydrometer_correction(given: Given) -> Outcome:
    """SG at the hydrometer's own temperature. Valid: 5 to 35 C within 0.0002 in water and thin must, and in wine with
    its alcohol given. Cold samples read high; wine expands more than water, 0.0009 SG more at 5 C and 12 % vol.
    """
    sg, warm = given.number("sg"), given.number("sample_temperature")
    at = given.number("calibration_temperature")
    low, high = gravity.TRUSTED_TEMPERATURE
    outside = f"outside {low:g} to {high:g} C bring the sample nearer 20 C and measure again"
    if given.has("alcohol"):
        corrected = gravity.wine_sg(sg, given.number("alcohol"), warm, at)
        formula = "SG = read + (rho(A, calibration) - rho(A, sample) (1 + 25e-6 (sample - calibration))) / water"
        return Outcome(
            {"sg": Quantity(corrected, "")},
            formula,
            kept(f"as if it were water it would be {gravity.corrected_sg(sg, max(0.0, warm), at):.4f}", _gas(sg)),
        )
    corrected = gravity.corrected_sg(sg, warm, at)
    must = f"as must, which expands more than water, it is {gravity.must_sg(sg, warm, at):.4f}" if sg >= SUGARY else ""
    wine = "wine expands more than water: give its alcohol, or a dry wine is out by up to 0.0009" if sg < THIN else ""
    return Outcome(
        {"sg": Quantity(corrected, "")},
        "SG = read * water(calibration) / water(sample) * (1 - 25e-6 (sample - calibration))",
        kept(
            "one printed table gives the cold corrections without their minus sign: subtract when colder",
            must,
            wine,
            "" if low <= warm <= high else outside,
        ),
    )


def _gas(sg: float) -> str:
    return "bubbles of gas lift the float by 0.002 and more: swirl them out first" if sg < SUGARY else ""


@calculation(
    "potential_alcohol",
    "Alcohol a must can give",
    (
        Input("sugar", "g/L", None, "the sugar of the must", limits=SUGAR),
        Input("brix", "Brix", None, "the Brix of the must", limits=gravity.BRIX),
        Input("sg", "", None, "the SG of the must", limits=gravity.SUGAR_SG),
        Input("solids", "g/L", alcohol.MUST_SOLIDS, "solids that are not sugar, off a Brix or SG", limits=SOLIDS),
    ),
    ("eu-factor", "brixarticle", "troost1988"),
)
def potential_alcohol(given: Given) -> Outcome:
    """Alcohol [% vol] that the sugar can give at 16.83 g/L a % vol. From Brix or SG the other solids come off first."""
    way = given.one_of("sugar", "brix", "sg")
    if way == "sugar":
        result, formula = alcohol.potential_alcohol(given.number("sugar")), "alcohol = sugar / 16.83"
    else:
        made = alcohol.potential_alcohol_from_brix if way == "brix" else alcohol.potential_alcohol_from_sg
        result = made(given.number(way), given.number("solids"))
        formula = "alcohol = (sucrose table's g/L - solids) / 16.83"
    theory = result * alcohol.SUGAR_PER_ALCOHOL / alcohol.SUGAR_PER_ALCOHOL_THEORY
    return Outcome(
        {"alcohol": Quantity(result, "% vol")},
        formula,
        kept(
            _by_table(given, way),
            f"cellars count 16 to 17 g/L a % vol; theory, never reached, gives {theory:.1f} % vol",
            f"over {YEAST_LIMIT:g} % vol most yeasts stop and leave sugar" if result > YEAST_LIMIT else "",
        ),
        ("solids",) if way == "sugar" else (),
    )


def _by_table(given: Given, way: str) -> str:
    """What the printed table of must weights says of the same must, within its reach."""
    if way == "sugar":
        return ""
    oechsle = scales.oechsle_from_sg(scales.sg_of(way, given.number(way)))
    low, high = scales.TABLE_OECHSLE
    if not low <= oechsle <= high:
        return ""
    return f"the table of must weights ({oechsle:.0f} Oechsle) gives {scales.alcohol_by_oechsle(oechsle):.1f} % vol"


@calculation(
    "alcohol_from_gravity",
    "Alcohol from original and final gravity",
    (
        Input("original_gravity", "", REQUIRED, "the SG before the ferment", limits=gravity.ANY_SG),
        Input("final_gravity", "", REQUIRED, "the SG now", limits=gravity.ANY_SG),
        Input("method", "", "balling", "the method", ("balling", "factor")),
    ),
    ("balling", "practice"),
)
def alcohol_from_gravity(given: Given) -> Outcome:
    """Alcohol [% vol] fermented, by Balling's extract or the factor 131.25. Valid: original gravity 1.040 to 1.120."""
    original, final, method = given.number("original_gravity"), given.number("final_gravity"), given.text("method")
    ways = {"balling": alcohol.balling(original, final), "factor": alcohol.by_factor(original, final)}
    formulas = {
        "balling": "Balling: real extract from OE and AE, alcohol by mass, times FG / 0.794",
        "factor": "factor: (OG - FG) * 131.25",
    }
    low, high = alcohol.TRUSTED_ORIGINAL
    unproved = f"the methods were compared for an original gravity of {low:.3f} to {high:.3f} only"
    return Outcome(
        {"alcohol": Quantity(ways[method], "% vol")},
        formulas[method],
        kept(
            f"the methods differ: Balling {ways['balling']:.1f}, factor 131.25 {ways['factor']:.1f} % vol",
            "" if low <= original <= high else unproved,
        ),
    )


@calculation(
    "dry_extract",
    "Total dry extract from SG and alcohol",
    (Input("sg", "", REQUIRED, "the SG of the wine at 20 C", limits=gravity.ANY_SG), ALCOHOL_INPUT),
    ("oiv-extract", "eec766", "brixarticle"),
)
def dry_extract(given: Given) -> Outcome:
    """Dry extract [g/L], sugar included, by Tabarie's relation. Valid: still wine at 20 C, 0 to 25 % vol."""
    sg, strength = given.number("sg"), given.number("alcohol")
    return Outcome(
        {
            "dry_extract": Quantity(alcohol.dry_extract(sg, strength), "g/L"),
            "sg_extract": Quantity(alcohol.extract_sg(sg, strength), ""),
        },
        "SG extract = SG - SG of ethanol and water + 1; extract = sucrose of that SG",
        ("an error of 0.1 % vol moves the extract by 0.3 g/L, one of 0.0005 in SG by 1.3",),
    )


@calculation(
    "ethanol_density",
    "Density of ethanol and water",
    (Input("alcohol", "% vol", REQUIRED, "the alcohol", limits=ethanol.STRENGTH),),
    ("eec766",),
)
def ethanol_density(given: Given) -> Outcome:
    """Density [kg/m3] and SG 20/20 of ethanol and water alone. Valid: 0 to 100 % vol at 20 C."""
    strength = given.number("alcohol")
    return Outcome(
        {
            "density": Quantity(ethanol.density(strength), "kg/m3"),
            "sg": Quantity(ethanol.relative_density(strength), ""),
        },
        "density = sum of A_k p^k at 20 C, p the share of ethanol by mass",
    )


CALCULATIONS = (
    brix_from_sg,
    sg_from_brix,
    hydrometer_correction,
    potential_alcohol,
    alcohol_from_gravity,
    dry_extract,
    ethanol_density,
)
