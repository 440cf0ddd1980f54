"""Calculations on gravity, sugar and alcohol."""

from __future__ import annotations

from cellar_tui.enology import alcohol, ethanol, gravity, water
from cellar_tui.enology.calculations.common import ALCOHOL_INPUT, VOLUME_INPUT
from cellar_tui.enology.calculations.model import REQUIRED, Given, Input, Outcome, Quantity, calculation, kept
from cellar_tui.enology.errors import SUGAR, Range

SOLIDS = Range("solids", 0.0, 60.0, "g/L", "grape must holds 15 to 25 g/L of solids that are not sugar")
SUGARY = 1.040
"""SG from which a must's own expansion shows in the third decimal of the correction [from memory: nbs440]."""
ENOUGH_SPIRIT = 18.0
"""Alcohol by mixing from which no yeast of wine grows [% vol] [common practice]."""
YEAST_LIMIT = 16.0
"""Alcohol at which most yeasts stop [% vol] [common practice]."""
SPIRIT = Range("strength", 0.0, 100.0, "% vol", "give the strength of the spirit by volume")
WANTED = Range("wanted", 0.0, 100.0, "% vol", "give the alcohol wanted by volume, usually 18 to 20")


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
        Input("sg", "", REQUIRED, "the SG as read", limits=gravity.ANY_SG),
        Input("sample_temperature", "C", REQUIRED, "the temperature of the sample", limits=water.TEMPERATURE),
        Input(
            "calibration_temperature",
            "C",
            gravity.CALIBRATION,
            "the temperature printed on the hydrometer",
            limits=water.TEMPERATURE,
        ),
    ),
    ("kell1975", "hydrotable", "nbs440"),
)
def hydrometer_correction(given: Given) -> Outcome:
    """SG at the hydrometer's own temperature. Valid: 5 to 35 C, within 0.0002 near SG 1.000. Cold samples read high."""
    sg, warm = given.number("sg"), given.number("sample_temperature")
    low, high = gravity.TRUSTED_TEMPERATURE
    return Outcome(
        {"sg": Quantity(gravity.corrected_sg(sg, warm, given.number("calibration_temperature")), "")},
        "SG = read * water(calibration) / water(sample) * (1 - 25e-6 (sample - calibration))",
        kept(
            "one printed table gives the cold corrections without their minus sign: subtract when colder",
            "a sugary must expands more than water: about 0.0003 more at 25 C and 20 Brix" if sg >= SUGARY else "",
            "" if low <= warm <= high else f"outside {low:g} to {high:g} C bring the sample nearer 20 C and read again",
        ),
    )


@calculation(
    "potential_alcohol",
    "Alcohol a must can give",
    (
        Input("sugar", "g/L", None, "the sugar of the must", limits=SUGAR),
        Input("brix", "Brix", None, "the Brix of the must", limits=gravity.BRIX),
        Input("sg", "", None, "the SG of the must", limits=gravity.SUGAR_SG),
        Input("solids", "g/L", alcohol.MUST_SOLIDS, "solids that are not sugar, off a Brix or SG", limits=SOLIDS),
    ),
    ("eu-factor", "brixarticle"),
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
            f"cellars count 16 to 17 g/L a % vol; theory, never reached, gives {theory:.1f} % vol",
            f"over {YEAST_LIMIT:g} % vol most yeasts stop and leave sugar" if result > YEAST_LIMIT else "",
        ),
        ("solids",) if way == "sugar" else (),
    )


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


@calculation(
    "fortification",
    "Spirit to reach an alcohol",
    (
        VOLUME_INPUT,
        ALCOHOL_INPUT,
        Input("strength", "% vol", REQUIRED, "the strength of the spirit", limits=SPIRIT),
        Input("wanted", "% vol", REQUIRED, "the alcohol wanted", limits=WANTED),
    ),
    ("arithmetic", "eec766"),
)
def fortification(given: Given) -> Outcome:
    """Spirit [L] that lifts a wine to the alcohol wanted, and the volume [L] after, before contraction."""
    volume, weak = given.number("volume"), given.number("alcohol")
    strength, wanted = given.number("strength"), given.number("wanted")
    spirit = alcohol.spirit_for(volume, weak, strength, wanted)
    contracted = ethanol.mixed_volume(volume, weak, spirit, strength)
    safe = f"under {ENOUGH_SPIRIT:g} % vol by mixing the wine can still ferment" if wanted < ENOUGH_SPIRIT else ""
    return Outcome(
        {"amount": Quantity(spirit, "L"), "volume": Quantity(volume + spirit, "L")},
        "spirit = volume * (wanted - alcohol) / (strength - wanted)",
        kept(
            f"mixing contracts it to about {contracted:.4g} L, which lifts the alcohol a little",
            safe,
            "spirit vapour burns: no flame; fortifying may need a licence",
        ),
    )


CALCULATIONS = (
    brix_from_sg,
    sg_from_brix,
    hydrometer_correction,
    potential_alcohol,
    alcohol_from_gravity,
    dry_extract,
    ethanol_density,
    fortification,
)
