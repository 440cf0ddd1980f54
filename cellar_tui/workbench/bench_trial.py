"""The dose that a bench trial has chosen, worked out for the vessel by the calculation that fits what was tried."""

from __future__ import annotations

from collections.abc import Mapping

from cellar_tui.enology import acidity
from cellar_tui.ledger import trial_doses
from cellar_tui.ledger.materials import material
from cellar_tui.workbench.calculate import Unworked, Worked, run_typed
from cellar_tui.workbench.prefill import Prefilled

Typed = tuple[str, dict[str, str]]
"""Name of a calculation with what is typed into it."""


def scaled(
    stuff: str, dose: float, stock: str, offered: Mapping[str, Prefilled], *, held: float = 0.0, system: str = "metric"
) -> Worked | Unworked:
    """Return what the vessel needs at a dose, with the working.

    Args:
        stuff: what was tried.
        dose: in the unit in which it is tried; a sweetness counts the sugar that the wine holds already.
        stock: strength of the stock as typed [%], "" for the usual one.
        offered: brings the volume, as prefill() gives it for `fining_dose`.
        held: sugar that the wine holds [g/L].
        system: the house's units.
    """
    name, typed = _calculation(stuff, dose, stock, held)
    return run_typed(name, typed, offered, system=system)


def _calculation(stuff: str, dose: float, stock: str, held: float) -> Typed:
    sort, unit = material(stuff).sort, trial_doses.usual_unit(stuff)
    acid = stuff.removesuffix("_acid")
    if stuff == trial_doses.COPPER:
        return "copper_fining", {"copper": f"{dose:.6g} mg/L"}
    if sort == "sugar":
        rise = f"{max(0.0, dose - held):.6g} g/L"
        poured = material(stuff).unit != "g"
        return (
            ("syrup_to_sweeten", {"raise": rise, "syrup": f"{material(stuff).strength:g} g/L"})
            if poured
            else (
                "sugar_to_sweeten",
                {"raise": rise},
            )
        )
    if acid in acidity.ADDABLE:
        # The calculation asks for the rise of TA as tartaric; in the glass the acid itself is weighed.
        return "acid_addition", {"raise": f"{dose / acidity.equivalent_factor(acid):.6g} g/L", "acid": acid}
    in_g_hl = dose * trial_doses.IN_MG_L[unit] / trial_doses.IN_MG_L[trial_doses.FINING]
    return "fining_dose", {"dose": f"{in_g_hl:.6g} g/hL", **({"stock": stock} if stock.strip() else {})}
