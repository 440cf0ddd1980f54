"""A chart of one reading over time: nothing left out, nothing drawn that nobody knows, scales that can be read."""

from __future__ import annotations

import itertools
from datetime import date, timedelta

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from cellar_tui.tui import terminal
from cellar_tui.tui.widgets.chart import Deed, Part, Series, draw
from cellar_tui.tui.widgets.chart_marks import BLOCKS, BRAILLE, MARKS, PLAIN, Marks, next_marks
from cellar_tui.tui.widgets.chart_scale import levels, ticks

TODAY = date(2026, 11, 26)
WIDTH, HEIGHT = 70, 16

values = st.floats(0, 300, allow_nan=False)
histories = st.lists(st.tuples(st.integers(0, 400), values), min_size=1, max_size=60)
acts = st.lists(st.tuples(st.integers(0, 400), st.sampled_from("strp"), st.none() | st.integers(0, 60)), max_size=20)


def ago(days: int) -> date:
    return TODAY - timedelta(days=days)


def free(*read: tuple[int, float], deeds: tuple[Deed, ...] = (), target: float | None = None, back: int = 0) -> Series:
    """Free SO2 [mg/L] read so many days ago, on an axis from `back` days ago (from the first reading) to today."""
    points = sorted((ago(day), value) for day, value in read)
    window = (ago(back), TODAY) if back else None
    return Series("free SO2 mg/L", 0, points, TODAY, target, deeds=deeds, window=window)


def sulfite(days: int, follows: int = 1) -> Deed:
    """A sulfite so many days ago, after so many of the readings."""
    return Deed(ago(days), "s", "sulfite", follows)


def text(lines: list[list[Part]]) -> list[str]:
    return ["".join(part for part, _ in line) for line in lines]


def field(series: Series, marks: Marks = BLOCKS) -> list[list[Part]]:
    """The cells of the drawing, row by row, without the scale at the side."""
    rows = [line for line in draw(series, WIDTH, HEIGHT, marks) if line[0][0][-1:] in (marks.up, marks.tick_up)]
    return [[part for part in line[1:] if len(part[0]) == 1] for line in rows]


def line_cells(series: Series, tone: str) -> set[int]:
    """The columns in which the line is drawn in this tone."""
    glyphs = {BLOCKS.glyph(points) for points in range(1, 16)}
    rows = field(series)
    return {x for row in rows for x, (mark, found) in enumerate(row) if mark in glyphs and found == tone}


def reading_cells(series: Series) -> set[int]:
    return {x for row in field(series) for x, (mark, _) in enumerate(row) if mark == BLOCKS.reading}


# -- what is drawn


@given(histories, acts, st.none() | values, st.integers(20, 120), st.integers(4, 30), st.sampled_from([*MARKS]))
def test_a_chart_keeps_to_its_room(
    found: list[tuple[int, float]],
    done: list[tuple[int, str, int | None]],
    target: float | None,
    width: int,
    height: int,
    marks: str,
) -> None:
    deeds = tuple(Deed(ago(day), mark, mark, follows) for day, mark, follows in done)
    drawn = text(draw(free(*found, deeds=deeds, target=target), width, height, MARKS[marks]))
    assert len(drawn) <= max(height, 7)
    assert all(len(one) <= max(width, 22) for one in drawn)
    assert any(MARKS[marks].reading in one for one in drawn)


@given(histories)
def test_no_reading_is_left_out_because_they_crowd(found: list[tuple[int, float]]) -> None:
    days = {day for day, _ in found}
    columns = reading_cells(free(*found))
    assert len(columns) <= len(days)
    first, last = max(days), min(days)
    # A column holds the days that share it: two readings further apart than that have two.
    days_to_a_column = max(first, 1) / (WIDTH - 12)
    apart = [day for day in sorted(days) if day == last or day - last > 2 * days_to_a_column]
    assert len(columns) >= min(len(apart), 2)


def test_two_hundred_readings_fill_the_axis_from_the_first_to_the_last() -> None:
    columns = reading_cells(free(*((600 - 3 * step, 35 - step % 11) for step in range(200))))
    assert columns == set(range(min(columns), max(columns) + 1))
    assert min(columns) == 0


def test_a_higher_reading_is_drawn_higher_and_the_target_between_with_its_number() -> None:
    drawn = text(draw(free((86, 40), (0, 10), target=23), WIDTH, HEIGHT))
    dots = [row for row, one in enumerate(drawn) if BLOCKS.reading in one]
    (target,) = [row for row, one in enumerate(drawn) if BLOCKS.target in one]
    assert dots[0] < target < dots[-1]
    numbers = {row: float(one.split("┤")[0]) for row, one in enumerate(drawn) if "┤" in one}
    assert all(value > 23 for row, value in numbers.items() if row < target)
    assert all(value < 23 for row, value in numbers.items() if row > target)
    assert drawn[target].endswith(" 23")


def test_a_reading_that_was_never_taken_says_so() -> None:
    ((part,),) = draw(Series("malic acid g/L", 2, [], TODAY), 40, 10)
    assert part[0] == "malic acid g/L: not tested yet"


def test_a_time_without_a_reading_says_when_the_last_was() -> None:
    drawn = text(draw(free((200, 30), back=60), WIDTH, HEIGHT))
    assert drawn[-1].strip() == "Not tested in this time, last on 10 May 26."


# -- the line


def test_two_readings_of_a_month_are_joined() -> None:
    series = free((40, 34), (10, 28))
    begin, end = min(reading_cells(series)), max(reading_cells(series))
    assert line_cells(series, "plain") >= set(range(begin + 1, end))


def test_no_line_crosses_a_gap_of_a_year() -> None:
    series = free((420, 30), (400, 27), (20, 33), (5, 31))
    columns = sorted(reading_cells(series))
    wide = max(b - a for a, b in itertools.pairwise(columns))
    (at,) = [a for a, b in itertools.pairwise(columns) if b - a == wide]
    assert wide > WIDTH // 2
    assert not (line_cells(series, "plain") | line_cells(series, "quiet")) & set(range(at + 2, at + wide - 1))


def test_the_line_breaks_at_a_dose_and_only_rises_from_its_day() -> None:
    series = free((90, 24), (10, 34), deeds=(sulfite(20),))
    first, last = min(reading_cells(series)), max(reading_cells(series))
    rise = line_cells(series, "quiet")
    assert line_cells(series, "plain") == set(), "no line leads from before the dose to after it"
    assert min(rise) > first + (last - first) * 3 // 4
    undosed = free((90, 24), (10, 34))
    assert line_cells(undosed, "plain"), "without the dose it does"


def test_a_dose_on_the_day_of_a_reading_breaks_the_line_after_it_not_the_one_that_falls_to_it() -> None:
    series = free((90, 34), (50, 24), (10, 36), deeds=(sulfite(50, follows=2),))
    first, dosed, last = sorted(reading_cells(series))
    assert line_cells(series, "plain") >= set(range(first + 1, dosed))
    assert line_cells(series, "quiet") >= set(range(dosed + 1, last))


def test_the_line_comes_in_from_a_reading_before_the_window() -> None:
    seen = free((80, 34), (20, 28), back=60)
    assert min(line_cells(seen, "plain")) == 0
    assert len(reading_cells(seen)) == 1
    dosed = free((80, 34), (20, 28), deeds=(sulfite(70),), back=60)
    assert not line_cells(dosed, "plain"), "a dose before the window breaks it as one within does"


def test_a_racking_and_a_topping_do_not_break_the_line() -> None:
    series = free((90, 34), (10, 24), deeds=(Deed(ago(50), "r", "racking"), Deed(ago(40), "t", "topping")))
    assert line_cells(series, "plain")
    assert not line_cells(series, "quiet")


# -- what was done


def did(series: Series) -> str:
    (row,) = [one for one in text(draw(series, WIDTH, HEIGHT)) if one.startswith("did ")]
    return row


def test_what_was_done_stands_under_its_day_in_the_order_of_time() -> None:
    series = free((90, 34), (0, 24), deeds=(sulfite(88), Deed(ago(50), "r", "racking"), Deed(ago(10), "t", "topping")))
    assert "".join(did(series).removeprefix("did").split())[1:] == "srt"


def test_of_two_acts_of_a_day_the_first_handed_in_is_shown() -> None:
    series = free((90, 34), (0, 24), deeds=(sulfite(50), Deed(ago(50), "t", "topping")))
    assert "s" in did(series)
    assert "t" not in did(series)


def test_the_letters_are_explained_where_there_is_room() -> None:
    series = free((90, 34), (0, 24), deeds=(sulfite(50), Deed(ago(10), "t", "topping")))
    assert text(draw(series, WIDTH, 16))[-1] == "s sulfite  t topping"
    assert "sulfite" not in "".join(text(draw(series, WIDTH, 8)))


def test_a_chart_of_a_wine_that_was_left_alone_has_no_row_for_it() -> None:
    assert not any(one.startswith("did") for one in text(draw(free((90, 34), (0, 24)), WIDTH, HEIGHT)))


# -- the scales


@given(values, values, st.integers(0, 3), st.integers(3, 40))
@example(0.0, 0.0, 0, 3)
@example(0.9935, 1.1, 3, 6)
def test_the_scale_holds_both_values_in_round_steps(one: float, other: float, digits: int, rows: int) -> None:
    low, high = sorted((one, other))
    found = levels(low, high, digits, rows)
    a_row = (found.high - found.low) / (rows - 1)
    assert found.low - a_row / 2 <= low, "within half a row"
    assert found.high + a_row / 2 >= high
    (row, value), (next_row, next_value), *_ = found.named
    step = next_value - value
    assert f"{step:.0e}"[0] in "125"
    assert step >= 10.0**-digits * 0.999
    assert abs(step - a_row * (next_row - row)) < 1e-6, "each stands exactly at its height"
    assert all(abs(found.low + a_row * at - named) < 1e-6 for at, named in found.named)
    assert all(abs(float(f"{named:.{found.digits}f}") - named) < 1e-6 for _, named in found.named), "can be printed"


@given(st.integers(1, 20_000), st.integers(8, 140))
@example(14, 60)
@example(183, 24)
def test_ticks_stand_on_the_first_of_a_month_or_on_mondays(span: int, width: int) -> None:
    first = ago(span)
    found = ticks(first, TODAY, width)
    assert all(first <= day <= TODAY for day in found)
    assert all(day.day == 1 for day in found) or all(day.weekday() == 0 for day in found)
    apart = {(b - a).days for a, b in itertools.pairwise(found)}
    assert len(apart) <= 1 or all(day.day == 1 for day in found)
    assert len(found) * 8 <= max(width, 8)


def test_half_a_year_is_ticked_by_months_and_a_ferment_by_weeks() -> None:
    assert ticks(date(2026, 5, 26), TODAY, 60) == [date(2026, month, 1) for month in (6, 7, 8, 9, 10, 11)]
    assert ticks(date(2026, 11, 18), date(2026, 12, 2), 60) == [date(2026, 11, 23), date(2026, 11, 30)]


@pytest.mark.parametrize("back", [14, 60, 90, 183, 365, 3000])
@pytest.mark.parametrize("width", [24, 34, 70, 120])
def test_today_is_always_named(back: int, width: int) -> None:
    drawn = text(draw(free((back, 30), (0, 20)), width, HEIGHT))
    assert "today" in drawn[-1]


def test_a_forecast_ends_with_the_window() -> None:
    band = [(TODAY, 24.0, 25.0, 26.0), (ago(-100), 4.0, 10.0, 16.0)]
    series = Series("free SO2 mg/L", 0, [(ago(50), 30.0), (TODAY, 25.0)], TODAY, band=band)
    whole = series.cut()
    half = Series(series.title, 0, series.points, TODAY, band=band, window=(ago(50), ago(-50))).cut()
    assert whole.band[-1] == band[-1]
    assert half.band[-1] == (ago(-50), 14.0, 17.5, 21.0)
    shaded = [one for one in text(draw(half, WIDTH, HEIGHT)) if BLOCKS.band in one]
    assert shaded
    assert all(one.rstrip().endswith(BLOCKS.band) for one in shaded[-1:])


def test_two_readings_share_the_days_but_each_has_its_scale_and_its_field() -> None:
    gravity = Series("gravity", 3, [(ago(8), 1.09), (ago(2), 1.02)], TODAY, window=(ago(8), TODAY))
    warmth = Series("temperature C", 0, [(ago(8), 18.0), (ago(2), 27.0)], TODAY, window=(ago(8), TODAY))
    drawn = text(draw(gravity, WIDTH, 20, below=warmth))
    assert len(drawn) <= 20
    (parting,) = [row for row, one in enumerate(drawn) if one == "temperature C"]
    upper, lower = ([one for one in part if BLOCKS.reading in one] for part in (drawn[:parting], drawn[parting:]))
    columns = [{x for one in part for x, mark in enumerate(one) if mark == BLOCKS.reading} for part in (upper, lower)]
    assert columns[0] == columns[1]
    assert len(columns[0]) == 2
    assert "temperature C" not in text(draw(gravity, WIDTH, 12, below=warmth)), (
        "without the room the first stands alone"
    )


# -- marks


def test_plain_marks_are_ascii_and_braille_only_when_chosen() -> None:
    series = free((90, 34), (50, 20), (0, 24), target=23, deeds=(sulfite(40),))
    plain, braille, blocks = ("\n".join(text(draw(series, WIDTH, HEIGHT, one))) for one in (PLAIN, BRAILLE, BLOCKS))
    assert plain.isascii()
    assert any("\u2800" < char <= "\u28ff" for char in braille)
    assert not any("\u2800" <= char <= "\u28ff" for char in blocks)


def test_the_next_way_to_draw_comes_round_to_the_first() -> None:
    assert next_marks(next_marks(next_marks(BLOCKS))) == BLOCKS
    assert next_marks(BLOCKS) == BRAILLE


@pytest.mark.parametrize("marks", [BLOCKS, BRAILLE])
def test_every_set_of_points_has_a_mark_of_its_own(marks: Marks) -> None:
    every = [marks.glyph(points) for points in range(2 ** (marks.across * marks.down))]
    assert len(set(every)) == len(every)


@pytest.mark.parametrize(
    ("locale", "term", "drawn"),
    [
        ("en_GB.UTF-8", "xterm-256color", "blocks"),
        ("de_DE.utf8", "xterm", "blocks"),
        ("", "xterm-256color", "blocks"),
        ("C", "xterm-256color", "plain"),
        ("en_GB.ISO-8859-1", "xterm-256color", "plain"),
        ("en_GB.UTF-8", "linux", "plain"),
        ("en_GB.UTF-8", "vt100", "plain"),
        ("ja_JP.UTF-8", "xterm-256color", "plain"),
    ],
)
def test_a_poor_terminal_or_locale_is_drawn_on_in_ascii(
    monkeypatch: pytest.MonkeyPatch, locale: str, term: str, drawn: str
) -> None:
    monkeypatch.delenv("LC_ALL", raising=False)
    monkeypatch.delenv("LC_CTYPE", raising=False)
    monkeypatch.setenv("LANG", locale)
    monkeypatch.setenv("TERM", term)
    assert terminal.chart_marks() == drawn
