"""What the program says to the rows on law: each limit as a fact, or as the calculation gives it."""

from __future__ import annotations

from tests.enology.rows import Check, Row, calc, number, topic


def law(jurisdiction: str, measure: str, wine: str = "any") -> Check:
    """A check that the limit is known as a fact."""
    return lambda row: float(topic("legal").find(jurisdiction, measure, wine).value)


def law_by(jurisdiction: str, measure: str, key: str, wines: dict[str, str]) -> Check:
    """The same, the wine read from the row."""
    return lambda row: float(topic("legal").find(jurisdiction, measure, wines[row.text(key)]).value)


EU_WINES = {
    ("red", "<5 g/L"): ("red", 0.0),
    ("white or rose", "<5 g/L"): ("white", 4.99),
    ("red", ">=5 g/L"): ("red", 5.0),
    ("white or rose", ">=5 g/L"): ("rose", 5.0),
}
EU_SPECIAL = {
    "listed sweet, late-harvest wines": "listed sweet wines",
    "quality sparkling": "quality sparkling",
    "other sparkling": "other sparkling",
    "liqueur wine <5 g/L sugar": "liqueur wine",
    "liqueur wine >=5 g/L sugar": "sweet liqueur wine",
    "listed botrytised or ice wines": "listed botrytised or ice wines",
}
OIV_WINES = {
    "red, reducing sugar <=4 g/L": ("red", 4.0),
    "white or rose, reducing sugar <=4 g/L": ("rose", 4.0),
    "any, >4 g/L": ("red", 4.01),
}


def _eu_limit(row: Row) -> float:
    wine = row.text("wine")
    if wine in EU_SPECIAL:
        return float(topic("legal").find("eu", "total_so2", EU_SPECIAL[wine]).value)
    colour, sugar = EU_WINES[wine, row.inputs.partition("glucose+fructose=")[2]]
    return float(calc("legal_limits", "total_so2", jurisdiction="eu", colour=colour, sugar=sugar))


def _oiv_limit(row: Row) -> float:
    if row.text("wine") not in OIV_WINES:
        return float(topic("legal").find("oiv", "total_so2", "certain sweet whites").value)
    colour, sugar = OIV_WINES[row.text("wine")]
    return float(calc("legal_limits", "total_so2", jurisdiction="oiv", colour=colour, sugar=sugar))


def _converted(row: Row) -> float:
    return float(topic("acidity").acetic_from_milliequivalents(row.number("meq")))


LAW_CHECKS: dict[str, Check] = {
    "EU maximum total SO2": _eu_limit,
    "OIV maximum total SO2": _oiv_limit,
    "US maximum total SO2": number("legal_limits", "total_so2", jurisdiction="@us", colour="@white", sugar=30.0),
    "US sulfite declaration threshold (10 or more)": number(
        "legal_limits", "label_threshold", jurisdiction="@us", colour="@red", sugar=1.0
    ),
    "EU sulfite declaration threshold (more than 10)": number(
        "legal_limits", "label_threshold", jurisdiction="@eu", colour="@red", sugar=1.0
    ),
    "Australia/New Zealand maximum total SO2": law_by(
        "au/nz", "total_so2", "sugar", {"<35 g/L": "sugar under 35 g/L", ">=35 g/L": "sugar 35 g/L or more"}
    ),
    "Canada maximum free SO2": law("ca", "free_so2"),
    "OIV volatile acidity limit": law("oiv", "va"),
    "volatile acidity conversion": _converted,
    "EU volatile acidity limit": law_by("eu", "va", "wine", {"red": "red", "white or rose": "rose"}),
    "US volatile acidity limit (acetic, exclusive of SO2)": law_by(
        "us", "va", "wine", {"red": "red", "white": "white"}
    ),
    "US volatile acidity above which wine is other than standard (acetic, exclusive of SO2)": law(
        "us", "va", "class without its own limit"
    ),
    "OIV citric acid limit": law("oiv", "citric_acid"),
    "OIV copper limit": law("oiv", "copper"),
    "OIV copper limit, liqueur wine from unfermented must": law("oiv", "copper", "liqueur wine from unfermented must"),
    "OIV methanol limit": law_by("oiv", "methanol", "wine", {"red": "red", "white or rose": "white or rose"}),
    "OIV sorbic acid limit": number("legal_limits", "sorbic_acid", jurisdiction="@oiv", colour="@red", sugar=1.0),
    "EU sorbic acid limit in marketed wine": number(
        "legal_limits", "sorbic_acid", jurisdiction="@eu", colour="@fruit", sugar=1.0
    ),
    "US sorbic acid limit": number("legal_limits", "sorbic_acid", jurisdiction="@us", colour="@rose", sugar=1.0),
    "US maximum water used to carry treating materials": law("us", "carrier_water"),
    "US gum arabic limit": law("us", "gum_arabic"),
    "EU ammonium salts limit (DAP + sulfate)": law("eu", "ammonium_salts", "ferment"),
    "EU ammonium salts limit, second fermentation": law("eu", "ammonium_salts", "second ferment"),
    "US DAP limit": law("us", "dap"),
    "8 lb per 1000 US gal": law("us", "dap"),
    "DMDC maximum dose": law("oiv", "dimethyl_dicarbonate"),
    "DMDC minimum sugar in the wine, EU": law("eu", "dimethyl_dicarbonate_sugar"),
    "Metatartaric acid limit": law("oiv", "metatartaric_acid"),
    "US copper sulfate addition as Cu": law("us", "copper_added"),
    "US residual copper": law("us", "copper"),
    "OIV upper sugar limit of the style": law_by(
        "oiv",
        "sugar",
        "style",
        {
            "dry": "dry",
            "dry, when sugar - TA(tartaric) <=2": "dry by acidity",
            "medium dry": "medium dry",
            "medium dry, when sugar - TA <=10": "medium dry by acidity",
            "semi-sweet": "semi-sweet",
        },
    ),
    "OIV still wine upper CO2": law("oiv", "co2", "still"),
    "fill tolerance of a 750 mL bottle": law("us", "fill_tolerance", "750 mL"),
    "fill tolerance of a 375 mL bottle": law("us", "fill_tolerance", "375 mL"),
}
"""The program's figure for a row on law, by its quantity."""
