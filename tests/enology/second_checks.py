"""What the program says to the rows of the second table of figures: must, spirit, laboratory, vessels, bottles."""

from __future__ import annotations

import re

from tests.enology.rows import Check, Row, calc, number, topic

WATER_AT_51F = 10.556
INCH, GALLON = 2.54, 4.54609
OLD_GALLON = 277.2742
FOOT, CUBIC_FOOT = 30.48, 28.316846592


def _first(text: str) -> float:
    """The first number of a text."""
    found = re.search(r"-?\d+(?:\.\d+)?", text)
    assert found is not None, text
    return float(found.group())


def _numbers(text: str) -> list[float]:
    return [float(one) for one in re.findall(r"-?\d+(?:\.\d+)?", text)]


def _module(name: str, function: str, *keys: str) -> Check:
    """A check of a function of the chemistry, its arguments read from the row by these keys."""
    return lambda row: float(getattr(topic(name), function)(*(row.number(key) for key in keys)))


def _oechsle_of_density(row: Row) -> float:
    return float(topic("scales").oechsle_from_sg(row.number("density_20") / 1000.0 / topic("water").WATER_20))


def _old_baume(row: Row) -> float:
    return float(topic("scales").sg_from_baume(row.number("baume"), topic("scales").BAUME_MODULUS_OLD))


def _share_where(density: float, temperature: float) -> float:
    """Mass share of ethanol at which a mixture has a density, by halving."""
    low, high = 0.0, 1.0
    for _ in range(60):
        middle = (low + high) / 2.0
        low, high = (middle, high) if topic("ethanol").density_at(middle, temperature) > density else (low, middle)
    return low


def _at_60f(row: Row) -> float:
    """% vol at 20 C of a spirit whose % vol at 60 F is half its proof: the same mass of ethanol."""
    ethanol = topic("ethanol")
    at, wanted = 15.556, row.number("proof") / 200.0
    low, high = 0.0, 1.0
    for _ in range(60):
        middle = (low + high) / 2.0
        by_volume = middle * ethanol.density_at(middle, at) / ethanol.density_at(1.0, at)
        low, high = (middle, high) if by_volume < wanted else (low, middle)
    return low


def _proof_20(row: Row) -> float:
    return float(topic("ethanol").strength_of_share(_at_60f(row)))


def _proof_sg(row: Row) -> float:
    ethanol = topic("ethanol")
    return float(ethanol.density_at(_at_60f(row), 15.556) / ethanol.density_at(0.0, 15.556))


def _proof_spirit(row: Row) -> float:
    ethanol = topic("ethanol")
    wanted = ethanol.density_at(0.0, WATER_AT_51F) * 12.0 / 13.0
    return float(ethanol.strength_of_share(_share_where(wanted, WATER_AT_51F)))


def _square(row: Row) -> float:
    given = {"volume": row.number("total"), "wanted": row.number("target")}
    return float(calc("pearson_square", "volume1", value1=row.number("value1"), value2=row.number("value2"), **given))


def _square_by_mass(row: Row) -> float:
    given = {"value1": row.number("juice"), "value2": row.number("syrup"), "wanted": row.number("target")}
    return float(calc("pearson_square", "volume1", volume=100.0, **given))


def _square_parts(row: Row) -> float:
    given = {"value1": row.number("wine"), "value2": row.number("spirit"), "wanted": row.number("target")}
    return float(calc("pearson_square", "volume2", volume=25.0, **given))


COLUMNS = ("alcohol", "ta", "sugar", "free_so2", "total_so2", "va")


def _lots(name: str) -> Check:
    def value(row: Row) -> float:
        lots = [part.split(":") for part in row.inputs.partition("(")[0].split(";")]
        volumes = tuple(_first(volume) for volume, _ in lots)
        given = tuple(float(values.strip().split("/")[COLUMNS.index(name)]) for _, values in lots)
        return float(calc("blend_lots", name, volumes=volumes, **{name: given}))

    return value


def _blended(function: str) -> Check:
    def value(row: Row) -> float:
        volumes, strengths = zip(*(_numbers(part)[:2] for part in row.inputs.split(";")), strict=True)
        given = volumes[0], strengths[0], volumes[1], strengths[1]
        return float(getattr(topic("ethanol"), function)(*given))

    return value


def _mean_ph(row: Row) -> float:
    return float(calc("blend_lots", "ph", volumes=(50.0, 50.0), ph=(3.15, 3.80)))


def _trial(row: Row) -> float:
    before, after = _numbers(row.inputs.partition("pH")[2])
    dose = row.number("tartaric")
    return float(calc("buffer_capacity", "buffer", acid="tartaric", dose=dose, ph_before=before, ph_after=after))


def _acid_for_ph(row: Row) -> float:
    ph, wanted = _numbers(row.inputs.partition(";")[0])
    given = {"ph": ph, "wanted": wanted, "buffer": row.number("beta"), "acid": "tartaric"}
    return float(calc("acid_for_ph", "dose", volume=1.0, **given))


def _sugar(row: Row) -> float:
    start, end = _numbers(row.inputs.partition(";")[0])
    given = {"alcohol": start, "wanted": end, "factor": row.number("factor")}
    return float(calc("chaptalization", "amount", volume=100.0, **given)) / 1000.0


def _reached(row: Row) -> float:
    volume, strength, sugar, factor = _numbers(row.inputs)
    return float(topic("must").alcohol_after_sugar(volume, strength, 1000.0 * sugar, factor))


def _brix_to_brix(row: Row) -> float:
    start, end = _numbers(row.inputs)
    return float(calc("chaptalization", "amount", volume=100.0, brix=start, wanted_brix=end)) / 1000.0


def _thinned(row: Row) -> float:
    ta, wanted, volume = _numbers(row.inputs)
    return float(calc("amelioration", "water", volume=volume, ta=ta, wanted=wanted))


def _titrated(name: str, result: str) -> Check:
    def value(row: Row) -> float:
        given = {"titrant": row.number("mL"), "sample": row.number("sample")}
        normality = row.number("normality") if "normality" in row.inputs else 0.1
        blank = row.number("blank") if "blank" in row.inputs else 0.0
        return float(calc(name, result, normality=normality, blank=blank, **given))

    return value


def _oiv_va(row: Row) -> float:
    return float(topic("titration").va_meq(row.number("n"), row.number("n1"), row.number("n2")))


def _va_of_meq(row: Row) -> float:
    return float(topic("acidity").acetic_from_milliequivalents(_first(row.inputs)))


def _formol_factor(row: Row) -> float:
    normality, sample = (0.05, 4.0) if "0.05" in row.inputs else (0.1, 50.0)
    return float(calc("formol_yan", "yan", titrant=1.0, normality=normality, sample=sample))


def _ascorbic(row: Row) -> float:
    return row.number("ascorbic") * float(topic("titration").ASCORBIC_AS_SO2)


def _refractometer(function: str) -> Check:
    return _module("refractometer", function, "brix0", "brix")


def _fermenting(row: Row) -> float:
    return float(calc("refractometer_ferment", "sg", brix_start=row.number("brix0"), brix=row.number("reading")))


def _in_wine(row: Row) -> float:
    given = {"alcohol": row.number("alcohol"), "sample_temperature": row.number("temperature")}
    return float(calc("hydrometer_correction", "sg", sg=row.number("reading"), **given)) - row.number("reading")


def _by_water(row: Row) -> float:
    read = row.number("reading")
    return float(topic("gravity").corrected_sg(read, row.number("temperature"))) - read


def _brix_in_must(row: Row) -> float:
    read = topic("gravity").sg_from_brix(row.number("brix"))
    return float(topic("gravity").brix_from_sg(topic("gravity").must_sg(read, row.number("temperature")))) - row.number(
        "brix"
    )


def _cold_mixture(row: Row) -> float:
    ethanol = topic("ethanol")
    return float(ethanol.density_at(ethanol.mass_fraction(row.number("alcohol")), row.number("temperature")))


def _quarter(row: Row) -> float:
    bung, content = row.number("bung diameter"), row.number("content")
    dry = row.number("dry") if "dry" in row.inputs else bung - row.number("wet")
    left = float(topic("gauging").barrel_by_quarter(bung, dry, content))
    return content - left if "dry" in row.inputs and row.expected == "61.5" else left


def _exact_cask(row: Row) -> float:
    bung, head, wet = (INCH * row.number(key) for key in ("bung diameter", "head", "wet"))
    content = row.number("content") * GALLON
    length = content / float(topic("gauging").barrel_content(bung, head, 100.0)) * 100.0
    given = {"bung_diameter": bung, "head_diameter": head, "length": length, "dry": bung - wet}
    return float(calc("barrel_ullage", "volume", **given)) / GALLON


def _cask_factor(row: Row) -> float:
    share = row.number("head/bung")
    bung, length = 100.0, 100.0
    cubic_inches = 1000.0 * float(topic("gauging").barrel_content(bung, share * bung, length)) / INCH**3
    return cubic_inches / OLD_GALLON / ((bung / INCH) ** 2 * (length / INCH))


def _barrel(result: str) -> Check:
    def value(row: Row) -> float:
        bung, head, length, *rest = _numbers(row.inputs)
        given = {"bung_diameter": bung, "head_diameter": head, "length": length, "dry": rest[0] if rest else 0.0}
        return float(calc("barrel_ullage", result, **given))

    return value


def _upright(row: Row) -> float:
    return float(calc("tank_dip", "volume", shape="upright", diameter=row.number("diameter"), level=1.0))


def _lying(row: Row) -> float:
    foot, cubic = (FOOT, CUBIC_FOOT) if row.unit == "ft3" else (1.0, 1.0)
    given = {name: foot * row.number(key) for name, key in (("diameter", "diameter"), ("length", "length"))}
    return float(calc("tank_dip", "volume", shape="lying", level=foot * row.number("depth"), **given)) / cubic


def _end(row: Row) -> float:
    whole = calc("tank_dip", "volume", shape="sphere", diameter=7.0 * FOOT, level=row.number("depth") * FOOT)
    return float(whole) / 2.0 / CUBIC_FOOT


def _cone(row: Row) -> float:
    return float(calc("tank_dip", "volume", shape="cone", diameter=row.number("diameter"), level=row.number("height")))


def _flush(row: Row) -> float:
    oxygen = _first(row.text("target oxygen"))
    return float(calc("headspace_flush", "volume", headspace=100.0, oxygen=oxygen)) / 100.0


def _flush_gas(row: Row) -> float:
    return float(calc("headspace_flush", "co2", headspace=row.number("headspace"), oxygen=1.0)) / 1000.0


def _removal(row: Row) -> float:
    given = {"lower": row.number("fall"), "strength": row.number("strength")}
    return float(calc("so2_removal", "amount", volume=row.number("volume"), **given))


def _copper_share(row: Row) -> float:
    return float(topic("fining").COPPER_SHARE)


def _copper_of(milligrams: float) -> Check:
    """Copper [mg/L] of a sulfate with five waters [mg/L]."""
    return lambda row: milligrams * float(topic("fining").COPPER_SHARE)


def _ratio(row: Row) -> float:
    return float(topic("pressure").against_20(row.number("temperature")))


def _to_20(row: Row) -> float:
    return 1.0 / _ratio(row)


def _solubility_at_10(row: Row) -> float:
    held = topic("pressure").saturation(100_000.0, row.number("alcohol"))
    return float(held) / float(topic("pressure").against_20(10.0))


def _solubility_in_water(row: Row) -> float:
    return float(topic("pressure").saturation(topic("pressure").ATMOSPHERE, 0.0))


def _primed(row: Row) -> float:
    given = {"pressure": row.number("gauge"), "alcohol": row.number("alcohol"), "co2": row.number("CO2")}
    return float(calc("priming_sugar", "dose", volume=1.0, **given))


def _primed_at_10(row: Row) -> float:
    """Sugar for a pressure at 10 C: that for the higher pressure which the same gas has at 20 C."""
    pressure = topic("pressure")
    absolute = (row.number("gauge") * 100_000.0 + pressure.ATMOSPHERE) / pressure.against_20(10.0)
    held = pressure.saturation(absolute, row.number("alcohol"))
    return float((held - row.number("CO2")) / pressure.CO2_PER_SUCROSE)


def _tirage(row: Row) -> float:
    given = {
        "alcohol": row.number("alcohol"),
        "co2": row.number("CO2 before"),
        "temperature": row.number("temperature"),
    }
    return float(calc("bottle_pressure", "pressure", sugar=24.0, kind="cane", **given))


def _an_atmosphere(row: Row) -> float:
    return _solubility_alcohol(row) / float(topic("pressure").CO2_PER_SUGAR)


def _solubility_alcohol(row: Row) -> float:
    return float(topic("pressure").saturation(topic("pressure").ATMOSPHERE, row.number("alcohol")))


def _oiml_density(row: Row) -> float:
    return float(topic("ethanol").density_at(row.number("mass share"), row.number("temperature")))


def _spirit(result: str) -> Check:
    return number("fortification", result, volume="volume", alcohol="alcohol", strength="strength", wanted="wanted")


def _plain_square(row: Row) -> float:
    volume, weak, strength, wanted = _numbers(row.inputs)
    spirit = topic("alcohol").spirit_for(volume, weak, strength, wanted)
    return float(topic("ethanol").mixed_strength(volume, weak, spirit, strength))


def _water_and_spirit(row: Row) -> float:
    strength = 100.0 if "100 %" in row.inputs else 96.0
    return float(topic("ethanol").mixed_volume(50.0, 0.0, 50.0, strength))


def _solutes(row: Row) -> float:
    """Fall of the freezing point by sugar and extract in the water of a litre of wine."""
    share = topic("ethanol").mass_fraction(row.number("alcohol"))
    sugar = row.number("sugar") if "sugar" in row.inputs else 0.0
    water = (topic("ethanol").density(row.number("alcohol")) * (1.0 - share)) / 1000.0 - 0.62 * sugar / 1000.0
    return -float(topic("cold").fall_by_solutes((sugar / 180.16 + row.number("other solutes")) / water))


def _oiv_slope(row: Row) -> float:
    return (float(topic("so2").oiv_pkt(15.0, 20.0)) - float(topic("so2").oiv_pkt(0.0, 20.0))) / 15.0


def _growth(strength: float, warm: float) -> Check:
    def value(row: Row) -> float:
        ethanol = topic("ethanol")
        share = ethanol.mass_fraction(strength)
        at = row.number("temperature") if "=" in row.inputs else warm
        start = 20.0 if "=" in row.inputs else 10.0
        return 750.0 * float(ethanol.density_at(share, start) / ethanol.density_at(share, at) - 1.0)

    return value


def _drinks(row: Row) -> float:
    return float(topic("label").drinks(row.number("volume"), row.number("alcohol"), row.number("drink")))


def _energy(row: Row) -> float:
    given = {"sugar": row.number("sugar"), "ta": row.number("acids"), "glycerol": row.number("polyols")}
    return float(calc("label_figures", "energy_kj", alcohol=row.number("alcohol"), **given))


def _bottle_cost(row: Row) -> float:
    goods = sum(row.number(key) for key in ("glass", "cork", "capsule", "label"))
    given = {"volume": row.number("volume"), "bottle": row.number("bottle"), "loss": row.number("loss")}
    return float(calc("bottle_cost", "cost", cost=row.number("lot"), dry_goods=goods, **given))


def _evaporated(row: Row) -> float:
    cost, volume, loss, years = _numbers(row.inputs)
    return cost / float(topic("label").left_after(volume, loss, years))


KMW = number("must_weight", "oechsle", kmw="kmw")

SECOND_CHECKS: dict[str, Check] = {
    "Oechsle from KMW": KMW,
    "Oechsle printed beside a KMW minimum": KMW,
    "KMW from Oechsle": number("must_weight", "kmw", oechsle="oechsle"),
    "sugar of a must by Oechsle": number("must_weight", "sugar", oechsle="oechsle"),
    "potential alcohol by Oechsle": number("must_weight", "alcohol", oechsle="oechsle"),
    "potential alcohol by Oechsle (Gilbert formula)": number("must_weight", "alcohol", oechsle="oechsle"),
    "total alcohol by Oechsle": lambda row: (
        float(calc("must_weight", "alcohol", oechsle=row.number("oechsle"))) * float(topic("ethanol").PER_PERCENT)
    ),
    "Oechsle of a density, common simplification 1 L weighs 1000+Oe": _oechsle_of_density,
    "SG from Baume (modulus 145)": number("must_weight", "sg", baume="baume"),
    "Brix from Baume": number("must_weight", "brix", baume="baume"),
    "SG from Baume (modulus 144.32, older French at 15 C)": _old_baume,
    "US proof": number("spirit_strength", "proof_us", alcohol="alcohol"),
    "UK proof from % vol": number("spirit_strength", "proof_uk", alcohol="alcohol"),
    "alcohol of 25 under proof": lambda row: float(calc("spirit_strength", "alcohol", proof_uk=75.0)),
    "strength of UK proof spirit, from its definition": _proof_spirit,
    "% vol at 20 C of a US proof (60 F)": _proof_20,
    "SG 60/60 F of 100 US proof": _proof_sg,
    "square for two: volume of lot 1": _square,
    "square for two: parts of spirit to wine": _square_parts,
    "square for two: juice and syrup": _square_by_mass,
    "blend of three lots, TA g/L": _lots("ta"),
    "blend of three lots, RS g/L": _lots("sugar"),
    "blend of three lots, free SO2 mg/L": _lots("free_so2"),
    "blend of three lots, VA g/L": _lots("va"),
    "blend of two wines, volume after contraction": _blended("mixed_volume"),
    "blend of two wines, alcohol after contraction": _blended("mixed_strength"),
    "pH of a blend, volume mean of the pH values": _mean_ph,
    "charge given by tartaric acid (water pKa 3.04, 4.37)": lambda row: float(
        topic("buffering").charge("tartaric", row.number("ph"))
    ),
    "buffer capacity from a bench trial": _trial,
    "tartaric acid for a wanted pH from that buffer capacity": _acid_for_ph,
    "4 g/L tartaric in milliequivalents": lambda row: float(topic("acidity").milliequivalents(_first(row.inputs))),
    "sugar for 100 L of must, growth of volume counted": _sugar,
    "alcohol reached with the ignored growth": _reached,
    "sucrose for 100 L of must, Brix to Brix": _brix_to_brix,
    "sucrose equal to 16.83 g/L of grape sugar": lambda row: float(topic("must").as_sucrose(16.83)),
    "water that lowers acid by dilution": _thinned,
    "most ameliorating material per 100 L of juice at 35 %": lambda row: float(topic("must").most_amelioration(100.0)),
    "free SO2, aeration-oxidation": _titrated("so2_titration", "so2"),
    "SO2, aeration-oxidation": _titrated("so2_titration", "so2"),
    "SO2 by iodine (Ripper)": _titrated("so2_titration", "so2"),
    "apparent SO2 from ascorbic acid by iodine": _ascorbic,
    "TA from NaOH": _titrated("ta_titration", "ta"),
    "TA from NaOH, per mL": _titrated("ta_titration", "ta"),
    "volatile acidity, OIV": _oiv_va,
    "the same as acetic acid": _va_of_meq,
    "volatile acidity, distillation of 50 mL, per mL 0.1 N": _titrated("va_titration", "va"),
    "volatile acidity, 10 mL still": _titrated("va_titration", "va"),
    "formol nitrogen, factor": _formol_factor,
    "formol nitrogen": _titrated("formol_yan", "yan"),
    "strength of NaOH from potassium hydrogen phthalate": lambda row: float(
        topic("titration").strength(row.number("KHP"), row.number("mL"))
    ),
    "SG from refractometer, Terrill linear": _refractometer("sg_of_beer"),
    "SG from refractometer, Novotny quadratic": _refractometer("sg_quadratic"),
    "SG from refractometer, Novotny linear": _refractometer("sg"),
    "reading of a fermenting must and its true SG": _fermenting,
    "solids from refractometer and hydrometer (Roesener)": number(
        "alcohol_from_refractometer", "solids", brix="brix", sg="sg"
    ),
    "alcohol from refractometer and hydrometer (Roesener)": number(
        "alcohol_from_refractometer", "alcohol", brix="brix", sg="sg"
    ),
    "correction to a 20 C hydrometer in dry wine": _in_wine,
    "the same by the ratio of waters (what the program does now)": _by_water,
    "the same by the ratio of waters": _by_water,
    "correction to a Brix hydrometer in must": _brix_in_must,
    "density of ethanol and water in the cold": _cold_mixture,
    "lying cask, quarter rule": _quarter,
    "lying cask, exact, first variety": _exact_cask,
    "cask content factor, first variety, imperial gal per in3 of D2 L": _cask_factor,
    "content of a barrel": _barrel("volume"),
    "empty volume of a lying barrel, bung up": _barrel("empty"),
    "upright tank per centimetre": _upright,
    "lying cylinder, flat ends": _lying,
    "one hemispherical end": _end,
    "cone bottom": _cone,
    "volumes of inert gas to bring air down, fully mixed": _flush,
    "carbon dioxide from dry ice": lambda row: float(topic("gauging").dry_ice_litres(1000.0)),
    "carbon dioxide to flush": _flush_gas,
    "peroxide per SO2": lambda row: float(topic("sulfite").PEROXIDE),
    "peroxide solution to take SO2 away": _removal,
    "copper in copper sulfate pentahydrate": _copper_share,
    "copper from the OIV maximum dose": _copper_of(10.0),
    "copper trial": _copper_of(0.4),
    "copper trial, worked out": _copper_of(0.4),
    "copper in one drop of 1 % solution in 750 mL": _copper_of(10.0 * 0.05 / 0.75),
    "absolute pressure against that at 20 C, same dissolved CO2": _ratio,
    "factor to 20 C": _to_20,
    "solubility by the EU equation carried to 10 C": _solubility_at_10,
    "solubility of CO2 in water": _solubility_in_water,
    "sucrose for a pressure at 20 C": _primed,
    "sucrose for 6 bar at 10 C": _primed_at_10,
    "gauge pressure of a 24 g/L tirage (sucrose)": _tirage,
    "grape sugar for one atmosphere": _an_atmosphere,
    "density, OIML table value": _oiml_density,
    "mass share, OIML table value": lambda row: _share_where(row.number("density"), row.number("temperature")),
    "density of pure ethanol": lambda row: float(topic("ethanol").density_of_share(1.0)),
    "spirit to fortify, with contraction": _spirit("amount"),
    "volume after": _spirit("volume"),
    "water to dilute spirit": number("spirit_dilution", "water", volume="volume", strength="strength", wanted="wanted"),
    "volume of water and spirit mixed": _water_and_spirit,
    "alcohol that the plain square reaches": _plain_square,
    "freezing point of ethanol and water": number("freezing_point", "temperature", alcohol="alcohol"),
    "freezing point by the recommended polynomial": number("freezing_point", "temperature", alcohol="alcohol"),
    "further fall by 100 g/L of sugar and ordinary extract": _solutes,
    "further fall by ordinary extract, dry wine": _solutes,
    "bitartrate solubility by the program fit, carried below 0 C": lambda row: float(
        topic("tartrate").solubility(row.number("temperature"), row.number("alcohol"))
    ),
    "pKa1 of SO2 in water, thermodynamic": lambda row: float(topic("so2").water_pka(row.number("temperature"))),
    "pKa1 of SO2 in water": lambda row: float(topic("so2").water_pka(row.number("temperature"))),
    "pKT of SO2, 0 % vol, OIV": lambda row: float(topic("so2").oiv_pkt(0.0, row.number("temperature"))),
    "gap OIV minus thermodynamic": lambda row: float(
        topic("so2").oiv_pkt(0.0, row.number("temperature")) - topic("so2").water_pka(row.number("temperature"))
    ),
    "slope with alcohol, OIV": _oiv_slope,
    "proposed pKa for wine": number("so2_pka", "pka", alcohol="alcohol", temperature="temperature"),
    "molecular SO2 with it": lambda row: float(
        topic("so2").molecular(
            row.number("free"),
            row.number("pH"),
            calc("so2_pka", "pka", alcohol=row.number("alcohol"), temperature=row.number("temperature")),
        )
    ),
    "growth of 750 mL of 12 % wine from 20 C": _growth(12.0, 20.0),
    "the same, 14 % vol": _growth(14.0, 20.0),
    "standard drinks in a bottle": _drinks,
    "energy per 100 mL": _energy,
    "bottles, full cases, loose bottles": lambda row: float(
        calc("bottle_count", "bottles", **{name: row.number(name) for name in ("volume", "bottle", "loss")})
    ),
    "fall of TA, at once and after the crystals": lambda row: float(topic("acidity").neutralised(1.0)),
    "UK units in a bottle": number("label_figures", "units_uk", bottle="volume", alcohol="alcohol", sugar=0.0, ta=0.0),
    "cost of a bottle": _bottle_cost,
    "cost of evaporation": _evaporated,
}
"""The program's figure for a row, by its quantity."""
