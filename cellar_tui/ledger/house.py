"""House rules: the intervals, thresholds, units and jurisdiction of this cellar; each default says where it is from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from cellar_tui.ledger.materials import MATERIALS

P = "common practice"
ANY_WORD = ("*",)
"""Words of a house rule that takes any."""

MOST_SOURCES = {
    "bentonite": "25 to 100 g/hL (magazine chart, seen)",
    "gelatin": "to 25 g/hL (magazine chart, seen)",
    "dap": "0.96 g/L, a US limit (from memory)",
}
"""Where the usual most of a material is published; the others are common practice."""


@dataclass(frozen=True, slots=True)
class Setting:
    """One house rule.

    Attributes:
        name: what it is called on the command line.
        default: the value until the cellar changes it.
        unit: unit of a number, "" for a bare number or a word.
        about: what it decides.
        source: where the default is from.
        low, high: range of a number.
        words: the words allowed, empty for a number; ANY_WORD for any word.
    """

    name: str
    default: float | str
    unit: str
    about: str
    source: str = P
    low: float = 0.0
    high: float = 1000.0
    words: tuple[str, ...] = ()


_TABLE = (
    Setting("zone", "UTC", "", "time zone of the cellar", "set from the machine", words=ANY_WORD),
    Setting("units", "metric", "", "units shown", words=("metric", "us", "imperial")),
    Setting("gravity_scale", "sg", "", "scale of gravities shown", words=("sg", "oechsle", "kmw", "baume", "brix")),
    Setting("jurisdiction", "home", "", "whose legal limits count", words=("home", "oiv", "eu", "us")),
    Setting("skip_holds", 30, "d", "days after which a skipped action comes back", low=1, high=365),
    Setting(
        "ph_meter",
        "yes",
        "",
        "whether the cellar can test pH: without, sorbate goes in at the legal ceiling",
        words=("yes", "no"),
    ),
    Setting(
        "lot_pattern",
        "L{yy}{ddd}-{n}",
        "",
        "lot number of a bottling: {yyyy} or {yy} year, {ddd} day of it, {mm} month, {dd} day, {n} entry",
        words=ANY_WORD,
    ),
    # Must and ferment
    Setting("full_ferment", 80, "%", "share of a vessel that a young ferment may fill, for the foam", low=40, high=100),
    Setting("strong_must", 16, "% vol", "potential strength that few yeasts finish", low=12, high=20),
    Setting("enzyme_after_so2", 12, "h", "hours from SO2 to the pectic enzyme", high=96),
    Setting("yeast_after_so2", 24, "h", "hours from SO2 to the yeast", high=96),
    Setting("enzyme_dose", 10, "g/hL", "pectic enzyme at crush where the label says nothing", low=0.1, high=400),
    Setting(
        "enzyme_late_from",
        2,
        "x",
        "least multiple of the first dose once alcohol is there",
        "from memory",
        low=1,
        high=10,
    ),
    Setting(
        "enzyme_late_to",
        4,
        "x",
        "highest multiple of the first dose once alcohol is there",
        "from memory",
        low=1,
        high=10,
    ),
    Setting("enzyme_warm_from", 15, "C", "a late pectic enzyme works from this warmth", "from memory", high=40),
    Setting("enzyme_warm_to", 25, "C", "a late pectic enzyme works up to this warmth", "from memory", high=60),
    Setting("yeast_dose", 25, "g/hL", "dry yeast where the packet says nothing", low=5, high=200),
    Setting("yeast_restart", 50, "g/hL", "dry yeast that restarts a stuck ferment", low=5, high=400),
    Setting("cap_days", 1, "d", "days between punching the cap", low=1, high=3),
    Setting("press_red_sg", 1.010, "SG", "gravity from which a red is pressed", low=0.98, high=1.08),
    Setting("press_red_last", 0.998, "SG", "gravity by which a red is pressed", low=0.98, high=1.08),
    Setting("press_red_days", 10, "d", "days on the skins after which a red is pressed", low=1, high=60),
    Setting("press_fruit_sg", 1.030, "SG", "gravity from which a fruit wine is pressed", low=0.98, high=1.08),
    Setting("press_fruit_from", 5, "d", "days on the pulp to pressing a fruit wine, earliest", low=1, high=30),
    Setting("press_fruit_to", 7, "d", "days on the pulp to pressing a fruit wine, latest", low=1, high=30),
    Setting("press_white_days", 1, "d", "days on the skins after which a white or rose is pressed", high=60),
    Setting(
        "last_third", 66.6, "%", "share of the sugar gone from which a ferment is in its last third", low=20, high=95
    ),
    Setting("warm_red", 21, "C", "warmth that a red needs in the last third of its ferment", low=10, high=30),
    Setting("warm_white", 12, "C", "warmth that the ferment of a white needs", low=5, high=25),
    Setting("hot_red", 30, "C", "warmth over which the ferment of a red is cooled", low=20, high=40),
    Setting(
        "hot_other", 22, "C", "warmth over which the ferment of a white, rose or fruit wine is cooled", low=15, high=40
    ),
    Setting("hot_any", 33, "C", "warmth over which yeast dies in its own alcohol", low=25, high=42),
    Setting("nutrient_after", 24, "h", "hours from the yeast to the first half of its nutrient", high=96),
    Setting(
        "nutrient_second",
        33,
        "%",
        "share of the sugar gone at which the second half is due",
        "Gardner 2016 (seen)",
        low=5,
        high=90,
    ),
    Setting(
        "nutrient_last",
        50,
        "%",
        "share of the sugar gone after which yeast takes up none",
        "from memory",
        low=10,
        high=90,
    ),
    Setting("yan_light", 140, "mg/L", "nitrogen that yeast needs under 21 Brix", "least quoted (seen)", high=400),
    Setting(
        "yan_unmeasured",
        70,
        "mg/L",
        "nitrogen taken for fruit, honey and diluted must that was never measured",
        high=400,
    ),
    Setting("complex_nitrogen", 10, "%", "nitrogen in a complex nutrient; labels say 4 to 13", low=1, high=25),
    Setting("stuck_after", 4, "d", "days from the yeast before a ferment can be stuck", low=1, high=30),
    Setting("stuck_days", 3, "d", "days over which the fall of a ferment is judged", low=1, high=14),
    Setting("stuck_fall", 0.002, "SG", "least fall in those days of a sound ferment", low=0.0002, high=0.02),
    Setting(
        "arrest_near",
        0.010,
        "SG",
        "gravity above the mark of an arrest or the spirit from which it is read twice a day",
        low=0.001,
        high=0.05,
    ),
    Setting("arrest_hours", 12, "h", "hours between those readings", low=1, high=24),
    Setting("arrest_at", 0.003, "SG", "gravity above the stopping gravity at which a ferment is arrested", high=0.02),
    Setting("arrest_chill", 2, "C", "an arrested ferment is chilled to this or under", low=-4, high=8),
    Setting("fortify_strength", 18.5, "% vol", "strength to which a wine is fortified", low=18, high=22),
    Setting("gravity_days", 2, "d", "days between gravity readings of a ferment", low=1, high=30),
    Setting("gravity_days_hot", 1, "d", "days between readings on skins or in a hot ferment", low=1, high=30),
    Setting("gravity_hot", 24, "C", "a ferment warmer than this is read at the shorter interval", low=10, high=40),
    Setting("gravity_must_days", 3, "d", "days after which a must is read that has no recorded yeast", low=1, high=30),
    Setting("gravity_days_end", 3, "d", "days between readings near the end of a ferment", low=1, high=30),
    Setting("gravity_end_sg", 1.0, "SG", "gravity from which a ferment is near its end", low=0.99, high=1.03),
    Setting("feed_days", 3, "d", "days from the start in which sugar is taken to feed the ferment", high=30),
    Setting("feed_gravity_days", 14, "d", "a gravity no older than this shows the ferment still hungry", high=60),
    Setting(
        "dry_sg",
        0.996,
        "SG",
        "gravity at or under which a ferment can be finished; a weak wine dries higher",
        low=0.98,
        high=1.01,
    ),
    Setting("steady_sg", 0.001, "SG", "most that steady gravities may differ", low=0.0002, high=0.01),
    Setting("steady_days", 3, "d", "days that steady gravities must span", low=1, high=30),
    Setting("yeast_proof_days", 7, "d", "days from the first steady gravity to the proving one", low=3, high=90),
    Setting("dry_sugar", 2, "g/L", "residual sugar under which a wine is dry", "Eisenman (seen)", low=0.5, high=10),
    Setting(
        "arrest_cold",
        4,
        "C",
        "an arrested ferment is held at this or under, and is arrested from there",
        low=-4,
        high=10,
    ),
    Setting("arrest_first", 3, "d", "days from the arrest to its first gravity", low=1, high=30),
    Setting("arrest_second", 7, "d", "days from the arrest to its second gravity", low=2, high=60),
    Setting("arrest_third", 14, "d", "days from the arrest to its third gravity, which settles it", low=3, high=90),
    Setting("spirit_strength", 18, "% vol", "strength by spirit at which no wine yeast grows", low=15, high=22),
    Setting(
        "spirit_index",
        80,
        "",
        "sugar [g/L] / 10 + 4.5 x strength [% vol] that keeps yeast down",
        "78 published (seen), 75 to 85 found",
        low=70,
        high=100,
    ),
    Setting("fortified_days", 14, "d", "days of steady gravity that a fortified wine needs", low=3, high=90),
    # Malolactic fermentation
    Setting(
        "malic_done",
        0.2,
        "g/L",
        "malic acid under which malolactic fermentation is done",
        "practice figure on an analysis page (seen)",
        low=0.05,
        high=0.5,
    ),
    Setting("malolactic_first_days", 14, "d", "days from its start to the first check", low=3, high=90),
    Setting("malolactic_days", 10, "d", "days between checks while malic acid falls", low=3, high=90),
    Setting("malolactic_days_cold", 21, "d", "days between checks below the cold mark", low=3, high=120),
    Setting("malolactic_cold", 15, "C", "below this malolactic fermentation crawls", low=5, high=25),
    Setting("malolactic_ph", 3.5, "pH", "above this a prevented malolactic fermentation is looked for", low=3, high=4),
    Setting("malolactic_look_days", 3, "d", "days from the first sulfite to the first look if prevented", high=30),
    Setting("malolactic_look_again", 30, "d", "days from the first sulfite to the second look", low=14, high=180),
    Setting("malolactic_stop_first", 14, "d", "days from the decision to stop it to the first look", low=3, high=90),
    Setting("malolactic_stop_second", 28, "d", "days from the decision to stop it to the second look", low=7, high=180),
    Setting(
        "coinoculation",
        14.5,
        "% vol",
        "potential strength from which the culture goes in beside the yeast",
        low=10,
        high=20,
    ),
    Setting("coinoculation_from", 1, "d", "days from the yeast to that culture, earliest", high=10),
    Setting("coinoculation_to", 2, "d", "days from the yeast to that culture, latest", high=10),
    Setting(
        "chromatogram_days",
        10,
        "d",
        "days between two chromatograms without a malic spot that show it done",
        low=3,
        high=60,
    ),
    Setting(
        "malic_fall",
        0.3,
        "g/L",
        "fall of malic acid that shows bacteria at work",
        "about the error of a home test",
        low=0.05,
        high=2,
    ),
    Setting(
        "malic_same",
        0.3,
        "g/L",
        "most by which two malic readings of a wine left alone may differ",
        "about the error of a home test",
        low=0.05,
        high=2,
    ),
    Setting("malic_apart", 14, "d", "days between two malic tests that show malic acid left alone", low=3, high=90),
    Setting(
        "bacteria_ph",
        3.5,
        "pH",
        "up to this SO2 alone is taken to hold bacteria, malic acid never tested",
        low=3,
        high=4,
    ),
    Setting(
        "malolactic_so2_harm", 10, "mg/L", "SO2 into a running malolactic fermentation that may have ended it", high=50
    ),
    Setting(
        "malolactic_warm",
        18,
        "C",
        "a running malolactic fermentation wants at least this",
        "from memory",
        low=10,
        high=25,
    ),
    Setting(
        "malolactic_free_most",
        10,
        "mg/L",
        "free SO2 over which bacteria are held back",
        "AWRI (seen: 5 to 10)",
        high=40,
    ),
    Setting(
        "malolactic_total_most",
        40,
        "mg/L",
        "total SO2 over which bacteria are held back",
        "AWRI (seen: 30 to 40)",
        high=150,
    ),
    Setting(
        "malolactic_crush_so2",
        50,
        "mg/L",
        "SO2 at crush that harms no later malolactic fermentation",
        "AWRI (seen)",
        high=150,
    ),
    Setting(
        "malolactic_ph_least",
        3.1,
        "pH",
        "pH under which bacteria are held back",
        "AWRI (seen: about 3.0)",
        low=2.8,
        high=3.6,
    ),
    Setting(
        "malolactic_alcohol_most",
        14,
        "% vol",
        "strength over which bacteria are held back",
        "from memory",
        low=10,
        high=18,
    ),
    Setting(
        "malolactic_overdue_days", 60, "d", "days from dryness in which it is expected to be done", low=14, high=400
    ),
    Setting(
        "malolactic_unmeasured_days", 45, "d", "days from dryness in which malic acid must be measured", low=7, high=400
    ),
    Setting("malolactic_stall_days", 21, "d", "days over which malic acid must be seen falling", low=7, high=180),
    Setting("malolactic_stall_fall", 0.2, "g/L", "least fall of malic acid over those days", low=0.05, high=1),
    Setting("malolactic_quiet", 14, "d", "days that a decision on what hinders bacteria is quiet", low=2, high=90),
    # Sulfite
    Setting(
        "share_first",
        0.5,
        "",
        "share of the first sulfite after the ferment that stays free",
        "Peynaud 1984 (from memory)",
        low=0.1,
        high=1,
    ),
    Setting(
        "share_sweet",
        0.35,
        "",
        "fraction that stays free in a sweet, cloudy or arrested wine",
        "Practical Winery & Vineyard, January 2014 (seen)",
        low=0.1,
        high=1,
    ),
    Setting("share_later", 0.67, "", "share of later additions that stays free", "from memory", low=0.1, high=1),
    Setting("yeast_so2", 15, "mg/L", "total SO2 that the yeast itself made, until measured", "from memory", high=60),
    Setting("first_sulfite_days", 1, "d", "days from the finish to the first sulfite, malolactic prevented", high=14),
    Setting("first_sulfite_days_encouraged", 3, "d", "days from malolactic done to the first sulfite", high=14),
    Setting("first_sulfite_days_either", 3, "d", "days from the finish to the first sulfite, malolactic open", high=14),
    Setting(
        "free_floor",
        20,
        "mg/L",
        "least free SO2 against air in whites, roses and fruit wines",
        "Waterhouse, Sacks & Jeffery 2016 (seen: 20 to 40)",
        high=60,
    ),
    Setting("free_floor_sorbate", 25, "mg/L", "least free SO2 in a wine with sorbate", "from memory", high=60),
    Setting("floor_molecular", 1.5, "mg/L", "molecular SO2 past which that least is not asked", low=0.5, high=4),
    Setting("arrest_molecular", 1.5, "mg/L", "molecular SO2 aimed at while cold alone holds live yeast", high=4),
    Setting("free_high", 40, "mg/L", "free SO2 for the pH over which acid is tried first", low=20, high=100),
    Setting("charted_molecular", 0.8, "mg/L", "molecular SO2 of the charted dose", low=0.3, high=2),
    Setting("charted_ph", 3.5, "pH", "pH taken where none is known", low=2.8, high=4.2),
    Setting("dose_blind", 60, "mg/L", "first dose where no pH is known, total SO2", low=10, high=150),
    Setting("dose_blind_malolactic", 50, "mg/L", "the same after malolactic fermentation", low=10, high=150),
    Setting("strip_most", 20, "mg/L", "free SO2 over which one strip is a trend only", high=100),
    Setting(
        "reading_far",
        3,
        "",
        "standard deviations from what was expected from which free SO2 is read again",
        low=1,
        high=10,
    ),
    Setting("keeping_margin", 3, "mg/L", "a reading closer than this to the target asks for sulfite", high=20),
    Setting(
        "dose_lasts",
        75,
        "d",
        "days until the next dose that a dose is made to last",
        "assumed: simulated in tests/bench (fewer larger doses beat many small ones)",
        low=14,
        high=180,
    ),
    Setting("dose_least", 8, "mg/L", "least that a dose aims above the target", high=30),
    Setting("dose_most", 20, "mg/L", "most that a dose aims above the target", high=40),
    Setting("dose_worth", 5, "mg/L", "smallest dose that is asked for, total SO2", high=20),
    Setting(
        "balance_step", 0.1, "g", "step of the balance; under ten steps a solution is measured", low=0.001, high=10
    ),
    Setting("dose_reading_age", 21, "d", "a dose must not rest on a free SO2 reading older than this", low=3, high=90),
    Setting(
        "dose_spread",
        5,
        "mg/L",
        "standard deviation of free SO2 from which it is read again before a dose",
        "assumed: simulated in tests/bench",
        low=1,
        high=20,
    ),
    Setting(
        "molecular_most",
        2,
        "mg/L",
        "molecular SO2 that irritates",
        "Waterhouse, Sacks & Jeffery 2016 (seen)",
        low=0.5,
        high=4,
    ),
    Setting(
        "loss_steel", 0.0025, "a day", "share of free SO2 lost in steel", "assumed, not measured", low=0.0001, high=0.05
    ),
    Setting(
        "loss_glass", 0.0040, "a day", "share of free SO2 lost in glass", "assumed, not measured", low=0.0001, high=0.05
    ),
    Setting(
        "loss_oak", 0.0080, "a day", "share of free SO2 lost in oak", "assumed, not measured", low=0.0001, high=0.05
    ),
    Setting(
        "loss_plastic",
        0.0100,
        "a day",
        "share of free SO2 lost in plastic",
        "assumed, not measured",
        low=0.0001,
        high=0.05,
    ),
    Setting(
        "loss_spread",
        1.5,
        "x",
        "two wines in three lose between the usual divided and multiplied by this",
        "assumed, not measured",
        low=1.05,
        high=4,
    ),
    Setting(
        "loss_q10",
        2,
        "x",
        "how much faster free SO2 is lost with 10 C more",
        "assumed: common practice for reactions in wine, 2 to 3",
        low=1,
        high=4,
    ),
    Setting(
        "loss_warmth",
        15,
        "C",
        "warmth of the wine that the usual losses are for",
        "assumed: a cellar in temperate country",
        low=5,
        high=25,
    ),
    Setting(
        "forecast_risk",
        7,
        "%",
        "chance to be under the target at which free SO2 is read again",
        "assumed: simulated in tests/bench, the knee between tests and days under target",
        low=1,
        high=50,
    ),
    Setting(
        "recheck_after_work",
        3,
        "d",
        "days from sulfite, racking, blend, filtration, sweetening to the recheck",
        low=1,
        high=30,
    ),
    Setting("recheck_least", 7, "d", "days from a reading to the earliest recheck", low=1, high=60),
    Setting("recheck_oak", 30, "d", "days from a reading to the latest recheck in oak", low=5, high=180),
    Setting("recheck_plastic", 45, "d", "days from a reading to the latest recheck in plastic", low=5, high=180),
    Setting("recheck_full", 60, "d", "days from a reading to the latest recheck in glass or steel", low=5, high=180),
    Setting("sorbate_reading_age", 7, "d", "a free SO2 reading no older than this lets sorbate in", low=1, high=30),
    Setting(
        "sorbate_proof_age",
        14,
        "d",
        "sorbate counts if free SO2 was read no longer than this before it",
        low=1,
        high=60,
    ),
    Setting(
        "hold_reading_age", 14, "d", "a free SO2 reading no older than this lets the cold hold start", low=1, high=60
    ),
    Setting("bacteria_days", 30, "d", "days on target that show a prevented wine safe from bacteria", low=7, high=180),
    Setting("ph_age", 90, "d", "a dose must not rest on a pH older than this", low=7, high=400),
    Setting("ph_age_first", 14, "d", "the first sulfite must not rest on a pH older than this", low=1, high=90),
    Setting("total_share", 75, "%", "share of the legal limit from which total SO2 is read", low=10, high=100),
    Setting("total_before_bottling", 100, "mg/L", "total SO2 over which it is read before bottling", low=20, high=400),
    Setting("total_added", 30, "mg/L", "SO2 added since the last total reading that calls for one", high=200),
    Setting("standing_dose", 15, "mg/L", "SO2 offered to a small lot in place of a reading", low=5, high=30),
    # Racking, topping, looking
    Setting("first_rack_from", 3, "d", "days from the finish to the first racking, earliest", high=60),
    Setting("first_rack_to", 10, "d", "days from the finish to the first racking, latest", high=90),
    Setting("second_rack_weeks", 5, "weeks", "weeks from the first racking to the second", low=1, high=26),
    Setting("later_rack_from", 2, "months", "months between later rackings, earliest", low=1, high=12),
    Setting("later_rack_to", 3, "months", "months between later rackings, latest", low=1, high=12),
    Setting("press_rack_from", 1, "d", "days from pressing a red to racking off heavy solids, earliest", high=14),
    Setting("press_rack_to", 3, "d", "days from pressing a red to racking off heavy solids, latest", high=21),
    Setting("arrest_rack_from", 2, "d", "days from the arrest to the first cold racking, earliest", high=14),
    Setting("arrest_rack_to", 5, "d", "days from the arrest to the first cold racking, latest", high=21),
    Setting("arrest_again_from", 7, "d", "days from the first cold racking to the second, earliest", high=30),
    Setting("arrest_again_to", 14, "d", "days from the first cold racking to the second, latest", high=60),
    Setting("cold_rackings", 2, "", "cold rackings of an arrested wine before its sorbate", low=1, high=5),
    Setting("spirit_rack_from", 3, "d", "days from the spirit to the racking, earliest", high=30),
    Setting("spirit_rack_to", 7, "d", "days from the spirit to the racking, latest", high=60),
    Setting("settle_bentonite", 7, "d", "days that bentonite settles before racking", low=1, high=60),
    Setting("settle_fining", 14, "d", "days that gelatin or isinglass settles before racking", low=1, high=60),
    Setting("top_oak_weeks", 4, "weeks", "weeks between toppings in oak", low=1, high=26),
    Setting("ullage_oak", 2, "%", "headspace, as a share of a barrel, that asks for topping at once", high=20),
    Setting("ullage_share", 0.5, "%", "headspace in glass or plastic that asks for topping", high=20),
    Setting("ullage_volume", 0.05, "L", "smallest headspace that asks for topping", high=10),
    Setting("ullage_steel", 1, "%", "headspace in steel that asks for topping unless gassed", high=50),
    Setting("gas_days", 14, "d", "days that a gas cover is trusted", low=1, high=90),
    Setting("level_days", 30, "d", "days between looks at level, airlock and surface", low=3, high=180),
    Setting("level_days_bare", 14, "d", "the same without SO2", low=3, high=90),
    Setting(
        "look_days",
        30,
        "d",
        "days that a check level and airlock, a topping or a gas cover shows air kept out",
        low=3,
        high=180,
    ),
    Setting("clarity_after", 14, "d", "days from racking or fining to a clarity check", low=1, high=90),
    Setting("clarity_days", 30, "d", "days between clarity checks until one passes", low=3, high=180),
    Setting("clarity_before", 7, "d", "days before bottling of the last clarity check", low=1, high=60),
    Setting("clear_ntu", 1, "NTU", "turbidity under which a wine is clear", "from memory", low=0.1, high=10),
    Setting("clear_ntu_red", 2, "NTU", "the same in reds", "from memory", low=0.1, high=20),
    Setting("smell_days", 60, "d", "days between smelling and tasting", low=7, high=180),
    Setting("smell_days_bare", 14, "d", "the same without SO2", low=3, high=90),
    Setting("oak_first_days", 14, "d", "days from oak to the first taste", low=1, high=180),
    Setting("oak_days", 7, "d", "days between tastes until it is racked off the oak", low=1, high=180),
    # Cold, haze
    Setting("heat_rise", 2, "NTU", "rise in the heat test that still passes", "AWRI (seen)", high=10),
    Setting("haze_weeks", 9, "weeks", "weeks before bottling of the haze test", low=1, high=52),
    Setting("haze_weeks_sweet", 15, "weeks", "the same where the wine is to be sweetened", low=1, high=52),
    Setting("haze_quiet", 30, "d", "days that a red is left alone before the clarity check that shows it", high=180),
    Setting("cold_weeks", 6, "weeks", "weeks before bottling of the start of the cold hold", low=1, high=52),
    Setting("cold_weeks_sweet", 12, "weeks", "the same where the wine is to be sweetened", low=1, high=52),
    Setting("hold_factor", 1, "", "multiplies the days a cold hold takes", low=0.5, high=4),
    Setting(
        "hold_fridge",
        4.4,
        "C",
        "temperature assumed for a hold still to come: a kitchen fridge",
        low=-5,
        high=7.9,
    ),
    Setting("hold_check_days", 2, "d", "days between temperature readings of a cold hold", low=1, high=14),
    Setting("hold_trust_cold", 3, "d", "days a fridge or chiller is credited after the last reading", low=1, high=14),
    Setting("hold_trust_cellar", 14, "d", "days a cellar is credited after the last reading", low=1, high=60),
    Setting("cold_test_before", 3, "d", "days before the forecast end of the hold that the cold test is made", high=14),
    Setting("cold_retest", 7, "d", "days of more cold after a failed cold test", low=1, high=60),
    Setting("cold_test_days", 3, "d", "days that the sample of a cold test stands", low=1, high=14),
    Setting("fridge_test_days", 7, "d", "days that the bottle of a fridge test stands", low=1, high=60),
    Setting(
        "conductivity_drop",
        5,
        "%",
        "conductivity drop under which a wine is cold stable",
        "Handbook of Enology vol. 2 (seen)",
        low=1,
        high=20,
    ),
    Setting("fridge_test_weeks", 6, "weeks", "weeks before bottling of a fruit wine's fridge test", low=1, high=52),
    Setting("fridge_test_weeks_sweet", 8, "weeks", "the same where it is to be sweetened", low=1, high=52),
    # Sorbate, sweetening, bottling
    Setting("sweeten_from", 1, "d", "days from sorbate to sugar, earliest", low=1, high=14),
    Setting("sweeten_to", 7, "d", "days from sorbate to sugar, latest", low=1, high=30),
    Setting("sorbate_effect", 95, "%", "least share of the asked sorbate dose that counts", low=80, high=100),
    Setting("watch_days", 28, "d", "days that a sweetened wine is watched", low=14, high=90),
    Setting("watch_first", 7, "d", "days into the watch of its first gravity", low=1, high=30),
    Setting("watch_second", 14, "d", "days into the watch of its second gravity", low=2, high=60),
    Setting("watch_warm", 18, "C", "warmth that the watch needs", low=15, high=28),
    Setting("watch_warm_days", 21, "d", "days of the watch that must be warm", low=7, high=90),
    Setting("warm_sample_days", 14, "d", "days into the watch before a sample kept warm counts", low=3, high=90),
    Setting("final_from", 4, "d", "days before bottling of the final SO2, latest", low=1, high=14),
    Setting("final_to", 7, "d", "days before bottling of the final SO2, earliest", low=2, high=30),
    Setting(
        "final_extra", 5, "mg/L", "free SO2 above target for the filling", "losses to 11 published (seen)", high=20
    ),
    Setting("final_reading_age", 5, "d", "the final SO2 reading must not be older at bottling", low=1, high=14),
    Setting("final_reading_from", 2, "d", "days from the final sulfite to its reading, earliest", low=1, high=10),
    Setting("final_reading_to", 3, "d", "days from the final sulfite to its reading, latest", low=1, high=10),
    Setting("final_window", 10, "d", "days before the wished bottling from which the final SO2 is asked", high=60),
    Setting("foreign_share", 2, "%", "other wine topped in that makes it a blend", high=20),
    Setting("kept_first", 14, "d", "days from bottling to the first check retained bottles", low=3, high=90),
    Setting("kept_second", 90, "d", "days from bottling to the second look", low=14, high=365),
    Setting("kept_third", 365, "d", "days from bottling to the third look", low=90, high=1000),
    Setting("kept_sweet_first", 28, "d", "a further look where sugar or live yeast is in the bottle", low=7, high=180),
    Setting("kept_sweet_second", 60, "d", "and another", low=14, high=365),
    # Doses
    Setting("acid_undoes", 0.5, "g/L", "acid that undoes cold stability", high=5),
    Setting(
        "potassium_undoes",
        120,
        "mg/L",
        "potassium added since the cold test that undoes it",
        "computed from 0.26 of sorbate and 0.35 of metabisulfite",
        high=1000,
    ),
    Setting("ph_undoes", 0.1, "pH", "a move of pH that undoes the haze test", high=1),
    Setting("small_lot", 10, "L", "a wine of less than this loses the sample with a reading", high=50),
    Setting("sample_volume", 0.025, "L", "wine a reading takes from a small lot", high=1),
    Setting("threefold", 3, "x", "a dose this many times the charted one is stopped", low=1.5, high=10),
    Setting(
        "copper_most",
        0.5,
        "mg/L",
        "copper in all from which an addition is stopped",
        "the cautious one of the published limits (from memory)",
        high=2,
    ),
    Setting("bag_days", 365, "d", "an opened bag of sulfite older than this is doubted", "from memory", high=3650),
    Setting("slip_ph", 0.25, "pH", "a pH this far from the last is asked to be read again", low=0.05, high=2),
    Setting("slip_ph_low", 2.7, "pH", "a pH under this is asked to be read again", low=2.2, high=3.2),
    Setting("slip_ph_high", 4.2, "pH", "a pH over this is asked to be read again", low=3.6, high=4.8),
    Setting(
        "slip_sg",
        0.003,
        "SG",
        "a gravity that rises by this without sugar is asked to be read again",
        low=0.001,
        high=0.05,
    ),
    Setting("slip_malic", 0.3, "g/L", "malic acid that rises by this is asked to be read again", low=0.05, high=5),
    Setting(
        "slip_temperature", 12, "C", "a temperature this far off within a day is asked to be read again", low=2, high=40
    ),
    Setting("slip_ta", 2, "g/L", "a TA this far from the last is asked to be read again", low=0.2, high=10),
    Setting("volume_tolerance", 3, "%", "a measured volume may differ from the ledger by this", high=50),
    Setting("total_tolerance", 25, "mg/L", "a measured total SO2 may differ from the ledger by this", high=200),
    *(
        Setting(
            f"most_{name}",
            known.most,
            "mg/L",
            f"usual most of one addition of {name.replace('_', ' ')}",
            MOST_SOURCES.get(name, P),
            low=1,
            high=10 * known.most,
        )
        for name, known in MATERIALS.items()
        if known.most is not None
    ),
)

SETTINGS: dict[str, Setting] = {setting.name: setting for setting in _TABLE}
"""Every house rule by its name."""

_BEGINS = {
    "zone": "The house",
    "full_ferment": "Must and skins",
    "last_third": "Warming, feeding, stopping",
    "gravity_days": "Ferment",
    "malic_done": "Malolactic fermentation",
    "malolactic_warm": "Malolactic fermentation hindered or late",
    "share_first": "Sulfite: target and dose",
    "loss_steel": "Sulfite: loss and rechecks",
    "first_rack_from": "Racking",
    "top_oak_weeks": "Topping and looking",
    "smell_days": "Smell and taste",
    "heat_rise": "Cold and haze",
    "sweeten_from": "Sorbate, sweetening, bottling",
    "acid_undoes": "Doses",
    "slip_ph": "Slips and second hands",
}
"""The first house rule of each topic: those that follow it in the table belong to the same one."""


def by_topic() -> dict[str, tuple[Setting, ...]]:
    """Return the house rules in their order, by topic."""
    found: dict[str, tuple[Setting, ...]] = {}
    topic = ""
    for setting in _TABLE:
        topic = _BEGINS.get(setting.name, topic)
        found[topic] = (*found.get(topic, ()), setting)
    return found


def setting_fault(name: str, value: str) -> str | None:
    """Return the sentence that says why `value` does not suit the house rule `name`, or None where it does."""
    setting = SETTINGS[name]
    if setting.words:
        if setting.words != ANY_WORD and value not in setting.words:
            return f"{name} must be one of: {', '.join(setting.words)}."
        return None
    try:
        number = float(value)
    except ValueError:
        return f"{name} must be a number in {setting.unit or 'plain figures'}, such as {setting.default}."
    if not setting.low <= number <= setting.high:
        return f"{name} must lie between {setting.low:g} and {setting.high:g} {setting.unit}".rstrip() + "."
    return None


@dataclass(frozen=True, slots=True)
class Stock:
    """A material on hand: its strength, the day it was opened, and the entry that says so."""

    strength: float | None
    opened: str | None
    amount: float | None
    entry: int
    lot: str | None = None


@dataclass(frozen=True, slots=True)
class House:
    """The house rules in force, with the entry that changed each of them, and the materials on hand."""

    values: Mapping[str, float | str] = field(default_factory=dict)
    entries: Mapping[str, int] = field(default_factory=dict)
    stock: Mapping[str, Stock] = field(default_factory=dict)

    def number(self, name: str) -> float:
        """Return a numeric house rule in its unit."""
        return float(self.values.get(name, SETTINGS[name].default))

    def days(self, name: str) -> int:
        """Return a house rule in whole days."""
        return round(self.number(name))

    def word(self, name: str) -> str:
        """Return a house rule that is a word."""
        return str(self.values.get(name, SETTINGS[name].default))

    @property
    def system(self) -> str:
        """Units shown: metric, us or imperial, and behind it the scale of gravities where it is not SG."""
        scale = self.word("gravity_scale")
        return self.word("units") if scale == "sg" else f"{self.word('units')} {scale}"

    def source(self, name: str) -> tuple[int, ...]:
        """Return the entry that set the house rule; empty where the default holds."""
        return (self.entries[name],) if name in self.entries else ()
