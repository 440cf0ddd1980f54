"""Calculations on spirit: its strength, thinning it with water, and fortifying with it."""

from __future__ import annotations

from cellar_tui.enology import alcohol, ethanol, scales
from cellar_tui.enology.calculations.common import ALCOHOL_INPUT, VOLUME_INPUT
from cellar_tui.enology.calculations.model import REQUIRED, Given, Input, Outcome, Quantity, calculation, kept
from cellar_tui.enology.errors import Range

ENOUGH_SPIRIT = 18.0
"""Alcohol by mixing from which no yeast of wine grows [% vol] [common practice]."""
SPIRIT = Range("strength", 0.0, 100.0, "% vol", "give the strength of the spirit by volume")
WANTED = Range("wanted", 0.0, 100.0, "% vol", "give the alcohol wanted by volume, usually 18 to 20")
PROOF_US = Range("proof_us", 0.0, 200.0, "proof", "US proof is twice the % vol, 200 at most")
PROOF_UK = Range("proof_uk", 0.0, 175.0, "UK proof", "UK proof is 1.75 times the % vol, 175 at most")


@calculation(
    "fortification",
    "Spirit to reach an alcohol",
    (
        VOLUME_INPUT,
        ALCOHOL_INPUT,
        Input("strength", "% vol", REQUIRED, "the strength of the spirit", limits=SPIRIT),
        Input("wanted", "% vol", REQUIRED, "the alcohol wanted", limits=WANTED),
    ),
    ("oiml-r22", "arithmetic"),
)
def fortification(given: Given) -> Outcome:
    """Spirit [L] that lifts a wine to the alcohol wanted, and the volume [L] after, contraction counted.

    Valid: at 20 C, within 0.03 % vol and what the spirit's own strength is out by; extract changes it by under 0.1 %.
    """
    volume, weak = given.number("volume"), given.number("alcohol")
    strength, wanted = given.number("strength"), given.number("wanted")
    spirit, after = ethanol.spirit_to(volume, weak, strength, wanted)
    square = alcohol.spirit_for(volume, weak, strength, wanted)
    safe = f"under {ENOUGH_SPIRIT:g} % vol by mixing the wine can still ferment" if wanted < ENOUGH_SPIRIT else ""
    return Outcome(
        {"amount": Quantity(spirit, "L"), "volume": Quantity(after, "L")},
        "shares by mass: mass of spirit = mass of wine * (w wanted - w wine) / (w spirit - w wanted)",
        kept(
            f"the square by volume, which leaves out contraction, asks for {square:.4g} L",
            safe,
            "stir at once: sugar that ferments meanwhile adds to it; measure after 24 h",
            "spirit vapour burns: no flame; fortifying may need a licence",
        ),
    )


@calculation(
    "spirit_dilution",
    "Water to bring a spirit to a strength",
    (
        VOLUME_INPUT,
        Input("strength", "% vol", REQUIRED, "the strength of the spirit", limits=SPIRIT),
        Input("wanted", "% vol", REQUIRED, "the strength wanted", limits=WANTED),
    ),
    ("oiml-r22",),
)
def spirit_dilution(given: Given) -> Outcome:
    """Water [L] that brings a spirit to a strength, and the volume [L] after, contraction counted. Valid: at 20 C."""
    volume, wanted = given.number("volume"), given.number("wanted")
    water, after = ethanol.water_to(volume, given.number("strength"), wanted)
    square = volume * (given.number("strength") / wanted - 1.0)
    return Outcome(
        {"water": Quantity(water, "L"), "volume": Quantity(after, "L")},
        "shares by mass: mass of water = mass of spirit * (w spirit / w wanted - 1)",
        (
            f"by volume alone it would be {square:.4g} L, too little",
            "add the last tenth after a reading: water warms it, and warm spirit reads strong",
            "spirit vapour burns: no flame",
        ),
    )


@calculation(
    "spirit_strength",
    "Strength of a spirit in % vol and proof",
    (
        Input("alcohol", "% vol", None, "the strength by volume", limits=ethanol.STRENGTH),
        Input("proof_us", "proof", None, "US proof", limits=PROOF_US),
        Input("proof_uk", "UK proof", None, "UK proof", limits=PROOF_UK),
    ),
    ("proof", "oiml-r22"),
)
def spirit_strength(given: Given) -> Outcome:
    """The strength of a spirit by volume [% vol], in US and in UK proof. Valid: 0 to 100 % vol."""
    way = given.one_of("alcohol", "proof_us", "proof_uk")
    per = {"alcohol": 1.0, "proof_us": scales.PROOF_US, "proof_uk": scales.PROOF_UK}
    strength = scales.alcohol_of_proof(given.number(way), per[way], way)
    return Outcome(
        {
            "alcohol": Quantity(strength, "% vol"),
            "proof_us": Quantity(strength * scales.PROOF_US, "proof"),
            "proof_uk": Quantity(strength * scales.PROOF_UK, "UK proof"),
        },
        "US proof = 2 % vol, UK proof = 1.75 % vol",
        ("US proof is stated at 60 F: near 50 % vol the strength at 20 C is 0.06 % vol higher",),
    )


CALCULATIONS = (fortification, spirit_dilution, spirit_strength)
