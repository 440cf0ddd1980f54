"""The five verdicts of a filling."""

from __future__ import annotations

from cellar_tui.planning.plan import Verdict
from cellar_tui.planning.subject import Subject
from cellar_tui.planning.verdicts.air import AIR
from cellar_tui.planning.verdicts.bacteria import BACTERIA
from cellar_tui.planning.verdicts.base import Kind, judge
from cellar_tui.planning.verdicts.crystals import CRYSTALS
from cellar_tui.planning.verdicts.haze import HAZE
from cellar_tui.planning.verdicts.yeast import YEAST

VERDICTS: dict[str, Kind] = {kind.name: kind for kind in (YEAST, BACTERIA, AIR, CRYSTALS, HAZE)}


def verdict(s: Subject, name: str) -> Verdict:
    """Return the verdict on one kind of stability; it is reached once and kept."""
    # At an earlier moment it is reached without the house rules behind it.
    return s.ask(("verdict", name, s.earlier), lambda: judge(s, VERDICTS[name]))


def settled(s: Subject, name: str) -> bool:
    """Return whether a kind of stability is shown or waived."""
    return verdict(s, name).state in ("shown", "waived")
