"""The kinds of entry that a person records on a wine. One frozen dataclass each; the docstring says what it means.

A field that was not stated is None. Units are canonical (litres, grams, mg/L for SO2 and sorbate, g/L for acids and
sugar, % vol, degrees Celsius, SG 20/20).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from typing import ClassVar

from cellar_tui.ledger import fields as f
from cellar_tui.ledger.styles import MALOLACTIC, STYLES

VOLUME_MOST = 100_000.0
TESTS = (
    "chromatogram",
    "cold_test",
    "fridge_test",
    "heat_test",
    "pectin_test",
    "clarity",
    "taste",
    "smell",
    "level",
    "surface",
    "gas",
    "cap",
    "warm_bottle",
    "kept_bottle",
    "calibration",
)
FAULTS = ("lactic_spot", "pressure", "haze", "crystals", "film", "browning", "vinegar", "rotten_egg", "mouse")
STABILITIES = ("yeast", "bacteria", "air", "crystals", "haze")
DECISIONS: dict[str, tuple[str, ...]] = {
    "ferment_stuck": ("warm", "restart", "finish_here"),
    "malolactic_start": ("by_itself",),
    "malolactic_overdue": ("warm_and_feed", "new_culture", "send_sample", "give_up"),
    "malolactic_unwanted": ("stop", "let_finish"),
    "bottle_fault": ("chill", "drink", "recork", "back_to_bulk"),
}


LAB_METHODS = (
    "aspiration",
    "titration",
    "enzymatic",
    "infrared",
    "chromatography",
    "distillation",
    "density",
    "other",
)
"""How a laboratory measures; what is known of the error of a cellar's own test holds for the first two alike."""
TASTED = (
    "oxidised",
    "vinegar",
    "nail_varnish",
    "rotten_egg",
    "mouse",
    "geranium",
    "barnyard",
    "corked",
    "musty",
    "lactic",
    "bitter",
    "film",
    "haze",
    "spritz",
)
"""Fault words of a tasting note; common terms of the trade."""
KEEPS_WOOD = ("sulfur_stick", "holding_solution")
"""What keeps empty wood from moulding; common practice."""
CLEANED = ("rinsed", "hot_water", "caustic", "acid", "steam", *KEEPS_WOOD, "soaked", "smelled")
"""What is done to an empty vessel."""
NOTE_LIMIT = 400
"""Most characters of each field of a tasting note."""


@dataclass(frozen=True, slots=True)
class Body:
    """What an entry says, apart from when, where and by whom."""

    kind: ClassVar[str] = ""


@dataclass(frozen=True, slots=True)
class Reading(Body):
    """Values measured in one vessel, with the method and, where it matters, the temperature of the sample.

    A value may be typed as the millilitres of its titration (`free_so2_ml` and the like) with `normality`, `sample`
    and `blank`; the value itself is worked out when it is recorded and stands beside them. `dip` is the depth of the
    wine in a tank, `ullage` that of the air under the bung of a lying barrel: the volume is worked out likewise.
    """

    kind: ClassVar[str] = "reading"
    sg: float | None = f.number("SG", 0.97, 1.2)
    brix: float | None = f.number("Brix", 0, 45)
    temperature: float | None = f.number("C", -10, 45)
    ph: float | None = f.number("pH", 2.2, 4.8)
    ta: float | None = f.number("g/L", 0, 30)
    free_so2: float | None = f.number("mg/L", 0, 300)
    second_strip: float | None = f.number("mg/L", 0, 300)
    total_so2: float | None = f.number("mg/L", 0, 800)
    malic: float | None = f.number("g/L", 0, 20)
    alcohol: float | None = f.number("% vol", 0, 25)
    residual_sugar: float | None = f.number("g/L", 0, 500)
    va: float | None = f.number("g/L", 0, 10)
    turbidity: float | None = f.number("NTU", 0, 4000)
    dissolved_oxygen: float | None = f.number("mg/L", 0, 20)
    conductivity_drop: float | None = f.number("%", 0, 100)
    yan: float | None = f.number("mg/L", 0, 2000)
    volume: float | None = f.number("L", 0, VOLUME_MOST)
    dip: float | None = f.number("cm", 0, 2000)
    ullage: float | None = f.number("cm", 0, 300)
    sample_temperature: float | None = f.number("C", -10, 45)
    method: str | None = f.choice("aspiration", "titration", "strip", "hydrometer", "refractometer")
    normality: float | None = f.number("N", 0.001, 1)
    sample: float | None = f.number("mL", 1, 500)
    blank: float | None = f.number("mL", 0, 20)
    free_so2_ml: float | None = f.number("mL", 0, 100)
    total_so2_ml: float | None = f.number("mL", 0, 100)
    ta_ml: float | None = f.number("mL", 0, 100)
    va_ml: float | None = f.number("mL", 0, 100)
    yan_ml: float | None = f.number("mL", 0, 100)


@dataclass(frozen=True, slots=True)
class Series(Reading):
    """The temperatures that a logger in the wine wrote down, as one reading at the time of its last row.

    `temperature` is the last one [C]; `count`, `lowest` and `highest` [C] are of all rows, which are kept beside the
    ledger in `parts` texts under their hash `digest`. `points` are minutes before the entry and temperature [C] in
    turn, oldest first: of each stretch of time its warmest, so that what is worked out of them errs to the warm side.
    """

    kind: ClassVar[str] = "series"
    count: float | None = f.number("", 1, 1e9)
    lowest: float | None = f.number("C", -10, 45)
    highest: float | None = f.number("C", -10, 45)
    digest: str = ""
    parts: int = 0
    points: tuple[float, ...] = ()

    def __post_init__(self) -> None:
        object.__setattr__(self, "points", tuple(self.points))

    def rows(self) -> Iterator[tuple[float, float]]:
        """Yield the points: minutes before the entry, and temperature [C]."""
        return zip(self.points[::2], self.points[1::2], strict=True)


@dataclass(frozen=True, slots=True)
class LabReport(Reading):
    """What a laboratory measured in a sample: its values stand before those that the cellar read on the same day.

    `method` is the laboratory's; `reference` is its own number of the report.
    """

    kind: ClassVar[str] = "lab_report"
    method: str | None = f.choice(*LAB_METHODS)
    laboratory: str | None = f.text(f.NAME_LIMIT)
    reference: str | None = f.text(f.NAME_LIMIT)


@dataclass(frozen=True, slots=True)
class Tasting(Body):
    """A tasting note in the fields of the trade, with a score on a scale that is fixed when it is recorded."""

    kind: ClassVar[str] = "tasting"
    look: str | None = f.text(NOTE_LIMIT)
    nose: str | None = f.text(NOTE_LIMIT)
    palate: str | None = f.text(NOTE_LIMIT)
    faults: tuple[str, ...] | None = f.several(*TASTED)
    score: float | None = f.number("", 0, 100)
    scale: float | None = f.number("", 1, 100)

    @property
    def smelled(self) -> bool:
        """Nose or mouth were in it: it says more than how the wine looks."""
        return any(one is not None for one in (self.nose, self.palate, self.faults, self.score))


@dataclass(frozen=True, slots=True)
class Cleaning(Body):
    """An empty vessel cleaned, kept from moulding, soaked, or smelled at, with the agent that was used."""

    kind: ClassVar[str] = "cleaning"
    how: str | None = f.choice(*CLEANED)
    agent: str | None = f.text(f.NAME_LIMIT)
    result: str | None = f.choice("pass", "fail")


@dataclass(frozen=True, slots=True)
class Addition(Body):
    """A material that went into the wine; what it did is fixed here when it is recorded.

    `so2_mg` [mg SO2], `sorbate_g` [g potassium sorbate] and `sugar_g` [g fermentable sugar] are the active amounts;
    `litres` is the volume it brought with it.
    """

    kind: ClassVar[str] = "addition"
    material: str | None = f.text(f.NAME_LIMIT)
    amount: float | None = f.number("", 0, 1_000_000)
    dose: float | None = f.number("mg/L", 0, 1_000_000)
    strength: float | None = f.number("", 0, 2000)
    purpose: str | None = f.text(200)
    lot: str | None = f.text(f.NAME_LIMIT)
    so2_mg: float = 0.0
    sorbate_g: float = 0.0
    sugar_g: float = 0.0
    litres: float = 0.0


@dataclass(frozen=True, slots=True)
class Racking(Body):
    """The wine drawn off its sediment: into the same vessel, or into an empty one; what is not left is loss."""

    kind: ClassVar[str] = "racking"
    to: int | None = f.vessel()
    volume: float | None = f.number("L", 0, VOLUME_MOST)
    cold: bool | None = f.yes_no()


@dataclass(frozen=True, slots=True)
class Press(Body):
    """The young wine parted from skins or pulp; `volume` is what came off.

    Free run into another vessel leaves the rest on the skins, so that a second press follows; whatever else is
    pressed leaves pomace, and the rest is gone.
    """

    kind: ClassVar[str] = "press"
    to: int | None = f.vessel()
    volume: float | None = f.number("L", 0, VOLUME_MOST)
    fraction: str | None = f.choice("free_run", "press")


@dataclass(frozen=True, slots=True)
class Topping(Body):
    """The vessel filled up with wine from another vessel of the cellar or from outside it."""

    kind: ClassVar[str] = "topping"
    source: int | None = f.vessel()
    outside: bool | None = f.yes_no()
    wine: str | None = f.text(f.NAME_LIMIT)
    volume: float | None = f.number("L", 0, VOLUME_MOST)
    sugar: float | None = f.number("g/L", 0, 500)
    alcohol: float | None = f.number("% vol", 0, 25)


@dataclass(frozen=True, slots=True)
class Split(Body):
    """Part of the wine moved to an empty vessel, as the same wine or under a name of its own."""

    kind: ClassVar[str] = "split"
    to: int | None = f.vessel()
    volume: float | None = f.number("L", 0, VOLUME_MOST)
    name: str | None = f.text(f.NAME_LIMIT)
    style: str | None = f.choice(*STYLES)


@dataclass(frozen=True, slots=True)
class Blend(Body):
    """Wine of another vessel joined with this one; the result is a filling with several parents."""

    kind: ClassVar[str] = "blend"
    source: int | None = f.vessel()
    volume: float | None = f.number("L", 0, VOLUME_MOST)
    to: int | None = f.vessel()
    name: str | None = f.text(f.NAME_LIMIT)
    style: str | None = f.choice(*STYLES)


@dataclass(frozen=True, slots=True)
class Filter(Body):
    """The wine passed through a filter of the stated pore."""

    kind: ClassVar[str] = "filter"
    pore: float | None = f.number("um", 0.01, 500)
    sterile: bool | None = f.yes_no()


@dataclass(frozen=True, slots=True)
class Loss(Body):
    """Wine that is gone: spilt, drunk, drawn as sample, evaporated."""

    kind: ClassVar[str] = "loss"
    volume: float | None = f.number("L", 0, VOLUME_MOST)
    reason: str | None = f.text(200)


@dataclass(frozen=True, slots=True)
class Gas(Body):
    """The headspace covered with an inert gas."""

    kind: ClassVar[str] = "gas"


@dataclass(frozen=True, slots=True)
class Chill(Body):
    """A cold hold started or ended; `temperature` is the wine's own at that moment."""

    kind: ClassVar[str] = "chill"
    start: bool | None = f.yes_no()
    end: bool | None = f.yes_no()
    temperature: float | None = f.number("C", -10, 45)
    place: str | None = f.choice("fridge", "chiller", "cellar")


@dataclass(frozen=True, slots=True)
class Check(Body):
    """Something looked at, smelled, tasted or tested, with its result.

    Of the cap it says how often it was wetted that day, of bottles how many were opened for it.
    """

    kind: ClassVar[str] = "check"
    test: str | None = f.choice(*TESTS)
    result: str | None = f.choice("pass", "fail", "faint")
    fault: str | None = f.choice(*FAULTS)
    opened: float | None = f.number("", 0, 1000)
    punch_downs: float | None = f.number("", 0, 24)
    pump_overs: float | None = f.number("", 0, 24)


@dataclass(frozen=True, slots=True)
class Trial(Body):
    """A bench trial in glasses: what was tried at which doses, what each glass showed, and the dose chosen.

    Doses are counted in `unit`, in g/hL where it names none. Those of a sweetness are the sugar of the sweetened wine
    [g/L], and the one chosen is what is wanted of it from then on; those of copper are copper [mg/L].
    """

    kind: ClassVar[str] = "trial"
    material: str | None = f.text(f.NAME_LIMIT)
    doses: tuple[float, ...] | None = f.numbers("", 0, 100_000)
    chosen: float | None = f.number("", 0, 100_000)
    results: str | None = f.text()
    unit: str | None = f.choice("g/hL", "g/L", "mg/L")


@dataclass(frozen=True, slots=True)
class Intent(Body):
    """What the winemaker wants of this wine from that day on."""

    kind: ClassVar[str] = "intent"
    style: str | None = f.choice(*STYLES)
    finish_sg: float | None = f.number("SG", 0.97, 1.2)
    sweetness: float | None = f.number("g/L", 0, 500)
    malolactic: str | None = f.choice(*MALOLACTIC)
    served_cold: bool | None = f.yes_no()
    crystals_accepted: bool | None = f.yes_no()
    on_lees: bool | None = f.yes_no()
    sterile_filtration: bool | None = f.yes_no()
    molecular_so2: float | None = f.number("mg/L", 0, 2)
    minimum_age: float | None = f.number("months", 0, 600)
    bottling: date | None = f.day()


@dataclass(frozen=True, slots=True)
class Decide(Body):
    """A decision that a rule asked for, with its reason."""

    kind: ClassVar[str] = "decide"
    about: str | None = f.choice(*DECISIONS)
    choice: str | None = f.choice(*dict.fromkeys(word for words in DECISIONS.values() for word in words))
    reason: str | None = f.text()


@dataclass(frozen=True, slots=True)
class Waive(Body):
    """One kind of stability settled by the winemaker's word, until something undoes it."""

    kind: ClassVar[str] = "waive"
    stability: str | None = f.choice(*STABILITIES)
    reason: str | None = f.text()


@dataclass(frozen=True, slots=True)
class Postpone(Body):
    """A due action put off: it is shown again on `until`; its due date does not move."""

    kind: ClassVar[str] = "postpone"
    action: str | None = f.text(f.NAME_LIMIT)
    until: date | None = f.day()
    reason: str | None = f.text()


@dataclass(frozen=True, slots=True)
class Skip(Body):
    """A due action looked at and found not needed this time, or until a day."""

    kind: ClassVar[str] = "skip"
    action: str | None = f.text(f.NAME_LIMIT)
    until: date | None = f.day()
    reason: str | None = f.text()


@dataclass(frozen=True, slots=True)
class Bottle(Body):
    """The wine put into bottles: the vessel is emptied but for `left`, and a store of bottles opens.

    `store` is the name of the store, fixed when the bottling is recorded; `into` is the number of the store of a lot
    that is being bottled, which it goes on filling, None where it opens one; `lot` is
    the number on the bottles.
    """

    kind: ClassVar[str] = "bottle"
    count: float | None = f.number("", 0, 1_000_000)
    size: float | None = f.number("mL", 50, 20_000)
    filter: str | None = f.text(20)
    left: float | None = f.number("L", 0, VOLUME_MOST)
    lot: str | None = f.text(f.NAME_LIMIT)
    store: str | None = None
    into: int | None = None


@dataclass(frozen=True, slots=True)
class Bottles(Body):
    """Bottles of a store that were drunk, given, sold or broken, came back, or are kept back for the checks."""

    kind: ClassVar[str] = "bottles"
    count: float | None = f.number("", 1, 1_000_000)
    how: str | None = f.choice("drunk", "given", "sold", "broken", "returned", "kept")
    size: float | None = f.number("mL", 50, 20_000)
    whom: str | None = f.text(f.NAME_LIMIT)


@dataclass(frozen=True, slots=True)
class Harvest(Body):
    """An intake of grapes or fruit that went into the must of this vessel; a wine may be made of several.

    `volume` is must that it adds to the vessel; without one its must is in the volume already.
    """

    kind: ClassVar[str] = "harvest"
    parcel: str | None = f.text(f.NAME_LIMIT)
    variety: str | None = f.text(f.NAME_LIMIT)
    kg: float | None = f.number("kg", 0, 10_000_000)
    boxes: float | None = f.number("", 0, 1_000_000)
    sg: float | None = f.number("SG", 0.97, 1.2)
    brix: float | None = f.number("Brix", 0, 45)
    ph: float | None = f.number("pH", 2.2, 4.8)
    ta: float | None = f.number("g/L", 0, 30)
    yan: float | None = f.number("mg/L", 0, 2000)
    state: str | None = f.choice("sound", "mixed", "rot", "dried")
    volume: float | None = f.number("L", 0, VOLUME_MOST)


@dataclass(frozen=True, slots=True)
class Note(Body):
    """A remark for the next person; it changes nothing in the plan."""

    kind: ClassVar[str] = "note"
    text: str | None = f.text()
