"""A reading sheet that is being filled in: a row a vessel, weighed while it is typed, saved and taken back together."""

from __future__ import annotations

import uuid
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from cellar_tui.entry_form import drafts
from cellar_tui.entry_form.choices import chosen
from cellar_tui.entry_form.shelf import Shelf
from cellar_tui.language import clean_text, describe_entry
from cellar_tui.ledger import titrated
from cellar_tui.ledger.fields import specs
from cellar_tui.ledger.kinds import Reading
from cellar_tui.planning.plan import Measured
from cellar_tui.planning.rules.table import RULE_BY_ID
from cellar_tui.service import build_entries
from cellar_tui.service.open import OpenCellar
from cellar_tui.service.views import BoardLine, CellarError, Outcome, Request, RowsError, SaveResult

KIND = "sheet"
METHOD, DAY = "method", "at"
LONGEST = 24
"""Most characters of a cell: a number with its unit is shorter."""
FIELDS = tuple(name for name, _ in specs(Reading) if name not in ("brix", "volume", *titrated.HOW))
"""Readings that a sheet may hold; Brix needs a method of its own, and a volume may need a reason."""
METHODS = ("aspiration", "titration", "strip")
SETS: Mapping[str, tuple[str, ...]] = {
    "pH and SO2": ("ph", "free_so2", METHOD, "total_so2"),
    "gravity": ("sg", "sample_temperature", "temperature"),
    "acids": ("ph", "ta", "malic", "va"),
    "every reading": (
        "ph",
        "free_so2",
        METHOD,
        "sg",
        "temperature",
        "total_so2",
        "malic",
        "ta",
        "residual_sugar",
        "alcohol",
        "va",
        "turbidity",
        "dissolved_oxygen",
        "conductivity_drop",
        "yan",
        "sample_temperature",
    ),
}
"""Columns that are read in one walk, by the name of the choice."""
AS_ASKED = "what is due"
DUE, ALL = "due today", "every wine"


@dataclass(frozen=True, slots=True)
class Row:
    """A vessel of the sheet; `asked` are the readings that are due on it today."""

    number: int
    name: str
    wine: str
    asked: frozenset[str]


Found = Outcome | CellarError
"""What a row would do, or what is wrong with it."""


class Sheet:
    """Readings of many vessels on their way into the ledger.

    Attributes:
        rows: every vessel that holds wine in bulk, in walking order; one that was emptied stays while it is typed in.
        texts: what is typed, by vessel number and field.
        at: the day as typed, "" for today.
        key: kept for the life of the sheet, so that a second save makes no second batch.
        heads: last entry of each vessel when the sheet was opened.
        found: what each typed row would do.
    """

    def __init__(self, service: OpenCellar, bare: Mapping[str, str | None]) -> None:
        self.service, self.bare, self.shelf = service, dict(bare), Shelf(service)
        self.texts: dict[tuple[int, str], str] = {}
        self.at = ""
        self.key = uuid.uuid4().bytes
        self.heads: dict[int, int] = {}
        self.found: dict[int, Found] = {}
        self.refresh()
        self.heads = self._heads_now()

    def refresh(self) -> None:
        """Read the cellar again, for another program may have recorded something; what is typed stays."""
        board = self.service.view.board()
        self._reachable = self.service.reachable("")
        typed = {number for number, _ in self.texts}
        held = [
            line
            for line in board.lines
            if line.number in typed or (line.wine is not None and line.material != "bottles")
        ]
        held.sort(key=lambda one: (one.place.casefold(), one.name.casefold()))
        self.rows = [Row(one.number, one.name, one.wine or "empty", _asked(one)) for one in held]
        self._component = {one.number: self._reachable.component(one.number) for one in held}
        self._weighed: dict[frozenset[int], tuple[object, dict[int, Found]]] = {}

    # -- which rows and columns

    def listed(self, choice: str) -> list[Row]:
        """Return the rows of a choice: `DUE`, `ALL` or a wine's name; a row that is typed in always stays."""
        typed = {number for number, _ in self.texts}
        return [
            row
            for row in self.rows
            if row.number in typed or choice == ALL or (bool(row.asked) if choice == DUE else row.wine == choice)
        ]

    def columns(self, choice: str, rows: Sequence[Row]) -> list[str]:
        """Return the readings of a choice; one that is typed in always stays."""
        every = SETS["every reading"]
        asked = {name for row in rows for name in row.asked}
        chosen = SETS.get(choice) or tuple(name for name in every if name in asked)
        typed = {field for _, field in self.texts}
        return [*chosen, *(name for name in every if name in typed and name not in chosen)]

    # -- what is typed

    def put(self, number: int, field: str, typed: str) -> None:
        """Type into a cell; an empty text clears it."""
        said = as_typed(typed)
        self.texts.pop((number, field), None)
        if said:
            self.texts[number, field] = said

    def complete(self, number: int, field: str) -> None:
        """Write out the name of a method of which the beginning is typed."""
        typed = self.texts.get((number, field), "")
        if field == METHOD and typed:
            self.texts[number, field] = chosen(typed, METHODS)

    def method(self, number: int, rows: Sequence[Row]) -> str:
        """Return the method of a row: its own, else that of the nearest row above that has one."""
        found = ""
        for row in rows:
            found = self.texts.get((row.number, METHOD), found)
            if row.number == number:
                break
        return found

    def said(self, number: int, rows: Sequence[Row]) -> dict[str, str]:
        """Return the fields of a row as they would be recorded; without a free SO2 a method above says nothing."""
        said = {field: typed.strip() for (vessel, field), typed in self.texts.items() if vessel == number}
        if "free_so2" in said and (method := self.method(number, rows)):
            said[METHOD] = method
        return said

    def typed(self, rows: Sequence[Row]) -> list[Row]:
        """Return the rows in which something is typed."""
        found = {number for number, _ in self.texts}
        return [row for row in rows if row.number in found]

    # -- weighing and saving

    def _requests(self, rows: Sequence[Row]) -> Iterator[tuple[Row, Request]]:
        for row in self.typed(rows):
            heads = {row.number: self.heads.get(row.number, 0)}
            yield (
                row,
                Request(
                    row.name,
                    "reading",
                    self.said(row.number, rows),
                    self.at.strip(),
                    self.service.by,
                    None,
                    self.key,
                    heads,
                    self.bare,
                ),
            )

    def weigh(self, rows: Sequence[Row]) -> None:
        """Work out what every typed row would do; rows whose vessels were ever joined are weighed together."""
        groups: dict[frozenset[int], list[tuple[Row, Request]]] = {}
        for row, request in self._requests(rows):
            groups.setdefault(self._component[row.number], []).append((row, request))
        self.found = {}
        for component, group in groups.items():
            said = [(row.number, request.fields, request.at) for row, request in group]
            if component not in self._weighed or self._weighed[component][0] != said:
                self._weighed[component] = said, self._group(component, group)
            self.found |= self._weighed[component][1]

    def _group(self, component: frozenset[int], group: list[tuple[Row, Request]]) -> dict[int, Found]:
        base, found, left = self._reachable.standing(component), dict[int, Found](), list(group)
        while left:
            aimed: list[build_entries.Aimed] = [(request, (row.number,)) for row, request in left]
            try:
                answer = self._reachable.weigh(aimed, base=base)
            except RowsError as error:
                found |= {left[index][0].number: one for index, one in error.rows.items()}
                left = [one for index, one in enumerate(left) if index not in error.rows]
            except CellarError as error:
                found[left.pop()[0].number] = error
            else:
                found |= {row.number: one for (row, _), one in zip(left, answer.outcomes, strict=True)}
                break
        return found

    def record(self, rows: Sequence[Row]) -> SaveResult:
        """Record every typed row, all or none, and forget the draft.

        Raises:
            CellarError: nothing is typed, a row cannot be an entry, or (code "moved") another entry was made meanwhile.
        """
        answer = self.service.recorder.record_sheet([request for _, request in self._requests(rows)])
        if not answer.stopped:
            self.shelf.drop(self.draft())
        return answer

    def last(self, number: int, field: str) -> Measured | None:
        """Return the last such reading of a vessel."""
        plan = self._reachable.standing(self._component[number]).plans.get(number)
        return None if plan is None else plan.readings.get(field)

    # -- another person

    def _heads_now(self) -> dict[int, int]:
        return self._reachable.heads([row.number for row in self.rows])

    def foreign(self) -> str:
        """Return what others recorded on typed vessels since the sheet was opened, "" where nobody did."""
        now, typed = self._heads_now(), {number for number, _ in self.texts}
        fresh = {seq for vessel, seq in now.items() if vessel in typed and self.heads.get(vessel) != seq}
        names = {vessel.number: vessel.name for vessel in self.service.view.vessels()}
        units = self.service.view.units
        told = [
            f"{line.entry.by} recorded on {line.vessel}: {describe_entry.entry(line.entry, names, units)}"
            for line in (self.service.view.ledger() if fresh else ())
            if line.entry.seq in fresh
        ]
        return "; ".join(told)

    def accept(self) -> None:
        """Take what others recorded as seen."""
        self.refresh()
        self.heads = self._heads_now()

    # -- the draft

    def draft(self) -> drafts.Draft:
        """Return what is typed as a draft; there is one sheet a person."""
        fields = {f"{number}.{field}": typed for (number, field), typed in self.texts.items()}
        heads = {str(number): self.heads[number] for number, _ in self.texts if number in self.heads}
        return drafts.Draft(KIND, "", {**fields, **({DAY: self.at} if self.at else {})}, self.key.hex(), heads)

    def keep(self) -> bool:
        """Keep what is typed in a file; return whether there was anything to keep and it could be kept."""
        return self.shelf.keep(self.draft(), changed=bool(self.texts))

    def take_up(self) -> bool:
        """Go on with what was typed and not recorded; return whether there was anything."""
        draft = self.shelf.unrecorded(self.draft())
        if draft is None:
            return False
        self.shelf.claim(draft)
        known = {vessel.number for vessel in self.service.view.vessels()}
        for name, typed in draft.fields.items():
            number, _, field = name.partition(".")
            if number.isdecimal() and int(number) in known and field in FIELDS:
                self.put(int(number), field, typed)
        self.at, self.key = draft.fields.get(DAY, ""), bytes.fromhex(draft.key)
        self.heads |= {int(number): seq for number, seq in draft.heads.items() if int(number) in known}
        self.refresh()
        return bool(self.texts)


def as_typed(typed: str) -> str:
    """Return the text of a cell as it may stand there: clean, short, and with the blank after which one goes on."""
    said = clean_text.safe(typed)
    return (said + " " if said and typed.endswith(" ") else said)[:LONGEST]


def _asked(line: BoardLine) -> frozenset[str]:
    """Return the readings that are due on a vessel: those with which its due actions are usually answered."""
    usual = [RULE_BY_ID[action.action.rule].answers[0] for action in line.actions if action.status != "ahead"]
    return frozenset(name for answer in usual if answer.kind == "reading" for name in answer.fields)
