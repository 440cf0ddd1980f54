"""Days and hours as they are typed, and as they are said back."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cellar_tui.language.days import When, WhenError, echo, parse_date, parse_when

TODAY = date(2026, 11, 26)
NEW_YEAR = date(2026, 1, 1)


@pytest.mark.parametrize(
    ("text", "when"),
    [
        ("2026-11-26", When(TODAY)),
        ("  2026-11-26 ", When(TODAY)),
        ("2024-02-29", When(date(2024, 2, 29))),
        ("2026-11-26T00:00", When(TODAY, 0)),
        ("2026-11-26T14:30", When(TODAY, 870)),
        ("2026-11-26t23:59", When(TODAY, 1439)),
        ("2026-11-26 14:30", When(TODAY, 870)),
        ("today", When(TODAY)),
        ("Today", When(TODAY)),
        ("today 07:05", When(TODAY, 425)),
        ("yesterday", When(date(2026, 11, 25))),
        ("yesterdayT18:00", When(date(2026, 11, 25), 1080)),
        ("tomorrow", When(date(2026, 11, 27))),
        ("-3d", When(date(2026, 11, 23))),
        ("\u22123d", When(date(2026, 11, 23))),
        ("+3d", When(date(2026, 11, 29))),
        ("+0d", When(TODAY)),
        ("-26d", When(date(2026, 10, 31))),
    ],
)
def test_a_day_is_understood_as_it_is_written(text: str, when: When) -> None:
    assert parse_when(text, TODAY) == when


def test_words_count_from_the_day_that_is_handed_in() -> None:
    assert parse_date("yesterday", NEW_YEAR) == date(2025, 12, 31)
    assert parse_date("-1d", NEW_YEAR) == date(2025, 12, 31)


FORMS = "Type a day as YYYY-MM-DD, today, yesterday, tomorrow, -3d or +3d"
WITH_HOUR = f"{FORMS}, or with the hour behind it: THH:MM."
WITHOUT_HOUR = f"{FORMS}, without an hour."
HOUR = "Type the hour as HH:MM between 00:00 and 23:59."
OFFSET = "Leave out the offset: the zone is a house rule, so type the cellar's own time as HH:MM."


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("", WITH_HOUR),
        ("12", WITH_HOUR),
        ("2026", WITH_HOUR),
        ("1.09", WITH_HOUR),
        ("10h", WITH_HOUR),
        ("monday", WITH_HOUR),
        ("11/12/2026", WITH_HOUR),
        ("26.11.2026", WITH_HOUR),
        ("26-11-2026", WITH_HOUR),
        ("2026-1-2", WITH_HOUR),
        ("20261126", WITH_HOUR),
        ("2026-W01-1", WITH_HOUR),
        ("2026-11", WITH_HOUR),
        ("２０２６-11-26", WITH_HOUR),
        ("2026-11-26T", WITH_HOUR),
        ("2026-11-26T14", WITH_HOUR),
        ("99999999999999999999", WITH_HOUR),
        ("-3", WITH_HOUR),
        ("3d", WITH_HOUR),
        ("-3 d", WITH_HOUR),
        ("-999999d", WITH_HOUR),
        ("-99999999d", WITH_HOUR),
        ("now", WITH_HOUR),
        ("today\x1b[2J", WITH_HOUR),
        ("2026-11-26T24:00", HOUR),
        ("2026-11-26T12:60", HOUR),
        ("2026-11-26T12:30:15", HOUR),
        ("2026-11-26 12:30 pm", HOUR),
        ("2026-11-26T12:30Z", OFFSET),
        ("2026-11-26T12:30+01:00", OFFSET),
        ("2026-11-26T12:30 +0100", OFFSET),
        ("2026-11-26T12:30-05", OFFSET),
        ("2026-11-26 12:30 UTC", OFFSET),
        ("2026-02-30", "There is no day 2026-02-30 in the calendar; check month and day."),
        ("2026-13-01", "There is no day 2026-13-01 in the calendar; check month and day."),
        ("2025-02-29T10:00", "There is no day 2025-02-29 in the calendar; check month and day."),
        ("0206-11-26", "Type a year between 1900 and 2199."),
        ("2206-11-26", "Type a year between 1900 and 2199."),
    ],
)
def test_what_is_no_day_is_refused_with_the_forms_that_are(text: str, sentence: str) -> None:
    with pytest.raises(WhenError) as caught:
        parse_when(text, TODAY)
    assert str(caught.value) == sentence


@pytest.mark.parametrize("text", ["2026-11-26T14:30", "2026-11-26 14:30", "today 07:05", "noon"])
def test_a_day_without_hours_takes_no_hour(text: str) -> None:
    with pytest.raises(WhenError) as caught:
        parse_date(text, TODAY)
    assert str(caught.value) == WITHOUT_HOUR


def test_a_day_is_said_back_with_its_weekday() -> None:
    assert echo(parse_date("2026-11-26", TODAY)) == "Thu 26 Nov 2026"
    assert echo(parse_when("2026-02-01", TODAY)) == "Sun 1 Feb 2026"
    assert echo(parse_when("2026-11-26T07:05", TODAY)) == "Thu 26 Nov 2026 07:05"


@given(st.dates(min_value=date(1900, 1, 1), max_value=date(2199, 12, 31)), st.none() | st.integers(0, 1439))
def test_every_day_and_minute_is_read_back_as_written(day: date, minute: int | None) -> None:
    hour = "" if minute is None else f"T{minute // 60:02d}:{minute % 60:02d}"
    assert parse_when(f"{day.isoformat()}{hour}", TODAY) == When(day, minute)
    assert echo(day) == f"{day:%a} {day.day} {day:%b %Y}"


@given(st.integers(-2000, 2000))
def test_days_away_are_calendar_days(days: int) -> None:
    assert parse_date(f"{days:+d}d", TODAY) == TODAY + timedelta(days=days)


@given(st.text(max_size=40))
def test_any_text_is_a_day_or_one_sentence(text: str) -> None:
    try:
        when = parse_when(text, TODAY)
    except WhenError as fault:
        assert str(fault).endswith(".")
        assert str(fault).isprintable()
    else:
        assert when.minute is None or 0 <= when.minute < 1440
