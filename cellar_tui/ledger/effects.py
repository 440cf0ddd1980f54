"""What a reading settles and what an addition brings, worked out on the amounts of one filling."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

from cellar_tui.enology import gravity, sorbate, sulfite
from cellar_tui.enology.errors import OutOfRange
from cellar_tui.ledger import ferment, sugar
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

NO_SAMPLE = frozenset({"temperature", "sg", "brix", "volume", "sample_temperature", "method"})
"""Fields of a reading that take no wine out of a small lot; common practice."""


VALUES = tuple(name for name, _ in specs(k.Reading) if name not in ("method", "brix"))
"""Names of the values of a reading; Brix becomes a gravity."""


def measured(
    entry: Entry, body: k.Reading, contents: Contents, house: House
) -> tuple[dict[str, float], Amounts, list[str]]:
    """Return the values as they count, the amounts that the reading settles, and what disagrees with the ledger."""
    values = {name: float(value) for name in VALUES if (value := getattr(body, name)) is not None}
    gravity_read = _gravity(body)
    if gravity_read is not None:
        values["sg"] = gravity_read
    after, doubts = contents.now, []
    if "second_strip" in values and "free_so2" in values:
        # Two strips of one visit are one reading: their mean.
        values["free_so2"] = (values["free_so2"] + values["second_strip"]) / 2
    if "volume" in values:
        after, doubt = _volume(after, values["volume"], house)
        doubts += doubt
    if "total_so2" in values:
        after, doubt = _total(after, contents, values["total_so2"], house)
        doubts += doubt
    if "alcohol" in values:
        after = replace(after, ethanol=values["alcohol"] / 100 * after.volume)
    elif "sg" in values and not _strength_settled(contents):
        strength = ferment.fermented_strength(contents, values["sg"])
        if strength is not None and body.method != "refractometer":
            after = replace(after, ethanol=max(strength, 0.0) / 100 * after.volume)
    newest = None
    if "sg" in values and (body.method != "refractometer" or not ferment.fermenting(contents)):
        newest = Evidence(values["sg"], entry.on, entry.minute, (entry.root,), len(contents.log), body.method, entry.by)
    return values, sugar.seen_in(values, newest, contents, after, house), doubts


def _gravity(body: k.Reading) -> float | None:
    """Return the gravity at 20 C of a reading by hydrometer, or of Brix [SG 20/20]."""
    sg = body.sg
    try:
        if body.brix is not None:
            sg = gravity.sg_from_brix(body.brix)
        if sg is not None and body.sample_temperature is not None and body.method != "refractometer":
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
    doubt = known and abs(total - ledger) > house.number("total_tolerance")
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


def added(body: k.Addition, contents: Contents, on: date, house: House) -> tuple[Amounts, dict[str, Any]]:
    """Return the amounts after an addition, and what it raised for its event."""
    before = contents.now
    name = body.material or ""
    fed = bool(body.sugar_g) and ferment.feeds(contents, on, house)
    ethanol = before.ethanol
    if name == "spirit" and ethanol is not None:
        strength = material(name).strength if body.strength is None else body.strength
        ethanol += body.litres * strength / 100
    copper = (body.amount or 0.0) * 1000 * COPPER_SHARE if name == "copper_sulfate" else 0.0
    potassium = _potassium(body)
    after = replace(
        before,
        volume=before.volume + body.litres,
        so2_added=before.so2_added + body.so2_mg,
        so2_total=before.so2_total + body.so2_mg,
        sorbate=before.sorbate + body.sorbate_g,
        sugar=before.sugar.plus(exactly(body.sugar_g)),
        gained=before.gained + (0.0 if fed else body.sugar_g),
        fed=before.fed + (body.sugar_g if fed else 0.0),
        ethanol=ethanol,
        potassium=before.potassium + potassium,
        copper=before.copper + copper,
    )
    raised = {
        "so2": after.mg_l(body.so2_mg),
        "sorbate": after.mg_l(body.sorbate_g * 1000),
        "sugar": after.g_l(body.sugar_g),
        "potassium": after.mg_l(potassium),
        "fed": fed,
    }
    return after, raised
