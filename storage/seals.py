"""The seal of a vessel: a digest of all that the file keeps of it beside the ledger.

The board is derived, so the hash chain does not cover it. A seal is written with the lines it covers, in the same
save, and looked at again for the lines that are drawn or printed: a board that was damaged or changed by hand is
noticed where it would mislead. It is no signature: whoever can write the file can write a seal too, and the check,
which works the board out again, is what finds that.
"""

from __future__ import annotations

import hashlib
import json
from abc import ABC, abstractmethod
from collections.abc import Collection, Iterable, Sequence
from typing import Any, NamedTuple

from storage.connection import Connection
from storage.rows import CELLAR, ActionRow, FillingRow, ProblemRow

Lines = tuple[Sequence[FillingRow], Sequence[ActionRow], Sequence[ProblemRow]]
"""Lines of the board."""

_SIZE = 16
_AMONG = "IN (SELECT value FROM json_each(:vessels))"
_FILLING = ", ".join(FillingRow._fields)
_ACTION = ", ".join(ActionRow._fields)


class Sealed(NamedTuple):
    """What a seal covers of one vessel.

    Attributes:
        group: digest of the numbers of all vessels of its component.
        head: seq of its last entry, None where it has none.
        links: how many entries are linked to it, and the sum of their numbers.
        fillings, actions, problems: its lines of the board as they come out of the file.
    """

    group: str
    head: int | None
    links: tuple[int, int]
    fillings: Sequence[Sequence[Any]]
    actions: Sequence[Sequence[Any]]
    problems: Sequence[Sequence[Any]]


def group(vessels: Iterable[int]) -> str:
    """The digest of the vessels of a component, in rising order."""
    return hashlib.blake2b(json.dumps(list(vessels)).encode(), digest_size=_SIZE).hexdigest()


def seal(lines: Sealed) -> bytes:
    """The digest of what is kept of a vessel; damage may have put bytes where text or a number stood."""
    text = json.dumps(lines, ensure_ascii=True, separators=(",", ":"), default=bytes.hex)
    return hashlib.blake2b(text.encode(), digest_size=_SIZE).digest()


class Seals(ABC):
    """Looking at seals, inside a save and outside."""

    @property
    @abstractmethod
    def _db(self) -> Connection:
        """The connection that is asked."""

    def sealed_otherwise(self, vessels: Collection[int] | None = None, lines: Lines | None = None) -> list[int]:
        """The vessels, among these or all, of which the file keeps something else than was written with them.

        The whole cellar counts as vessel 0. A file that an older version made has no seals: all differ.

        Args:
            lines: the board as it was read for all vessels; damage in an index may give other lines another time.
        """
        if vessels is None:
            kept = dict(self._db.rows("SELECT vessel, digest FROM seal"))
            known = self._db.rows("SELECT id FROM vessel WHERE id > 0 OR head IS NOT NULL")
            vessels = {vessel for (vessel,) in known} | set(kept)
            if lines is not None:
                vessels |= {line.vessel or CELLAR for part in lines for line in part}
        else:
            kept = dict(self._db.rows(f"SELECT vessel, digest FROM seal WHERE vessel {_AMONG}", _these(vessels)))
        fresh = self._seals(vessels, lines)
        return sorted(vessel for vessel in vessels if kept.get(vessel) != fresh[vessel])

    def unsealed(self) -> bool:
        """Whether nothing is sealed yet, as in a file that came from an older version."""
        return not self._db.rows("SELECT 1 FROM seal LIMIT 1")

    def _seals(self, vessels: Collection[int], lines: Lines | None = None) -> dict[int, bytes]:
        """The seals that these vessels would get now."""
        these, groups = _these(vessels), self._groups(vessels)
        linked = "FROM entry_vessel WHERE entry_vessel.vessel = vessel.id"
        heads = self._db.rows(
            f"SELECT id, component, head, (SELECT count(*) {linked}), (SELECT coalesce(sum(seq), 0) {linked})"
            f" FROM vessel WHERE id {_AMONG}",
            these,
        )
        places = {vessel: place for vessel, *place in heads}
        of_fillings, of_actions, of_problems = lines or self._lines(these)
        parts = (_by_vessel(of_fillings), _by_vessel(of_actions), _by_vessel(of_problems))
        found = {}
        for vessel in vessels:
            component, head, *links = places.get(vessel, (None, None, 0, 0))
            theirs = (part.get(vessel, []) for part in parts)
            found[vessel] = seal(Sealed(groups.get(component, ""), head, tuple(links), *theirs))
        return found

    def _lines(self, these: dict[str, str]) -> Lines:
        problems = f"SELECT vessel, entry, problem FROM problem WHERE vessel {_AMONG}"
        rows = self._db.rows
        return (
            list(map(FillingRow._make, rows(f"SELECT {_FILLING} FROM filling WHERE vessel {_AMONG}", these))),
            list(map(ActionRow._make, rows(f"SELECT {_ACTION} FROM action WHERE vessel {_AMONG}", these))),
            list(
                map(
                    ProblemRow._make,
                    rows(problems, these) + rows("SELECT vessel, entry, problem FROM problem WHERE vessel IS NULL"),
                )
            ),
        )

    def _groups(self, vessels: Collection[int]) -> dict[Any, str]:
        members: dict[Any, list[Any]] = {}
        inside = f"SELECT component FROM vessel WHERE id {_AMONG}"
        for component, vessel in self._db.rows(
            f"SELECT component, id FROM vessel WHERE component IN ({inside}) ORDER BY id", _these(vessels)
        ):
            members.setdefault(component, []).append(vessel)
        return {component: group(vessels) for component, vessels in members.items()}


def _by_vessel(lines: Sequence[FillingRow | ActionRow | ProblemRow]) -> dict[int, list[Sequence[Any]]]:
    found: dict[int, list[Sequence[Any]]] = {}
    for line in lines:
        found.setdefault(line.vessel or CELLAR, []).append(line)
    return {vessel: sorted(theirs, key=repr) for vessel, theirs in found.items()}


def _these(vessels: Collection[int]) -> dict[str, str]:
    return {"vessels": json.dumps(sorted(vessels))}
