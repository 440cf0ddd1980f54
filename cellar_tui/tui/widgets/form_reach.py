"""The two fields of an addition that follow each other: the amount, and what the wine should reach with it."""

from __future__ import annotations

from cellar_tui.tui.widgets.field_row import FieldRow
from cellar_tui.tui.widgets.form_fields import reached
from cellar_tui.tui.widgets.form_work import Work


def follow(work: Work, reach: FieldRow, amount: FieldRow, stuff: str, *, aimed: bool) -> None:
    """Write the amount that reaches what is typed (`aimed`), else what the amount that is typed reaches.

    Raises:
        CellarError: no such aim, or the wine is there already.
    """
    if not aimed:
        after = None if work.answer is None else work.answer.outcomes[0].after
        reach.put("" if after is None else reached(stuff, after))
    elif reach.entry.value.strip():
        # No amount may be left from an aim that cannot be read.
        amount.put("")
        amount.put(work.amount_for(stuff, reach.entry.value.strip()))
