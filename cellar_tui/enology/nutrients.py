"""Yeast nutrient: how much nitrogen a must needs and how much diammonium phosphate makes up the lack."""

from __future__ import annotations

from cellar_tui.enology.errors import Range
from cellar_tui.enology.tables import linear

DAP_NITROGEN = 0.2121
"""Grams of nitrogen in a gram of diammonium phosphate [computed: 28.014 / 132.056]."""
NEED_BRIX = (21.0, 23.0, 25.0, 27.0)
"""Sugar of the must [Brix] in the table of needs [from memory: bisson2000]."""
NEED_YAN = (200.0, 250.0, 300.0, 350.0)
"""Nitrogen that yeast wants at that sugar [mg N/L] [from memory: bisson2000]."""
LOWEST_YAN = 140.0
"""Least nitrogen [mg N/L] said to ferment out a must of moderate sugar [common practice: 140 to 150 as quoted]."""
DAP_LIMIT_US = 960.0
"""Most diammonium phosphate in the US [mg/L] [from memory: cfr24-246]."""
DAP_LIMIT_EU = 1000.0
"""Most ammonium salts in the EU [mg/L] [seen: eu606]."""
YAN = Range("yan", 0.0, 1000.0, "mg/L", "give yeast assimilable nitrogen in milligrams of N a litre")
"""From washed-out fruit to overfed vines [common practice]."""
NEED = Range("need", 0.0, 600.0, "mg/L", "no yeast needs more: look the need of the strain up, 140 to 350")
"""Published needs end at 350 [from memory: bisson2000]."""


def yan_need(brix: float) -> float:
    """Nitrogen [mg N/L] that yeast needs in a must of a Brix, linear between the points of the table.

    Valid: 21 to 27 Brix. Outside: OutOfRange: give the need itself; 140 to 150 is the least quoted for a lighter must.
    Pitfall: strains differ by half. Source: bisson2000 (from memory).

    >>> yan_need(24.0)
    275.0
    """
    instead = f"no need is published there: give need itself; {LOWEST_YAN:g} mg/L is the least quoted"
    return linear(NEED_BRIX, NEED_YAN, ("brix", brix), instead)


def yan_from_dap(dose: float) -> float:
    """Nitrogen [mg N/L] that a dose of diammonium phosphate [mg/L] brings: dose * 0.2121. Source: stoichiometry.

    >>> round(yan_from_dap(500.0))
    106
    """
    return dose * DAP_NITROGEN


def dap_for(yan: float, need: float) -> float:
    """Diammonium phosphate [mg/L] that lifts `yan` [mg N/L] to `need` [mg N/L]; nought when there is enough.

    Equation: (need - yan) / 0.2121. Valid: first half of the ferment. Outside: OutOfRange; later yeast no longer takes
    it up. Pitfall: eaten at once, so part of the lack should be complex nutrient. Source: stoichiometry.

    >>> round(dap_for(160.0, 275.0))
    542
    """
    return max(0.0, NEED.check(need) - YAN.check(yan)) / DAP_NITROGEN
