"""How old a wine is, and the day its bottling is wished for."""

from __future__ import annotations

from datetime import date

from dateutil.relativedelta import relativedelta

from cellar_tui.planning.subject import Subject


def born(s: Subject) -> date:
    """Return the day from which it is a wine of its own: of the split or blend that made it, else of its start."""
    made = s.c.among(s.c.places.of_entry(s.c.filling))
    return s.c.log[made[0]].on if made else s.c.started


def of_age(s: Subject) -> date:
    """Return the day it reaches its minimum age, counted from harvest, else from its start."""
    months = s.intents.minimum_age
    whole = int(months)
    begun = s.c.harvested or s.c.started
    return begun + relativedelta(months=whole, days=round((months - whole) * 30))


def wished_bottling(s: Subject) -> date:
    """Return the bottling day wished, or the day it reaches its minimum age."""
    return s.intents.bottling or of_age(s)
