"""Potassium sorbate: the dose a wine's alcohol and pH ask for, and where sorbate stops being enough."""

from __future__ import annotations

from dataclasses import dataclass

from cellar_tui.enology.errors import ALCOHOL, PH
from cellar_tui.enology.tables import bilinear, linear

SORBIC_SHARE = 0.7464
"""Grams of sorbic acid from a gram of potassium sorbate [computed: 112.128 / 150.217]."""
POTASSIUM_SHARE_SORBATE = 0.26
"""Grams of potassium in a gram of potassium sorbate [computed: 39.098 / 150.217]."""
CEILING_SORBIC = 200.0
"""Most sorbic acid allowed in wine [mg/L] [seen: oiv-sorbic; from memory: eu934]."""
ALCOHOL_ROWS = (10.0, 11.0, 12.0, 13.0, 14.0)
"""Rows of the dose table [% vol] [seen: underhill]."""
PH_COLUMNS = (3.1, 3.2, 3.3, 3.4, 3.5)
"""Columns of the dose table [seen: underhill]."""
DOSES = (
    (165.0, 180.0, 210.0, 240.0, 270.0),
    (135.0, 150.0, 180.0, 210.0, 225.0),
    (96.0, 105.0, 120.0, 135.0, 150.0),
    (78.0, 90.0, 96.0, 105.0, 120.0),
    (60.0, 66.0, 72.0, 81.0, 90.0),
)
"""Potassium sorbate [mg/L] by alcohol and pH [seen: underhill; printed as mL of a 30 g/L solution a litre]."""
OFF_TABLE = "lower the pH, filter sterile, or leave the wine dry"
PEYNAUD_SORBIC = (150.0, 125.0, 100.0, 75.0, 50.0)
"""Sorbic acid [mg/L] of a second author by the same rows of alcohol [from memory: peynaud1984]."""
FLAT_RULE = 250.0
"""Potassium sorbate [mg/L] of a third author for every sweet wine at 0.8 mg/L molecular SO2 [seen: eisenman]."""
LOWEST_FREE_SO2 = 25.0
"""Free SO2 [mg/L] that should stand beside sorbate [from memory: common practice]."""

CEILING_ALCOHOL = 9.0
"""Alcohol [% vol] under which no dose is enough; from here to the table the ceiling is given [common practice]."""
CEILING_ALCOHOL_PH = 3.3
"""Highest pH at which the ceiling is given to a wine weaker than the table [common practice]."""
CEILING_PH = 3.7
"""pH over which no dose is enough; from the table to here the ceiling is given [common practice]."""
CEILING_PH_ALCOHOL = 11.0
"""Least alcohol [% vol] at which the ceiling is given to a wine of higher pH than the table [common practice]."""


def table_dose(ph: float, alcohol: float) -> float:
    """Potassium sorbate [mg/L] for a pH and an alcohol [% vol], linear between the cells of the table.

    Valid: clear, racked wine, 10 to 14 % vol, pH 3.1 to 3.5. Outside: OutOfRange; sorbate does not replace SO2,
    stops no running ferment and with live malolactic bacteria gives a geranium smell. One cell (10 %, pH 3.5) is
    over the ceiling of 200 mg/L sorbic acid. Source: underhill.

    >>> table_dose(3.3, 12.0)
    120.0
    """
    return bilinear(ALCOHOL_ROWS, PH_COLUMNS, DOSES, ("alcohol", alcohol), ("ph", ph), OFF_TABLE)


def peynaud_dose(alcohol: float) -> float:
    """Potassium sorbate [mg/L] of a second author at an alcohol [% vol], linear, whatever the pH.

    Valid: 10 to 14 % vol, held at the ends outside. Source: peynaud1984 (from memory; stated as sorbic acid).

    >>> round(peynaud_dose(12.0))
    134
    """
    held = min(max(alcohol, ALCOHOL_ROWS[0]), ALCOHOL_ROWS[-1])
    return linear(ALCOHOL_ROWS, PEYNAUD_SORBIC, ("alcohol", held), OFF_TABLE) / SORBIC_SHARE


def sorbic_acid(sorbate: float) -> float:
    """Sorbic acid [mg/L] of a potassium sorbate dose [mg/L]: dose * 0.7464. Source: stoichiometry.

    >>> round(sorbic_acid(250.0), 1)
    186.6
    """
    return sorbate * SORBIC_SHARE


def sorbate_ceiling(ceiling_sorbic: float = CEILING_SORBIC) -> float:
    """Potassium sorbate [mg/L] at a ceiling of sorbic acid [mg/L]: ceiling / 0.7464. Source: stoichiometry.

    >>> round(sorbate_ceiling(), 1)
    268.0
    """
    return ceiling_sorbic / SORBIC_SHARE


@dataclass(frozen=True)
class SafeDose:
    """A sorbate dose [mg/L potassium sorbate] on the safe edge, what was done to get it, and whether it is enough."""

    dose: float
    notes: tuple[str, ...]
    enough: bool


def planner_dose(ph: float, alcohol: float, ceiling_sorbic: float = CEILING_SORBIC) -> SafeDose:
    """Dose [mg/L potassium sorbate] for any pH and alcohol [% vol]: the table, or its safe edge by name.

    Below pH 3.1 the 3.1 column and above 14 % the 14 % row count; 9 to 10 % up to pH 3.3, and pH 3.5 to 3.7 from
    11 %, get the ceiling; beyond, `enough` is False: lower the pH, filter, or leave the wine dry. A table dose over
    the ceiling is cut to it. Valid: pH 2.2 to 4.8, 0 to 25 % vol, else OutOfRange. Source: underhill; the edges are
    common practice.

    >>> planner_dose(3.3, 15.0)
    SafeDose(dose=72.0, notes=('over 14 % vol: the dose of the 14 % row',), enough=True)
    """
    PH.check(ph)
    ALCOHOL.check(alcohol)
    ceiling = sorbate_ceiling(ceiling_sorbic)
    if alcohol < ALCOHOL_ROWS[0] or ph > PH_COLUMNS[-1]:
        return _off_the_table(ph, alcohol, ceiling)
    notes: list[str] = []
    if ph < PH_COLUMNS[0]:
        notes.append("pH under 3.1: the dose of the pH 3.1 column")
    if alcohol > ALCOHOL_ROWS[-1]:
        notes.append("over 14 % vol: the dose of the 14 % row")
    dose = table_dose(max(ph, PH_COLUMNS[0]), min(alcohol, ALCOHOL_ROWS[-1]))
    if dose > ceiling:
        notes.append(f"the table asks for {dose:.0f} mg/L: cut to the legal {ceiling:.0f} mg/L")
    return SafeDose(min(dose, ceiling), tuple(notes), True)


def _off_the_table(ph: float, alcohol: float, ceiling: float) -> SafeDose:
    """The ceiling where it may still do, and a plain no beyond."""
    weak = CEILING_ALCOHOL <= alcohol < ALCOHOL_ROWS[0] and ph <= CEILING_ALCOHOL_PH
    high_ph = PH_COLUMNS[-1] < ph <= CEILING_PH and alcohol >= CEILING_PH_ALCOHOL
    if weak:
        return SafeDose(ceiling, ("under 10 % vol, off the table: the legal ceiling, uncertain",), True)
    if high_ph:
        return SafeDose(ceiling, ("pH over 3.5, off the table: the legal ceiling, uncertain",), True)
    return SafeDose(ceiling, ("sorbate is not enough here: lower the pH, filter sterile, or leave it dry",), False)
