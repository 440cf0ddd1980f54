"""The usual cautions of cellar work, shown where the work is. Common practice; labels and local codes decide."""

from __future__ import annotations

SULFITE = (
    "Dissolve sulfite in water, outdoors or with good ventilation: dust and gas harm the lungs, especially with "
    "asthma.",
    "Never mix sulfite, dry or dissolved, with acid, caustic or bleach. The supplier's label decides.",
)
DECLARE = "At 10 mg/L or more, sulfite must be declared wherever the wine is sold."
GAS = (
    "Carbon dioxide collects at floor level: ventilate before you go in. Never go into a vat or tank. If someone "
    "collapses, do not follow: call for help; only rescuers with breathing air go in."
)
INERT = "Inert gas and dry ice suffocate without warning: ventilate before you go in."
AIRLOCK = "Never seal a vessel that can still make gas: airlock or breather bung."
LIFTING = (
    "A full 23 L glass demijohn weighs over 30 kg and breaks into razor-sharp pieces: dry hands, carry it in a crate, "
    "never by the neck, no hot water on cold glass."
)
COOLING = "Cooling wine sucks the airlock in, warming wine pushes the bung out: spirit in the airlock, leave headspace."
BRIM = "Do not fill a cold vessel to the brim: the wine swells as it warms."
SCALD = "The bath scalds and a closed tube bursts: open tubes, goggles, tongs."
FOAM = "A young ferment foams over: leave a fifth of the vessel empty, under an airlock that cannot clog."
ENZYME = "Enzyme dust harms lungs and eyes: do not breathe it, stir it into a little cool water first."
NUTRIENT = "Stir nutrient into a little must first: dry powder makes a ferment foam over."
LICENCE = "Fortifying may need a licence, and distilling at home is illegal in most places: buy the spirit."
WARMING = "Warm gently, by the room or a jacket: heating a wine to save it costs its fruit."
STUCK = "A stuck ferment can start again without warning: never seal it, whatever is decided."
FLAME = "Spirit vapour burns: no flame, no sparks."
LIVE = (
    "A bottle under pressure is a bomb: face shield, thick gloves, cover it with a blanket, chill it where it stands, "
    "do not carry it."
)
GERANIUM = "Sorbate with living malolactic bacteria gives a geranium taint that nothing takes out."
SORBATE = "Dissolve sorbate in a little water first, stir it in well; drink the wine within 2 years."
BUFFERS = "Set the pH meter on two buffers the same day."
HYDROMETER = "Degas the sample, read at the bottom of the meniscus, note its temperature."
STRIP = "One strip over 20 mg/L shows a trend only: take two on the same day; titration reads high in reds."
TRIAL = "Never copper without a trial, never over 0.5 mg/L copper in all; never enzyme together with bentonite."
COPPER = (
    "Copper sulfate is poisonous and harms eyes: gloves, goggles, label it, dose only as a weak solution after a "
    "bench trial; never over 0.5 mg/L copper in all."
)
ACID = "Never mix acid, dry or dissolved, with sulfite: it drives out gas that harms the lungs. Keep its dust off eyes."
CARBONATE = "Carbonate foams in wine: room in the vessel, a little at a time, and ventilate, for it is carbon dioxide."
BENTONITE = "Soak bentonite overnight in hot water; its dry dust harms the lungs."
EGG = "Lysozyme is egg: it belongs on the label."
FISH = "Isinglass is fish: it belongs on the label."
ANIMAL = "Gelatin is animal: it belongs on the label."
STERILE = "Sterile filtration needs proper equipment: test filter integrity before and after."
CAUSTIC = "Caustic and peracid cleaners burn: goggles, and never together with sulfite."

_SULFITE = (*SULFITE, DECLARE)
_SUGAR = (AIRLOCK,)
_NUTRIENT = (NUTRIENT,)
_ACID = (ACID,)
_CARBONATE = (CARBONATE,)

OF_MATERIAL: dict[str, tuple[str, ...]] = {
    "potassium_metabisulfite": _SULFITE,
    "sodium_metabisulfite": _SULFITE,
    "so2_solution": _SULFITE,
    "potassium_sorbate": (GERANIUM, SORBATE),
    "sugar": _SUGAR,
    "syrup": _SUGAR,
    "juice": _SUGAR,
    "concentrate": _SUGAR,
    "honey": _SUGAR,
    "spirit": (FLAME, LICENCE),
    "pectic_enzyme": (ENZYME,),
    "yeast": (FOAM, GAS, AIRLOCK),
    "malolactic_culture": (AIRLOCK, GAS),
    "dap": _NUTRIENT,
    "complex_nutrient": _NUTRIENT,
    "tartaric_acid": _ACID,
    "malic_acid": _ACID,
    "citric_acid": _ACID,
    "potassium_bicarbonate": _CARBONATE,
    "calcium_carbonate": _CARBONATE,
    "bentonite": (BENTONITE,),
    "gelatin": (ANIMAL,),
    "isinglass": (FISH,),
    "lysozyme": (EGG,),
    "copper_sulfate": (COPPER,),
}
"""What to mind with a material, whichever work it is for; a material not named here, or not known, has none."""


def of_material(name: str) -> tuple[str, ...]:
    """Return the cautions of a material; none for one that is not known."""
    return OF_MATERIAL.get(name, ())
