"""What a wine, its vessel and the house rules have to offer to each input of a calculation, and where it is from."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from types import MappingProxyType

from cellar_tui.enology import fining, gravity, scales
from cellar_tui.enology.calculations import CALCULATIONS, Input
from cellar_tui.enology.methods import METHODS
from cellar_tui.language import describe_entry, quantities
from cellar_tui.language.reading_age import FRESH, is_old
from cellar_tui.ledger import kinds as k
from cellar_tui.ledger import trial_doses
from cellar_tui.ledger.ferment import moves_gravity
from cellar_tui.ledger.history import Evidence, last_reading, thinned
from cellar_tui.ledger.house import House
from cellar_tui.ledger.materials import MATERIALS
from cellar_tui.planning import so2, sulfur
from cellar_tui.planning.day_text import day_and_month, short_day
from cellar_tui.planning.estimate import estimate
from cellar_tui.planning.forecast.track import fading
from cellar_tui.planning.plan import Fact, Measured
from cellar_tui.planning.subject import Subject
from cellar_tui.service.views import WineView

USUAL = "common practice"
LONG_AGO = 300
"""Days after which a date is named with its year."""
THINNED = ("ta", "yan")
"""Readings that water and sugar thin; SO2 and sugar are carried by the ledger itself."""
BOTTLE = 750.0
"""Size of a bottle until another is typed [mL] [common practice]."""
SAMPLE = 100.0
"""Wine in a glass of a bench trial until another amount is typed [mL] [common practice]."""

UNITS: Mapping[str, str] = MappingProxyType(
    {
        "ph": "pH",
        "sg": "SG",
        "original_gravity": "SG",
        "final_gravity": "SG",
        "sg_extract": "SG",
        "ph_before": "pH",
        "ph_after": "pH",
        "share": "x",
        "strength": "x",
    }
)
"""Units of inputs and results that the calculations state as bare numbers: typed text may lead with pH or use %."""


@dataclass(frozen=True, slots=True)
class Prefilled:
    """A value that need not be typed: as text in the unit shown beside its field, and where it is from."""

    text: str
    source: str


Offer = tuple[float | str, str]
"""A value in the canonical unit of its input, and where it is from."""


def unit_of(name: str, unit: str) -> str:
    """Return the unit in which an input or result is typed and shown, from the one its calculation states.

    >>> unit_of("ph", ""), unit_of("concentration_product", "mol2/L2 x1e5"), unit_of("strength", "% vol")
    ('pH', 'x1e5', '% vol')
    """
    if not unit:
        return UNITS.get(name, "")
    if unit in quantities.DIMENSIONS:
        return unit
    return "x1e5" if unit.endswith("x1e5") else ""


def prefill(view: WineView | None, house: House, name: str = "") -> Mapping[str, Prefilled]:
    """Return what can be offered to the inputs of a calculation, by input; "" for what any calculation may take.

    Without a wine only the house rules and what is usual are offered.
    """
    offers: dict[str, Offer] = dict(_of_house(house))
    if view is not None and view.contents is not None:
        s = Subject(view.contents, view.info, house)
        offers |= dict(_of_wine(s, view))
        if name in _SPECIAL:
            offers |= dict(_SPECIAL[name](s, view))
    offers |= dict(_USUAL.get(name, {}))
    inputs = CALCULATIONS[name].inputs if name in CALCULATIONS else _every_input()
    system = house.system
    return {
        one.name: Prefilled(text(one, value, system), source)
        for one in inputs
        if one.name in offers and one.name not in _NOT_OFFERED.get(name, ())
        for value, source in (offers[one.name],)
    }


def text(asked: Input, value: float | str, system: str) -> str:
    """Return a value in an input's canonical unit as text in the unit shown beside the field."""
    if isinstance(value, str):
        return value
    unit = unit_of(asked.name, asked.unit)
    # Inputs of a calculation have their own scale: that of a gravity is SG in every house.
    return quantities.number(value, unit, system=quantities.plain(system) if unit == "SG" else system)


def _every_input() -> list[Input]:
    found: dict[str, Input] = {}
    for calculation in CALCULATIONS.values():
        for one in calculation.inputs:
            found.setdefault(one.name, one)
    return list(found.values())


# -- where it is from


def _at(view: WineView, day: date, entries: tuple[int, ...]) -> str:
    """Say where a value stands in the ledger; the year is named where it is long ago."""
    named = f", entry {', '.join(str(entry) for entry in entries)}" if entries else ""
    return f"{day_and_month(day)}{named}" if (view.today - day).days < LONG_AGO else f"{short_day(day)}{named}"


def _read(view: WineView, seen: Evidence) -> Offer:
    return seen.value, _at(view, seen.on, seen.entries)


def _rule(fact: Fact) -> str:
    entry = f", entry {fact.entries[0]}" if fact.entries else ", default"
    return f"{fact.name}{entry}"


def _wanted(s: Subject, field: str) -> str:
    entries = so2.intent_entries(s, field)
    return f"wanted{', entry ' + str(entries[-1]) if entries else ''}"


# -- what is offered to any calculation


def _of_house(house: House) -> Iterator[tuple[str, Offer]]:
    entries = house.source("jurisdiction")
    rule = Fact("house rule jurisdiction", house.word("jurisdiction"), entries=entries)
    yield "jurisdiction", (str(rule.value), _rule(rule))


def _of_wine(s: Subject, view: WineView) -> Iterator[tuple[str, Offer]]:
    for name, measured in _readings(view).items():
        if name in FRESH and is_old(name, measured.on, view.today):
            continue
        if name in THINNED and (seen := last_reading(s.c, name)) is not None:
            left = thinned(s.c, seen.index)
            told = ", thinned by what came in since" if left < 1 else ""
            yield name, (measured.value * left, f"{_at(view, measured.on, (measured.entry,))}{told}")
            continue
        yield _NAMED_OTHERWISE.get(name, name), (measured.value, _at(view, measured.on, (measured.entry,)))
    yield "volume", (s.volume, "by the ledger")
    yield "colour", (s.intents.colour, _wanted(s, "style"))
    yield "molecular_so2", (so2.molecular_wanted(s), _wanted(s, "molecular_so2"))
    if s.ph is not None:
        yield "ph", _read(view, s.ph)
    if s.alcohol is not None:
        yield "alcohol", (s.alcohol, _as_read(view, "alcohol", s.alcohol, "by its gravity or as stated"))
    if s.sugar is not None:
        yield "sugar", (s.sugar, _as_read(view, "residual_sugar", s.sugar, _sweetened(s)))
    yield from _free(s, view)
    yield from _gravities(s, view)
    yield "target", (so2.target(s).free, "free SO2 that this wine is kept at")


def _sweetened(s: Subject) -> str:
    if not s.sugar_held.exact:
        return f"estimated from gravity and strength: {s.sugar_held.low:.0f} to {s.sugar_held.high:.0f} g/L"
    return "added since the finish, by the ledger" if s.sugar else "gravity steady at or under its expected dry gravity"


def _readings(view: WineView) -> Mapping[str, Measured]:
    return {} if view.plan is None else view.plan.readings


def _as_read(view: WineView, name: str, value: float, otherwise: str) -> str:
    """Say which reading gave a value; where none did, that it follows from the ledger."""
    seen = _readings(view).get(name)
    if seen is not None and math.isclose(seen.value, value, abs_tol=0.05):
        return _at(view, seen.on, (seen.entry,))
    return otherwise


def _free(s: Subject, view: WineView) -> Iterator[tuple[str, Offer]]:
    """Offer the free SO2 of the day shown: a reading of that day, else the estimate with its reading."""
    found = estimate(fading(s), view.today)
    if found is None or not sulfur.reads(s):
        return
    last = sulfur.reads(s)[-1]
    where = _at(view, last.on, last.entries)
    if found.age_days:
        where = f"estimate of today, {describe_entry.aged(found.age_days)}, {where}"
    yield "free_so2", (found.free_so2, where)


def _gravities(s: Subject, view: WineView) -> Iterator[tuple[str, Offer]]:
    if s.gravities:
        yield "sg", _read(view, s.gravities[-1])
        yield "final_gravity", _read(view, s.gravities[-1])
    must = _must(s, view)
    if must is not None:
        yield "original_gravity", must


def _must(s: Subject, view: WineView) -> Offer | None:
    """Return the gravity that it would have unfermented: its must's, and all that came in since."""
    original = s.c.now.original_gravity
    if original is None:
        return None
    index, on, entry = next(
        ((index, event.on, event.entry) for index, event in reversed([*enumerate(s.c.log)]) if event.must),
        (-1, s.c.started, s.c.filling),
    )
    since = ", and what came in since" if any(True for _ in moves_gravity(s.c, index)) else ""
    # Rounded, so that what was read comes back as it was read.
    return round(original, 5), f"the must, {_at(view, on, (entry,))}{since}"


# -- what is offered to one calculation


def _sulfite(s: Subject, view: WineView) -> Iterator[tuple[str, Offer]]:
    value, facts = so2.share(s)
    yield "share", (value, _rule(facts[0]))
    held = s.house.stock.get("potassium_metabisulfite")
    if held is not None and held.strength is not None:
        yield "strength", (held.strength, f"material on hand, entry {held.entry}")
    reading = _readings(view).get("free_so2")
    if reading is not None and reading.method in METHODS:
        yield "free_so2_error", (METHODS[reading.method].band, f"error of {METHODS[reading.method].title}")


def _half_life(s: Subject, view: WineView) -> Iterator[tuple[str, Offer]]:
    loss, facts = so2.daily_loss(s)
    if loss > 0:
        yield "half_life", (-math.log(2) / math.log(1 - loss), _rule(facts[0]))


def _of_must(s: Subject, view: WineView) -> Iterator[tuple[str, Offer]]:
    must = _must(s, view)
    if must is not None and isinstance(must[0], float) and gravity.SUGAR_SG.low <= must[0] <= gravity.SUGAR_SG.high:
        yield "sg", must


def _must_brix(s: Subject, view: WineView) -> Iterator[tuple[str, Offer]]:
    for _, (value, source) in _of_must(s, view):
        yield "brix", (gravity.brix_from_sg(float(value)), f"from the gravity of {source}")


def _can_give(s: Subject, view: WineView) -> Iterator[tuple[str, Offer]]:
    for _, (value, source) in _of_must(s, view):
        oechsle = scales.oechsle_from_sg(float(value))
        yield "alcohol", (scales.alcohol_by_oechsle(oechsle), f"from the gravity of {source}")


def _brix_at_start(s: Subject, view: WineView) -> Iterator[tuple[str, Offer]]:
    for _, offer in _must_brix(s, view):
        yield "brix_start", offer


def _missing_sugar(name: str) -> Callable[[Subject, WineView], Iterator[tuple[str, Offer]]]:
    def offer(s: Subject, view: WineView) -> Iterator[tuple[str, Offer]]:
        wanted = s.intents.sweetness
        held = s.sugar_held.middle
        if wanted is not None and s.end is not None and wanted > held:
            yield name, (wanted - held, f"up to {wanted:g} g/L, {_wanted(s, 'sweetness')}")

    return offer


def _spirit(s: Subject, view: WineView) -> Iterator[tuple[str, Offer]]:
    held = s.house.stock.get("spirit")
    if held is not None and held.strength is not None:
        yield "strength", (held.strength, f"material on hand, entry {held.entry}")


def _chosen(s: Subject, view: WineView) -> Iterator[tuple[str, Offer]]:
    """Offer the dose chosen in the last bench trial."""
    for _, event in reversed(s.events(k.Trial)):
        body = event.body
        if isinstance(body, k.Trial) and body.chosen is not None and trial_doses.unit_of(body) == trial_doses.FINING:
            what = (body.material or "").replace("_", " ")
            yield "dose", (body.chosen, f"trial of {what}, {_at(view, event.on, (event.entry,))}")
            return


_SPECIAL: Mapping[str, Callable[[Subject, WineView], Iterator[tuple[str, Offer]]]] = MappingProxyType(
    {
        "sulfite_addition": _sulfite,
        "so2_forecast": _half_life,
        "brix_from_sg": _of_must,
        "potential_alcohol": _of_must,
        "must_weight": _of_must,
        "chaptalization": _can_give,
        "refractometer_ferment": _brix_at_start,
        "nutrient_addition": _must_brix,
        "sugar_to_sweeten": _missing_sugar("raise"),
        "syrup_to_sweeten": _missing_sugar("raise"),
        "sorbate_dose": _missing_sugar("sweeten"),
        "fortification": _spirit,
        "fining_dose": _chosen,
    }
)

_USUAL: Mapping[str, Mapping[str, Offer]] = MappingProxyType(
    {
        "syrup_to_sweeten": {"syrup": (MATERIALS["syrup"].strength, "equal masses of sugar and water")},
        "bench_trial": {"sample": (SAMPLE, USUAL), "stock": (fining.SLURRY, USUAL)},
        "acid_addition": {"acid": ("tartaric", USUAL)},
        "deacidification": {"salt": ("potassium_bicarbonate", USUAL)},
        "acid_for_ph": {"acid": ("tartaric", USUAL)},
        "buffer_capacity": {"acid": ("tartaric", USUAL)},
        "bottle_count": {"bottle": (BOTTLE, USUAL)},
        "bottle_cost": {"bottle": (BOTTLE, USUAL)},
        "so2_titration": {"normality": (0.01, USUAL), "sample": (20.0, USUAL)},
        "ta_titration": {"normality": (0.1, USUAL), "sample": (10.0, USUAL)},
        "so2_pka": {"temperature": (20.0, USUAL)},
        "so2_removal": {"strength": (3.0, "as pharmacies sell it")},
    }
)

_NAMED_OTHERWISE: Mapping[str, str] = MappingProxyType({"dissolved_oxygen": "oxygen"})
"""Readings that the calculations know under another name."""

_NOT_OFFERED: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        # The OIV's figure beside the result needs an alcohol; it must be asked for, and its own temperature with it.
        "molecular_so2": ("alcohol", "temperature"),
        # Both the gravity as read and its temperature come from the hydrometer; those of the ledger are corrected.
        "hydrometer_correction": ("sg",),
        # One way to tell the must is enough, and a finished wine's sugar says nothing about its must.
        "potential_alcohol": ("sugar", "brix"),
        "co2_in_room": ("sugar",),
        # One way to tell the must is enough.
        "must_weight": ("brix", "sugar"),
        "chaptalization": ("brix",),
        # The spirit is not this wine.
        "spirit_strength": ("alcohol",),
        "spirit_dilution": ("volume",),
        # Lists are of several lots, which no one wine can tell.
        "blend_lots": ("alcohol", "ta", "sugar", "va", "free_so2", "total_so2", "ph"),
        # The bottle will stand elsewhere than the wine does now.
        "bottle_pressure": ("temperature",),
    }
)
"""Inputs that look like something the ledger knows and are not."""
