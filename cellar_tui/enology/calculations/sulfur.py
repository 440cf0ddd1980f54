"""Calculations on sulfur dioxide: molecular SO2, doses, and how free SO2 runs down."""

from __future__ import annotations

from cellar_tui.enology import methods, oxygen, so2, sulfite
from cellar_tui.enology.calculations.common import PH_INPUT, VOLUME_INPUT
from cellar_tui.enology.calculations.model import REQUIRED, Given, Input, Outcome, Quantity, calculation, kept
from cellar_tui.enology.errors import PH, CalcError, Range
from cellar_tui.enology.weighing import weighing_note

PKA_INPUT = Input("pka", "", so2.PKA, "the dissociation constant to use", limits=so2.PKA_RANGE)
FREE_INPUT = Input("free_so2", "mg/L", REQUIRED, "the free SO2 reading", limits=so2.FREE_RANGE)
MOLECULAR_INPUT = Input("molecular_so2", "mg/L", REQUIRED, "the molecular SO2 wanted", limits=so2.MOLECULAR_RANGE)
DEFAULT_SOLUTION = 5.0
"""Strength taken for an SO2 solution when none is given [% w/v] [common practice]."""
READING_ERROR = 2.0
"""Error taken for a free SO2 reading when none is given, that of aeration-oxidation [mg/L] [common practice]."""
PHARMACY = 3.0
"""Strength of the peroxide that pharmacies sell [% w/v] [common practice]."""
FREE_ERROR = Range("free_so2_error", 0.0, 50.0, "mg/L", "aspiration errs by 2, titration by 3, a strip by 10")
PH_ERROR = Range("ph_error", 0.0, 0.5, "", "a calibrated meter errs by 0.05")
FOR_READINGS = ("ph_error", "free_so2_error", "pka")
"""Inputs that count only where the rise is worked out from readings."""
OIV_ALCOHOL = Range("alcohol", 0.0, 20.0, "% vol", "the table of constants ends there; leave alcohol out")
OIV_TEMPERATURE = Range("temperature", 20.0, 25.0, "C", "constants for wine are printed for 20 and 25 C only")


def _ph_caution(ph: float) -> str:
    low, high = so2.TRUSTED_PH
    return "" if low <= ph <= high else f"the formula was compared with tables from pH {low:g} to {high:g} only"


@calculation(
    "molecular_so2",
    "Molecular SO2 from free SO2 and pH",
    (
        PH_INPUT,
        FREE_INPUT,
        PKA_INPUT,
        Input("alcohol", "% vol", None, "the alcohol, to show the OIV's correction beside it", limits=OIV_ALCOHOL),
        Input("temperature", "C", 20.0, "the temperature of that correction", limits=OIV_TEMPERATURE),
    ),
    ("uc1982", "pka177", "oiv323", "so2-thermo", "henderson"),
)
def molecular_so2(given: Given) -> Outcome:
    """Molecular SO2 [mg/L] and its share of the free SO2 [%]. Valid: pH 2.8 to 4.2, free SO2 to 150 mg/L.

    With an alcohol the OIV's corrected figure stands beside it; it is higher and must not be used to dose less.
    """
    ph, free = given.number("ph"), given.number("free_so2")
    result = so2.molecular(free, ph, given.number("pka"))
    percent = 100.0 * so2.molecular_fraction(ph, given.number("pka"))
    values = {"molecular_so2": Quantity(result, "mg/L"), "percent": Quantity(percent, "%")}
    correction = ""
    if given.has("alcohol"):
        constant = so2.oiv_pkm(given.number("alcohol"), given.number("temperature"))
        corrected = so2.molecular(free, ph, constant)
        values["oiv_molecular_so2"] = Quantity(corrected, "mg/L")
        own = so2.molecular(free, ph, so2.wine_pka(given.number("alcohol"), given.number("temperature")))
        correction = (
            f"the OIV's constant {constant:.3f} gives {corrected:.2f} mg/L, one by the heat of ionisation {own:.2f} "
            "(the OIV's column for 25 C is 0.14 too high against it): do not dose less on their account"
        )
    return Outcome(
        values,
        "molecular = free / (1 + 10^(pH - pKa))",
        kept(
            f"with pKa {so2.OTHER_PKA:g}, the other published constant, it is "
            f"{so2.molecular(free, ph, so2.OTHER_PKA):.2f} mg/L",
            correction,
            _ph_caution(ph),
            f"over {so2.IRRITATION:g} mg/L molecular SO2 is sharp on the nose" if result > so2.IRRITATION else "",
            f"over {so2.TRUSTED_FREE:g} mg/L free the reading is doubtful" if free > so2.TRUSTED_FREE else "",
        ),
        () if given.has("alcohol") else ("temperature",),
    )


@calculation(
    "free_so2_needed",
    "Free SO2 needed for a molecular SO2",
    (PH_INPUT, MOLECULAR_INPUT, PKA_INPUT),
    ("uc1982", "pka177", "henderson"),
)
def free_so2_needed(given: Given) -> Outcome:
    """Free SO2 [mg/L] that gives the molecular SO2 wanted at a pH. Valid: pH 2.8 to 4.2, targets 0.5 to 2 mg/L."""
    ph, wanted = given.number("ph"), given.number("molecular_so2")
    free = so2.free_needed(wanted, ph, given.number("pka"))
    other = so2.free_needed(wanted, ph, so2.OTHER_PKA)
    lower = f"over {so2.HIGH_NEED:g} mg/L: in a red wine try tartaric acid first, a lower pH needs less"
    return Outcome(
        {"free_so2": Quantity(free, "mg/L")},
        "free = molecular * (1 + 10^(pH - pKa))",
        kept(
            f"the table built on pKa {so2.OTHER_PKA:g} asks for {other:.0f} mg/L",
            f"a pH error of {methods.PH_ERROR:g} moves this by 12 %",
            _ph_caution(ph),
            lower if free > so2.HIGH_NEED else "",
        ),
    )


@calculation(
    "sulfite_addition",
    "Metabisulfite or SO2 solution to add",
    (
        VOLUME_INPUT,
        Input("raise", "mg/L", None, "the rise of free SO2", limits=sulfite.RAISE_RANGE),
        Input("ph", "", None, "the pH, instead of a rise", limits=PH),
        Input("free_so2", "mg/L", None, "the free SO2 reading, instead of a rise", limits=so2.FREE_RANGE),
        Input("molecular_so2", "mg/L", None, "the molecular SO2 wanted", limits=so2.MOLECULAR_RANGE),
        Input("material", "", "potassium_metabisulfite", "the material", (*sulfite.SO2_SHARE, "so2_solution")),
        Input("share", "", 1.0, "the fraction that stays free", limits=sulfite.SHARE_RANGE),
        Input("strength", "", 1.0, "what is left of the powder's strength", limits=sulfite.STRENGTH_RANGE),
        Input("concentration", "%", None, "the strength of the solution", limits=sulfite.CONCENTRATION_RANGE),
        Input("ph_error", "", methods.PH_ERROR, "the error of the pH", limits=PH_ERROR),
        Input("free_so2_error", "mg/L", READING_ERROR, "the error of the free SO2 reading", limits=FREE_ERROR),
        PKA_INPUT,
    ),
    ("pwv2014", "peynaud1984", "uc1982", "stoichiometry"),
)
def sulfite_addition(given: Given) -> Outcome:
    """Amount of metabisulfite [g] or SO2 solution [mL] for a rise of free SO2, or for a molecular SO2 at a pH.

    `raise` is the rise of free SO2; what goes into the total is `total_raise` = raise / share. From readings the band
    that their errors leave is shown. Powder: dissolve in water in open air; never acid on dry metabisulfite.
    """
    rise, band = _rise(given)
    values = {"amount": _amount(given, rise), "raise": Quantity(rise, "mg/L")}
    values["total_raise"] = Quantity(rise / given.number("share"), "mg/L")
    if band:
        values["amount_low"], values["amount_high"] = _amount(given, band[0]), _amount(given, band[1])
    if given.text("material") == "so2_solution":
        values["concentration"] = Quantity(_concentration(given), "%")
        formula = "mL = volume * raise / (10 * concentration * share)"
    else:
        grams = values["amount"].number
        values["stock_volume"] = Quantity(sulfite.stock_ml(grams, _concentration(given)), "mL")
        formula = "g = volume * raise / (1000 * SO2 share * fraction that stays free * strength)"
    return Outcome(values, formula, _addition_cautions(given, values, band), () if band else FOR_READINGS)


def _rise(given: Given) -> tuple[float, tuple[float, float] | None]:
    """Rise of free SO2 [mg/L], and the lowest and highest that the errors of the readings allow."""
    readings = [name for name in ("ph", "free_so2", "molecular_so2") if given.has(name)]
    if given.has("raise"):
        if readings:
            raise CalcError("raise says it all: leave out ph, free_so2 and molecular_so2, or leave out raise", "raise")
        return given.number("raise"), None
    if not readings:
        raise CalcError("raise is missing: give raise, or ph, free_so2 and molecular_so2", "raise")
    ph, free, wanted = given.number("ph"), given.number("free_so2"), given.number("molecular_so2")
    ph_error, free_error = given.number("ph_error"), given.number("free_so2_error")

    def lack(at_ph: float, at_free: float) -> float:
        held = min(max(at_ph, PH.low), PH.high)
        return max(0.0, so2.free_needed(wanted, held, given.number("pka")) - max(0.0, at_free))

    band = (lack(ph - ph_error, free + free_error), lack(ph + ph_error, free - free_error))
    return lack(ph, free), band


def _concentration(given: Given) -> float:
    """Strength of the solution [%]: SO2 in an SO2 solution, metabisulfite in the cellar's stock."""
    if given.has("concentration"):
        return given.number("concentration")
    return DEFAULT_SOLUTION if given.text("material") == "so2_solution" else sulfite.STOCK


def _amount(given: Given, rise: float) -> Quantity:
    volume, share, material = given.number("volume"), given.number("share"), given.text("material")
    if material == "so2_solution":
        return Quantity(
            sulfite.solution_ml(volume, rise, _concentration(given) * given.number("strength"), share), "mL"
        )
    return Quantity(sulfite.grams_for(volume, rise, material, share, given.number("strength")), "g")


def _addition_cautions(given: Given, values: dict[str, Quantity], band: tuple[float, float] | None) -> tuple[str, ...]:
    rise = values["raise"].number
    solution = given.text("material") == "so2_solution"
    width = (
        f"the errors of pH and free SO2 leave a rise anywhere from {band[0]:.0f} to {band[1]:.0f} mg/L" if band else ""
    )
    shares = ", ".join(f"{share:g} {state}" for state, share in sulfite.SHARE_STAYING.items())
    free = f"all of it is taken to stay free; part of it binds (share {shares}): measure again after 3 days"
    assumed = f"{DEFAULT_SOLUTION:g} % solution is assumed: give concentration if yours differs"
    spent = "powder this old is guesswork: measure again, and buy fresh" if given.number("strength") < 1.0 else ""
    return kept(
        "no addition is needed: the reading is at or over the target" if rise == 0.0 else "",
        width,
        free if given.number("share") == 1.0 else "",
        assumed if solution and not given.has("concentration") else "",
        spent,
        "" if solution else weighing_note(values["amount"].number, percent=_concentration(given)),
    )


@calculation(
    "so2_forecast",
    "Free SO2 after some days, or days until it falls to a target",
    (
        FREE_INPUT,
        Input("half_life", "d", REQUIRED, "the half-life of free SO2 in this vessel", limits=oxygen.HALF_LIFE),
        Input("days", "d", None, "the days to look ahead", limits=oxygen.DAYS),
        Input("target", "mg/L", None, "the free SO2 to keep", limits=so2.FREE_RANGE),
    ),
    ("decay",),
)
def so2_forecast(given: Given) -> Outcome:
    """Free SO2 [mg/L] after `days`, or the days until it falls to `target`. Valid: closed vessel, up to 180 days."""
    free, half_life = given.number("free_so2"), given.number("half_life")
    unpublished = "no half-life is published for any vessel: use one from your own two readings, and measure"
    if given.one_of("days", "target") == "days":
        days = given.number("days")
        values = {"free_so2": Quantity(oxygen.free_after(free, half_life, days), "mg/L")}
        formula = "free = free now * exp(-ln 2 * days / half-life)"
    else:
        days = oxygen.days_until(free, given.number("target"), half_life)
        values = {"days": Quantity(days, "d")}
        formula = "days = half-life * ln(free / target) / ln 2"
    far = f"beyond {oxygen.TRUSTED_DAYS:g} days this is a guess" if days > oxygen.TRUSTED_DAYS else ""
    return Outcome(values, formula, kept(unpublished, far))


@calculation(
    "so2_from_oxygen",
    "Free SO2 that oxygen uses up",
    (
        Input("oxygen", "mg/L", REQUIRED, "the oxygen taken up", limits=oxygen.OXYGEN),
        Input("ratio", "mg/mg", oxygen.SO2_PER_OXYGEN, "mg SO2 for a mg of oxygen", limits=oxygen.RATIO),
    ),
    ("danilewicz", "pascal"),
)
def so2_from_oxygen(given: Given) -> Outcome:
    """Free SO2 [mg/L] lost to an amount of oxygen [mg/L]. Valid: ratios from 2 (least reported) to 4 (two to one)."""
    taken, ratio = given.number("oxygen"), given.number("ratio")
    floor = oxygen.so2_lost(taken, oxygen.SO2_PER_OXYGEN_FLOOR)
    mean = oxygen.so2_lost(taken, oxygen.SO2_PER_OXYGEN_MEASURED)
    beyond = not oxygen.SO2_PER_OXYGEN_FLOOR <= ratio <= oxygen.SO2_PER_OXYGEN
    return Outcome(
        {"free_so2": Quantity(oxygen.so2_lost(taken, ratio), "mg/L")},
        "free SO2 lost = oxygen * ratio",
        kept(
            f"a hundred bottled wines lost {mean:.3g} mg/L on average, and never under {floor:.3g} is reported",
            "a ratio outside 2 to 4 has not been published" if beyond else "",
        ),
    )


@calculation(
    "so2_pka",
    "Dissociation constant of SO2 in a wine",
    (
        Input("alcohol", "% vol", REQUIRED, "the alcohol of the wine", limits=so2.WINE_ALCOHOL),
        Input("temperature", "C", REQUIRED, "the temperature of the wine", limits=so2.WINE_TEMPERATURE),
    ),
    ("so2-thermo", "oiv323", "uc1982"),
)
def so2_pka(given: Given) -> Outcome:
    """First dissociation constant of SO2 at an alcohol and a temperature, within 0.05. Never dose less on it."""
    found = so2.wine_pka(given.number("alcohol"), given.number("temperature"))
    return Outcome(
        {"pka": Quantity(found, ""), "default_pka": Quantity(so2.PKA, "")},
        "pKa = 1.86 + 929.4 (1 / 298.15 - 1 / T) + 0.0201 alcohol - 0.08",
        (
            f"never dose less on it: the targets of 0.5 and 0.8 mg/L were set with {so2.PKA:g}",
            "the OIV's own slope with temperature is four times as steep, and not credible",
        ),
    )


@calculation(
    "so2_removal",
    "Hydrogen peroxide to take SO2 out",
    (
        VOLUME_INPUT,
        Input("lower", "mg/L", REQUIRED, "the SO2 to take out", limits=sulfite.LOWER),
        Input("strength", "%", REQUIRED, "the strength of the peroxide, w/v", limits=sulfite.PEROXIDE_STRENGTH),
    ),
    ("stoichiometry", "awri-tn06"),
)
def so2_removal(given: Given) -> Outcome:
    """Hydrogen peroxide [mL] that takes SO2 out of a wine: laboratory work, a last resort after racking or blending."""
    amount = sulfite.peroxide_ml(given.number("volume"), given.number("lower"), given.number("strength"))
    return Outcome(
        {"amount": Quantity(amount, "mL")},
        "mL = 0.5309 * volume * lower / (10 * strength)",
        kept(
            "not permitted in the EU; Australia lets at most 1 mg/L stay; check your local rules before anything else",
            "laboratory work: dose half, diluted under 1 % and well mixed, wait 3 to 4 h, measure, then the rest",
            "too much oxidises the wine for good: rack it or blend it first",
            "strong peroxide burns skin and eyes: gloves, goggles" if given.number("strength") > PHARMACY else "",
        ),
    )


CALCULATIONS = (
    molecular_so2,
    free_so2_needed,
    sulfite_addition,
    so2_forecast,
    so2_from_oxygen,
    so2_pka,
    so2_removal,
)
