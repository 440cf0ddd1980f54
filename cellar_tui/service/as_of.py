"""The cellar as it was known at the end of a past day: house rules included, that day as today, in memory."""

from __future__ import annotations

from collections.abc import Collection
from datetime import date

from cellar_tui.language import days
from cellar_tui.ledger.cellar import VesselInfo
from cellar_tui.service import rows
from cellar_tui.service.ledger_lines import listed
from cellar_tui.service.reader import Reader, board_of, named, view_of
from cellar_tui.service.views import Board, CellarError, WineView, Written


class Past:
    """What a `Reader` shows, as it would have shown it at the end of a day; nothing recorded later is in it.

    Attributes:
        day: that day, in the cellar's zone.
    """

    def __init__(self, reader: Reader, typed: str) -> None:
        """Read everything recorded up to the end of the day that is typed.

        Raises:
            CellarError: it is no day, or lies ahead.
        """
        try:
            self.day = days.parse_date(typed, reader.today)
        except days.WhenError as error:
            raise CellarError(str(error), field="as_of") from error
        if self.day > reader.today:
            raise CellarError(f"{days.echo(self.day)} lies ahead: what will be known then nobody knows.", field="as_of")
        self.units = reader.units
        self._base = reader.as_of(self.day)

    def board(self, today: date | None = None) -> Board:
        """Return the home screen as it was."""
        cellar = self._base.cellar
        fillings, actions, problems = rows.board(cellar, self._base.plans, {}, set(cellar.vessels))
        return board_of([one for one in fillings if not one.retired], actions, problems, today or self.day)

    def wine(self, name: str) -> WineView:
        """Return one filling, whole, as it was.

        Raises:
            CellarError: there was no such vessel.
        """
        return view_of(self._base, named(self._base.cellar, name), self.day, self.units)

    def ledger(self, vessel: str, *, also: Collection[int] = ()) -> list[Written]:
        """Return what had been recorded on a vessel by then, newest first."""
        cellar = self._base.cellar
        names = {number: one.name for number, one in cellar.vessels.items()}
        problems = {one.entry: one.problem for one in cellar.problems if one.entry is not None}
        return listed(self._base.entries, names, problems, named(cellar, vessel), also)

    def vessels(self) -> list[VesselInfo]:
        """Return the vessels and stores that there were."""
        return list(self._base.cellar.vessels.values())
