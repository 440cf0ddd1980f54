"""Calculations on vessels: what is in them by dip or gap, and the gas that clears a headspace."""

from __future__ import annotations

from cellar_tui.enology import gauging
from cellar_tui.enology.calculations.model import REQUIRED, Given, Input, Outcome, Quantity, calculation, kept
from cellar_tui.enology.errors import VOLUME, CalcError

DEADLY = "carbon dioxide, nitrogen and argon kill without warning: oxygen meter, a second person, never go in"


@calculation(
    "tank_dip",
    "Volume of a tank by its level",
    (
        Input("shape", "", REQUIRED, "the shape", gauging.SHAPES),
        Input("diameter", "cm", REQUIRED, "the inside diameter", limits=gauging.DIAMETER),
        Input(
            "length", "cm", None, "the inside length of a lying tank, or the height of a cone", limits=gauging.LENGTH
        ),
        Input("level", "cm", REQUIRED, "the height of the wine over the lowest point", limits=gauging.LEVEL),
    ),
    ("geometry",),
)
def tank_dip(given: Given) -> Outcome:
    """Volume [L] of an upright, cone-bottomed, lying or round tank by its level. Valid: inside measures, dip +-3 mm."""
    shape, diameter, level = given.text("shape"), given.number("diameter"), given.number("level")
    length = given.number("length") if given.has("length") else None
    if shape == "lying" and length is None:
        raise CalcError("length is missing: give the inside length of a lying tank in cm", "length")
    if shape == "lying":
        volume = gauging.lying(diameter, length or 0.0, level)
    elif shape == "cone":
        volume = gauging.cone(diameter, level, length)
    else:
        volume = {"upright": gauging.upright, "sphere": gauging.sphere}[shape](diameter, level)
    formulas = {
        "upright": "L = pi D^2 / 4 * level / 1000",
        "cone": "L = pi D^2 / 12 * level / 1000 to the edge of the cone (cubed below it), a cylinder above",
        "lying": "L = circular segment of the level * length / 1000",
        "sphere": "L = pi level^2 (1.5 D - level) / 3 / 1000",
    }
    return Outcome(
        {"volume": Quantity(volume, "L")},
        formulas[shape],
        ("a dip of +-3 mm is +-2.4 L at 100 cm; inside measures, the tank upright or level",),
        () if shape in ("lying", "cone") else ("length",),
    )


@calculation(
    "barrel_ullage",
    "Volume of a lying barrel by its gap",
    (
        Input("bung_diameter", "cm", REQUIRED, "the inside diameter at the bung", limits=gauging.DIAMETER),
        Input("head_diameter", "cm", REQUIRED, "the inside diameter at the head", limits=gauging.DIAMETER),
        Input("length", "cm", REQUIRED, "the inside length", limits=gauging.LENGTH),
        Input("dry", "cm", REQUIRED, "the gap from the stave at the bung to the wine", limits=gauging.LEVEL),
    ),
    ("builder", "geometry"),
)
def barrel_ullage(given: Given) -> Outcome:
    """What is missing from a barrel lying bung up, and what is in it [L]. Valid: inside measures, within 2 %."""
    measures = given.number("bung_diameter"), given.number("head_diameter"), given.number("length")
    empty = gauging.barrel_empty(*measures, given.number("dry"))
    return Outcome(
        {"empty": Quantity(empty, "L"), "volume": Quantity(gauging.barrel_content(*measures) - empty, "L")},
        "circular segments along a spheroid, r(x)^2 = R^2 - (R^2 - r^2) (2x / L)^2; whole: pi L (2 D^2 + d^2) / 12",
        ("staves and sag are worth 2 %; the old quarter rule fails near the bung", "a warm wine stands higher"),
    )


@calculation(
    "headspace_flush",
    "Gas to clear a headspace",
    (
        Input("headspace", "L", REQUIRED, "the volume over the wine", limits=VOLUME),
        Input("oxygen", "%", 1.0, "the oxygen that may stay", limits=gauging.OXYGEN),
    ),
    ("flushing2023", "stoichiometry"),
)
def headspace_flush(given: Given) -> Outcome:
    """Gas [L] that clears a headspace when it mixes, when it only displaces [L], and as carbon dioxide [g]."""
    space = given.number("headspace")
    mixed = space * gauging.flush_volumes(given.number("oxygen"))
    return Outcome(
        {
            "volume": Quantity(mixed, "L"),
            "displaced": Quantity(space, "L"),
            "co2": Quantity(gauging.co2_grams(mixed), "g"),
        },
        "mixed = headspace * ln(20.95 / oxygen); displaced = headspace; g = L / 24.05 * 44.01",
        kept(
            DEADLY,
            "vent while filling: a sealed tank bursts or buckles",
            "slow gas from below comes near displacing; in one study a quarter of the tank already helped",
        ),
    )


CALCULATIONS = (tank_dip, barrel_ullage, headspace_flush)
