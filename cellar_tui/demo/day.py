"""The day on which the story of the demo cellar stands."""

from __future__ import annotations

from datetime import date
from typing import Final

STORY_DAY: Final = date(2026, 11, 26)
