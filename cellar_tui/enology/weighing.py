"""Whether an amount can be weighed at all, and the solution that measures it when it cannot."""

from __future__ import annotations

from cellar_tui.enology.sulfite import STOCK, stock_ml

SCALES = (("a kitchen scale", 1.0), ("a 0.1 g scale", 0.1), ("a 0.01 g scale", 0.01))
"""Scales by name and division [g], coarsest first [common practice]."""
GOOD_SHARE = 0.05
"""Largest share of the amount that one division may be [-] [common practice]."""


def scale_for(grams: float) -> str:
    """Name of the coarsest scale whose division is at most 5 % of `grams`; empty when none is fine enough.

    >>> scale_for(1.736)
    'a 0.01 g scale'
    >>> scale_for(0.1)
    ''
    """
    return next((name for name, division in SCALES if division <= GOOD_SHARE * grams), "")


def weighing_note(grams: float, solution: bool = True, percent: float = STOCK) -> str:
    """One sentence on how to weigh `grams`, with the volume of a solution [% w/v] where weighing is poor; may be empty.

    `solution` says whether the material is one to dissolve beforehand. Source: common practice.

    >>> weighing_note(1.736)
    'weigh 1.74 g on a 0.01 g scale (a kitchen scale cannot), or make a 10 % solution: 17.4 mL'
    >>> weighing_note(250.0)
    ''
    """
    if grams <= 0.0:
        return ""
    scale = scale_for(grams)
    if scale == SCALES[0][0]:
        return ""
    instead = f"make a {percent:g} % solution: {stock_ml(grams, percent):.3g} mL" if solution else ""
    if not scale:
        poor = f"{grams:.3g} g cannot be weighed well on any common scale"
        return f"{poor}: {instead}" if instead else f"{poor}: treat a larger volume at once"
    weigh = f"weigh {grams:.3g} g on {scale} (a kitchen scale cannot)"
    return f"{weigh}, or {instead}" if instead else weigh
