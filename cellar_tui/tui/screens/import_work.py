"""What a sheet's columns are taken for, and the reading and weighing of its rows, apart from the screen."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path

from cellar_tui.exchange import columns, sheets_in
from cellar_tui.exchange.columns import IGNORED
from cellar_tui.service import importing
from cellar_tui.service.open import OpenCellar
from cellar_tui.service.views import CellarError

Done = Callable[[sheets_in.Read, importing.Imported], None]
"""What is to be done with rows that have been read and weighed."""
DATES = {"": "as they are written", "DMY": "day first", "MDY": "month first", "YMD": "year first"}
"""How the dates of a sheet can be read; where numbers alone do not say, a person has to."""


@dataclass(slots=True)
class Choice:
    """A line in which something is chosen.

    Attributes:
        name: the head of a column; "" for the order of the dates.
        guess: the field that the head was taken for, "" where it is unclear.
        chosen: what is chosen now.
        sample: the first cell below the head.
    """

    name: str
    guess: str
    chosen: str
    sample: str

    @property
    def options(self) -> tuple[str, ...]:
        """What can be chosen here."""
        if not self.name:
            return tuple(DATES)
        return tuple(dict.fromkeys(("", *columns.choices(), *filter(None, (self.guess,)))))

    def step(self, by: int) -> None:
        """Choose the next one, or the one before."""
        found = self.options
        self.chosen = found[(found.index(self.chosen) + by) % len(found)]

    def jump(self, letter: str) -> None:
        """Choose the next one that begins with a letter."""
        found = self.options
        at = found.index(self.chosen) + 1
        self.chosen = next((one for one in (*found[at:], *found[:at]) if one.startswith(letter)), self.chosen)

    def told(self) -> str:
        """Return what is chosen in words."""
        if not self.name:
            return DATES[self.chosen]
        return {"": "? choose a field", IGNORED: "left out"}.get(self.chosen, self.chosen)


@dataclass(slots=True)
class Weighing:
    """The rows of a sheet, read where they are not yet, and weighed or recorded together.

    Attributes:
        path: the sheet.
        ways: how to read it.
        read: its rows, where they were read before.
        preview: record nothing.
        stopped: set by the person's Escape; nothing is recorded then.
    """

    path: Path
    ways: sheets_in.Ways = field(default_factory=lambda: sheets_in.Ways({}, {}))
    read: sheets_in.Read | None = None
    preview: bool = True
    stopped: bool = False

    def run(self, service: OpenCellar, tell: Callable[[str], None]) -> tuple[sheets_in.Read, importing.Imported]:
        """Return the rows and what becomes of them.

        Raises:
            CellarError: the sheet cannot be read, nothing could be kept, or it was stopped.
        """

        def passed(count: int, what: str) -> None:
            if self.stopped:
                raise CellarError("Stopped. Nothing was recorded.")
            tell(f"{count} {what}. Esc stops it; nothing is recorded yet.")

        read = self.read or sheets_in.read(self.path, self.ways, lambda count: passed(count, "rows read"))
        requests = [request for row in read.rows for request in row.requests]
        wrong = any(row.wrong for row in read.rows)
        own = service.another()
        try:
            weighed = partial(passed, what=f"of {len(requests)} entries weighed")
            return read, importing.record_all(own, requests, weighed, preview=self.preview or wrong)
        finally:
            own.close()


def obstacle(choices: Sequence[Choice]) -> tuple[int | None, str] | None:
    """Return what still has to be chosen, with the place of its line where it has one; None where nothing does."""
    named = [choice.chosen for choice in choices if choice.name]
    for place, choice in enumerate(choices):
        if choice.name and not choice.chosen:
            return place, f"Choose what {choice.name} is, or leave it out (-)."
        if choice.name and choice.chosen != IGNORED and named.count(choice.chosen) > 1:
            return place, f"Two columns are {choice.chosen}: leave one of them out (-)."
    missing = next((name for name in ("vessel", "date") if name not in named), "")
    return (None, f"Choose the column that is the {missing}.") if missing else None
