"""The house rules that decide where a wine stands."""

from __future__ import annotations

from cellar_tui.ledger import ferment, history
from cellar_tui.ledger import malolactic as ml
from cellar_tui.planning.once import once
from cellar_tui.planning.plan import Fact
from cellar_tui.planning.spirit import by_spirit
from cellar_tui.planning.subject import Subject, clear_rule
from cellar_tui.planning.sulfur import reads


@once
def ground(s: Subject) -> tuple[Fact, ...]:  # noqa: C901 (a list of what a wine may stand on)
    """Return the changed house rules that decide where it stands, so that all that is asked of it rests on them."""
    wanted = s.intents.finish
    names: list[str] = []
    if s.c.given.finished is None and wanted in ("dry", "sweetened"):
        names += ferment.PROOF
    if wanted == "fortified" or by_spirit(s) is not None:
        names.append("spirit_strength")
    if s.end is not None and s.end.how == "finish_here":
        names.append("dry_sugar")
    if s.c.given.malolactic != "done":
        names += ml.PROOF
    if s.added("sugar"):
        names += ferment.FEEDING
    if s.c.given.stated_total:
        names.append("yeast_so2")
    if any(read.method == "strip" for read in reads(s)):
        names.append("strip_most")
    if s.alive_by_cold:
        names.append("cold_rackings")
    if wanted == "arrested" or s.alive_by_cold:
        names.append("arrest_cold")
    if history.readings(s.c, "turbidity"):
        names.append(clear_rule(s.intents))
    return s.changed(*names)
