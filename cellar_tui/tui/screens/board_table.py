"""The cellar as a table: which columns fit, and one line for each vessel."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from cellar_tui.language import describe_entry, quantities
from cellar_tui.language.clean_text import cells
from cellar_tui.language.describe_entry import words
from cellar_tui.language.layout import Align, column, due_words
from cellar_tui.service.views import BoardLine
from cellar_tui.tui.widgets import short

NUMBERS = ("volume", "ph", "free", "molecular")
LEAST = {"vessel": 12, "wine": 16, "style": 11, "place": 9}
"""Cells that a column of names keeps before another column is dropped."""
MOST = {"vessel": 24, "wine": 20, "style": 20, "place": 14, "next": 26}
"""Cells that a column takes at most, however long its text."""
NARROWEST = 8
"""Cells that a column of names keeps on the narrowest screen."""
DROPPED = ("place", "style", "volume", "molecular")
"""Columns in the order in which a narrow screen does without them."""
LETTERS = "YBACH"
SIGNS = {"+": "proven", "-": "quiet", "!": "stop", "w": "waived"}
"""Roles of the signs that stand for the state of a stability; what is under way is ink."""
URGENT = {"late": "late", "today": "accent"}
"""Roles of an action by when it is due."""
Part = tuple[str, str]


@dataclass(frozen=True, slots=True)
class Cells:
    """One vessel as the text of its columns; `task` is the long name of what is next."""

    texts: dict[str, str]
    task: str


def texts(line: BoardLine, today: date, units: str) -> Cells:
    """Return the text of every column of a vessel; an empty one has no figures."""
    task = line.next
    found = {
        "vessel": line.name,
        "wine": line.wine or "empty",
        "style": words(line.style or ""),
        "place": line.place,
        "volume": "",
        "ph": "",
        "free": "",
        "molecular": "",
        "letters": line.letters,
        "next": short.action(task.action.rule) if task else "",
        "due": due_words(task.action.show, task.action.latest, today) if task else "",
    }
    if line.wine is not None:
        volume = line.volume or 0.0
        found["volume"] = quantities.number(volume, "L", system=units, figures=0 if volume >= 100 else 1)
        found["ph"] = "-" if line.ph is None else f"{line.ph:.2f}"
        found["free"] = describe_entry.free(line.so2, bare=True)
        found["molecular"] = describe_entry.molecular(line.so2, bare=True)
    return Cells(found, task.action.task if task else "")


@dataclass(frozen=True, slots=True)
class Table:
    """The columns of a board on a screen: their widths in cells, and the gap between them."""

    widths: dict[str, int]
    gap: int
    units: str

    def heads(self) -> str:
        """Return the line above the list."""
        names = {
            "vessel": "Vessel",
            "wine": "Wine",
            "style": "Style",
            "volume": quantities.shown_unit("L", self.units),
            "ph": "pH",
            "free": "Free",
            "molecular": "Mol.",
            "letters": self._spread(LETTERS),
            "next": "Next",
            "due": "Due",
            "place": "Place",
        }
        return self._joined([column(names[name], size, _side(name)) for name, size in self.widths.items()])

    def parts(self, line: BoardLine, today: date) -> list[Part]:
        """Return one vessel as parts of text with their tones: what is late and what has lapsed stands out."""
        found = texts(line, today, self.units)
        urgency = URGENT.get(line.next.status, "") if line.next is not None else ""
        parts: list[Part] = [(" ", "")]
        for name, size in self.widths.items():
            text = found.texts[name]
            if name == "next" and cells(found.task) <= size:
                text = found.task
            if name == "letters":
                text = self._spread(text)
            if name == "letters" and line.wine is not None:
                parts += [(sign, SIGNS.get(sign, "")) for sign in column(text, size)]
            else:
                tone = "quiet" if line.wine is None else urgency if name in ("next", "due") else ""
                parts.append((column(text, size, _side(name)), tone))
            parts.append((" " * self.gap, ""))
        return parts[:-1]

    def _spread(self, letters: str) -> str:
        return " ".join(letters) if self.gap > 1 else letters

    def _joined(self, found: Sequence[str]) -> str:
        return " " + (" " * self.gap).join(found)


def _side(name: str) -> Align:
    return "right" if name in NUMBERS else "left"


def table(lines: Sequence[BoardLine], today: date, units: str, width: int) -> Table:
    """Return the columns that fit a width: what is known of a vessel first gives way, then the names get room."""
    found = [texts(line, today, units) for line in lines]
    wanted = {
        name: max((cells(one.texts[name]) for one in found), default=0)
        for name in ("vessel", "wine", "style", "volume", "ph", "free", "molecular", "letters", "next", "due", "place")
    }
    for name, least in (
        ("vessel", 6),
        ("wine", 5),
        ("style", 5),
        ("place", 5),
        ("volume", 4),
        ("ph", 4),
        ("free", 4),
        ("molecular", 4),
        ("letters", 5),
        ("next", 9),
        ("due", 8),
    ):
        wanted[name] = min(max(wanted[name], least), MOST.get(name, 99))
    sizes = {name: min(size, LEAST.get(name, size)) for name, size in wanted.items()}
    for name in DROPPED:
        if _total(sizes, 1) <= width:
            break
        del sizes[name]
    while _total(sizes, 1) > width and max(sizes["vessel"], sizes["wine"]) > NARROWEST:
        sizes["vessel" if sizes["vessel"] > sizes["wine"] else "wine"] -= 1
    tasks = max((cells(one.task) for one in found), default=0)
    named = {name: wanted[name] for name in LEAST if name in sizes}
    # What lacks least is made whole first, so that as few names as may be are cut; the long names of tasks come last.
    for name, size in (
        *sorted(named.items(), key=lambda one: one[1] - sizes[one[0]]),
        ("next", min(tasks, MOST["next"])),
    ):
        sizes[name] += max(0, min(size - sizes[name], width - _total(sizes, 1)))
    spread = {**sizes, "letters": 2 * len(LETTERS) - 1}
    return Table(spread, 2, units) if _total(spread, 2) <= width else Table(sizes, 1, units)


def _total(sizes: dict[str, int], gap: int) -> int:
    return 1 + sum(sizes.values()) + gap * (len(sizes) - 1)
