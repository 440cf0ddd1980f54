"""Calculations on acid, nutrients and finings."""

from __future__ import annotations

from cellar_tui.enology import acidity, buffering, fining, gravity, legal, malolactic, nutrients
from cellar_tui.enology.blending import BUFFER
from cellar_tui.enology.calculations.common import VOLUME_INPUT
from cellar_tui.enology.calculations.model import REQUIRED, Given, Input, Outcome, Quantity, calculation, kept
from cellar_tui.enology.errors import PH
from cellar_tui.enology.weighing import weighing_note

DOSE_INPUT = Input("dose", "g/hL", REQUIRED, "the dose", limits=fining.DOSE)
SMALLEST_DROP = 0.5
"""Least volume that a pipette of a small cellar doses well [mL] [common practice]."""
SMALL_DROP = f"under {SMALLEST_DROP:g} mL doses badly: dilute the stock tenfold or take a larger sample"


@calculation(
    "ta_after_malolactic",
    "Titratable acidity after malolactic",
    (
        Input("ta", "g/L", REQUIRED, "the titratable acidity as tartaric", limits=acidity.TA_RANGE),
        Input("malic", "g/L", REQUIRED, "the malic acid", limits=malolactic.MALIC_RANGE),
        Input("malic_left", "g/L", 0.0, "the malic acid that stays", limits=malolactic.MALIC_RANGE),
    ),
    ("stoichiometry",),
)
def ta_after_malolactic(given: Given) -> Outcome:
    """TA [g/L as tartaric] after malic acid has gone, and the lactic acid [g/L] left. Valid: before crystals drop."""
    malic, left = given.number("malic"), given.number("malic_left")
    return Outcome(
        {
            "ta": Quantity(malolactic.ta_after(given.number("ta"), malic, left), "g/L"),
            "lactic": Quantity(malolactic.lactic_formed(malic, left), "g/L"),
        },
        "TA = TA before - 0.560 (malic - left); lactic = 0.672 (malic - left)",
        (
            "bitartrate that drops meanwhile lowers TA further, by 0.4 g/L for each g/L",
            "TA to pH 8.2 reads 1 to 5 % over TA to pH 7.0: keep one end point",
        ),
    )


@calculation(
    "acid_addition",
    "Acid to raise TA",
    (
        VOLUME_INPUT,
        Input("raise", "g/L", REQUIRED, "the rise of TA as tartaric", limits=acidity.RAISE_RANGE),
        Input("acid", "", REQUIRED, "the acid", acidity.ADDABLE),
    ),
    ("stoichiometry", "handout", "awri-acid"),
)
def acid_addition(given: Given) -> Outcome:
    """Acid [g] for a rise of TA. Valid: by trial and taste; cold takes part of tartaric acid out again."""
    rise, acid = given.number("raise"), given.text("acid")
    grams = acidity.acid_for(given.number("volume"), rise, acid)
    kinds = {
        "tartaric": "part of it drops again as bitartrate in the cold, and crystals must be proven again",
        "malic": "malolactic bacteria will take it: only where none is to run",
        "citric": "bacteria turn it into vinegar and butter notes, and the OIV allows 1 g/L in all",
    }
    return Outcome(
        {"amount": Quantity(grams, "g")},
        "g = volume * raise * (tartaric 1, malic 0.893, citric 0.853)",
        kept(
            f"pH falls by about {acidity.PH_FALL * rise:.2g} to {acidity.PH_FALL_SOFT * rise:.2g}, most in soft wine: "
            "measure it",
            kinds[acid],
            weighing_note(grams),
        ),
    )


@calculation(
    "deacidification",
    "Carbonate to lower TA",
    (
        VOLUME_INPUT,
        Input("lower", "g/L", REQUIRED, "the fall of TA as tartaric", limits=acidity.LOWER_RANGE),
        Input("salt", "", REQUIRED, "the salt", tuple(acidity.CARBONATE_RATE)),
    ),
    ("genoa", "stoichiometry", "handbook2"),
)
def deacidification(given: Given) -> Outcome:
    """Carbonate [g] for a fall of TA. Valid: in steps, by trial; potassium rates run from 0.67 to 1.33 g/g."""
    salt = given.text("salt")
    volume, lower = given.number("volume"), given.number("lower")
    grams = acidity.carbonate_for(volume, lower, salt)
    low, high = acidity.CARBONATE_RANGE[salt]
    at = volume * lower
    measured = f"published rates give {at * low:.3g} to {at * high:.3g} g ({low:g} to {high:g} g/g)"
    slow = "calcium tartrate drops for months: treat the must or wait before bottling"
    return Outcome(
        {"amount": Quantity(grams, "g")},
        f"g = volume * lower * {acidity.CARBONATE_RATE[salt]:.3g}",
        kept(
            f"{measured}: add less, chill, and measure again",
            slow if salt == "calcium_carbonate" else "the rise of pH partly goes back in the cold",
            weighing_note(grams, solution=False),
        ),
    )


@calculation(
    "nutrient_addition",
    "Diammonium phosphate for yeast",
    (
        VOLUME_INPUT,
        Input("yan", "mg/L", REQUIRED, "the nitrogen measured", limits=nutrients.YAN),
        Input("need", "mg/L", None, "the nitrogen needed", limits=nutrients.NEED),
        Input("brix", "Brix", None, "the Brix of the must, to look the need up", limits=gravity.BRIX),
    ),
    ("bisson2000", "stoichiometry", "eu606", "cfr24-246"),
)
def nutrient_addition(given: Given) -> Outcome:
    """DAP [g] and its dose [mg/L] for the nitrogen a must lacks. Valid: 21 to 27 Brix, first half of the ferment."""
    by_table = given.one_of("need", "brix") == "brix"
    need = nutrients.yan_need(given.number("brix")) if by_table else given.number("need")
    dose = nutrients.dap_for(given.number("yan"), need)
    grams = dose * given.number("volume") / 1000.0
    over = f"over the US limit of {nutrients.DAP_LIMIT_US:g} mg/L (EU {nutrients.DAP_LIMIT_EU:g}): use complex nutrient"
    return Outcome(
        {"amount": Quantity(grams, "g"), "dose": Quantity(dose, "mg/L"), "need": Quantity(need, "mg/L")},
        "mg/L = (need - yan) / 0.2121; g = volume * dose / 1000",
        kept(
            "the must has enough nitrogen: add none" if dose == 0.0 else "",
            over if dose > nutrients.DAP_LIMIT_US else "",
            "half after 24 h, half at a third of the sugar, none past half; part of it as complex nutrient",
            "published needs, source not verified; strains differ" if by_table else "",
            weighing_note(grams),
        ),
    )


@calculation(
    "bench_trial",
    "Stock for a bench trial",
    (
        DOSE_INPUT,
        Input("sample", "mL", REQUIRED, "the sample of wine", limits=fining.SAMPLE),
        Input("stock", "%", REQUIRED, "the strength of the stock", limits=fining.STOCK),
    ),
    ("arithmetic",),
)
def bench_trial(given: Given) -> Outcome:
    """Stock [mL] that gives a dose in a sample. Valid: stock freshly shaken, one glass left untreated beside it."""
    amount = fining.bench_ml(given.number("dose"), given.number("sample"), given.number("stock"))
    return Outcome(
        {"amount": Quantity(amount, "mL")},
        "mL = dose / 100 * sample / 1000 / (stock / 100)",
        kept(SMALL_DROP if 0.0 < amount < SMALLEST_DROP else ""),
    )


@calculation(
    "fining_dose",
    "Fining for a vessel",
    (
        DOSE_INPUT,
        VOLUME_INPUT,
        Input("stock", "%", fining.SLURRY, "the strength of the slurry", limits=fining.STOCK),
    ),
    ("arithmetic", "cfr24-246", "chart"),
)
def fining_dose(given: Given) -> Outcome:
    """Fining [g] and slurry [mL] for a dose in a vessel. Valid: a dose chosen in a bench trial."""
    volume, stock = given.number("volume"), given.number("stock")
    grams = fining.fining_grams(given.number("dose"), volume)
    slurry = fining.slurry_ml(grams, stock)
    share = slurry / volume / 10.0
    over = f"over the US limit of {fining.WATER_LIMIT:g} % water"
    water = f"the slurry is {share:.2g} % of the volume, {over}: make it thicker"
    return Outcome(
        {"amount": Quantity(grams, "g"), "slurry": Quantity(slurry, "mL")},
        "g = dose * volume / 100; mL = g / (stock / 100)",
        kept(
            water if share > fining.WATER_LIMIT else "",
            "test the treated wine again, and again after any blend",
            weighing_note(grams, percent=stock),
        ),
    )


ACID_INPUT = Input("acid", "", REQUIRED, "the acid", acidity.ADDABLE)


@calculation(
    "buffer_capacity",
    "Buffer capacity from a bench trial with acid",
    (
        ACID_INPUT,
        Input("dose", "g/L", REQUIRED, "the acid in the glass", limits=buffering.DOSE),
        Input("ph_before", "", REQUIRED, "the pH without acid", limits=PH),
        Input("ph_after", "", REQUIRED, "the pH with it", limits=PH),
    ),
    ("handbook2", "dartiguenave2000", "stoichiometry"),
)
def buffer_capacity(given: Given) -> Outcome:
    """Buffer capacity [meq/L a pH] of a wine, from one glass with acid in it. Valid: falls of 0.05 to 0.5 pH."""
    found = buffering.capacity(
        given.text("acid"), given.number("dose"), given.number("ph_before"), given.number("ph_after")
    )
    low, high = buffering.USUAL_BUFFER
    return Outcome(
        {"buffer": Quantity(found, "meq/L a pH")},
        "buffer = dose / M * 1000 * charge(mean pH) / fall of pH",
        kept(
            "" if low <= found <= high else f"whole wines hold {low:g} to {high:g}: measure both pH again",
            "take a dose that moves the pH by 0.1 or more: the meter errs by 0.05",
        ),
    )


@calculation(
    "acid_for_ph",
    "Acid for a wanted pH",
    (
        VOLUME_INPUT,
        Input("ph", "", REQUIRED, "the pH of the wine", limits=PH),
        Input("wanted", "", REQUIRED, "the pH wanted", limits=PH),
        Input("buffer", "meq/L a pH", REQUIRED, "the buffer capacity, from a bench trial", limits=BUFFER),
        ACID_INPUT,
    ),
    ("handbook2", "oiv-acid", "stoichiometry"),
)
def acid_for_ph(given: Given) -> Outcome:
    """Acid [g/L and g] that takes a wine to a pH, by the buffer capacity of a bench trial. Valid: falls up to 0.5."""
    dose = buffering.dose_for(given.number("ph"), given.number("wanted"), given.number("buffer"), given.text("acid"))
    grams = buffering.amount(given.number("volume"), dose)
    limit = legal.find("oiv", "acidification", "any").value
    over = f"over the OIV's {limit:g} g/L in must and wine together: blend, or accept a higher pH"
    return Outcome(
        {"dose": Quantity(dose, "g/L"), "amount": Quantity(grams, "g")},
        "g/L = buffer * fall of pH * M / (1000 * charge(mean pH))",
        kept(
            over if dose > limit else "",
            "add two thirds, measure after a day, then the rest; crystals that drop later move the pH again",
            "bacteria eat citric acid: none where malolactic may run" if given.text("acid") == "citric" else "",
            weighing_note(grams, solution=False),
        ),
    )


@calculation(
    "copper_fining",
    "Copper sulfate against hydrogen sulfide",
    (VOLUME_INPUT, Input("copper", "mg/L", REQUIRED, "the copper, from a bench trial", limits=fining.COPPER_DOSE)),
    ("stoichiometry", "oiv-limits", "ucd-copper2016", "iowa-copper"),
)
def copper_fining(given: Given) -> Outcome:
    """Copper sulfate with five waters [g] for a dose of copper. Valid: the least dose that worked in a bench trial."""
    volume, copper = given.number("volume"), given.number("copper")
    grams = fining.copper_sulfate_grams(volume, copper)
    stock = fining.copper_sulfate_ml(volume, copper)
    most = fining.COPPER_CAUTION
    legally = f"at most 1 mg/L may stay (OIV, EU), {most:g} in the US (27 CFR 24.246 as cited 2016; an older copy: 0.2)"
    return Outcome(
        {"amount": Quantity(grams, "g"), "stock_volume": Quantity(stock, "mL")},
        "g = volume * copper / 254.5; as 1 % solution mL = volume * copper / 2.545",
        kept(
            f"STOP: over {most:g} mg/L in all white wine hazes and copper stays" if copper > most else "",
            "poisonous, harms eyes: gloves, goggles, a weak labelled solution, after a trial only",
            "never during a ferment whose yeast is kept; disulfides do not react with it",
            f"{legally}; remove what is left by fining or filtration",
        ),
    )


CALCULATIONS = (
    ta_after_malolactic,
    acid_addition,
    acid_for_ph,
    buffer_capacity,
    copper_fining,
    deacidification,
    nutrient_addition,
    bench_trial,
    fining_dose,
)
