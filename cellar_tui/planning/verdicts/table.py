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
    """Return the verdict on one kind of stability; it is reached once for a subject and kept."""
    if name not in s.verdicts:
        s.verdicts[name] = judge(s, VERDICTS[name])
    return s.verdicts[name]


def settled(s: Subject, name: str) -> bool:
    """Return whether a kind of stability is shown or waived."""
    return verdict(s, name).state in ("shown", "waived")
