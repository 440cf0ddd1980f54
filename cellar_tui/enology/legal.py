"""Legal limits as dated facts, each with its clause. They inform: local law in its present form decides."""

from __future__ import annotations

from dataclasses import dataclass

from cellar_tui.enology.errors import SUGAR, CalcError
from cellar_tui.enology.references import MEMORY, SEEN

JURISDICTIONS = ("eu", "oiv", "us", "home")
"""Whose limits are known; `home` sells nothing and takes the OIV's figures as cautions."""
COLOURS = ("red", "white", "rose", "fruit")
"""Colours the limits tell apart."""


@dataclass(frozen=True)
class Limit:
    """One limit: where it holds, what it limits, for which wine, its clause, the date of the text, how it was read."""

    jurisdiction: str
    measure: str
    wine: str
    value: float
    unit: str
    clause: str
    date: str
    mark: str

    @property
    def source(self) -> str:
        """Clause and date as they are shown beside the limit; a clause that was not read again says so."""
        said = f"{self.clause}, {self.date}"
        return said if self.mark == SEEN else f"{said}, source not verified"


EU_SUGAR_STEP = 5.0
"""Glucose and fructose [g/L] from which (that much or more) the EU allows more total SO2 [seen: eu934]."""
OIV_SUGAR_STEP = 4.0
"""Reducing sugar [g/L] over which (more than) the OIV allows more total SO2 [from memory: oiv-limits]."""

EU_SO2 = "Delegated Reg. (EU) 2019/934, Annex I Part B"
EU_VA = "Delegated Reg. (EU) 2019/934, Annex I Part C"
OIV = "OIV-MA-C1-01"
OIV_SWEETNESS = "OIV Code I.3.2"
CODEX = "Codex GSFA 14.2.4"
ENRICHMENT = "Reg. (EU) 1308/2013, Annex VIII Part I A.2, normal year"
ENRICHED = "Reg. (EU) 1308/2013, Annex VIII Part I B.7, by derogation"
US_SO2 = "27 CFR 4.22(b)(1)"
US_VA = "27 CFR 4.21(a)(1)(iv)"

LIMITS = (
    Limit("eu", "total_so2", "red", 150.0, "mg/L", EU_SO2, "2019", SEEN),
    Limit("eu", "total_so2", "white", 200.0, "mg/L", EU_SO2, "2019", SEEN),
    Limit("eu", "total_so2", "rose", 200.0, "mg/L", EU_SO2, "2019", SEEN),
    Limit("eu", "total_so2", "sweet red", 200.0, "mg/L", EU_SO2, "2019", SEEN),
    Limit("eu", "total_so2", "sweet white", 250.0, "mg/L", EU_SO2, "2019", SEEN),
    Limit("eu", "total_so2", "sweet rose", 250.0, "mg/L", EU_SO2, "2019", SEEN),
    Limit("eu", "total_so2", "fruit", 200.0, "mg/L", CODEX, "undated copy", MEMORY),
    Limit("eu", "total_so2", "listed sweet wines", 300.0, "mg/L", EU_SO2, "2019", SEEN),
    Limit("eu", "total_so2", "listed botrytised or ice wines", 400.0, "mg/L", EU_SO2, "2019", MEMORY),
    Limit("eu", "total_so2", "quality sparkling", 185.0, "mg/L", EU_SO2, "2019", MEMORY),
    Limit("eu", "total_so2", "other sparkling", 235.0, "mg/L", EU_SO2, "2019", MEMORY),
    Limit("eu", "total_so2", "liqueur wine", 150.0, "mg/L", EU_SO2, "2019", MEMORY),
    Limit("eu", "total_so2", "sweet liqueur wine", 200.0, "mg/L", EU_SO2, "2019", MEMORY),
    Limit("oiv", "total_so2", "red", 150.0, "mg/L", OIV, "2019", MEMORY),
    Limit("oiv", "total_so2", "white", 200.0, "mg/L", OIV, "2019", MEMORY),
    Limit("oiv", "total_so2", "rose", 200.0, "mg/L", OIV, "2019", MEMORY),
    Limit("oiv", "total_so2", "sweet red", 300.0, "mg/L", OIV, "2019", MEMORY),
    Limit("oiv", "total_so2", "sweet white", 300.0, "mg/L", OIV, "2019", MEMORY),
    Limit("oiv", "total_so2", "sweet rose", 300.0, "mg/L", OIV, "2019", MEMORY),
    Limit("oiv", "total_so2", "certain sweet whites", 400.0, "mg/L", OIV, "2019", MEMORY),
    Limit("oiv", "total_so2", "fruit", 200.0, "mg/L", CODEX, "undated copy", MEMORY),
    Limit("us", "total_so2", "any", 350.0, "mg/L", US_SO2, "undated copy", SEEN),
    Limit("au/nz", "total_so2", "sugar under 35 g/L", 250.0, "mg/L", "Food Standards Code", "undated", MEMORY),
    Limit("au/nz", "total_so2", "sugar 35 g/L or more", 300.0, "mg/L", "Food Standards Code", "undated", MEMORY),
    Limit("ca", "free_so2", "any", 70.0, "mg/L", "as quoted in uwc2016, Table 17.1", "2016", SEEN),
    Limit("eu", "sorbic_acid", "any", 200.0, "mg/L", "Reg. (EU) 2019/934, Annex I Part A", "2019", MEMORY),
    Limit("oiv", "sorbic_acid", "any", 200.0, "mg/L", "OIV Code II.3.4.5", "undated copy", SEEN),
    Limit("us", "sorbic_acid", "any", 300.0, "mg/L", "27 CFR 24.246", "undated", MEMORY),
    Limit("eu", "va", "red", 20.0, "meq/L", EU_VA, "2019", MEMORY),
    Limit("eu", "va", "white", 18.0, "meq/L", EU_VA, "2019", MEMORY),
    Limit("eu", "va", "rose", 18.0, "meq/L", EU_VA, "2019", MEMORY),
    Limit(
        "eu", "va", "fruit", 20.0, "meq/L", "OIV-MA-C1-01; the EU has none for fruit wine", "2019", "common practice"
    ),
    Limit("oiv", "va", "any", 20.0, "meq/L", OIV, "2019", SEEN),
    Limit("us", "va", "red", 1.4, "g/L", US_VA, "2019", SEEN),
    Limit("us", "va", "white", 1.2, "g/L", US_VA, "2019", SEEN),
    Limit("us", "va", "rose", 1.2, "g/L", US_VA, "2019", SEEN),
    Limit("us", "va", "fruit", 1.2, "g/L", "27 CFR 4.21(e)", "undated", MEMORY),
    Limit("us", "va", "class without its own limit", 1.4, "g/L", "27 CFR 4.21(h)", "undated copy", SEEN),
    Limit("us", "label_threshold", "any", 10.0, "mg/L", "27 CFR 4.32(e)", "undated copy", SEEN),
    Limit("eu", "label_threshold", "any", 10.0, "mg/L", "Reg. (EU) 1169/2011, Annex II", "2011", MEMORY),
    Limit("oiv", "label_threshold", "any", 10.0, "mg/L", "Codex labelling standard", "undated", MEMORY),
    Limit("oiv", "citric_acid", "any", 1.0, "g/L", OIV, "2019", SEEN),
    Limit("oiv", "copper", "any", 1.0, "mg/L", OIV, "2019", SEEN),
    Limit("oiv", "copper", "liqueur wine from unfermented must", 2.0, "mg/L", OIV, "2019", SEEN),
    Limit("us", "copper", "any", 0.5, "mg/L", "27 CFR 24.246, as cited by a university page", "2016", SEEN),
    Limit("us", "copper_added", "any", 6.0, "mg/L", "27 CFR 24, as quoted", "undated copy", SEEN),
    Limit("oiv", "methanol", "red", 400.0, "mg/L", OIV, "2019", SEEN),
    Limit("oiv", "methanol", "white or rose", 250.0, "mg/L", OIV, "2019", SEEN),
    Limit("oiv", "metatartaric_acid", "any", 100.0, "mg/L", "OIV Code II.3.3.7", "undated", MEMORY),
    Limit("oiv", "dimethyl_dicarbonate", "any", 200.0, "mg/L", "OIV Code II.3.4.13", "undated", MEMORY),
    Limit("eu", "dimethyl_dicarbonate_sugar", "any", 5.0, "g/L", "Reg. (EC) 643/2006", "2006", SEEN),
    Limit("us", "carrier_water", "any", 1.0, "%", "27 CFR 24.246(a)(2)", "undated copy", SEEN),
    Limit("us", "gum_arabic", "any", 0.24, "g/L", "27 CFR 24.246", "undated copy", SEEN),
    Limit("us", "dap", "any", 0.96, "g/L", "27 CFR 24.246", "undated", MEMORY),
    Limit("eu", "ammonium_salts", "ferment", 1.0, "g/L", "Reg. (EC) 606/2009, Annex I A", "2009", SEEN),
    Limit("eu", "ammonium_salts", "second ferment", 0.3, "g/L", "Reg. (EC) 606/2009, Annex I A", "2009", SEEN),
    Limit("eu", "enrichment", "zone A", 3.0, "% vol", ENRICHMENT, "2013", MEMORY),
    Limit("eu", "enrichment", "zone B", 2.0, "% vol", ENRICHMENT, "2013", MEMORY),
    Limit("eu", "enrichment", "zone C", 1.5, "% vol", ENRICHMENT, "2013", MEMORY),
    Limit("eu", "enriched_red", "zone A", 12.0, "% vol", ENRICHED, "2013", SEEN),
    Limit("eu", "enriched_red", "zone B", 12.5, "% vol", ENRICHED, "2013", SEEN),
    Limit("us", "enriched_brix", "any", 25.0, "Brix", "27 CFR 24.177", "undated", MEMORY),
    Limit("oiv", "acidification", "any", 4.0, "g/L", "OIV Code II.2.1.3.1.1 and II.3.1.1.1", "undated copy", SEEN),
    Limit("oiv", "sugar", "dry", 4.0, "g/L", OIV_SWEETNESS, "undated copy", SEEN),
    Limit("oiv", "sugar", "dry by acidity", 9.0, "g/L", OIV_SWEETNESS, "undated copy", SEEN),
    Limit("oiv", "sugar", "medium dry", 12.0, "g/L", OIV_SWEETNESS, "undated copy", SEEN),
    Limit("oiv", "sugar", "medium dry by acidity", 18.0, "g/L", OIV_SWEETNESS, "undated copy", SEEN),
    Limit("oiv", "sugar", "semi-sweet", 45.0, "g/L", OIV_SWEETNESS, "undated copy", SEEN),
    Limit("oiv", "co2", "still", 4.0, "g/L", "OIV Code I.3.3", "undated copy", SEEN),
    Limit("us", "fill_tolerance", "750 mL", 2.0, "%", "27 CFR 24.255(b)", "undated copy", SEEN),
    Limit("us", "fill_tolerance", "375 mL", 3.0, "%", "27 CFR 24.255(b)", "undated copy", SEEN),
)
"""Every limit known here. Australia and New Zealand follow their food code; one textbook prints the pair swapped."""

DRY_DIFFERENCE = 2.0
"""Most by which sugar may pass TA [g/L] in a wine called dry up to 9 g/L [seen: oiv-sweetness]."""
MEDIUM_DIFFERENCE = 10.0
"""Most by which sugar may pass TA [g/L] in a wine called medium dry up to 18 g/L [seen: oiv-sweetness]."""


def find(jurisdiction: str, measure: str, wine: str) -> Limit:
    """The limit on `measure` for a wine, or for any wine there; `home` follows the OIV. CalcError when none is known.

    >>> find("eu", "total_so2", "red").value
    150.0
    """
    where = "oiv" if jurisdiction == "home" else jurisdiction
    for name in (wine, "any"):
        for limit in LIMITS:
            if (limit.jurisdiction, limit.measure, limit.wine) == (where, measure, name):
                return limit
    raise CalcError(f"no limit on {measure} is known for {wine} wine in {jurisdiction}", "jurisdiction")


def total_so2_limit(jurisdiction: str, colour: str, sugar: float) -> Limit:
    """Limit on total SO2 [mg/L] by jurisdiction, colour and sugar [g/L]: EU from 5 g/L, OIV over 4 g/L allow more.

    Valid: still grape wine; fruit wine by Codex. Outside: CalcError for an unknown jurisdiction or colour, OutOfRange
    for the sugar. Source: each limit's clause.

    >>> total_so2_limit("eu", "white", 5.0).value, total_so2_limit("oiv", "white", 4.0).value
    (250.0, 200.0)
    """
    _known(jurisdiction, colour)
    SUGAR.check(sugar)
    sweet = sugar >= EU_SUGAR_STEP if jurisdiction == "eu" else sugar > OIV_SUGAR_STEP
    stepped = sweet and colour != "fruit" and jurisdiction != "us"
    return find(jurisdiction, "total_so2", f"sweet {colour}" if stepped else colour)


def _known(jurisdiction: str, colour: str) -> None:
    if jurisdiction not in JURISDICTIONS:
        raise CalcError(f"jurisdiction {jurisdiction!r}: use one of {', '.join(JURISDICTIONS)}", "jurisdiction")
    if colour not in COLOURS:
        raise CalcError(f"colour {colour!r}: use one of {', '.join(COLOURS)}", "colour")


def must_declare(jurisdiction: str, total_so2: float) -> bool:
    """Whether total SO2 [mg/L] must be declared on a label: more than 10 in the EU, 10 or more elsewhere.

    >>> must_declare("eu", 10.0), must_declare("us", 10.0)
    (False, True)
    """
    threshold = find(jurisdiction, "label_threshold", "any").value
    return total_so2 > threshold if jurisdiction == "eu" else total_so2 >= threshold


def sweetness(sugar: float, ta: float) -> str:
    """Name of a wine's sweetness by sugar [g/L] and TA [g/L tartaric], as the OIV defines it.

    Valid: still wine. Outside: OutOfRange for the sugar. Source: oiv-sweetness.

    >>> sweetness(7.5, 6.0)
    'dry'
    """
    SUGAR.check(sugar)
    over = sugar - ta
    if sugar <= _sugar("dry") or (sugar <= _sugar("dry by acidity") and over <= DRY_DIFFERENCE):
        return "dry"
    if sugar <= _sugar("medium dry") or (sugar <= _sugar("medium dry by acidity") and over <= MEDIUM_DIFFERENCE):
        return "medium dry"
    return "semi-sweet" if sugar < _sugar("semi-sweet") else "sweet"


def _sugar(style: str) -> float:
    return find("oiv", "sugar", style).value
