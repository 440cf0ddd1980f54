"""Two programs on two copies of one cellar: at one the keys come in pieces, at the other one at a time."""

from __future__ import annotations

import random
import re
import shutil
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack, contextmanager
from pathlib import Path

from cellar_tui.entry_form import drafts
from cellar_tui.service import clock
from cellar_tui.service.open import open_cellar
from tests.terminal import drawn_keys
from tests.terminal.desk import PATIENCE, Desk, dashboard, in_cellar
from tests.terminal.hand import SLIP, Cut, in_pieces, one_at_a_time, sent

AWAY = ("Escape",) * 4
STALE = "as last typed in full"


class Place:
    """One of the two: a program, its cellar, and where its drafts lie."""

    def __init__(self, desk: Desk, path: Path, state: Path) -> None:
        self.desk, self.path, self.state = desk, path, state

    def outcome(self) -> dict[str, object]:
        """Return what came of the keys: entries, drafts, and what stands in the fields on the screen."""
        service = open_cellar(self.path, clock.system, by="ida")
        try:
            lines = service.view.ledger()
            entries = [(one.entry.seq, one.entry.on, one.entry.vessel, one.entry.body, one.state) for one in lines]
        finally:
            service.close()
        shelf = self.state / "cellar-tui" / "drafts" / drafts.draft_file(self.path, "ida").name
        kept = [(one.form, one.fields, one.at, one.cursor) for one in drafts.kept(shelf)]
        return {"entries": entries, "drafts": kept}

    def shown(self) -> list[str]:
        """Return the lines of the screen."""
        return [re.sub(r"\s+$", "", line) for line in self.desk.screen.display]


def cellar(folder: Path) -> Path:
    """Make the cellar that both begin with: a finished white, a second one, and two empty demijohns."""
    service = in_cellar(folder)
    for number in (2, 3):
        service.recorder.add_vessel(
            {"name": f"Demijohn {number}", "capacity": "23L", "material": "glass", "place": "shelf"}
        )
    service.close()
    return Path(service.path)


@contextmanager
def two(folder: Path) -> Iterator[tuple[Place, Place]]:
    """Open the two programs."""
    first = cellar(folder)
    with ExitStack() as stack:
        found = []
        for name in ("burst", "single"):
            (folder / name).mkdir()
            path = folder / name / "cellar.db"
            shutil.copyfile(first, path)
            desk = stack.enter_context(dashboard(path, folder / name))
            found.append(Place(desk, path, folder / name))
        yield found[0], found[1]


def compare(burst: Place, single: Place, typed: Sequence[str], cut: Cut) -> None:
    """Type the same keys at both; the outcome must be the same, then and after they were left.

    Raises:
        AssertionError: it is not; it says which keys, how they were cut, and what differs.
    """
    in_pieces(burst.desk, typed, cut)
    one_at_a_time(single.desk, typed)
    said = f"keys {' '.join(typed)!r} {b''.join(map(sent, typed))!r}\ncut {cut}"
    if not in_time(burst, single, Place.shown) and not any(STALE in one.desk.text for one in (burst, single)):
        raise AssertionError("\n".join([said, *burst.shown(), "--- one at a time:", *single.shown()]))
    for place in (burst, single):
        place.desk.settle(SLIP if typed[-1] == "Enter" else 0.0)
        one_at_a_time(place.desk, AWAY)
    if not in_time(burst, single, Place.outcome):
        raise AssertionError(f"{said}\n{burst.outcome()}\n--- one at a time:\n{single.outcome()}")


def in_time(burst: Place, single: Place, tell: Callable[[Place], object]) -> bool:
    """Wait until both tell the same; return whether they ever do."""
    end = time.monotonic() + PATIENCE
    while tell(burst) != tell(single):
        if time.monotonic() > end:
            return False
        for place in (burst, single):
            place.desk.read(0.05)
    return True


def try_drawn(folder: Path, seed: int, count: int) -> None:
    """Draw sequences of keys for place after place and compare."""
    draw = random.Random(seed)
    names = list(drawn_keys.PLACES)
    with two(folder) as (burst, single):
        for number in range(count):
            typed = drawn_keys.keys(draw, names[(seed * count + number) % len(names)])
            compare(burst, single, typed, drawn_keys.cut(draw, typed))
