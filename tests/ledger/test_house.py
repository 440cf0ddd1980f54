"""House rules and what is on hand: each default lies in its range, says what it decides and where it is from."""

from __future__ import annotations

from datetime import date

import pytest

from cellar_tui.ledger.cellar import house_of
from cellar_tui.ledger.cellar_kinds import HouseRule, MaterialOnHand
from cellar_tui.ledger.house import SETTINGS, House, Setting, Stock, by_topic, setting_fault
from cellar_tui.ledger.standing import standing_entries
from tests.ledger.lines import Lines


@pytest.mark.parametrize("setting", SETTINGS.values(), ids=lambda one: one.name)
def test_a_default_is_one_of_its_own_values(setting: Setting) -> None:
    assert setting_fault(setting.name, str(setting.default)) is None
    assert setting.about
    assert setting.source


@pytest.mark.parametrize("setting", [one for one in SETTINGS.values() if not one.words], ids=lambda one: one.name)
def test_a_number_out_of_its_range_is_refused(setting: Setting) -> None:
    assert setting.low < setting.high
    for value in (setting.low - 1, setting.high + 1):
        assert "between" in (setting_fault(setting.name, str(value)) or "")
    assert setting_fault(setting.name, "some") is not None
    assert setting_fault(setting.name, "nan") is not None


def house(lines: Lines) -> House:
    return house_of(standing_entries(lines.entries))


def test_the_newest_value_of_a_house_rule_governs_whatever_its_day() -> None:
    lines = Lines(23)
    lines.write("2026-10-01", HouseRule("steady_days", "4"), None)
    newest = lines.write("2026-09-01", HouseRule("steady_days", "5"), None)
    assert house(lines).days("steady_days") == 5
    assert house(lines).source("steady_days") == (newest,)


def test_a_house_rule_withdrawn_falls_back_to_the_one_before_and_then_to_its_default() -> None:
    lines = Lines(23)
    first = lines.write("2026-09-01", HouseRule("steady_days", "4"), None)
    second = lines.write("2026-09-01", HouseRule("steady_days", "5"), None)
    lines.void(second)
    assert house(lines).days("steady_days") == 4
    lines.void(first)
    assert house(lines).days("steady_days") == SETTINGS["steady_days"].default
    assert house(lines).source("steady_days") == ()


def test_a_house_rule_without_a_value_stands_at_its_default_again() -> None:
    lines = Lines(23)
    lines.write("2026-09-01", HouseRule("steady_days", "4"), None)
    back = lines.write("2026-09-01", HouseRule("steady_days"), None)
    assert house(lines).days("steady_days") == SETTINGS["steady_days"].default
    assert house(lines).source("steady_days") == ()
    lines.void(back)
    assert house(lines).days("steady_days") == 4


def test_every_house_rule_stands_under_one_topic() -> None:
    topics = by_topic()
    assert [one.name for found in topics.values() for one in found] == list(SETTINGS)
    assert "" not in topics
    assert [one.name for one in topics["Ferment"]][:2] == ["gravity_days", "gravity_days_hot"]
    assert all(len(found) < 30 for found in topics.values())


def test_a_word_is_kept_as_a_word() -> None:
    lines = Lines(23)
    lines.write("2026-09-01", HouseRule("units", "us"), None)
    assert house(lines).word("units") == "us"
    assert House().word("units") == "metric"


def test_the_newest_bag_on_the_shelf_is_the_one_in_use() -> None:
    lines = Lines(23)
    lines.write("2026-09-01", MaterialOnHand("potassium_metabisulfite", 0.9, date(2025, 9, 1)), None)
    newest = lines.write("2026-09-02", MaterialOnHand("potassium_metabisulfite", 0.95), None)
    assert house(lines).stock == {"potassium_metabisulfite": Stock(0.95, None, None, newest)}
