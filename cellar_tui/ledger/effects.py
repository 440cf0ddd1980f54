"""What a reading settles and what an addition brings, worked out on the amounts of one filling."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from cellar_tui.enology import alcohol, gravity, sorbate, sulfite
from cellar_tui.enology.errors import OutOfRange
from cellar_tui.enology.ethanol import mixed_volume, relative_density
from cellar_tui.enology.water import WATER_20
from cellar_tui.ledger import ferment, sugar, titrated
from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.contents import Amounts, Contents, exactly
from cellar_tui.ledger.entry import Entry
from cellar_tui.ledger.fields import specs
from cellar_tui.ledger.history import Evidence
from cellar_tui.ledger.house import House
from cellar_tui.ledger.materials import active, material

COPPER_SHARE = 0.2545
"""Copper in copper sulfate pentahydrate; computed from atomic weights."""

CREAM_POTASSIUM = 0.208
"""Potassium in cream of tartar; computed from atomic weights."""

BICARBONATE_POTASSIUM = 0.391
"""Potassium in potassium bicarbonate; computed from atomic weights."""

WINE_SG = 1.010
"""Gravity under which the alcohol of a wine, not its sugar, decides how its sample expands (common practice)."""

OF_MUST = ("juice", "concentrate")
"""Sources of sugar with the other solids of a must in them; common practice."""

NO_SAMPLE = frozenset(
    {"temperature", "sg", "brix", "volume", "dip", "ullage", "sample_temperature", "method", *titrated.WITH}
)
"""Fields of a reading that take no wine out of a small lot; common practice."""


VALUES = tuple(name for name, _ in specs(k.Reading) if name not in ("method", "brix", "dip", "ullage", *titrated.HOW))
"""Names of the values of a reading; Brix becomes a gravity."""


@dataclass(frozen=True, slots=True)
class Read:
    """What a reading says.

    Attributes:
        values: the values as they count.
        after: the amounts that it settles.
        doubts: what disagrees with the ledger.
        must: its gravity was read before the yeast worked.
    """

    values: dict[str, float]
    after: Amounts
    doubts: list[str]
    must: bool


def measured(entry: Entry, body: k.Reading, contents: Contents, house: House) -> Read:
    """Return what a reading says of this wine."""
    values = {name: float(value) for name in VALUES if (value := getattr(body, name)) is not None}
    gravity_read = _gravity(body, contents)
    if gravity_read is not None:
        values["sg"] = gravity_read
    after, doubts, must = contents.now, [], False
    if "second_strip" in values and "free_so2" in values:
        # Two strips of one visit are one reading: their mean.
        values["free_so2"] = (values["free_so2"] + values["second_strip"]) / 2
    if "volume" in values:
        after, doubt = _volume(after, values["volume"], house)
        doubts += doubt
    if "total_so2" in values:
        after, doubt = _total(after, contents, values["total_so2"], house)
        doubts += doubt
    if "sg" in values and ferment.counts(contents, body.method):
        must = ferment.of_must(contents, values["sg"], entry.on, house)
        after = _gravity_read(after, contents, values["sg"], must, house)
    if "alcohol" in values:
        after = replace(after, ethanol=values["alcohol"] / 100 * after.volume)
    newest = None
    if "sg" in values and (body.method != "refractometer" or not ferment.fermenting(contents)):
        newest = Evidence(values["sg"], entry.on, entry.minute, (entry.root,), len(contents.log), body.method, entry.by)
    return Read(values, sugar.seen_in(values, newest, contents, after, house), doubts, must)


def of_must(amounts: Amounts, sg: float) -> Amounts:
    """Return the amounts of a must of this gravity [SG 20/20]; sugar that went in before is in it."""
    try:
        potential = alcohol.potential_alcohol_from_sg(sg) * alcohol.SUGAR_PER_ALCOHOL * amounts.volume
    except OutOfRange:
        return replace(amounts, original=None, weight=None, potential=None)
    weight = sg * amounts.volume
    return replace(amounts, original=weight, weight=weight, potential=potential)


def _gravity_read(after: Amounts, contents: Contents, sg: float, must: bool, house: House) -> Amounts:
    """Return the amounts once a gravity is read: of the must, or with the strength that the ferment has made."""
    if must:
        return of_must(after, sg)
    expected = after.gravity
    after = replace(after, weight=sg * after.volume)
    if after.original is None:
        # Read late, it still shows how much has fermented since; how sweet the must was stays unknown.
        first = not contents.given.fermenting and contents.given.finished is None and expected is None
        return replace(after, original=after.weight) if first else after
    made = ferment.strength_made(after.original_gravity, sg)
    if made is None or not ferment.works(contents, after):
        return after
    if not _strength_settled(contents):
        return replace(after, ethanol=made / 100 * after.volume)
    if expected is not None and after.ethanol is not None and ferment.finish(contents, house) is None:
        # What it has fermented since its strength was measured, or mixed with spirit.
        since = made - (ferment.strength_made(after.original_gravity, expected) or 0.0)
        return replace(after, ethanol=after.ethanol + max(0.0, since) / 100 * after.volume)
    return after


def _gravity(body: k.Reading, contents: Contents) -> float | None:
    """Return the gravity at 20 C of a reading by hydrometer, or of Brix [SG 20/20].

    Wine expands more than water: where its strength is known the sample is corrected with it.
    """
    sg = body.sg
    try:
        if body.brix is not None:
            sg = gravity.sg_from_brix(body.brix)
        if sg is not None and body.sample_temperature is not None and body.method != "refractometer":
            strength = contents.now.alcohol
            if sg < WINE_SG and strength:
                sg = gravity.wine_sg(sg, strength, body.sample_temperature)
            else:
                sg = gravity.corrected_sg(sg, body.sample_temperature)
    except OutOfRange:
        return sg
    return sg


def _volume(after: Amounts, volume: float, house: House) -> tuple[Amounts, list[str]]:
    if after.volume <= 0:
        return replace(after, volume=volume), []
    off = abs(volume - after.volume) / after.volume * 100
    told = f"measured {volume:g} L where the ledger has {after.volume:.4g} L; the measured volume counts from here."
    return after.share(volume / after.volume), [told] if off > house.number("volume_tolerance") else []


def _total(after: Amounts, contents: Contents, total: float, house: House) -> tuple[Amounts, list[str]]:
    ledger = after.mg_l(after.so2_total)
    known = contents.given.stated_total or contents.given.untouched
    told = f"measured {total:g} mg/L total SO2 where the ledger has {ledger:.0f}; the measured total counts from here."
    # Less than the sum is information: part of every sulfite leaves the wine. More than was ever added is a slip.
    doubt = known and total - ledger > house.number("total_tolerance")
    return replace(after, so2_total=total * after.volume), [told] if doubt else []


def _strength_settled(contents: Contents) -> bool:
    """Return whether a measured or mixed strength, or a sweetening, forbids reading alcohol off the gravity."""
    if contents.given.strength_known or contents.given.finished is not None:
        return True
    for event in contents.log:
        if isinstance(event.body, k.Reading) and "alcohol" in event.values:
            return True
        # Another wine of unknown strength came in: gravity tells no longer what the whole has.
        if isinstance(event.body, k.Topping) and event.before.ethanol is not None and event.after.ethanol is None:
            return True
        if isinstance(event.body, k.Addition) and (event.body.material == "spirit" or (event.sugar and not event.fed)):
            return True
    return False


def sample_taken(body: k.Reading, after: Amounts, house: House) -> Amounts:
    """Return the amounts left when the sample of this reading came out of a small lot."""
    if after.volume >= house.number("small_lot") or after.volume <= 0:
        return after
    if all(getattr(body, name) is None for name, _ in specs(k.Reading) if name not in NO_SAMPLE):
        return after
    return after.share(max(0.0, 1 - house.number("sample_volume") / after.volume))


def _potassium(body: k.Addition) -> float:
    """Return the potassium that an addition brings [mg]."""
    grams = (body.amount or 0.0) * 1000
    shares = {
        "potassium_metabisulfite": sulfite.POTASSIUM_SHARE_METABISULFITE,
        "potassium_sorbate": sorbate.POTASSIUM_SHARE_SORBATE,
        "cream_of_tartar": CREAM_POTASSIUM,
        "potassium_bicarbonate": BICARBONATE_POTASSIUM,
    }
    return grams * shares.get(body.material or "", 0.0)


def weighed_out(body: k.Addition, amount: float, strength: float | None) -> k.Addition:
    """Return an addition with its amount, its strength and what they bring fixed in it."""
    brought = active(body.material or "", amount, strength)
    return replace(
        body,
        amount=amount,
        strength=strength,
        so2_mg=brought.so2_mg,
        sorbate_g=brought.sorbate_g,
        sugar_g=brought.sugar_g,
        litres=brought.litres,
    )


def _brought_weight(body: k.Addition) -> float:
    """Return what an addition weighs [SG x L]; what brings no volume is taken to weigh nothing."""
    known = material(body.material or "")
    if body.litres <= 0:
        return 0.0
    if known.unit == "g":
        return (body.amount or 0.0) / (1000.0 * WATER_20)
    if body.material == "spirit":
        return body.litres * relative_density(_spirit_strength(body))
    solids = alcohol.MUST_SOLIDS * body.litres if body.material in OF_MUST else 0.0
    return gravity.solution_weight(body.litres, body.sugar_g + solids)


def _spirit_strength(body: k.Addition) -> float:
    return material("spirit").strength if body.strength is None else body.strength


def _mixed(before: Amounts, body: k.Addition, contents: Contents) -> tuple[float, float | None]:
    """Return volume and ethanol [L] once an addition is in; spirit contracts what it is mixed with."""
    if body.material != "spirit":
        return before.volume + body.litres, before.ethanol
    held = before.ethanol
    if held is None and before.original is not None and not ferment.fermenting(contents):
        held = 0.0
    if held is None or before.volume <= 0:
        return before.volume + body.litres, held
    strength = _spirit_strength(body)
    volume = mixed_volume(before.volume, 100 * held / before.volume, body.litres, strength)
    return volume, held + body.litres * strength / 100


def added(body: k.Addition, contents: Contents, on: date, house: House) -> tuple[Amounts, dict[str, Any]]:
    """Return the amounts after an addition, and what it raised for its event."""
    before = contents.now
    fed = bool(body.sugar_g) and ferment.feeds(contents, on, house)
    feed = body.sugar_g if fed else 0.0
    volume, ethanol = _mixed(before, body, contents)
    weight = _brought_weight(body)
    copper = (body.amount or 0.0) * 1000 * COPPER_SHARE if body.material == "copper_sulfate" else 0.0
    potassium = _potassium(body)
    after = replace(
        before,
        volume=volume,
        so2_added=before.so2_added + body.so2_mg,
        so2_total=before.so2_total + body.so2_mg,
        sorbate=before.sorbate + body.sorbate_g,
        sugar=before.sugar.plus(exactly(body.sugar_g)),
        gained=before.gained + body.sugar_g - feed,
        fed=before.fed + feed,
        ethanol=ethanol,
        potassium=before.potassium + potassium,
        copper=before.copper + copper,
        original=None if before.original is None else before.original + weight,
        weight=None if before.weight is None else before.weight + weight,
        potential=None if before.potential is None else before.potential + feed,
    )
    raised = {
        "so2": after.mg_l(body.so2_mg),
        "sorbate": after.mg_l(body.sorbate_g * 1000),
        "sugar": after.g_l(body.sugar_g),
        "potassium": after.mg_l(potassium),
        "fed": fed,
    }
    return after, raised
