"""What an open form can reach, decoded once: weighing a letter typed touches neither store nor disk."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from cellar_tui.planning.consider import CellarState
from cellar_tui.service import build_entries
from cellar_tui.service.recorder import Recorder
from cellar_tui.service.records import WINE, Records, plainly
from cellar_tui.service.views import SaveResult
from storage.rows import CELLAR, FillingRow


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


class Reachable:
    """The part of the cellar that a form can reach, as it stood when it was last read.

    Attributes:
        numbers: the vessels that the form is for; none where it is for the whole cellar.
        seen: the last entry of each of them when it was read.
    """

    def __init__(self, records: Records, recorder: Recorder, target: str) -> None:
        self._records = records
        self._recorder = recorder
        self._target = target
        self.read()

    def read(self) -> None:
        """Read it again: another person has recorded something."""
        store = self._records.store
        with plainly(), store.snapshot():
            self.numbers: tuple[int, ...] = self._records.targets(self._target) if self._target else ()
            self._names = Snapshot(store.next_seq(), store.vessels())
            self._components: dict[int, frozenset[int]] = {}
            self._bases: dict[frozenset[int] | None, CellarState] = {}
            self.seen = {number: store.head(number) for number in self.numbers}
            if self.numbers:
                today = self._records.today
                self._bases[frozenset(self.numbers)] = self._records.standing(store, self.numbers, until=today)

    def heads(self, numbers: Iterable[int] | None = None) -> dict[int, int]:
        """Return the last entry, as the file has it now, of vessels: the form's own where none are named."""
        return self._records.heads(self.numbers if numbers is None else tuple(numbers))

    def component(self, number: int) -> frozenset[int]:
        """Return the vessels ever joined with one by a transfer, itself included."""
        if number not in self._components:
            with plainly():
                self._components[number] = frozenset(self._records.store.component((number,)))
        return self._components[number]

    def standing(self, numbers: Iterable[int] | None) -> CellarState:
        """Return what vessels can reach, None for the whole cellar, decoded once."""
        vessels = None if numbers is None else frozenset(numbers)
        if vessels not in self._bases:
            store = self._records.store
            with plainly(), store.snapshot():
                self._bases[vessels] = self._records.standing(store, vessels, until=self._records.today)
        return self._bases[vessels]

    def wine_of(self, wine: str) -> tuple[int, ...]:
        """Return the vessels in which a wine lies."""
        return self._records.targets(f"{WINE}{wine}")

    def weigh(self, aimed: Sequence[build_entries.Aimed], *, base: CellarState | None = None) -> SaveResult:
        """Return what requests, each with its vessels, would record; `base` is what all of them are weighed against.

        Raises:
            CellarError: what was typed cannot be an entry.
        """
        return self._recorder.weighed(self._names, (lambda _: base) if base is not None else self.standing, aimed)


__all__ = ["CELLAR", "Reachable"]
