"""Calculations on must: its weight in every scale, sugar and water into it."""

from __future__ import annotations

from cellar_tui.enology import legal, must, scales, sweetening
from cellar_tui.enology.alcohol import SUGAR_PER_ALCOHOL
from cellar_tui.enology.calculations.common import VOLUME_INPUT
from cellar_tui.enology.calculations.model import REQUIRED, Given, Input, Outcome, Quantity, calculation, kept
from cellar_tui.enology.errors import ALCOHOL
from cellar_tui.enology.gravity import BRIX, SUGAR_SG

UNITS = {"oechsle": "Oe", "kmw": "KMW", "baume": "Baume", "brix": "Brix", "sg": ""}
ZONES = ("A", "B", "C")


@calculation(
    "must_weight",
    "Must weight in every scale",
    (
        Input("oechsle", "Oe", None, "the Oechsle of the must at 20 C", limits=scales.OECHSLE),
        Input("kmw", "KMW", None, "the KMW of the must at 20 C", limits=scales.KMW),
        Input("baume", "Baume", None, "the Baume of the must", limits=scales.BAUME),
        Input("brix", "Brix", None, "the Brix of the must at 20 C", limits=BRIX),
        Input("sg", "", None, "the SG of the must at 20 C", limits=SUGAR_SG),
    ),
    ("kmw", "baume", "brixarticle", "must-table", "troost1988"),
)
def must_weight(given: Given) -> Outcome:
    """A must weight on every scale, and the sugar and potential alcohol that the table of grape musts gives.

    Valid: before any alcohol is in it; the table runs from 50 to 120 Oechsle and is within 0.5 % vol of the ferment.
    """
    scale = given.one_of(*scales.SCALES)
    sg = scales.sg_of(scale, given.number(scale))
    values = {
        name: Quantity(given.number(name) if name == scale else scales.on_scale(name, sg), unit)
        for name, unit in UNITS.items()
    }
    oechsle = given.number("oechsle") if scale == "oechsle" else scales.oechsle_from_sg(sg)
    values["sugar"] = Quantity(scales.sugar_by_oechsle(oechsle), "g/L")
    values["alcohol"] = Quantity(scales.alcohol_by_oechsle(oechsle), "% vol")
    low, high = scales.TABLE_OECHSLE
    return Outcome(
        values,
        "Oe = 1000 (SG - 1) = KMW (4.54 + 0.022 KMW); SG = 145 / (145 - Baume); sugar = 2.66 Oe - 30; "
        "alcohol = (1.237 Oe - 13.83) / 7.8924",
        kept(
            "" if low <= oechsle <= high else f"the table runs from {low:g} to {high:g} Oechsle: carried on beyond it",
            "true for must only: alcohol makes every scale wrong",
            "instruments at 15 or 15.6 C differ by 0.0008 SG; older French Baume by 0.0005",
        ),
    )


@calculation(
    "chaptalization",
    "Sugar into a must",
    (
        VOLUME_INPUT,
        Input("alcohol", "% vol", None, "the alcohol the must can give", limits=ALCOHOL),
        Input("wanted", "% vol", None, "the alcohol wanted", limits=ALCOHOL),
        Input("factor", "g/L", SUGAR_PER_ALCOHOL, "sugar for one % vol", limits=must.FACTOR),
        Input("brix", "Brix", None, "the Brix of the must, instead of its alcohol", limits=BRIX),
        Input("wanted_brix", "Brix", None, "the Brix wanted", limits=BRIX),
    ),
    ("stoichiometry", "cfr24-304", "eu1308"),
)
def chaptalization(given: Given) -> Outcome:
    """Dry sugar [g] into a must and the volume [L] after, the growth of volume counted. Valid: added early, in parts.

    By alcohol: 16.83 g/L of glucose and fructose a % vol, 15.99 as cane sugar; practice 17 for white, 18 for red must.
    """
    volume = given.number("volume")
    by_alcohol = given.one_of("alcohol", "brix") == "alcohol"
    if by_alcohol:
        grams = must.sugar_for_alcohol(volume, given.number("alcohol"), given.number("wanted"), given.number("factor"))
        formula = "g = volume * (wanted - alcohol) / (1 / factor - 0.00062 * wanted)"
        plain = volume * (given.number("wanted") - given.number("alcohol")) * given.number("factor")
        short = f"without the growth of volume it would be {plain:.4g} g, which is too little"
    else:
        grams = must.sugar_for_brix(volume, given.number("brix"), given.number("wanted_brix"))
        formula = "g = 1000 * volume * SG * 0.9982 * (wanted_brix - brix) / (100 - wanted_brix)"
        short = ""
    return Outcome(
        {"amount": Quantity(grams, "g"), "volume": Quantity(sweetening.volume_after(volume, grams), "L")},
        formula,
        kept(
            short,
            _caps(),
            "red on skins holds only about 80 % juice: work it out for the juice",
            "dissolve it in must, add it in the first half of the ferment; the yeast needs more nitrogen",
        ),
        () if by_alcohol else ("factor",),
    )


def _caps() -> str:
    """The legal ends of enrichment, each with its clause and date."""
    rise = "/".join(f"{legal.find('eu', 'enrichment', f'zone {zone}').value:g}" for zone in ZONES)
    first = legal.find("eu", "enrichment", "zone A")
    brix = legal.find("us", "enriched_brix", "any")
    return (
        f"EU zones A/B/C {rise} % vol at most ({first.clause}, {first.date}); US {brix.value:g} Brix ({brix.clause}): "
        "check your local rules before you add"
    )


@calculation(
    "amelioration",
    "Water that lowers the acid of a must",
    (
        VOLUME_INPUT,
        Input("ta", "g/L", REQUIRED, "the titratable acidity of the must", limits=must.TA),
        Input("wanted", "g/L", REQUIRED, "the titratable acidity wanted", limits=must.TA),
    ),
    ("arithmetic", "usc5383"),
)
def amelioration(given: Given) -> Outcome:
    """Water [L] that thins a must to a TA, and the volume [L] after. Valid: must; sugar and flavour fall alike."""
    volume, wanted = given.number("volume"), given.number("wanted")
    water = must.water_for_ta(volume, given.number("ta"), wanted)
    most = must.most_amelioration(volume)
    acid = must.AMELIORATION_ACID_US
    return Outcome(
        {"water": Quantity(water, "L"), "volume": Quantity(volume + water, "L")},
        "water = volume * (ta / wanted - 1)",
        kept(
            f"over the US limit of {most:.3g} L, 35 % of the ameliorated juice (26 USC 5383(b))"
            if water > most
            else "",
            f"the US asks for {acid:g} g/L fixed acid afterwards" if wanted < acid else "",
            "sugar, nitrogen and flavour fall to the same share; water in wine is forbidden in the EU and most places",
        ),
    )


CALCULATIONS = (must_weight, chaptalization, amelioration)
