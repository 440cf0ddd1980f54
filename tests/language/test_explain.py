"""The reason for a date or dose is told short, and on request whole: inputs, days, entries, formula, source."""

from __future__ import annotations

from datetime import date

from cellar_tui.language import explain
from cellar_tui.planning.plan import Because, Fact

READ = date(2026, 11, 12)
BECAUSE = Because(
    "sulfite",
    "free SO2 is under its target",
    (
        Fact("free SO2", 18.0, "mg/L", (31,), READ),
        Fact("pH", 3.31, "pH", (31, 33), READ),
        Fact("last racking", "2026-11-02", "", (30,), date(2026, 11, 2)),
        Fact("volume", 22.7, "L", (12,)),
        Fact("house rule so2_margin", 5.0, "mg/L"),
    ),
    "g = volume x rise / 576",
    "a handbook (seen)",
)


def test_the_short_form_gives_the_reason_and_its_first_inputs_with_their_days() -> None:
    assert explain.because(BECAUSE) == (
        "Free SO2 is under its target: free SO2 18 mg/L on 12 Nov 2026, pH 3.31 on 12 Nov 2026, "
        "last racking 2 Nov 2026."
    )


def test_of_a_run_of_readings_the_newest_are_named_first() -> None:
    reads = [
        Fact("free SO2", value, "mg/L", (30 + day,), date(2026, 11, day))
        for day, value in enumerate((40, 39, 38, 37), 1)
    ]
    because = Because("bacteria", "on target for long enough", (*reads, Fact("house rule bacteria_days", 30.0, "d")))
    assert explain.because(because) == (
        "On target for long enough: free SO2 37 mg/L on 4 Nov 2026, free SO2 38 mg/L on 3 Nov 2026, "
        "free SO2 39 mg/L on 2 Nov 2026."
    )
    assert next(line for line in explain.lines(because) if "entry" in line).endswith("(entry 34)")
    assert because.entries == (34, 33, 32, 31)


def test_a_reason_without_inputs_is_a_sentence() -> None:
    assert explain.because(Because("gas", "gas does not last")) == "Gas does not last."


def test_house_rules_left_at_their_default_stand_in_the_working_only() -> None:
    only = Because("gas", "gas does not last", (Fact("house rule gas_days", 30.0, "d"),))
    assert explain.because(only) == "Gas does not last."
    assert "  house rule gas days 30 d (default)" in explain.lines(only)


def test_the_working_names_every_input_with_the_entries_it_rests_on() -> None:
    assert explain.lines(BECAUSE) == [
        "Free SO2 is under its target.",
        "How: g = volume x rise / 576.",
        "  free SO2 18 mg/L on 12 Nov 2026 (entry 31)",
        "  pH 3.31 on 12 Nov 2026 (entry 33, 31)",
        "  last racking 2 Nov 2026 (entry 30)",
        "  volume 22.7 L (entry 12)",
        "  house rule SO2 margin 5.0 mg/L (default)",
        "Changed by: another free SO2, pH, last racking, volume; the house rule SO2 margin.",
        "Source: a handbook (seen).",
    ]


def test_a_changed_house_rule_names_the_entry_that_set_it() -> None:
    changed = Because("gas", "gas does not last", (Fact("house rule gas_days", 20.0, "d", (9,)),))
    assert "  house rule gas days 20 d (entry 9)" in explain.lines(changed)
    assert explain.because(changed) == "Gas does not last. House rule gas days 20 d (entry 9)."


def test_inputs_are_told_in_the_units_of_the_house() -> None:
    assert "  volume 6 gal (entry 12)" in explain.lines(BECAUSE, units="us")


def test_words_and_unknown_units_are_left_as_they_are() -> None:
    assert explain.figure("steady", "") == "steady"
    assert explain.figure(0.35, "/d") == "0.35 /d"
