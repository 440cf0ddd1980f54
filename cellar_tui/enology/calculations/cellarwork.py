"""Calculations on bottling and labels, the air of the cellar, and the law."""

from __future__ import annotations

from cellar_tui.enology import acidity, bottling, label, legal, safety
from cellar_tui.enology.acidity import acetic_from_milliequivalents
from cellar_tui.enology.calculations.common import ALCOHOL_INPUT, VOLUME_INPUT
from cellar_tui.enology.calculations.model import REQUIRED, Given, Input, Outcome, Quantity, calculation, kept
from cellar_tui.enology.errors import SUGAR
from cellar_tui.enology.sulfite import AMOUNT_RANGE, SO2_SHARE

ROOM_INPUT = Input("room", "m3", REQUIRED, "the volume of the room", limits=safety.ROOM)


@calculation(
    "bottle_count",
    "Bottles from a volume",
    (
        VOLUME_INPUT,
        Input("bottle", "mL", REQUIRED, "the size of a bottle", limits=bottling.BOTTLE),
        Input("loss", "%", 0.0, "the share lost in filter and hoses", limits=bottling.LOSS),
    ),
    ("arithmetic",),
)
def bottle_count(given: Given) -> Outcome:
    """Whole bottles that a volume fills. Valid: bottles filled to their mark."""
    loss = given.number("loss")
    count = bottling.bottle_count(given.number("volume"), given.number("bottle"), loss)
    return Outcome(
        {"bottles": Quantity(count, "")},
        "bottles = floor(volume * (1 - loss) * 1000 / bottle)",
        kept("no loss is counted: filters and hoses keep 2 to 3 %" if loss == 0.0 else ""),
    )


@calculation(
    "so2_in_air",
    "SO2 in the air from metabisulfite and acid",
    (
        Input("amount", "g", REQUIRED, "the metabisulfite", limits=AMOUNT_RANGE),
        ROOM_INPUT,
        Input("material", "", "potassium_metabisulfite", "the material", tuple(SO2_SHARE)),
    ),
    ("niosh1994", "acgih", "stoichiometry"),
)
def so2_in_air(given: Given) -> Outcome:
    """SO2 [ppm] in a closed room if metabisulfite meets acid and all its gas stays. Valid: worst case, mixed."""
    ppm = safety.so2_ppm(given.number("amount"), given.number("room"), given.text("material"))
    passed = [f"{name} ({limit:g} ppm)" for name, limit in safety.SO2_LIMITS.items() if ppm > limit]
    return Outcome(
        {"concentration": Quantity(ppm, "ppm")},
        "ppm = g * SO2 share / 64.064 * 24.45 / room * 1000",
        kept(
            f"over the limit for {', '.join(passed)}: leave, ventilate" if passed else "",
            f"limits disagree: 5 ppm or {safety.SO2_STRICTEST:g} ppm for 15 minutes; asthma reacts far below",
            "powder into water, in open air; never acid on dry metabisulfite; near the bucket it is far more",
        ),
    )


@calculation(
    "co2_in_room",
    "CO2 in a room from a ferment",
    (VOLUME_INPUT, Input("sugar", "g/L", REQUIRED, "the sugar that ferments", limits=SUGAR), ROOM_INPUT),
    ("osha-co2", "osha-entry", "stoichiometry"),
)
def co2_in_room(given: Given) -> Outcome:
    """CO2 [% of the air] in a closed room once the must has fermented. Valid: no ventilation; it pools at the floor."""
    percent = safety.co2_percent(given.number("volume"), given.number("sugar"), given.number("room"))
    passed = [f"{name} ({limit:g} %)" for name, limit in safety.CO2_LIMITS.items() if percent > limit]
    return Outcome(
        {"concentration": Quantity(percent, "%")},
        "% = volume * sugar * 0.4886 / 44.0095 * 24.05 / (10 * room), at most 100",
        kept(
            f"over the limit for {', '.join(passed)}: ventilate before and while anyone is inside" if passed else "",
            "it pools at the floor and in vats: never enter alone, nor follow anyone who has dropped",
            f"no one enters air with less than {safety.OXYGEN_ENTRY:g} % oxygen",
        ),
    )


@calculation(
    "legal_limits",
    "Legal limits",
    (
        Input("jurisdiction", "", REQUIRED, "whose law", legal.JURISDICTIONS),
        Input("colour", "", REQUIRED, "the colour", legal.COLOURS),
        Input("sugar", "g/L", REQUIRED, "the sugar of the wine", limits=SUGAR),
    ),
    ("eu934", "oiv-limits", "oiv-sorbic", "cfr24-246", "codex"),
)
def legal_limits(given: Given) -> Outcome:
    """Limits on total SO2, sorbic acid and volatile acidity, and when SO2 must be declared, with clause and date.

    Valid: still wine as sold; local law in its present form decides. `home` sells nothing: the OIV's as cautions.
    """
    where, colour = given.text("jurisdiction"), given.text("colour")
    limits = {
        "total_so2": legal.total_so2_limit(where, colour, given.number("sugar")),
        "sorbic_acid": legal.find(where, "sorbic_acid", colour),
        "va": legal.find(where, "va", colour),
        "label_threshold": legal.find(where, "label_threshold", colour),
    }
    values = {name: Quantity(limit.value, limit.unit) for name, limit in limits.items()}
    if limits["va"].unit == "meq/L":
        values["va"] = Quantity(acetic_from_milliequivalents(limits["va"].value), "g/L")
    values["label_rule"] = Quantity("more than" if where == "eu" else "this much or more", "")
    dates = {limit.date: None for limit in limits.values()}
    values["date"] = Quantity(", ".join(dates), "")
    clauses = "; ".join(f"{name}: {limit.source}" for name, limit in limits.items())
    sold = "nothing is sold: the OIV's figures serve as cautions" if where == "home" else ""
    return Outcome(
        values,
        clauses,
        kept(
            sold,
            "the EU steps up at 5 g/L glucose and fructose or more, the OIV over 4 g/L of reducing sugar",
            "fruit wine: the Codex figure, where grape law does not reach" if colour == "fruit" else "",
            "copies age: the text in force where the wine is sold decides",
        ),
    )


BOTTLE_INPUT = Input("bottle", "mL", 750.0, "the size of a bottle", limits=bottling.BOTTLE)
DRINKS = {"drinks_10g": 10.0, "drinks_14g": 14.0}
"""Ethanol in a standard drink [g]: Australia and many others 10, the US 14 [seen: eu1169]."""


@calculation(
    "label_figures",
    "Energy, drinks and units for a label",
    (
        ALCOHOL_INPUT,
        Input("sugar", "g/L", REQUIRED, "the sugar of the wine", limits=SUGAR),
        Input("ta", "g/L", REQUIRED, "the titratable acidity", limits=acidity.TA_RANGE),
        Input("glycerol", "g/L", 7.0, "the glycerol", limits=label.GLYCEROL),
        BOTTLE_INPUT,
    ),
    ("eu1169", "oiml-r22"),
)
def label_figures(given: Given) -> Outcome:
    """Energy of 100 mL [kJ, kcal], and what a bottle holds in standard drinks and UK units. Valid: still wine."""
    strength, bottle = given.number("alcohol"), given.number("bottle")
    parts = strength, given.number("sugar"), given.number("ta"), given.number("glycerol")
    drinks = {name: Quantity(label.drinks(bottle, strength, grams), "") for name, grams in DRINKS.items()}
    return Outcome(
        {
            "energy_kj": Quantity(label.energy(*parts, label.KILOJOULES), "kJ"),
            "energy_kcal": Quantity(label.energy(*parts, label.KILOCALORIES), "kcal"),
            **drinks,
            "units_uk": Quantity(label.uk_units(bottle, strength), ""),
        },
        "kJ = 0.78924 alcohol * 29 + (sugar * 17 + ta * 13 + glycerol * 10) / 10; kcal with 7, 4, 3 and 2.4",
        (
            "energy and ingredients: on labels in the EU since 8 December 2023 (Reg. (EU) 2021/2117)",
            "alcohol on labels: EU whole or half units within 0.5 (0.8 sparkling, liqueur, over 3 years in bottle); "
            "US 1.5 to 14 %, 1.0 over, never across 14 (27 CFR 4.36); Australia 1.5, fortified 0.5",
            "a standard drink is 8 g in the UK, 10 in Australia, 12 in Denmark, 14 in the US, 20 in Austria",
            "copies age: the text in force where the wine is sold decides",
        ),
    )


@calculation(
    "bottle_cost",
    "What a bottle has cost",
    (
        Input("cost", "", REQUIRED, "what the lot has cost, in any one currency", limits=label.MONEY),
        VOLUME_INPUT,
        Input("bottle", "mL", REQUIRED, "the size of a bottle", limits=bottling.BOTTLE),
        Input("loss", "%", 0.0, "the share lost, each year where years are given", limits=bottling.LOSS),
        Input("dry_goods", "", 0.0, "glass, cork, capsule and label of one bottle", limits=label.GOODS),
        Input("years", "", 1.0, "the years for which that share is lost", limits=label.YEARS),
    ),
    ("arithmetic",),
)
def bottle_cost(given: Given) -> Outcome:
    """Cost of a bottle, in the currency typed: the lot over whole bottles, dry goods added. Round at the end."""
    left = label.left_after(given.number("volume"), given.number("loss"), given.number("years"))
    cost = label.bottle_cost(given.number("cost"), left, given.number("bottle"), given.number("dry_goods"))
    return Outcome(
        {"cost": Quantity(cost, "")},
        "cost / floor(volume * (1 - loss)^years / bottle) + dry_goods",
        kept("no loss is counted" if given.number("loss") == 0.0 else "", "work and rent are not in it"),
    )


CALCULATIONS = (bottle_count, label_figures, bottle_cost, so2_in_air, co2_in_room, legal_limits)
