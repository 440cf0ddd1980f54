"""Every key of the full-screen interface, with a stable id; bindings, footer, help page and palette follow from it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Place = Literal[
    "cellar",
    "wine",
    "chart",
    "round",
    "form",
    "why",
    "help",
    "bench",
    "trial",
    "house",
    "materials",
    "sheet",
    "step",
    "release",
    "wall",
    "import",
    "files",
]


@dataclass(frozen=True, slots=True)
class Key:
    """One key.

    Attributes:
        id: stable name, as it may be remapped.
        key: the key, or several parted by commas, in the library's names.
        action: what it does.
        label: word in the footer.
        help: sentence on the help page.
        places: where it works.
        footer: it stands in the footer.
        writes: it records something, so that it is not there when the cellar is read only.
    """

    id: str
    key: str
    action: str
    label: str
    help: str
    places: tuple[Place, ...]
    footer: bool = False
    writes: bool = False

    @property
    def shown(self) -> str:
        """The key as it is printed."""
        return ", ".join(_PRINTED.get(one, one) for one in self.key.split(","))


_PRINTED = {
    "question_mark": "?",
    "slash": "/",
    "escape": "Esc",
    "enter": "Enter",
    "ctrl+q": "Ctrl+Q",
    "ctrl+l": "Ctrl+L",
    "ctrl+p": "Ctrl+P",
    "ctrl+y": "Ctrl+Y",
    "ctrl+o": "Ctrl+O",
    "ctrl+n": "Ctrl+N",
    "f2": "F2",
    "f5": "F5",
    "f6": "F6",
    "f7": "F7",
    "f8": "F8",
    "f9": "F9",
    "left": "Left",
    "right": "Right",
    "tab": "Tab",
    "shift+tab": "Shift+Tab",
}

WINES: tuple[Place, ...] = ("cellar", "wine")
SHELF: tuple[Place, ...] = ("house", "materials")
CHARTS: tuple[Place, ...] = ("wine", "chart")
LISTS: tuple[Place, ...] = (*WINES, *SHELF)

KEYS: tuple[Key, ...] = (
    Key("open", "enter", "open", "open", "open the selected wine", WINES, footer=True),
    Key("round", "d", "round", "round", "today's round of what is due", ("cellar",), True, True),
    Key("addition", "a", "form('addition')", "addition", "record an addition", WINES, True, True),
    Key("reading", "r", "form('reading')", "reading", "record a reading", WINES, True, True),
    Key("sheet", "R", "sheet", "many readings", "readings of many vessels on one sheet", WINES, False, True),
    Key("move", "m", "form('racking')", "move", "rack, split, blend, top up", WINES, True, True),
    Key("check", "c", "form('check')", "check", "look, smell, taste or test", WINES, False, True),
    Key("top", "t", "form('topping')", "top up", "record a topping", WINES, False, True),
    Key("chill", "h", "form('chill')", "cold hold", "cold hold: begin, measure, end", WINES, False, True),
    Key("intent", "i", "form('intent')", "intent", "say what is wanted, decide or waive", WINES, False, True),
    Key("note", "n", "form('note')", "note", "write a note", WINES, False, True),
    Key("bottle", "f", "form('bottle')", "fill bottles", "record a bottling", WINES, False, True),
    Key("new_vessel", "v", "new_vessel", "new vessel", "enter a vessel, step by step", ("cellar",), False, True),
    Key("new_wine", "y", "new_wine", "new wine", "begin a wine, step by step", ("cellar",), False, True),
    Key("vessel", "e", "vessel", "correct vessel", "rename, move or retire the vessel", ("cellar",), False, True),
    Key("release", "l", "release", "ready?", "ready to bottle? what is proven, and what is still missing", WINES),
    Key("files", "X", "app.files", "papers, files", "print papers, write the calendar, import, export", WINES),
    Key("trace", "T", "trace", "trace", "where a wine is from, or where a material went", (*WINES, "materials")),
    Key("wall", "z", "wall", "wall display", "the whole cellar, to be read from across the room", ("cellar",)),
    Key("bench", "b", "bench", "workbench", "every calculation, filled from the selected wine", WINES),
    Key("house", "o", "house", "house rules", "every house rule: its value, default and source", ("cellar",)),
    Key(
        "materials",
        "g",
        "materials",
        "materials",
        "what is on hand, what the wines will need, what to get",
        ("cellar",),
    ),
    Key(
        "edit",
        "enter",
        "edit",
        "change",
        "change the selected house rule, count the selected material again",
        SHELF,
        True,
        True,
    ),
    Key("search", "slash", "find", "find", "show only what holds the words typed", SHELF, True),
    Key(
        "default", "x", "default", "default", "put the selected house rule back to its default", ("house",), True, True
    ),
    Key("new", "a", "new", "add", "enter a material that is not in the list", ("materials",), True, True),
    Key(
        "undo",
        "u",
        "undo",
        "undo",
        "take back your last entry, or the selected one",
        LISTS,
        True,
        True,
    ),
    Key("amend", "e", "amend", "correct", "correct the selected entry", ("wine",), False, True),
    Key("fill", "f", "form('bottle')", "fill bottles", "record the bottling", ("release",), True, True),
    Key("size", "s", "size", "bottle size", "calculate with the next size of bottle", ("release",), True),
    Key(
        "why",
        "w",
        "why",
        "why",
        "working of what is selected",
        (*LISTS, "release"),
        True,
    ),
    Key("sort", "s", "sort", "sort", "sort and group: due, place, wine, name", ("cellar",)),
    Key("find", "slash", "find", "find", "show what holds these words", (*WINES, "bench")),
    Key("past", "p", "past", "as of a day", "as it was known at the end of a past day; read only", WINES),
    Key("chart_free", "1", "chart('free_so2')", "free SO2", "draw free SO2 over time", CHARTS),
    Key("chart_sg", "2", "chart('sg')", "gravity", "draw gravity over time", CHARTS),
    Key("chart_temperature", "3", "chart('temperature')", "temperature", "draw temperature over time", CHARTS),
    Key("chart_ph", "4", "chart('ph')", "pH", "draw pH over time", CHARTS),
    Key("chart_malic", "5", "chart('malic')", "malic acid", "draw malic acid over time", CHARTS),
    Key("zoom", "z", "zoom", "zoom", "other days on the chart: ferment, 60 days, year, all", CHARTS),
    Key("marks", "x", "marks", "chart marks", "draw the chart in blocks, braille or plain letters", CHARTS),
    Key("whole_chart", "v", "whole_chart", "whole chart", "the chart on the whole screen", ("wine",)),
    Key("day_before", "left", "day(-1)", "day before", "the day before with a reading or work", ("chart",), True),
    Key("day_after", "right", "day(1)", "day after", "the next day with a reading or work", ("chart",), True),
    Key("over", "o", "over", "lay over", "lay the wine's other vessels over it, then other wines", ("chart",), True),
    Key("counted", "d", "counted", "by day", "by date, or by day since the yeast", ("chart",), True),
    Key("other", "tab", "other", "figures", "between the figures and the lines below", ("wine",)),
    Key("choose", "enter", "choose", "make it", "make the selected file, or open the import", ("files",), True),
    Key(
        "back",
        "escape,f9",
        "back",
        "back",
        "one step back; text is kept",
        ("wine", "chart", "why", "help", *SHELF, "release", "wall", "files"),
        True,
    ),
    Key("help", "question_mark", "help", "keys", "every key of this place", (*LISTS, "chart", "release"), footer=True),
    Key("palette", "ctrl+p", "app.command_palette", "commands", "every command by name", (*LISTS, "release")),
    Key("redraw", "ctrl+l", "app.redraw", "redraw", "draw the screen again", (*LISTS, "chart", "wall")),
    Key("quit", "q,ctrl+q", "quit", "quit", "leave the program", ("cellar", "wall"), footer=False),
    Key("record", "enter", "submit", "record", "record what is typed", ("form",), footer=True),
    Key("next", "tab", "next_field", "next field", "to the next field", ("form",)),
    Key("yesterday", "ctrl+y", "yesterday", "yesterday", "date it yesterday", ("form",), footer=True),
    Key(
        "kind",
        "ctrl+o",
        "kind",
        "another kind",
        "another kind of move, or all readings",
        ("form",),
    ),
    Key("whole", "f7", "whole", "all vessels", "the same for every vessel of the wine, or for one again", ("form",)),
    Key("working", "f2", "why", "why", "show the working of what the form shows", ("form",)),
    Key("close", "escape,f9", "close", "back", "close the form; typed text is kept as a draft", ("form",), True),
    Key("begin", "enter", "begin", "begin", "go to the first action", ("round",)),
    Key(
        "word_after",
        "right",
        "word(1)",
        "choose",
        "the next word of a check, or type its number",
        ("round",),
        True,
    ),
    Key("word_before", "left", "word(-1)", "word before", "the word before it", ("round",)),
    Key("way", "ctrl+o", "way", "other way", "record the result in another way", ("round",), True, True),
    Key("later", "ctrl+n", "later", "leave it", "go on without an entry", ("round",), True),
    Key("skip", "f5", "override('skip')", "skip", "not needed this time, with a reason", ("round",), True, True),
    Key("postpone", "f6", "override('postpone')", "postpone", "another day, with a reason", ("round",), True, True),
    Key("inputs", "enter", "inputs", "inputs", "to the inputs of the selected calculation", ("bench",), True),
    Key("offered", "f5", "offered", "from the wine", "fill the inputs from the wine again", ("bench",), True),
    Key("trial", "t", "trial", "bench trial", "plan a bench trial and record what it showed", ("bench",), True),
    Key("tried", "enter", "tried", "record", "next field; on the chosen dose record the trial", ("trial",), True, True),
    Key("put_back", "escape,f9", "put_back", "back", "one step back", ("bench", "trial"), True),
    Key("save", "f8", "save", "record all", "record every row, or none", ("sheet",), True, True),
    Key("columns", "f5", "columns", "columns", "other readings", ("sheet",), True),
    Key("rows", "f6", "rows", "rows", "other vessels: of this wine, due today, all", ("sheet",), True),
    Key("day", "ctrl+y", "yesterday", "yesterday", "date the sheet yesterday, or today again", ("sheet",), True),
    Key("down", "enter", "down", "down", "down the column; Tab goes along the row", ("sheet",)),
    Key("put_away", "escape,f9", "put_away", "back", "one step back; typed text is kept as a draft", ("sheet",), True),
    Key("leave", "escape,f9", "leave", "end", "end the round", ("round",), True),
    Key("advance", "enter", "advance", "next", "next question; on the last one record", ("step",), True, True),
    Key("next_question", "tab", "field(1)", "next question", "to the next question", ("step",)),
    Key("last_question", "shift+tab", "field(-1)", "question before", "to the question before", ("step",), True),
    Key(
        "step_back",
        "escape,f9",
        "step_back",
        "back",
        "a page back; from the first one leave, typed text is kept",
        ("step",),
        True,
    ),
    Key(
        "go_on", "enter", "go_on", "next", "read the sheet, show its rows, record all or none", ("import",), True, True
    ),
    Key("field_after", "right", "choose(1)", "next field", "another field for the selected column", ("import",), True),
    Key("field_before", "left", "choose(-1)", "field before", "the field before for it", ("import",)),
    Key("page_back", "escape,f9", "page_back", "back", "a page back; nothing is recorded", ("import",), True),
)


EVERY_DAY = ("open", "round", "reading", "addition", "top", "check", "move", "undo", "why", "find", "back", "help")
"""The twelve keys of every day, by their ids, in the order in which they are explained."""


def keys_of(place: Place) -> tuple[Key, ...]:
    """Return the keys that work in a place."""
    return tuple(one for one in KEYS if place in one.places)


def help_lines(place: Place) -> list[str]:
    """Return the keys of a place as lines."""
    return [f"{one.shown:<14} {one.help}" for one in keys_of(place)]
