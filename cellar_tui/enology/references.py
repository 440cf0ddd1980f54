"""Every source the chemistry rests on, by the short key its docstrings use.

`mark` says how the figure reached this program: `seen` was read in a copy of the source, `from memory` is known from
the literature named and was not read again, `computed` is arithmetic, `common practice` has no single source.
"""

from __future__ import annotations

from dataclasses import dataclass

MARKS = ("seen", "from memory", "computed", "common practice")
"""Every way a figure can have come here."""
SEEN, MEMORY, COMPUTED, PRACTICE = MARKS
SAID = {MEMORY: "source not verified", COMPUTED: COMPUTED, PRACTICE: PRACTICE}
"""What is said of a source where a figure is shown; nothing of one that was read."""


@dataclass(frozen=True)
class Reference:
    """One source: author or body, title, year, the table or section used, and how the figures were read."""

    author: str
    title: str
    year: str
    where: str
    mark: str

    def __str__(self) -> str:
        said = ", ".join(part for part in (self.author, self.title, self.year, self.where) if part)
        return f"{said} ({SAID[self.mark]})" if self.mark in SAID else said


OIV = "International Organisation of Vine and Wine"
EU = "European Union"
EEC = "European Economic Community"
US = "United States"

REFERENCES = {
    "uc1982": Reference("UC Cooperative Extension", "Enology Briefs I(1)", "1982", "free SO2 table", SEEN),
    "pka177": Reference("an amateur winemakers' association", "pH and SO2", "", "table built on pKa 1.77", SEEN),
    "henderson": Reference("", "Henderson-Hasselbalch equation", "", "", COMPUTED),
    "oiv323": Reference(OIV, "Sulfur dioxide, molecular method, OIV-MA-AS323-04C", "", "Tables I and II", SEEN),
    "usseglio1984": Reference("Usseglio-Tomasset & Bosia", "dissociation of sulfurous acid", "1984", "table", MEMORY),
    "uwc2016": Reference(
        "Waterhouse, Sacks & Jeffery", "Understanding Wine Chemistry", "2016", "ch. 17, Table 17.1; ch. 26.1", SEEN
    ),
    "pwv2014": Reference("Practical Winery & Vineyard", "sulfur dioxide article", "January 2014", "", SEEN),
    "peynaud1984": Reference("Peynaud", "Knowing and Making Wine", "1984", "", MEMORY),
    "stoichiometry": Reference("", "molar masses", "", "", COMPUTED),
    "arithmetic": Reference("", "arithmetic", "", "", COMPUTED),
    "practice": Reference("", "common practice of small cellars", "", "", PRACTICE),
    "underhill": Reference("Underhill", "Making Better Wines", "", "Potassium Sorbate Table", SEEN),
    "eisenman": Reference("Eisenman", "Stabilizing Sweet Wines", "", "", SEEN),
    "oiv-sorbic": Reference(OIV, "Treatment with sorbic acid, Code II.3.4.5", "", "", SEEN),
    "oiv-limits": Reference(OIV, "Maximum acceptable limits, OIV-MA-C1-01", "2019", "", SEEN),
    "oiv-sweetness": Reference(OIV, "Sugar content definitions, Code I.3.2", "", "", SEEN),
    "oiv-wines": Reference(OIV, "Wines, Code I.3.3", "", "still and sparkling", SEEN),
    "oiv-extract": Reference(OIV, "Total dry matter, OIV-MA-AS2-03B", "", "Tabarie's relation", MEMORY),
    "eu934": Reference(EU, "Delegated Regulation 2019/934", "2019", "Annex I", SEEN),
    "eu606": Reference(EU, "Regulation 606/2009", "2009", "Annex I A, note b", SEEN),
    "eu-factor": Reference(EU, "sugar to alcohol factor, also OIV", "", "16.83 g/L", MEMORY),
    "eec2676": Reference(EEC, "Regulation 2676/90", "1990", "carbon dioxide method", SEEN),
    "eec766": Reference(EEC, "Directive 76/766", "1976", "alcohol formula; later coefficients not verified", SEEN),
    "cfr24-246": Reference(US, "27 CFR 24.246", "", "table of treating materials", SEEN),
    "codex": Reference("Codex Alimentarius", "General Standard for Food Additives", "", "14.2.4", MEMORY),
    "kell1975": Reference("Kell", "density of water", "1975", "equation", MEMORY),
    "brixarticle": Reference("an encyclopaedia", "Brix", "", "cubic fitted to the NBS table", SEEN),
    "springer-app1": Reference("a wine analysis textbook", "Tables of Constants", "", "Appendix I, Table 1-1", SEEN),
    "icumsa": Reference("ICUMSA, NBS", "density of sucrose syrups", "", "", MEMORY),
    "hydrotable": Reference("a homebrewers' association", "Hydrometer Temperature Adjustment", "", "15 C table", SEEN),
    "nbs440": Reference("National Bureau of Standards", "Circular C440", "", "hydrometer corrections", MEMORY),
    "balling": Reference("Balling", "extract and alcohol", "", "formula in its modern form", MEMORY),
    "tabarie": Reference("Tabarie", "densities of wine, distillate and residue", "", "", COMPUTED),
    "handbook2": Reference(
        "Ribereau-Gayon, Glories, Maujean & Dubourdieu", "Handbook of Enology vol. 2", "", "chapter 1", SEEN
    ),
    "jackson": Reference("Jackson, as quoted elsewhere", "Wine Science", "", "cold holds", SEEN),
    "rule-less-one": Reference("", "freezing rule -(alcohol - 1) / 2", "", "", MEMORY),
    "rule-half": Reference("a wine knowledge base", "Potassium bitartrate", "", "freezing rule -alcohol / 2", SEEN),
    "freezetable": Reference("an engineering reference", "ethanol freeze protection", "", "table", SEEN),
    "berg1958": Reference("Berg & Keefer", "AJEV 9:180-193", "1958", "bitartrate solubility", MEMORY),
    "desoto1963": Reference("De Soto & Yamada", "concentration products", "1963", "limits", MEMORY),
    "wurdig1982": Reference("Wuerdig, as quoted in a review", "saturation temperature", "1982", "equations", SEEN),
    "hornsey2007": Reference("Hornsey, as quoted", "mini-contact test", "2007", "3 and 5 %", SEEN),
    "awri-mlf": Reference("AWRI", "Malolactic fermentation, Ask the AWRI", "", "", SEEN),
    "awri-acid": Reference("AWRI", "pH change by tartaric acid", "", "", MEMORY),
    "chart": Reference("a magazine", "chart of chemicals and ingredients", "", "fining doses", SEEN),
    "genoa": Reference("University of Genoa", "enology glossary", "", "potassium bicarbonate", SEEN),
    "handout": Reference("", "bench-trial handout Helpful Calculations", "", "", SEEN),
    "bisson2000": Reference("Bisson & Butzke", "AJEV 51:168-177", "2000", "nitrogen by Brix", MEMORY),
    "danilewicz": Reference(
        "Danilewicz & Standing", "Reaction Mechanisms of Oxygen and Sulfite in Red Wine", "", "", SEEN
    ),
    "pascal": Reference(
        "Pascal, Dieval & Vidal", "post-bottling sulfite evolution", "", "100 wines over two years", SEEN
    ),
    "winetech2019": Reference("Winetech", "Technical Yearbook", "2019", "oxygen at bottling", SEEN),
    "barrelnote": Reference("a wine laboratory", "Dissolved oxygen and free SO2", "2015", "", SEEN),
    "decay": Reference("", "first-order decay", "", "rates are the cellar's own; none is published", COMPUTED),
    "patterson2011": Reference("Patterson, after Peynaud", "Carbon Dioxide in Wine", "2011", "", SEEN),
    "niosh1994": Reference("NIOSH", "IDLH documentation, sulfur dioxide", "1994", "", SEEN),
    "acgih": Reference("ACGIH", "sulfur dioxide", "", "15 min, 0.25 ppm", MEMORY),
    "osha-co2": Reference("OSHA, ACGIH, NIOSH", "carbon dioxide limits", "", "", SEEN),
    "oiml-r22": Reference(
        "International Organization of Legal Metrology", "R 22, alcoholometric tables", "1975", "general formula", SEEN
    ),
    "kmw": Reference("", "three pages on Austrian must weight", "", "KMW to Oechsle; 27 KMW = 138.6 Oe", SEEN),
    "baume": Reference("", "hydrometer moduli 145 and 144.32", "", "", MEMORY),
    "proof": Reference("", "encyclopaedia pages on proof of spirits", "", "", SEEN),
    "must-table": Reference("a home winemaking page", "table of Oechsle, sugar and alcohol", "", "50 to 120 Oe", SEEN),
    "troost1988": Reference("Troost, as quoted by a winegrower", "Technologie des Weines", "1988", "50 to 80 Oe", SEEN),
    "frenchdictionary": Reference("", "French wine dictionary", "", "17 white, 18 red", SEEN),
    "usc5383": Reference(US, "26 USC 5383(b)", "1958", "35 %, fixed acid 5.0 g/L", SEEN),
    "cfr24-304": Reference(US, "27 CFR 24.304", "", "13.5 lb of sugar fill a gallon", SEEN),
    "eu1308": Reference(EU, "Regulation 1308/2013", "2013", "Annex VIII, enrichment", SEEN),
    "oiv-acid": Reference(OIV, "Acidification, Code II.2.1.3.1.1", "", "", SEEN),
    "oiv313": Reference(OIV, "Volatile acidity, OIV-MA-AS313-02, as quoted", "", "formula", SEEN),
    "ao2021": Reference("a trade magazine", "aeration-oxidation and iodine titration", "2021-22", "example", SEEN),
    "formol": Reference("", "formol titration handouts, after Zoecklein", "", "28 mg/L a mL 0.1 N on 50 mL", SEEN),
    "terrill2011": Reference("Terrill", "refractometer and 68 finished beers", "2011", "coefficients", SEEN),
    "novotny2017": Reference("Novotny", "refractometer in fermenting beer", "2017", "coefficients", MEMORY),
    "roesener": Reference("Roesener", "measuring alcohol and solids by two instruments", "", "formula", SEEN),
    "builder": Reference("", "Builder-Mechanic handbook, cask gauging", "19th century", "rules and example", SEEN),
    "geometry": Reference("", "geometry of solids", "", "", COMPUTED),
    "flushing2023": Reference("", "inert gas in empty tanks, Beverages 9(1):19", "2023", "25 % of the volume", SEEN),
    "awri-tn06": Reference("AWRI", "Technical Note TN06, hydrogen peroxide", "", "", SEEN),
    "iowa-copper": Reference("Dharmadhikari, Iowa State University", "copper trial", "", "", SEEN),
    "ucd-copper2016": Reference("Godshaw, UC Davis", "copper, citing 27 CFR 24.246", "2016", "0.5 mg/L left", SEEN),
    "iapws": Reference("IAPWS", "Henry constant of carbon dioxide in water", "", "", COMPUTED),
    "liger2017": Reference("Liger-Belair et al.", "Scientific Reports 7", "2017", "Table 1", SEEN),
    "glasspages": Reference("", "home-brewing pages on beer bottles", "", "", MEMORY),
    "melinder": Reference("Melinder", "secondary coolants, ethanol and water", "", "as in CoolProp", COMPUTED),
    "lange": Reference("Lange", "Handbook of Chemistry", "", "Table 5.13", SEEN),
    "so2-thermo": Reference("", "Ka 1.3e-2 and 17.8 kJ/mol, atmospheric chemistry text", "", "", SEEN),
    "dartiguenave2000": Reference("Dartiguenave et al., in handbook2", "buffer capacity", "2000", "Table 1.6", SEEN),
    "eu1169": Reference(EU, "Regulation 1169/2011, as quoted on a label help page", "2011", "Annex XIV", SEEN),
    "osha-entry": Reference("OSHA", "confined spaces", "", "oxygen 19.5 %", SEEN),
}
"""Sources by key. Where a work was seen in part, `where` says which part."""


def cite(*keys: str) -> str:
    """The sources of the given keys as one line of text; KeyError for a key that is not in the list.

    >>> cite("underhill")
    'Underhill, Making Better Wines, Potassium Sorbate Table'
    """
    return "; ".join(str(REFERENCES[key]) for key in keys)
