"""The board as it is read: a line for each vessel, its due actions, and what cannot be right."""

from __future__ import annotations

import json
from collections.abc import Collection
from typing import Literal

from storage.rows import ActionRow, FillingRow, ProblemRow
from storage.seals import Seals

Order = Literal["due", "place", "name", "wine"]

_ORDERS: dict[str, str] = {
    "due": "next_show IS NULL, next_show, name_key",
    "place": "place, name_key",
    "name": "name_key",
    "wine": "wine_key IS NULL, wine_key, name_key",
}

_FILLING = f"SELECT {', '.join(FillingRow._fields)} FROM filling"
_ACTION = f"SELECT {', '.join(ActionRow._fields)} FROM action"
_MATCHES = (
    "(:text IS NULL OR instr(name_key, :text) OR instr(coalesce(wine_key, ''), :text) OR instr(casefold(place), :text))"
)


def listed(numbers: Collection[int]) -> str:
    return json.dumps(sorted(numbers))


class BoardReads(Seals):
    """What can be asked of the board. Each question is one statement, fetched whole."""

    def vessels(self) -> list[FillingRow]:
        """Every vessel and bottle store, retired ones too, by name."""
        return self.fillings("name")

    def fillings(
        self,
        order: Order = "due",
        *,
        offset: int = 0,
        limit: int | None = None,
        text: str | None = None,
        retired: bool = True,
    ) -> list[FillingRow]:
        """Lines of the board, a page of them when `limit` is given.

        Args:
            order: 'due' is by the day the next action shows, those without one last.
            text: only those with this (casefolded) text in the name, the wine or the place.
            retired: False leaves out vessels no longer in use.
        """
        found = self._db.rows(
            f"{_FILLING} WHERE {_MATCHES} AND retired <= :retired"
            f" ORDER BY {_ORDERS[order]} LIMIT :limit OFFSET :offset",
            {"text": text, "retired": int(retired), "limit": -1 if limit is None else limit, "offset": offset},
        )
        return list(map(FillingRow._make, found))

    def fillings_count(self, *, text: str | None = None, retired: bool = True) -> int:
        """How many lines `fillings` has without a limit."""
        return int(
            self._db.value(
                f"SELECT count(*) FROM filling WHERE {_MATCHES} AND retired <= :retired",
                {"text": text, "retired": int(retired)},
            )
        )

    def filling(self, vessel: int) -> FillingRow | None:
        """The line of one vessel."""
        found = self._db.rows(f"{_FILLING} WHERE vessel = ?", (vessel,))
        return FillingRow._make(found[0]) if found else None

    def by_name(self, name_key: str) -> FillingRow | None:
        """The vessel of that casefolded name; where a retired one bore it too, the one in use."""
        found = self._db.rows(f"{_FILLING} WHERE name_key = ? ORDER BY retired, vessel DESC LIMIT 1", (name_key,))
        return FillingRow._make(found[0]) if found else None

    def by_wine(self, wine_key: str) -> list[FillingRow]:
        """All vessels and stores in which the wine of that casefolded name lies, by name."""
        found = self._db.rows(f"{_FILLING} WHERE wine_key = ? ORDER BY name_key", (wine_key,))
        return list(map(FillingRow._make, found))

    def actions(self, vessels: Collection[int] | None = None, *, show_to: str | None = None) -> list[ActionRow]:
        """Actions, of all vessels or of those named, by the day they show, then vessel and rule.

        Args:
            show_to: leaves out those that show later than this day.
        """
        among = "TRUE" if vessels is None else "vessel IN (SELECT value FROM json_each(:vessels))"
        found = self._db.rows(
            f"{_ACTION} WHERE {among} AND (:to IS NULL OR show <= :to) ORDER BY show, vessel, rule, key",
            {"vessels": listed(vessels or ()), "to": show_to},
        )
        return list(map(ActionRow._make, found))

    def counts(self, today: str, week_end: str) -> tuple[int, int, int]:
        """How many actions are late, are for today, and show after today up to `week_end`.

        An action waits until its `show` day, is for today until its window ends, then late. Those that
        rest on something grown too old by today are left out.
        """
        late, now, week = self._db.rows(
            "SELECT count(*) FILTER (WHERE show <= :today AND window_to < :today),"
            " count(*) FILTER (WHERE show <= :today AND window_to >= :today),"
            " count(*) FILTER (WHERE show > :today)"
            " FROM action WHERE show <= max(:today, :end) AND (expires IS NULL OR expires >= :today)",
            {"today": today, "end": week_end},
        )[0]
        return late, now, week

    def problems(self, vessel: int | None = None) -> list[ProblemRow]:
        """All problems, or those of one vessel, in the order of their entries."""
        found = self._db.rows(
            "SELECT vessel, entry, problem FROM problem WHERE :vessel IS NULL OR vessel = :vessel"
            " ORDER BY entry, vessel, problem",
            {"vessel": vessel},
        )
        return list(map(ProblemRow._make, found))
