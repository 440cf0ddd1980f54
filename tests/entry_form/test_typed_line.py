"""A line that is being typed: keys change it at once, each in its turn."""

from __future__ import annotations

import pytest

from cellar_tui.entry_form.typed_line import DOUBLE, Pace, Press, TypedLine


def typed(*keys: str, text: str = "", selected: bool = False) -> TypedLine:
    line = TypedLine(text)
    if selected:
        line.select_all()
    for key in keys:
        assert line.press(Press(key, key if len(key) == 1 else ""))
    return line


@pytest.mark.parametrize(
    ("keys", "text"),
    [
        ((*"1.050", "backspace", "4"), "1.054"),
        ((*"3.4", "backspace", "5"), "3.5"),
        ((*"21", "left", "left", "3"), "321"),
        ((*"21", "home", "delete", "end", "5"), "15"),
        ((*"pear wood", "ctrl+left", "backspace"), "pearwood"),
        ((*"12", "ctrl+u", "9"), "9"),
        ((*"12", "left", "ctrl+u"), ""),
        ((*"pear wood", "ctrl+w", "x"), "pear x"),
    ],
)
def test_a_correction_lands_where_it_was_meant(keys: tuple[str, ...], text: str) -> None:
    assert typed(*keys).text == text


def test_typing_takes_the_place_of_what_is_selected() -> None:
    assert typed(*"sugar", text="potassium_metabisulfite", selected=True).text == "sugar"
    assert typed("left", "x", text="12", selected=True).text == "x12"
    assert typed("backspace", text="12", selected=True).text == ""
    assert typed("shift+home", "7", text="12").text == "7"


def test_a_pasted_text_stands_in_one_line_without_controls() -> None:
    line = TypedLine("x")
    line.press(Press("paste", "pear\nand\tsmoke\x07\r\n"))
    assert line.text == "xpear and smoke"


def test_a_key_of_the_form_is_left_to_the_form() -> None:
    line = TypedLine("2")
    assert not any(line.press(Press(key)) for key in ("tab", "enter", "escape", "up", "f9", "ctrl+y"))
    assert line.text == "2"


def test_only_an_enter_right_after_an_enter_is_a_slip() -> None:
    pace = Pace()
    assert not pace.press("enter", "", 10.0).again
    assert pace.press("enter", "", 10.0 + DOUBLE / 2).again
    assert not pace.press("enter", "", 10.0 + 2 * DOUBLE).again
    assert not pace.press("2", "2", 11.3).again
    assert not pace.press("enter", "", 11.4).again
