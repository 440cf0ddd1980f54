"""What the program says to each row of check_values.csv: by quantity, a function of the row."""

from __future__ import annotations

from tests.enology.law_checks import LAW_CHECKS
from tests.enology.rows import Check, Row, calc, number, topic
from tests.enology.second_checks import SECOND_CHECKS

POUND, US_GALLON = 453.59237, 3.785411784


def constant(module: str, name: str, *keys: object) -> Check:
    """A check of a constant, or of one cell of it."""

    def value(row: Row) -> float:
        cell = getattr(topic(module), name)
        for key in keys:
            cell = cell[key]
        return float(cell)

    return value


def _so2_share(row: Row) -> float:
    if "KHSO3" in row.text("compound"):
        return float(topic("safety").SO2_MOLAR_MASS) / row.number("M")
    return float(topic("sulfite").SO2_SHARE[_compound(row)])


def _compound(row: Row) -> str:
    return "sodium_metabisulfite" if "Na2" in row.text("compound") else "potassium_metabisulfite"


def _metabisulfite(row: Row, strength: float = 1.0) -> float:
    rise = {"raise": row.number("delta_SO2")}
    return float(calc("sulfite_addition", "amount", volume=row.litres(), strength=strength, **rise))


def _half_yield(row: Row) -> float:
    return _metabisulfite(row, row.number("fraction") / topic("sulfite").SO2_SHARE["potassium_metabisulfite"])


def _solution(percent: float) -> Check:
    def value(row: Row) -> float:
        given = {"raise": row.number("delta_SO2"), "material": "so2_solution", "concentration": percent}
        return float(calc("sulfite_addition", "amount", volume=row.litres(), **given))

    return value


def _stock(row: Row) -> float:
    rise = {"raise": row.number("delta_SO2")}
    return float(calc("sulfite_addition", "stock_volume", volume=row.litres(), **rise))


def _tablet(row: Row) -> float:
    sulfite = topic("sulfite")
    material = next(name for name, share in sulfite.SO2_SHARE.items() if abs(share - row.number("fraction")) < 0.01)
    return float(sulfite.so2_mg(sulfite.TABLET, material)) / row.litres()


def _table_cell(function: str) -> Check:
    return lambda row: float(getattr(topic("so2"), function)(row.number("alcohol"), row.number("T")))


def _pk1(row: Row) -> float:
    return float(topic("so2").usseglio_pk(row.number("alcohol"), row.number("T")))


def _correction(row: Row) -> float:
    reading = {"sample_temperature": row.number("T"), "calibration_temperature": row.number("cal")}
    return float(calc("hydrometer_correction", "sg", sg=1.0, **reading)) - 1.0


def _brix_correction(row: Row) -> float:
    brix = row.number("Brix")
    read = calc("sg_from_brix", "sg", brix=brix)
    corrected = calc("hydrometer_correction", "sg", sg=read, sample_temperature=row.number("T"))
    return float(calc("brix_from_sg", "brix", sg=corrected)) - brix


def _extract_from_residue(row: Row) -> float:
    return float(topic("gravity").sugar_from_sg(row.number("d_r")))


def _volume_gain(row: Row) -> float:
    after = calc("sugar_to_sweeten", "volume", volume=100.0, **{"raise": 100.0})
    return 1000.0 * (float(after) - 100.0) / float(calc("sugar_to_sweeten", "amount", volume=100.0, **{"raise": 100.0}))


def _most_bitartrate(row: Row) -> float:
    share = topic("tartrate").bitartrate_share
    best = max(range(3300, 4100), key=lambda ph: float(share(ph / 1000.0)))
    return best / 1000.0


def _saturation(colour: str, key: str) -> Check:
    return number("tartrate_stability", "saturation_temperature", saturation_drop=key, colour=f"@{colour}")


def _product(row: Row) -> float:
    given = (row.number("K"), row.number("tartaric"), row.number("HT_fraction"))
    return float(topic("tartrate").concentration_product(*given))


def _lost(index: int) -> Check:
    return lambda row: float(topic("tartrate").lost_with_crystals(row.number("KHT"))[index])


def _acid_weight(row: Row) -> float:
    value = row.number("volume")
    grams = calc("acid_addition", "amount", volume=value * US_GALLON, acid=row.text("acid"), **{"raise": 1.0})
    return float(grams) / (POUND if row.unit == "lb" else 1.0)


def _neutralised(row: Row) -> float:
    fall = float(topic("acidity").neutralised(1.0))
    return fall * float(topic("acidity").equivalent_factor("sulfuric")) if row.text("as") == "H2SO4" else fall


def _chalk_as_sulfuric(row: Row) -> float:
    fall = 1.0 / float(calc("deacidification", "amount", volume=1.0, lower=1.0, salt="calcium_carbonate"))
    return fall * float(topic("acidity").equivalent_factor("sulfuric"))


def _published_rate(row: Row) -> float:
    low, high = topic("acidity").CARBONATE_RANGE["potassium_bicarbonate"]
    middle = calc("deacidification", "amount", volume=1.0, lower=1.0, salt="potassium_bicarbonate")
    return float({"0.67": low, "0.9": middle, "1.33": high}[row.expected])


def _bottles(row: Row) -> float:
    given = {"bottle": 1000.0 * row.number("bottle"), "loss": 100.0 * row.number("loss")}
    return float(calc("bottle_count", "bottles", volume=row.number("volume"), **given))


def _dap(row: Row) -> float:
    return float(topic("nutrients").yan_from_dap(row.number("DAP")))


def _holding(row: Row) -> float:
    return float(calc("cold_hold_days", "days", temperature=row.number("T")))


def _freezing(name: str) -> Check:
    return lambda row: float(topic("cold").freezing_points(row.number("alcohol"))[name])


def _gas_limit(time: str) -> Check:
    return lambda row: 10_000.0 * float(topic("safety").CO2_LIMITS[time])


def _raised(row: Row) -> float:
    given = {"volume": row.litres(), "raise": row.number("raise")}
    return float(calc("sugar_to_sweeten", "amount", **given))


def _water(row: Row) -> float:
    if "T=" in row.inputs and not row.inputs.startswith("temperature"):
        return float(topic("water").water_density(row.number("T")))
    cold = row.number("temperature")
    return float(topic("water").water_density(cold) if cold >= 0.0 else topic("ethanol").density_at(0.0, cold))


PERCENT = number("molecular_so2", "percent", ph="pH", free_so2=30.0, pka="pKa1")
NEEDED = number("free_so2_needed", "free_so2", ph="pH", molecular_so2="molecular", pka="pKa1")

CHECKS: dict[str, Check] = {
    **LAW_CHECKS,
    **SECOND_CHECKS,
    "percent of free SO2 that is molecular": PERCENT,
    "free SO2 needed": NEEDED,
    "free SO2 needed (half-step row of the printed table; printed from rounded percentages)": NEEDED,
    "free SO2 needed, table built on pKa1 1.77": NEEDED,
    "sulfite (SO3 2-) share of free SO2": lambda row: 100.0 * float(topic("so2").sulfite_fraction(row.number("pH"))),
    "thermodynamic pKT": _table_cell("oiv_pkt"),
    "mixed constant pKM (ionic strength 0.038)": _table_cell("oiv_pkm"),
    "interpolated pKM": _table_cell("oiv_pkm"),
    "percent molecular, OIV constants": lambda row: (
        100.0 * float(topic("so2").molecular_fraction(row.number("pH"), _table_cell("oiv_pkm")(row)))
    ),
    "pK1 of sulfurous acid": _pk1,
    "molecular SO2": number("molecular_so2", "molecular_so2", ph="pH", free_so2="free"),
    "molecular SO2 of a dataset row (0-based index)": number(
        "molecular_so2", "molecular_so2", ph="pH", free_so2="free"
    ),
    "SO2 mass fraction": _so2_share,
    "SO2 mass fraction as published": _so2_share,
    "grams KMBS per gram SO2, published rounding": lambda row: 1.0 / float(topic("sulfite").SO2_SHARE[_compound(row)]),
    "KMBS mass": _metabisulfite,
    "KMBS mass printed in CSU extension table (at pH 3.40)": _metabisulfite,
    "KMBS mass printed with a 50 % yield convention": _half_yield,
    "volume of 5 % w/v SO2 solution": _solution(5.0),
    "volume of 6 % w/v SO2 solution": _solution(6.0),
    "volume of 10 % w/v KMBS stock": _stock,
    "KMBS for 1 L of a 5 % w/v SO2 solution": lambda row: (
        1000.0 * row.number("strength") / float(topic("sulfite").so2_mg(1.0, "potassium_metabisulfite"))
    ),
    "SO2 from one generic 0.44 g tablet assumed pure": _tablet,
    "free share of total, turbid or sweet wine": constant("sulfite", "SHARE_STAYING", "cloudy or sweet"),
    "free share of total, clean dry wine": constant("sulfite", "SHARE_STAYING", "clear and dry"),
    "share of a correction that stays free, finished wine already sulfited": constant(
        "sulfite", "SHARE_STAYING", "later"
    ),
    "addition needed": number(
        "sulfite_addition", "total_raise", volume=1.0, share="free_fraction", **{"raise": "delta_free"}
    ),
    "SO2 bound per mg acetaldehyde (1:1 molar)": constant("sulfite", "SO2_PER_ACETALDEHYDE"),
    "SO2 consumed per mg O2 at 2:1 molar": number("so2_from_oxygen", "free_so2", oxygen=1.0),
    "lower bound SO2 per mg O2 (1:1 molar)": constant("oxygen", "SO2_PER_OXYGEN_FLOOR"),
    "mean measured SO2 per mg O2 in bottle, 100 wines, 2 years": constant("oxygen", "SO2_PER_OXYGEN_MEASURED"),
    "implied free SO2 loss, barrel at 11.4 mg O2/L/yr": lambda row: (
        float(calc("so2_from_oxygen", "free_so2", oxygen=11.4, ratio=row.number("ratio"))) / 12.0
    ),
    "free SO2 after first-order decay": number(
        "so2_forecast", "free_so2", free_so2="free0", half_life="half_life", days="elapsed"
    ),
    "days until free SO2 falls to a floor": number(
        "so2_forecast", "days", free_so2="free0", half_life="half_life", target="floor"
    ),
    "sorbic acid fraction of potassium sorbate": constant("sorbate", "SORBIC_SHARE"),
    "potassium sorbate dose": number("sorbate_dose", "dose", volume=1.0, alcohol="alcohol", ph="pH"),
    "sorbic acid dose": number("sorbate_dose", "sorbic_acid", volume=1.0, alcohol="alcohol", ph=3.3),
    "potassium sorbate dose, general rule with 0.8 mg/L molecular SO2": constant("sorbate", "FLAT_RULE"),
    "sorbic acid from that dose": lambda row: float(topic("sorbate").sorbic_acid(row.number("K_sorbate"))),
    "K sorbate at the 200 mg/L sorbic acid ceiling": lambda row: float(topic("sorbate").sorbate_ceiling()),
    "K sorbate at the 300 mg/L sorbic acid ceiling": lambda row: float(topic("sorbate").sorbate_ceiling(300.0)),
    "K sorbate mass": lambda row: float(calc("sorbate_dose", "amount", volume=row.litres(), alcohol=12.0, ph=3.3)),
    "lowest free SO2 present with sorbate": constant("sorbate", "LOWEST_FREE_SO2"),
    "CO2 in wine saturated at 1 atm": lambda row: float(topic("pressure").saturation(row.number("P"), row.number("A"))),
    "gauge pressure at 20 C if all new CO2 stays dissolved": number(
        "bottle_pressure", "pressure", sugar="sugar_fermented", alcohol="A", co2="CO2_start"
    ),
    "sparkling wine minimum over-pressure": constant("pressure", "SPARKLING"),
    "Brix from SG (NBS cubic)": number("brix_from_sg", "brix", sg="SG20/20"),
    "SG from Brix (rational form)": number("sg_from_brix", "sg", brix="Brix"),
    "sugar mass concentration of a pure sucrose solution": lambda row: float(
        topic("gravity").sugar_from_brix(row.number("Brix"))
    ),
    "density of ethanol-water 20 C": number("ethanol_density", "density", alcohol="alcohol"),
    "relative density 20/20 of the distillate (d_a)": number("ethanol_density", "sg", alcohol="alcohol"),
    "dry-extract relative density d_r (Tabarie)": number("dry_extract", "sg_extract", sg="d_wine", alcohol="alcohol"),
    "total dry extract": number("dry_extract", "dry_extract", sg="d_wine", alcohol="alcohol"),
    "total dry extract from d_r": _extract_from_residue,
    "density of water": _water,
    "SG correction to add, 15 C hydrometer": _correction,
    "SG correction to add, 15 C hydrometer (printed unsigned; must be negative)": _correction,
    "SG correction to add, 20 C hydrometer, water-like liquid, soda-lime glass 25e-6/K": _correction,
    "Brix hydrometer correction, 20 C instrument": _brix_correction,
    "sugar per %vol, official": lambda row: 1.0 / float(calc("potential_alcohol", "alcohol", sugar=1.0)),
    "sugar per %vol, theoretical": constant("alcohol", "SUGAR_PER_ALCOHOL_THEORY"),
    "sugar per %vol, cellar practice": lambda row: 1.0 / float(calc("potential_alcohol", "alcohol", sugar=1.0)),
    "potential alcohol": number("potential_alcohol", "alcohol", sugar="sugar"),
    "alcohol by 131.25*(OG-FG)": number(
        "alcohol_from_gravity", "alcohol", original_gravity="OG", final_gravity="FG", method="@factor"
    ),
    "alcohol by Balling": number("alcohol_from_gravity", "alcohol", original_gravity="OG", final_gravity="FG"),
    "dry sugar to raise concentration, allowing for volume gain": _raised,
    "volume gained per kg sucrose dissolved": _volume_gain,
    "sugar concentration of 50 Brix syrup": constant("sweetening", "SYRUP_1_TO_1"),
    "invert sugar from sucrose": constant("sweetening", "INVERSION"),
    "solubility of potassium bitartrate": number(
        "bitartrate_solubility", "solubility", temperature="T", alcohol="alcohol"
    ),
    "solubility of potassium bitartrate in water": number(
        "bitartrate_solubility", "solubility", temperature="T", alcohol=0.0
    ),
    "potassium bitartrate in water, 1 g dissolves in": lambda row: (
        1000.0 / float(calc("bitartrate_solubility", "solubility", temperature=20.0, alcohol=0.0))
    ),
    "TA fall per 1 g/L KHT precipitated": _lost(0),
    "tartaric acid removed per 1 g/L KHT": _lost(1),
    "concentration product x1e5": _product,
    "CP stability limit x1e5": constant("tartrate", "PRODUCT_LIMIT", "red"),
    "bitartrate share of tartrate species": lambda row: (
        100.0 * float(topic("tartrate").bitartrate_share(row.number("pH")))
    ),
    "pH of maximum bitartrate share": _most_bitartrate,
    "saturation temperature, white": _saturation("white", "delta_conductivity_20C"),
    "saturation temperature, red or rose": _saturation("red", "delta_conductivity_30C"),
    "critical temperature from Tsat": lambda row: float(topic("tartrate").critical_temperature(row.number("Tsat"))),
    "modified mini-contact: stable below (usual)": constant("tartrate", "CONDUCTIVITY_LIMIT"),
    "modified mini-contact: stable below (stringent)": constant("tartrate", "CONDUCTIVITY_STRICT"),
    "freezing point of the ethanol-water alone, ideal cryoscopy": number(
        "freezing_point", "temperature", alcohol="alcohol"
    ),
    "freezing point rule -(ABV-1)/2": _freezing("-(alcohol - 1) / 2"),
    "freezing rule half the alcohol": _freezing("-alcohol / 2"),
    "freezing point of ethanol-water": number("freezing_point", "temperature", alcohol="alcohol"),
    "hold time, slow cold, unseeded": _holding,
    "hold time": _holding,
    "lactic acid per g L-malic": number("ta_after_malolactic", "lactic", ta=7.0, malic="malic"),
    "CO2 per g L-malic": lambda row: float(topic("malolactic").gas_formed(row.number("malic"))),
    "TA fall as tartaric": lambda row: (
        9.0 - float(calc("ta_after_malolactic", "ta", ta=9.0, malic=row.number("malic_consumed")))
    ),
    "bench-trial stock volume": number("bench_trial", "amount", dose="dose", sample="sample", stock="stock"),
    "cellar slurry volume": lambda row: float(
        calc("fining_dose", "slurry", dose=50.0, volume=2.0 * row.number("mass"), stock=row.number("slurry"))
    ),
    "nitrogen fraction of DAP": constant("nutrients", "DAP_NITROGEN"),
    "YAN supplied by DAP": _dap,
    "YAN target": number("nutrient_addition", "need", volume=1.0, yan=100.0, brix="Brix"),
    "TA conversion factor from tartaric": lambda row: float(topic("acidity").equivalent_factor(row.text("to"))),
    "milliequivalents": lambda row: float(topic("acidity").milliequivalents(row.number("TA"))),
    "acid for +1 g/L TA": _acid_weight,
    "calcium carbonate for -1 g/L TA": lambda row: float(
        calc("deacidification", "amount", volume=row.litres(), lower=1.0, salt="calcium_carbonate")
    ),
    "TA fall per 1 g/L KHCO3, neutralisation only": _neutralised,
    "TA fall per 1 g/L CaCO3": _chalk_as_sulfuric,
    "KHCO3 quoted for -1 g/L TA": _published_rate,
    "KHCO3 mass": lambda row: float(
        calc("deacidification", "amount", volume=row.litres(), lower=1.0, salt="potassium_bicarbonate")
    ),
    "pH change per 1 g/L tartaric added": lambda row: -float(topic("acidity").PH_FALL),
    "copper fraction of CuSO4.5H2O": constant("fining", "COPPER_SHARE"),
    "1 % CuSO4.5H2O for +0.1 mg/L Cu": lambda row: float(topic("fining").copper_sulfate_ml(row.litres(), 0.1)),
    "whole bottles": _bottles,
    "SO2 consumed by 2.8 mg/L headspace O2 at 4 mg/mg": number("so2_from_oxygen", "free_so2", oxygen="O2"),
    "O2 in 5 mL of air headspace of a 750 mL bottle": lambda row: float(topic("oxygen").headspace_oxygen(5.0, 750.0)),
    "SO2 NIOSH REL TWA": constant("safety", "SO2_LIMITS", "8 h"),
    "SO2 NIOSH STEL 15 min": constant("safety", "SO2_LIMITS", "15 min"),
    "SO2 IDLH": constant("safety", "SO2_LIMITS", "immediate danger"),
    "SO2 ACGIH current (STEL)": constant("safety", "SO2_STRICTEST"),
    "CO2 OSHA PEL 8 h TWA": _gas_limit("8 h"),
    "CO2 ACGIH STEL": _gas_limit("15 min"),
    "CO2 IDLH": _gas_limit("immediate danger"),
    "minimum O2 for entry": constant("safety", "OXYGEN_ENTRY"),
    "SO2 ppm to mg/m3 at 25 C": lambda row: float(topic("safety").mg_m3_per_ppm()),
    "SO2 if all KMBS is acidified in a closed room": number("so2_in_air", "concentration", amount="KMBS", room="room"),
    "CO2 from fermenting must in an unventilated room": number(
        "co2_in_room", "concentration", volume="must", sugar="sugar", room="room"
    ),
}
"""The program's figure for a row, by its quantity."""
