"""Inputs that many calculations share."""

from __future__ import annotations

from cellar_tui.enology.calculations.model import REQUIRED, Input
from cellar_tui.enology.errors import ALCOHOL, PH, VOLUME

VOLUME_INPUT = Input("volume", "L", REQUIRED, "the volume of the wine", limits=VOLUME)
PH_INPUT = Input("ph", "", REQUIRED, "the pH of the wine", limits=PH)
ALCOHOL_INPUT = Input("alcohol", "% vol", REQUIRED, "the alcohol of the wine", limits=ALCOHOL)
COLOURS = ("white", "rose", "red", "fruit")
