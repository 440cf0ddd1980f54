"""Readings and checks of one filling as evidence, in time order."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import date
from functools import partial

from cellar_tui.ledger import kinds as k
from cellar_tui.ledger import trial_doses
from cellar_tui.ledger.contents import Contents, Event
from cellar_tui.ledger.house import House
from cellar_tui.ledger.materials import material
from cellar_tui.ledger.styles import Intents, style_intents


@dataclass(frozen=True, slots=True)
class Evidence:
    """One value or result with the entries it rests on.

    Attributes:
        value: the reading in its canonical unit; 1, 0 or 0.5 for pass, fail and faint.
        on, minute: when.
        entries: the entries it was read from.
        index: place of the last of them in the log of the filling.
        method: how it was read, where stated.
        by: whose it is.
    """

    value: float
    on: date
    minute: int | None
    entries: tuple[int, ...]
    index: int
    method: str | None = None
    by: str = ""

    @property
    def entry(self) -> int:
        """The entry that completed it."""
        return self.entries[-1]


def readings(contents: Contents, name: str, after: int = -1) -> list[Evidence]:
    """Return the readings of one value later than index `after` of the log, oldest first."""
    return contents.made_of(("read", name), contents.places.readings(name), partial(_read, name), after)


def _read(name: str, index: int, event: Event) -> Evidence:
    method = event.body.method if isinstance(event.body, k.Reading) else None
    return Evidence(event.values[name], event.on, event.minute, (event.entry,), index, method, event.by)


def last_reading(contents: Contents, name: str) -> Evidence | None:
    """Return the newest reading of one value, None where it was never read."""
    places = contents.among(contents.places.readings(name))
    return _read(name, places[-1], contents.log[places[-1]]) if places else None


def free_readings(contents: Contents, house: House, after: int = -1) -> list[Evidence]:
    """Return the free SO2 readings that a dose or verdict may rest on [mg/L].

    One strip over the house rule (20 mg/L) is left out; the mean of two strips of one day counts.
    """
    most = house.number("strip_most")
    found: list[Evidence] = []
    strips: list[Evidence] = []
    for reading in readings(contents, "free_so2", after):
        twice = "second_strip" in contents.log[reading.index].values
        if reading.method != "strip" or reading.value <= most or twice:
            found.append(reading)
            continue
        strips = [*(strip for strip in strips if strip.on == reading.on), reading]
        if len(strips) > 1:
            entries = tuple(entry for one in strips for entry in one.entries)
            found.append(replace(reading, value=sum(strip.value for strip in strips) / len(strips), entries=entries))
    return found


def checks(contents: Contents, *tests: str, after: int = -1) -> list[tuple[Evidence, k.Check]]:
    """Return the checks of these tests later than index `after`, oldest first, as evidence with what was noted."""
    wanted = contents.places.where(
        ("checks", tests), lambda event: (body := _looked(event.body)) is not None and body.test in tests
    )
    return contents.made_of(("checked", tests), wanted, _checked, after)


_MARKS = {"pass": 1.0, "faint": 0.5, "fail": 0.0}


def _checked(index: int, event: Event) -> tuple[Evidence, k.Check]:
    body = _looked(event.body)
    assert body is not None
    return Evidence(_MARKS[body.result or "fail"], event.on, event.minute, (event.entry,), index, None, event.by), body


def _looked(body: k.Body) -> k.Check | None:
    """Return what an entry says as a check: a tasting note is one of the smell, and passes where it names no fault."""
    if isinstance(body, k.Check):
        return body
    if not isinstance(body, k.Tasting) or not body.smelled:
        return None
    known = next((one for one in body.faults or () if one in k.FAULTS), None)
    return k.Check("smell", "fail" if body.faults else "pass", known)


def additions(contents: Contents, wanted: Callable[[str], bool], after: int = -1) -> Iterator[tuple[int, Event, str]]:
    """Yield index, event and material of the additions whose material is wanted, later than index `after`."""
    places = [
        place
        for name, own in contents.places.materials().items()
        if wanted(name)
        for place in contents.among(own, after)
    ]
    for place in sorted(places):
        event = contents.log[place]
        if isinstance(event.body, k.Addition) and event.body.material:
            yield place, event, event.body.material


OF_ITS_OWN = ("juice", "concentrate")
"""What brings acid and nitrogen of its own, as a must does; common practice."""


def thinned(contents: Contents, after: int) -> float:
    """Return the share (0 to 1) that is left of acid or nitrogen read at that place of the log.

    Water, sugar, syrup, honey and spirit bring volume and neither of them.
    """
    share = 1.0
    for _, event, name in additions(contents, lambda name: name not in OF_ITS_OWN, after):
        if material(name).litres > 0 and event.after.volume > 0:
            share *= min(1.0, event.before.volume / event.after.volume)
    return share


def decisions(contents: Contents, about: str, *choices: str, after: int = -1) -> list[tuple[int, Event]]:
    """Return index and event of the decisions about one thing that chose one of `choices`."""
    wanted = contents.places.where(
        ("decided", about, choices),
        lambda event: isinstance(event.body, k.Decide) and event.body.about == about and event.body.choice in choices,
    )
    return list(contents.at(wanted, after))


_INTENT_FIELDS = (
    "finish_sg",
    "sweetness",
    "malolactic",
    "served_cold",
    "crystals_accepted",
    "on_lees",
    "sterile_filtration",
    "molecular_so2",
    "minimum_age",
    "bottling",
)


def intents(contents: Contents) -> Intents:
    """Return what is wanted of the wine after everything in its log."""
    wanted = contents.base
    for _, event in contents.at(contents.places.of(k.Split, k.Blend, k.Intent, k.Decide, k.Trial)):
        body = event.body
        if isinstance(body, k.Split | k.Blend) and body.style and event.entry == contents.filling:
            wanted = replace(style_intents(body.style), bottling=wanted.bottling)
        elif isinstance(body, k.Intent):
            if body.style:
                wanted = replace(style_intents(body.style), bottling=wanted.bottling)
            changes = {name: value for name in _INTENT_FIELDS if (value := getattr(body, name)) is not None}
            wanted = replace(wanted, **changes)
        elif (chosen := trial_doses.sweetness(body)) is not None:
            wanted = replace(wanted, sweetness=chosen)
        elif isinstance(body, k.Decide) and body.choice == "give_up":
            wanted = replace(wanted, malolactic="prevented")
        elif isinstance(body, k.Decide) and body.choice == "let_finish":
            wanted = replace(wanted, malolactic="encouraged")
    return wanted
