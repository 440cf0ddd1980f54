"""What an entry would do, as lines: the wine before and after, the dates that move, what the guards say."""

from __future__ import annotations

from itertools import takewhile

from cellar_tui.language import describe_change, quantities
from cellar_tui.language.clean_text import cells
from cellar_tui.language.layout import column, wrapped
from cellar_tui.planning.wine_figures import WineFigures
from cellar_tui.service.views import Change, Outcome

DIGITS = {"L": 1, "mg/L": 0, "g/L": 1, "% vol": 1, "pH": 2}
FIGURES_WIDE = 44
"""Width [cells] of the figures before and after where the dates stand beside them."""
BESIDE = 84
"""Width [cells] from which they do."""
Line = tuple[str, str]
"""A line of text with the name of its tone: plain, warn, stop, quiet, head."""


def _value(look: WineFigures | None, name: str, unit: str, units: str) -> str:
    value = None if look is None else getattr(look, name)
    if value is None:
        return "-"
    digits = 2 if name == "molecular_so2" else DIGITS[unit]
    estimated = name == "sugar" and look is not None and look.sugar_band is not None
    return ("~" if estimated else "") + quantities.number(value, unit, system=units, figures=digits)


def figures(
    before: WineFigures | None,
    after: WineFigures | None,
    units: str,
    limit: float | None = None,
    *,
    brief: bool = False,
) -> list[Line]:
    """Return the wine before and after, one line a figure; what is unknown or zero on both sides is left out.

    Total SO2 stands against its legal `limit` [mg/L]; `brief` leaves out what stays as it is.
    """
    found: list[Line] = [(f"{'':<9}{'before':>8}{'after':>8}", "quiet")]
    for label, name, unit in describe_change.FIGURES:
        old, new = (_value(look, name, unit, units) for look in (before, after))
        if not ({old, new} <= {"-", "0", "0.0", "~0", "~0.0"} or (brief and old == new)):
            shown = "" if unit == "pH" else f" {quantities.shown_unit(unit, units)}"
            shown += f" of {limit:.0f}" if name == "total_so2" and limit is not None else ""
            found.append((f"{label:<9}{old:>8}{new:>8}{shown}", "plain"))
    return found if len(found) > 1 else []


def rise(outcome: Outcome) -> str:
    """Return what a sulfite raises, total and free at the share in force; "" for anything else."""
    return describe_change.rise(outcome.entry, outcome.after, outcome.share)


def change(one: Change, units: str) -> str:
    """Return an action that moves, as it was and as it will be."""
    was, now = (None if task is None else task.action for task in (one.was, one.now))
    return describe_change.moved(one.action, was, now, units)


def moving(outcome: Outcome) -> str:
    """Return how many dates and doses an entry moves that governs every wine."""
    vessels = len({one.vessel for one in outcome.changes})
    if not vessels:
        return "No date and no dose moves."
    dates = "1 date or dose moves" if len(outcome.changes) == 1 else f"{len(outcome.changes)} dates or doses move"
    return f"{dates} in {'1 vessel' if vessels == 1 else f'{vessels} vessels'}:"


def lines(
    outcome: Outcome,
    units: str,
    width: int,
    *,
    waived: bool = False,
    limit: float | None = None,
    brief: bool = False,
) -> list[Line]:
    """Return everything to be known before Enter: stops, cautions, figures, dates that move.

    `brief` leaves out the figures that stay as they are, so that the dates are in sight on a small screen.
    """
    found: list[Line] = []
    for stop in outcome.stops:
        mark = "waived: " if waived and stop.waivable else "STOP: "
        found += [(text, "stop") for text in wrapped(mark + stop.why, width)]
    for caution in outcome.cautions:
        found += [(text, "warn") for text in wrapped(f"! {caution.why}", width)]
    wine: list[Line] = []
    if outcome.before is not None or outcome.after is not None:
        wine += figures(outcome.before, outcome.after, units, limit, brief=brief)
    beside = width >= BESIDE and bool(wine)
    room = FIGURES_WIDE - 2 if beside else width
    wine += [(text, "head") for text in wrapped(rise(outcome), room)] if rise(outcome) else []
    if beside:
        return found + _beside(wine, _moves(outcome, units, width - FIGURES_WIDE))
    return found + wine + _moves(outcome, units, width)


def _moves(outcome: Outcome, units: str, width: int) -> list[Line]:
    """Return the dates and doses that move, a line each."""
    found: list[Line] = [(moving(outcome), "head")] if not outcome.vessel else []
    for one in outcome.changes:
        where = "" if one.vessel == outcome.vessel else f"{one.vessel} · "
        found += [(text, "plain") for text in wrapped(where + change(one, units), width)]
    return found


def _beside(left: list[Line], right: list[Line]) -> list[Line]:
    """Return two lists side by side, so that what follows them stays in sight; a line of both is plain."""
    lefts = [*left, *[("", "plain")] * (len(right) - len(left))]
    rights = [text for text, _ in right] + [""] * (len(lefts) - len(right))
    pairs = zip(lefts, rights, strict=True)
    return [(f"{column(text, FIGURES_WIDE)}{one}".rstrip(), "plain" if one else tone) for (text, tone), one in pairs]


def with_care(found: list[Line], cautions: list[str], width: int) -> list[Line]:
    """Return the lines with the cautions of the work: beside the figures where there is room, else below them."""
    if width < BESIDE or not found:
        return found + careful_lines(cautions, width)
    free = sum(1 for _ in takewhile(lambda line: cells(line[0]) < FIGURES_WIDE, reversed(found)))
    care = careful_lines(cautions, width - FIGURES_WIDE)
    first = len(found) - free
    return [*found[:first], *_beside(found[first:], care)]


def cut(found: list[Line], width: int, height: int, begin: int = 0) -> list[Line]:
    """Return `height` lines from `begin` on; what does not fit is told by a last line, with the key to it."""
    rest = found[begin:]
    if len(rest) <= height:
        return rest
    more = f"… {len(rest) - height + 1} more lines: PgDn"
    return [*rest[: height - 1], (column(more, width), "quiet")]


def careful_lines(cautions: list[str], width: int) -> list[Line]:
    """Return the cautions of the work as lines."""
    return [(text, "quiet") for caution in cautions for text in wrapped(f"· {caution}", width)]
