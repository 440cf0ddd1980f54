"""How a sulfite addition is recorded: powder by weight; what a balance cannot weigh, as a solution by volume."""

from __future__ import annotations

from cellar_tui.planning.rules.base import ResponseForm
from cellar_tui.planning.small_lot import POWDER, SOLUTION, STOCK_STRENGTH, on_the_shelf, small
from cellar_tui.planning.subject import Subject


def in_powder(s: Subject) -> bool:
    """Return whether it is large enough for a dose by weight."""
    return not small(s)


def bought(s: Subject) -> bool:
    """Return whether a solution is measured from the shelf, where its strength is known."""
    return on_the_shelf(s)


def made_up(s: Subject) -> bool:
    """Return whether a 10 % solution is made up for it."""
    return not on_the_shelf(s)


ANSWERS = (
    ResponseForm("addition", ("amount",), (("material", POWDER),), in_powder),
    ResponseForm("addition", ("amount",), (("material", SOLUTION),), bought),
    ResponseForm("addition", ("amount",), (("material", SOLUTION), ("strength", f"{STOCK_STRENGTH:g}")), made_up),
)
