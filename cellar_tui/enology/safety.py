"""What escapes into the air of a cellar: sulfur dioxide from metabisulfite, carbon dioxide from a ferment."""

from __future__ import annotations

from cellar_tui.enology.errors import SUGAR, VOLUME, Range
from cellar_tui.enology.pressure import CO2_PER_SUGAR
from cellar_tui.enology.sulfite import AMOUNT_RANGE, share_of

SO2_MOLAR_MASS = 64.064
"""Molar mass of sulfur dioxide [g/mol] [computed]."""
CO2_MOLAR_MASS = 44.0095
"""Molar mass of carbon dioxide [g/mol] [computed]."""
MOLAR_VOLUME_25 = 24.45
"""Volume of a mole of gas at 25 C [L], at which exposure limits are stated [computed]."""
MOLAR_VOLUME_20 = 24.05
"""Volume of a mole of gas at 20 C [L] [computed]."""
ROOM = Range("room", 0.1, 1_000_000.0, "m3", "give length times width times height in metres")
"""From a cupboard to a hall [common practice]."""
SO2_LIMITS = {"8 h": 2.0, "15 min": 5.0, "immediate danger": 100.0}
"""Sulfur dioxide in air [ppm] [seen: niosh1994]."""
SO2_STRICTEST = 0.25
"""Newer short-term limit for sulfur dioxide in air [ppm] [from memory: acgih]."""
CO2_LIMITS = {"8 h": 0.5, "15 min": 3.0, "immediate danger": 4.0}
"""Carbon dioxide in air [%] [seen: osha-co2]."""
OXYGEN_ENTRY = 19.5
"""Least oxygen in the air of a space anyone may enter [%] [seen: osha-entry]."""


def so2_ppm(amount_g: float, room: float, material: str = "potassium_metabisulfite") -> float:
    """Sulfur dioxide [ppm by volume] when metabisulfite [g] meets acid and all its gas stays in a room [m3].

    Equation: amount * SO2 share / 64.064 * 24.45 / room * 1000. Valid: worst case, closed room, 25 C. Outside:
    OutOfRange; near the bucket it is far higher. Source: stoichiometry.

    >>> round(so2_ppm(10.0, 20.0))
    110
    """
    moles = AMOUNT_RANGE.check(amount_g) * share_of(material) / SO2_MOLAR_MASS
    return moles * MOLAR_VOLUME_25 / ROOM.check(room) * 1000.0


def mg_m3_per_ppm() -> float:
    """Sulfur dioxide [mg/m3] in a ppm at 25 C: 64.064 / 24.45. Source: stoichiometry.

    >>> round(mg_m3_per_ppm(), 2)
    2.62
    """
    return SO2_MOLAR_MASS / MOLAR_VOLUME_25


def co2_percent(volume: float, sugar: float, room: float) -> float:
    """Carbon dioxide [% of the air] once `volume` [L] of must with `sugar` [g/L] has fermented in a closed room [m3].

    Equation: volume * sugar * 0.4886 / 44.0095 * 24.05 / (10 * room). Valid: no ventilation at all, mixed, 20 C; the
    gas is heavier than air and pools at the floor. Outside: never shown over 100 %. Source: stoichiometry.

    >>> round(co2_percent(100.0, 220.0, 60.0), 1)
    9.8
    """
    litres = VOLUME.check(volume) * SUGAR.check(sugar) * CO2_PER_SUGAR / CO2_MOLAR_MASS * MOLAR_VOLUME_20
    return min(100.0, litres / (10.0 * ROOM.check(room)))
