"""Calculations on blends: two lots for a wanted value, or any number of lots as they come."""

from __future__ import annotations

from cellar_tui.enology import acidity, blending, so2
from cellar_tui.enology.calculations.common import VOLUME_INPUT
from cellar_tui.enology.calculations.model import REQUIRED, Given, Input, Outcome, Quantity, calculation, kept
from cellar_tui.enology.errors import ALCOHOL, PH, SUGAR, CalcError, Range

ANY_VALUE = Range("value", -100.0, 10_000.0, "", "give both values and the one wanted in one unit")
VA = Range("va", 0.0, 5.0, "g/L", "give volatile acidity in grams of acetic acid a litre")
BY_VOLUME = {"alcohol": "% vol", "ta": "g/L", "sugar": "g/L", "va": "g/L", "free_so2": "mg/L", "total_so2": "mg/L"}


@calculation(
    "pearson_square",
    "Two lots for a wanted value",
    (
        VOLUME_INPUT,
        Input("value1", "", REQUIRED, "the value of the first lot", limits=ANY_VALUE),
        Input("value2", "", REQUIRED, "the value of the second lot", limits=ANY_VALUE),
        Input("wanted", "", REQUIRED, "the value wanted, between the two", limits=ANY_VALUE),
    ),
    ("arithmetic",),
)
def pearson_square(given: Given) -> Outcome:
    """Litres of two lots that make a volume of a wanted alcohol, TA, sugar or total SO2, all in one unit."""
    volume, wanted = given.number("volume"), given.number("wanted")
    first, second = blending.square(volume, given.number("value1"), given.number("value2"), wanted)
    return Outcome(
        {"volume1": Quantity(first, "L"), "volume2": Quantity(second, "L")},
        "volume1 = volume * (value2 - wanted) / (value2 - value1)",
        (
            "not for pH; Brix mixes by mass; with spirit use fortification, which counts contraction",
            "try it in the glass first",
        ),
    )


def _list(name: str, unit: str, told: str, limits: Range) -> Input:
    return Input(name, unit, None, f"{told} of each lot", limits=limits, many=True)


@calculation(
    "blend_lots",
    "What a blend of lots comes to",
    (
        Input("volumes", "L", REQUIRED, "the litres of each lot", limits=blending.PART, many=True),
        _list("alcohol", "% vol", "the alcohol", ALCOHOL),
        _list("ta", "g/L", "the titratable acidity", acidity.TA_RANGE),
        _list("sugar", "g/L", "the sugar", SUGAR),
        _list("va", "g/L", "the volatile acidity", VA),
        _list("free_so2", "mg/L", "the free SO2", so2.FREE_RANGE),
        _list("total_so2", "mg/L", "the total SO2", so2.FREE_RANGE),
        _list("ph", "", "the pH", PH),
        _list("buffer", "meq/L a pH", "the buffer capacity", blending.BUFFER),
    ),
    ("arithmetic", "dartiguenave2000"),
)
def blend_lots(given: Given) -> Outcome:
    """Volume, alcohol, TA, sugar, VA, SO2 and pH of a blend of lots. Valid: wines; pH within 0.05, free SO2 a guess."""
    volumes = given.numbers("volumes")
    values = {"volume": Quantity(sum(volumes), "L")}
    for name, unit in BY_VOLUME.items():
        if given.has(name):
            values[name] = Quantity(blending.mean(_each(given, name, len(volumes)), volumes), unit)
    if given.has("ph"):
        buffers = _each(given, "buffer", len(volumes)) if given.has("buffer") else None
        values["ph"] = Quantity(blending.blended_ph(_each(given, "ph", len(volumes)), volumes, buffers), "")
    doubt = (
        f"pH within {blending.PH_DOUBT:g}, twice that when crystals or malolactic follow; do not average hydrogen ions"
    )
    return Outcome(
        values,
        "sum of volume * value / sum of volumes; pH weighted by volume" + (" * buffer" if given.has("buffer") else ""),
        kept(
            doubt if given.has("ph") else "",
            "free SO2 is a first guess: one wine's aldehyde binds the other's; measure after 24 h"
            if given.has("free_so2")
            else "",
            "stable wines can make an unstable blend: test crystals, haze, bacteria and sugar again; glass trial first",
        ),
    )


def _each(given: Given, name: str, count: int) -> tuple[float, ...]:
    values = given.numbers(name)
    if len(values) != count:
        raise CalcError(f"{name} lists {len(values)}, volumes {count}: give one for each lot, in order", name)
    return values


CALCULATIONS = (blend_lots, pearson_square)
