"""The names of a cellar as they were at one moment, for a form that stays open."""

from __future__ import annotations

from storage.rows import CELLAR, FillingRow

__all__ = ["CELLAR", "Snapshot"]


class Snapshot:
    """The names of the cellar as they were when the form opened."""

    def __init__(self, seq: int, lines: list[FillingRow]) -> None:
        self._seq = seq
        self._names = {row.name_key: row for row in lines}
        self._lines = lines

    def next_seq(self) -> int:
        """Return the number that the entry would get."""
        return self._seq

    def by_name(self, name_key: str) -> FillingRow | None:
        """Return the line of a vessel or store."""
        return self._names.get(name_key)

    def by_wine(self, wine_key: str) -> list[FillingRow]:
        """Return the lines of a wine."""
        return [row for row in self._lines if row.wine_key == wine_key]
