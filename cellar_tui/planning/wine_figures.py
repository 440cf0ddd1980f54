"""The wine in figures, before and after an entry."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from cellar_tui.ledger.cellar import VesselInfo
from cellar_tui.ledger.contents import Contents
from cellar_tui.ledger.house import House
from cellar_tui.planning.estimate import estimate
from cellar_tui.planning.forecast.track import fading
from cellar_tui.planning.subject import Subject
from cellar_tui.planning.sugar import band


@dataclass(frozen=True, slots=True)
class WineFigures:
    """Figures of one filling; None where a value is not known.

    Volume [L], SO2 and sorbate [mg/L], sugar [g/L] (with a band where it is an estimate), alcohol [% vol], pH.
    """

    volume_l: float
    free_so2: float | None
    molecular_so2: float | None
    total_so2: float | None
    sorbate: float | None
    sugar: float | None
    alcohol: float | None
    ph: float | None
    sugar_band: tuple[float, float] | None = None


def look(contents: Contents, vessel: VesselInfo, house: House, on: date | None = None) -> WineFigures:
    """Return the figures of a filling as its ledger has them; free SO2 as expected on a day or at the last event."""
    s = Subject(contents, vessel, house)
    known = fading(s)
    found = None if known is None else estimate(known, known.since if on is None else on)
    free, molecular = (None, None) if found is None else (found.free_so2, found.molecular_so2)
    ph = None if s.ph is None else s.ph.value
    return WineFigures(s.volume, free, molecular, s.total_so2, s.sorbate, s.sugar, s.alcohol, ph, band(s))
