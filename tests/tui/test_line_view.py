"""A line that is being typed looks otherwise where nobody has typed it, with no colour at all."""

from __future__ import annotations

import pytest
from rich.style import Style

from cellar_tui.entry_form.typed_line import TypedLine
from cellar_tui.tui.widgets.line_view import DrawnLine

PLAIN = {name: Style() for name in ("plain", "cursor", "selection", "offered")}


def drawn(text: str, offered: str, width: int = 12, *, active: bool = False, cursor: int | None = None) -> str:
    line = TypedLine(text)
    if cursor is not None:
        line.put_cursor(cursor)
    return "".join(one.text for one in DrawnLine().draw(line, offered, width, PLAIN, active=active))


@pytest.mark.parametrize(
    ("text", "offered", "seen"),
    [
        ("glass", "", "glass"),
        ("glass", "glass", "«glass»"),
        ("steel", "glass", "steel"),
        ("", "glass", "«glass»"),
        ("", "", ""),
        ("1\x1b[2J", "", "1 [2J"),
    ],
)
def test_what_is_offered_stands_between_guillemets_and_what_is_typed_stands_alone(
    text: str, offered: str, seen: str
) -> None:
    assert drawn(text, offered).strip() == seen
    assert len(drawn(text, offered)) == 12


def test_a_long_line_shows_its_cursor_and_its_beginning_once_the_cursor_is_elsewhere() -> None:
    assert drawn("0 25 50 75 100 150", "", active=True).strip() == "75 100 150"
    assert drawn("0 25 50 75 100 150", "").startswith("0 25 50 75")
    assert "»" in drawn("0 25 50 75 100 150", "0 25 50 75 100 150", active=True)
    assert drawn("0 25 50 75 100 150", "", active=True, cursor=0).startswith("0 25 50")
