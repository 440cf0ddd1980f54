"""Density of water by temperature, the yardstick of every hydrometer."""

from __future__ import annotations

from cellar_tui.enology.errors import Range

KELL = (999.83952, 16.945176, -7.9870401e-3, -46.170461e-6, 105.56302e-9, -280.54253e-12)
"""Numerator of the density equation in powers of the temperature [from memory: kell1975]."""
KELL_DIVISOR = 16.879850e-3
"""Divisor of the density equation [1/K] [from memory: kell1975]."""
WATER_20 = 0.998203
"""Density of water at 20 C [kg/L] [computed: the figure behind the sugar tables]."""
TEMPERATURE = Range("sample_temperature", 0.0, 45.0, "C", "bring the sample to 15 to 25 C and measure again")
"""Liquid samples as they occur in a cellar [common practice]."""


def water_density(temperature: float) -> float:
    """Density of water [kg/m3] at a temperature [C].

    Equation: a polynomial of the fifth degree over 1 + 0.01687985 T. Valid: 0 to 45 C here, else OutOfRange.
    Source: kell1975 (from memory).

    >>> round(water_density(10.0), 2)
    999.7
    """
    TEMPERATURE.check(temperature)
    total = 0.0
    for coefficient in reversed(KELL):
        total = total * temperature + coefficient
    return total / (1.0 + KELL_DIVISOR * temperature)
