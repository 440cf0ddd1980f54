"""A form opens as the wine asks for it: readings of its stage, the cold hold that runs, the wine it was topped with."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from cellar_tui.entry_form import presets
from cellar_tui.entry_form.entry_form import EntryForm, Opening
from cellar_tui.entry_form.typed_line import Press
from cellar_tui.service.open import OpenCellar
from tests.tui.demo import demo


@pytest.fixture(scope="module")
def service() -> Iterator[OpenCellar]:
    """The demo cellar: Tub 1 ferments, Barrel 2 ages, Steel 2 is in its cold hold, Steel 3 had its own in October."""
    with demo() as found:
        yield found


def opened(service: OpenCellar, vessel: str, kind: str) -> tuple[str, Opening]:
    due = [one for one in service.view.tasks() if one.vessel == vessel]
    return presets.opening(service, vessel, kind, due)


def form(service: OpenCellar, vessel: str, kind: str) -> EntryForm:
    found, opening = opened(service, vessel, kind)
    return EntryForm(service, vessel, found, opening)


def press(entry: EntryForm, *keys: str) -> None:
    for key in keys:
        entry.press(Press(key, key if len(key) == 1 else ""))


@pytest.mark.parametrize(
    ("vessel", "first"),
    [
        ("Tub 1", ("sg", "temperature", "yan")),
        ("Barrel 2", ("free_so2", "ph", "total_so2")),
        ("Steel 2", ("temperature",)),
    ],
    ids=["a must", "ageing", "in the cold"],
)
def test_a_reading_asks_in_the_order_of_the_stage(service: OpenCellar, vessel: str, first: tuple[str, ...]) -> None:
    _, opening = opened(service, vessel, "reading")
    assert opening.names is not None
    assert opening.names[: len(first)] == first
    assert len(opening.names) <= 7


def test_the_other_readings_stand_behind_one_key_and_what_is_typed_stays(service: OpenCellar) -> None:
    entry = form(service, "Barrel 2", "reading")
    press(entry, "2", "5")
    assert "Ctrl+O" in entry.title
    press(entry, "ctrl+o")
    names = [one.name for one in entry.fields]
    assert {"malic", "ta", "alcohol", "sg", "turbidity"} <= set(names)
    assert names[-1] == "at"
    assert entry.texts()["free_so2"] == "25"
    assert "Ctrl+O" not in entry.title


@pytest.mark.parametrize(
    ("vessel", "kind", "fixed", "words"),
    [
        ("Steel 2", "reading", {}, "[measure]  end"),
        ("Steel 3", "chill", {"start": "yes"}, "[begin]"),
    ],
    ids=["a hold runs", "none runs"],
)
def test_a_cold_hold_is_preset_by_the_state_of_the_wine(
    service: OpenCellar, vessel: str, kind: str, fixed: dict[str, str], words: str
) -> None:
    found, opening = opened(service, vessel, "chill")
    assert (found, dict(opening.fixed)) == (kind, fixed)
    entry = EntryForm(service, vessel, found, opening)
    assert words in entry.title


def test_measure_turns_to_end_by_one_key_and_takes_the_temperature_along(service: OpenCellar) -> None:
    entry = form(service, "Steel 2", "chill")
    press(entry, *"3.4", "ctrl+o")
    assert (entry.work.kind, entry.work.fixed) == ("chill", {"end": "yes"})
    assert entry.texts()["temperature"] == "3.4"
    press(entry, "ctrl+o")
    assert (entry.work.kind, entry.work.fixed) == ("reading", {})
    assert entry.texts()["temperature"] == "3.4"
    entry.press(Press("escape"))


def test_a_running_hold_shows_what_is_served_and_when_it_ends(service: OpenCellar) -> None:
    entry = form(service, "Steel 2", "chill")
    said = "\n".join(text for text, _ in entry.work.told({}, 60, stale=False, careful=False, brief=True))
    assert "Credited █" in said
    assert "ends 2 Dec 2026" in " ".join(said.split())
    none = form(service, "Steel 3", "chill")
    told = " ".join(text for text, _ in none.work.told({}, 60, stale=False, careful=False, brief=True))
    # Common practice as the chemistry has it: 5 d at -2.8 C; 5 x 6^(2.8 / 7.2) = 10 d; 5 x 6^(6.8 / 7.2) = 27 d.
    assert "5 d at -2.8 C, 10 d at 0 C, 27 d at 4 C" in told


def test_ph_and_free_so2_of_the_next_due_wine_take_nine_keys(service: OpenCellar) -> None:
    keys = ["r", *"25", "tab", *"3.46", "enter"]
    entry = form(service, "Barrel 2", "reading")
    press(entry, *keys[1:-1])
    assert (entry.texts()["free_so2"], entry.texts()["ph"]) == ("25", "3.46")
    assert len(keys) <= 9
    entry.press(Press("escape"))


def test_a_topping_with_the_wine_of_the_last_one_takes_at_most_eight_keys(service: OpenCellar) -> None:
    keys = ["t", *"0.4", "enter"]
    entry = form(service, "Barrel 1", "topping")
    assert entry.texts()["with"]
    assert entry.field.name == "volume"
    press(entry, *keys[1:-1])
    assert entry.texts()["volume"] == "0.4"
    entry.settle()
    assert entry.work.answer is not None
    assert len(keys) <= 8
    entry.press(Press("escape"))
