"""House rules: the intervals, thresholds, units and jurisdiction of this cellar; each default says where it is from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from cellar_tui.ledger.materials import MATERIALS

P = "common practice"
ANY_WORD = ("*",)
"""Words of a house rule that takes any."""

MOST_SOURCES = {
    "bentonite": "25 to 100 g/hL (magazine chart)",
    "gelatin": "to 25 g/hL (magazine chart)",
    "dap": "0.96 g/L, a US limit (source not verified)",
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
    Setting("tasting_scale", 20, "", "highest score of a tasting note", low=5, high=100),
    Setting(
        "empty_wood_days", 28, "d", "days for which sulfur or a holding solution keeps empty wood", low=7, high=120
    ),
    Setting("dry_wood_days", 60, "d", "days after which empty wood without either is soaked", low=14, high=365),
    Setting(
        "lot_pattern",
        "L{yy}{ddd}-{n}",
        "",
        "lot number of a bottling: {yyyy} or {yy} year, {ddd} day of it, {mm} month, {dd} day, {n} entry",
        words=ANY_WORD,
    ),
    # Must and ferment
    Setting("full_ferment", 80, "%", "how full a vessel may be while a ferment foams", low=40, high=100),
    Setting("strong_must", 16, "% vol", "potential alcohol that few yeasts finish", low=12, high=20),
    Setting(
        "must_alcohol_least",
        10,
        "% vol",
        "potential strength under which a must is asked for sugar: a weaker wine keeps badly",
        low=5,
        high=14,
    ),
    Setting(
        "enrichment_most",
        3,
        "% vol",
        "most that sugar may add to a must: EU zone A; 2 in zone B, 1.5 in zone C",
        "Reg. (EU) 1308/2013, Annex VIII, text of 2013 (source not verified)",
        low=0,
        high=8,
    ),
    Setting("must_ta_low", 5, "g/L", "TA under which a must is tried with acid", low=2, high=10),
    Setting("settle_hours", 24, "h", "hours in which a white or rose must settles before its yeast", low=6, high=72),
    Setting(
        "settle_ntu",
        250,
        "NTU",
        "turbidity under which a white or rose must has settled; 100 to 250 is usual",
        "source not verified",
        low=20,
        high=1000,
    ),
    Setting("enzyme_after_so2", 12, "h", "hours from SO2 to the pectic enzyme", high=96),
    Setting("yeast_after_so2", 24, "h", "hours from SO2 to the yeast", high=96),
    Setting("enzyme_dose", 10, "g/hL", "dose of pectic enzyme at crush where its label gives none", low=0.1, high=400),
    Setting(
        "enzyme_late_from",
        2,
        "x",
        "pectic enzyme once alcohol is present: lowest multiple of the dose at crush",
        "source not verified",
        low=1,
        high=10,
    ),
    Setting(
        "enzyme_late_to",
        4,
        "x",
        "pectic enzyme once alcohol is present: highest multiple of the dose at crush",
        "source not verified",
        low=1,
        high=10,
    ),
    Setting(
        "enzyme_warm_from",
        15,
        "C",
        "lowest temperature at which a late pectic enzyme works",
        "source not verified",
        high=40,
    ),
    Setting(
        "enzyme_warm_to",
        25,
        "C",
        "highest temperature at which a late pectic enzyme works",
        "source not verified",
        high=60,
    ),
    Setting("yeast_dose", 25, "g/hL", "dose of dry yeast where its packet gives none", low=5, high=200),
    Setting("yeast_restart", 50, "g/hL", "dose of dry yeast to restart a stuck ferment", low=5, high=400),
    Setting("cap_days", 1, "d", "days between punch-downs", low=1, high=3),
    Setting("press_red_sg", 1.010, "SG", "gravity from which a red is pressed", low=0.98, high=1.08),
    Setting("press_red_last", 0.998, "SG", "gravity by which a red is pressed", low=0.98, high=1.08),
    Setting("press_red_days", 10, "d", "days on the skins after which a red is pressed", low=1, high=60),
    Setting("press_fruit_sg", 1.030, "SG", "gravity from which a fruit wine is pressed", low=0.98, high=1.08),
    Setting("press_fruit_from", 5, "d", "days on the pulp before a fruit wine is pressed, earliest", low=1, high=30),
    Setting("press_fruit_to", 7, "d", "days on the pulp before a fruit wine is pressed, latest", low=1, high=30),
    Setting("press_white_days", 1, "d", "days on the skins after which a white or rose is pressed", high=60),
    Setting("last_third", 66.6, "%", "sugar depletion from which a ferment is in its last third", low=20, high=95),
    Setting("warm_red", 21, "C", "lowest temperature of a red in the last third of its ferment", low=10, high=30),
    Setting("warm_white", 12, "C", "lowest temperature of a white ferment", low=5, high=25),
    Setting("hot_red", 30, "C", "temperature above which a red ferment is cooled", low=20, high=40),
    Setting("hot_other", 22, "C", "temperature above which a white, rose or fruit ferment is cooled", low=15, high=40),
    Setting("hot_any", 33, "C", "temperature above which yeast starts to die", low=25, high=42),
    Setting("nutrient_after", 24, "h", "hours from pitching to the first half of the yeast nutrient", high=96),
    Setting(
        "nutrient_second",
        33,
        "%",
        "sugar depletion at which the second half of the nutrient is due",
        "Gardner 2016",
        low=5,
        high=90,
    ),
    Setting(
        "nutrient_last",
        50,
        "%",
        "sugar depletion after which yeast takes up no nutrient",
        "source not verified",
        low=10,
        high=90,
    ),
    Setting(
        "yan_light", 140, "mg/L", "nitrogen (YAN) that yeast needs in a must under 21 Brix", "least quoted", high=400
    ),
    Setting(
        "yan_unmeasured",
        70,
        "mg/L",
        "nitrogen (YAN) assumed for fruit, honey and diluted must that was never tested",
        high=400,
    ),
    Setting("complex_nitrogen", 10, "%", "nitrogen content of complex nutrient; labels say 4 to 13", low=1, high=25),
    Setting("stuck_after", 4, "d", "days from pitching before a ferment can count as stuck", low=1, high=30),
    Setting(
        "stuck_days", 3, "d", "days over which the fall of gravity is judged, to find a stuck ferment", low=1, high=14
    ),
    Setting("stuck_quiet", 7, "d", "days that a decision to warm or restart a stuck ferment is quiet", low=1, high=30),
    Setting(
        "stuck_fall",
        0.002,
        "SG",
        "least fall of gravity over those days; a ferment that falls less is stuck",
        low=0.0002,
        high=0.02,
    ),
    Setting(
        "arrest_near",
        0.010,
        "SG",
        "gravity above the stopping gravity from which it is tested twice a day",
        low=0.001,
        high=0.05,
    ),
    Setting("arrest_hours", 12, "h", "hours between gravity tests close to the stopping gravity", low=1, high=24),
    Setting("arrest_at", 0.003, "SG", "gravity above the stopping gravity at which a ferment is arrested", high=0.02),
    Setting("arrest_chill", 2, "C", "temperature to which an arrested ferment is chilled, or colder", low=-4, high=8),
    Setting("fortify_strength", 18.5, "% vol", "strength to which a wine is fortified", low=18, high=22),
    Setting("gravity_days", 2, "d", "days between gravity tests of a ferment", low=1, high=30),
    Setting("gravity_days_hot", 1, "d", "days between gravity tests on skins or in a hot ferment", low=1, high=30),
    Setting("gravity_hot", 24, "C", "a ferment warmer than this is tested at the shorter interval", low=10, high=40),
    Setting("gravity_must_days", 3, "d", "days after which a must without recorded yeast is tested", low=1, high=30),
    Setting("gravity_days_end", 3, "d", "days between gravity tests near the end of a ferment", low=1, high=30),
    Setting("gravity_end_sg", 1.0, "SG", "gravity from which a ferment is near its end", low=0.99, high=1.03),
    Setting("feed_days", 3, "d", "days from the start in which added sugar counts as food for the ferment", high=30),
    Setting(
        "feed_gravity_days",
        14,
        "d",
        "a gravity no older than this proves a ferment still running, so that sugar may go in",
        high=60,
    ),
    Setting(
        "dry_sg",
        0.996,
        "SG",
        "gravity at or below which a ferment can be finished; a wine low in alcohol finishes higher",
        low=0.98,
        high=1.01,
    ),
    Setting("steady_sg", 0.001, "SG", "most that steady gravities may differ", low=0.0002, high=0.01),
    Setting("steady_days", 3, "d", "days that steady gravities must span", low=1, high=30),
    Setting("yeast_proof_days", 7, "d", "days from the first steady gravity to the proving one", low=3, high=90),
    Setting("dry_sugar", 2, "g/L", "residual sugar under which a wine is dry", "Eisenman", low=0.5, high=10),
    Setting(
        "arrest_cold",
        4,
        "C",
        "temperature at which an arrested ferment is held, or colder; it counts as arrested from then",
        low=-4,
        high=10,
    ),
    Setting("arrest_first", 3, "d", "days from the arrest to its first gravity test", low=1, high=30),
    Setting("arrest_second", 7, "d", "days from the arrest to its second gravity test", low=2, high=60),
    Setting("arrest_third", 14, "d", "days from the arrest to its third gravity test, which proves it", low=3, high=90),
    Setting("spirit_strength", 18, "% vol", "strength after fortifying at which no wine yeast grows", low=15, high=22),
    Setting(
        "spirit_index",
        80,
        "",
        "sugar [g/L] / 10 + 4.5 x strength [% vol] that keeps yeast down",
        "78 published, 75 to 85 measured",
        low=70,
        high=100,
    ),
    Setting("fortified_days", 14, "d", "days of steady gravity that a fortified wine needs", low=3, high=90),
    # Malolactic fermentation
    Setting(
        "malic_done",
        0.2,
        "g/L",
        "malic acid below which MLF is complete",
        "practice figure on an analysis page",
        low=0.05,
        high=0.5,
    ),
    Setting("malolactic_first_days", 14, "d", "days from the start of MLF to the first malic test", low=3, high=90),
    Setting("malolactic_days", 10, "d", "days between malic tests while malic acid falls", low=3, high=90),
    Setting(
        "malolactic_days_cold", 21, "d", "days between malic tests while the wine is too cold for MLF", low=3, high=120
    ),
    Setting("malolactic_cold", 15, "C", "temperature below which MLF is too slow to test often", low=5, high=25),
    Setting("malolactic_ph", 3.5, "pH", "pH above which a wine without MLF is checked for unwanted MLF", low=3, high=4),
    Setting(
        "malolactic_look_days",
        3,
        "d",
        "days from the first sulfite to the first malic test of a wine without MLF",
        high=30,
    ),
    Setting(
        "malolactic_look_again",
        30,
        "d",
        "days from the first sulfite to the second malic test of a wine without MLF",
        low=14,
        high=180,
    ),
    Setting(
        "malolactic_stop_first", 14, "d", "days from the decision to stop MLF to the first malic test", low=3, high=90
    ),
    Setting(
        "malolactic_stop_second",
        28,
        "d",
        "days from the decision to stop MLF to the second malic test",
        low=7,
        high=180,
    ),
    Setting(
        "coinoculation",
        14.5,
        "% vol",
        "potential alcohol from which the MLF culture goes in beside the yeast",
        low=10,
        high=20,
    ),
    Setting(
        "coinoculation_from",
        1,
        "d",
        "days from pitching to the MLF culture where both go in together, earliest",
        high=10,
    ),
    Setting(
        "coinoculation_to", 2, "d", "days from pitching to the MLF culture where both go in together, latest", high=10
    ),
    Setting(
        "chromatogram_days",
        10,
        "d",
        "days between two chromatograms without a malic spot that prove MLF complete",
        low=3,
        high=60,
    ),
    Setting(
        "malic_fall",
        0.3,
        "g/L",
        "fall of malic acid that proves bacteria at work",
        "about the error of a home test",
        low=0.05,
        high=2,
    ),
    Setting(
        "malic_same",
        0.3,
        "g/L",
        "most by which two malic tests may differ and still count as unchanged",
        "about the error of a home test",
        low=0.05,
        high=2,
    ),
    Setting("malic_apart", 14, "d", "days between two malic tests that prove malic acid unchanged", low=3, high=90),
    Setting(
        "bacteria_ph",
        3.5,
        "pH",
        "pH up to which SO2 alone counts as holding bacteria, malic acid never tested",
        low=3,
        high=4,
    ),
    Setting("malolactic_so2_harm", 10, "mg/L", "SO2 added during MLF that may have ended it", high=50),
    Setting(
        "malolactic_warm",
        18,
        "C",
        "lowest temperature for MLF",
        "source not verified",
        low=10,
        high=25,
    ),
    Setting(
        "malolactic_free_most",
        10,
        "mg/L",
        "free SO2 above which MLF is hindered",
        "AWRI: 5 to 10",
        high=40,
    ),
    Setting(
        "malolactic_total_most",
        40,
        "mg/L",
        "total SO2 above which MLF is hindered",
        "AWRI: 30 to 40",
        high=150,
    ),
    Setting(
        "malolactic_crush_so2",
        50,
        "mg/L",
        "most SO2 at crush that does not hinder a later MLF",
        "AWRI",
        high=150,
    ),
    Setting(
        "malolactic_ph_least",
        3.1,
        "pH",
        "pH below which MLF is hindered",
        "AWRI: about 3.0",
        low=2.8,
        high=3.6,
    ),
    Setting(
        "malolactic_alcohol_most",
        14,
        "% vol",
        "alcohol above which MLF is hindered",
        "source not verified",
        low=10,
        high=18,
    ),
    Setting("malolactic_overdue_days", 60, "d", "days from dryness in which MLF should be complete", low=14, high=400),
    Setting(
        "malolactic_unmeasured_days", 45, "d", "days from dryness in which malic acid must be tested", low=7, high=400
    ),
    Setting(
        "malolactic_stall_days", 21, "d", "days over which malic acid must fall, else MLF has stalled", low=7, high=180
    ),
    Setting(
        "malolactic_stall_fall",
        0.2,
        "g/L",
        "least fall of malic acid over those days; MLF that falls less has stalled",
        low=0.05,
        high=1,
    ),
    Setting(
        "malolactic_quiet",
        14,
        "d",
        "days after a decision on MLF conditions before they are asked about again",
        low=2,
        high=90,
    ),
    # Sulfite
    Setting(
        "share_first",
        0.5,
        "",
        "fraction of the first sulfite after the ferment that stays free",
        "Peynaud 1984 (source not verified)",
        low=0.1,
        high=1,
    ),
    Setting(
        "share_sweet",
        0.35,
        "",
        "fraction that stays free in a sweet, cloudy or arrested wine",
        "Practical Winery & Vineyard, January 2014",
        low=0.1,
        high=1,
    ),
    Setting(
        "share_later",
        0.67,
        "",
        "fraction of later sulfite additions that stays free",
        "source not verified",
        low=0.1,
        high=1,
    ),
    Setting("yeast_so2", 15, "mg/L", "total SO2 made by the yeast, until it is tested", "source not verified", high=60),
    Setting("first_sulfite_days", 1, "d", "days from the finish to the first sulfite of a wine without MLF", high=14),
    Setting("first_sulfite_days_encouraged", 3, "d", "days from the end of MLF to the first sulfite", high=14),
    Setting(
        "first_sulfite_days_either", 3, "d", "days from the finish to the first sulfite where MLF is left open", high=14
    ),
    Setting(
        "free_floor",
        20,
        "mg/L",
        "lowest free SO2 target against oxidation of whites, roses and fruit wines",
        "Waterhouse, Sacks & Jeffery 2016: 20 to 40",
        high=60,
    ),
    Setting(
        "free_floor_sorbate",
        25,
        "mg/L",
        "lowest free SO2 target of a wine with sorbate",
        "source not verified",
        high=60,
    ),
    Setting(
        "floor_molecular",
        1.5,
        "mg/L",
        "molecular SO2 from which the lowest free SO2 target is not applied",
        low=0.5,
        high=4,
    ),
    Setting("arrest_molecular", 1.5, "mg/L", "molecular SO2 target while cold alone holds live yeast", high=4),
    Setting(
        "free_high", 40, "mg/L", "free SO2 target above which acid is tried first, to lower the pH", low=20, high=100
    ),
    Setting("charted_molecular", 0.8, "mg/L", "molecular SO2 that the usual dose is compared with", low=0.3, high=2),
    Setting("charted_ph", 3.5, "pH", "pH assumed where none is known", low=2.8, high=4.2),
    Setting("dose_blind", 60, "mg/L", "first sulfite dose where no pH is known, total SO2", low=10, high=150),
    Setting(
        "dose_blind_malolactic",
        50,
        "mg/L",
        "first sulfite dose after MLF where no pH is known, total SO2",
        low=10,
        high=150,
    ),
    Setting("strip_most", 20, "mg/L", "free SO2 above which one test strip shows a trend only", high=100),
    Setting(
        "reading_far",
        3,
        "",
        "standard deviations from the expected free SO2 from which it is tested again",
        low=1,
        high=10,
    ),
    Setting(
        "keeping_margin",
        5,
        "mg/L",
        "a free SO2 test closer than this to the target makes sulfite due",
        "assumed: simulated; 3 to 4 leave too many days under the target in a year that goes wrong",
        high=20,
    ),
    Setting(
        "dose_lasts",
        90,
        "d",
        "days that a sulfite dose is made to last",
        "assumed: simulated; fewer larger doses beat many small ones",
        low=14,
        high=180,
    ),
    Setting("dose_least", 8, "mg/L", "least that a sulfite dose aims above the target", high=30),
    Setting("dose_most", 20, "mg/L", "most that a sulfite dose aims above the target", high=40),
    Setting("dose_worth", 5, "mg/L", "smallest sulfite dose that is due, total SO2", high=20),
    Setting(
        "balance_step",
        0.1,
        "g",
        "resolution of the balance; a dose below ten steps goes in as a solution",
        low=0.001,
        high=10,
    ),
    Setting("dose_reading_age", 21, "d", "a free SO2 test older than this is too old to dose on", low=3, high=90),
    Setting(
        "dose_spread",
        5,
        "mg/L",
        "standard deviation of free SO2 from which it is tested again before a dose",
        "assumed: simulated",
        low=1,
        high=20,
    ),
    Setting(
        "molecular_most",
        2,
        "mg/L",
        "molecular SO2 above which wine is sharp on the nose",
        "Waterhouse, Sacks & Jeffery 2016",
        low=0.5,
        high=4,
    ),
    Setting(
        "loss_steel", 0.0025, "a day", "daily loss of free SO2 in steel", "assumed, not measured", low=0.0001, high=0.05
    ),
    Setting(
        "loss_glass", 0.0040, "a day", "daily loss of free SO2 in glass", "assumed, not measured", low=0.0001, high=0.05
    ),
    Setting(
        "loss_oak", 0.0080, "a day", "daily loss of free SO2 in oak", "assumed, not measured", low=0.0001, high=0.05
    ),
    Setting(
        "loss_plastic",
        0.0100,
        "a day",
        "daily loss of free SO2 in plastic",
        "assumed, not measured",
        low=0.0001,
        high=0.05,
    ),
    Setting(
        "loss_spread",
        1.5,
        "x",
        "factor within which two wines in three differ from the typical daily loss",
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
        "temperature of the wine at which the typical losses hold",
        "assumed: a cellar in temperate country",
        low=5,
        high=25,
    ),
    Setting(
        "forecast_risk",
        5,
        "%",
        "risk of being below the target at which free SO2 is tested again",
        "assumed: simulated, the knee between tests and days under target",
        low=1,
        high=50,
    ),
    Setting(
        "recheck_after_work",
        3,
        "d",
        "days from sulfite, racking, blend, filtration or sweetening to the next free SO2 test",
        low=1,
        high=30,
    ),
    Setting("recheck_least", 7, "d", "fewest days between two free SO2 tests", low=1, high=60),
    Setting("recheck_oak", 30, "d", "most days between two free SO2 tests in oak", low=5, high=180),
    Setting("recheck_plastic", 45, "d", "most days between two free SO2 tests in plastic", low=5, high=180),
    Setting("recheck_full", 60, "d", "most days between two free SO2 tests in glass or steel", low=5, high=180),
    Setting("sorbate_reading_age", 7, "d", "oldest free SO2 test on which sorbate may go in", low=1, high=30),
    Setting(
        "sorbate_proof_age",
        14,
        "d",
        "oldest free SO2 test on which sorbate counts as effective",
        low=1,
        high=60,
    ),
    Setting("hold_reading_age", 14, "d", "oldest free SO2 test on which a cold hold may start", low=1, high=60),
    Setting(
        "bacteria_days",
        30,
        "d",
        "days with free SO2 on target that prove a wine without MLF safe from bacteria",
        low=7,
        high=180,
    ),
    Setting("ph_age", 90, "d", "oldest pH test on which a sulfite dose may rest", low=7, high=400),
    Setting("ph_age_first", 14, "d", "oldest pH test on which the first sulfite may rest", low=1, high=90),
    Setting(
        "total_share", 75, "%", "how near the legal limit total SO2 may come before it is tested", low=10, high=100
    ),
    Setting(
        "total_before_bottling", 100, "mg/L", "total SO2 above which it is tested before bottling", low=20, high=400
    ),
    Setting("total_added", 30, "mg/L", "SO2 added since the last total SO2 test that makes another one due", high=200),
    Setting("standing_dose", 15, "mg/L", "SO2 dose offered to a small lot in place of a test", low=5, high=30),
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
    Setting("ullage_oak", 2, "%", "headspace of a barrel at which topping is due at once", high=20),
    Setting("ullage_share", 0.5, "%", "headspace in glass or plastic at which topping is due", high=20),
    Setting("ullage_volume", 0.05, "L", "smallest headspace at which topping is due", high=10),
    Setting("ullage_steel", 1, "%", "headspace in steel at which topping is due, unless covered with gas", high=50),
    Setting("gas_days", 14, "d", "days that a gas cover is trusted", low=1, high=90),
    Setting("level_days", 30, "d", "days between checks of level, airlock and surface", low=3, high=180),
    Setting(
        "level_days_bare",
        14,
        "d",
        "days between checks of level, airlock and surface in a wine without SO2",
        low=3,
        high=90,
    ),
    Setting(
        "look_days",
        30,
        "d",
        "days that a check of level and airlock, a topping or a gas cover proves air kept out",
        low=3,
        high=180,
    ),
    Setting("clarity_after", 14, "d", "days from racking or fining to a clarity check", low=1, high=90),
    Setting("clarity_days", 30, "d", "days between clarity checks until one passes", low=3, high=180),
    Setting("clarity_before", 7, "d", "days before bottling at which the last clarity check is due", low=1, high=60),
    Setting("clear_ntu", 1, "NTU", "turbidity below which a wine is clear", "source not verified", low=0.1, high=10),
    Setting(
        "clear_ntu_red", 2, "NTU", "turbidity below which a red wine is clear", "source not verified", low=0.1, high=20
    ),
    Setting("smell_days", 60, "d", "days between smelling and tasting", low=7, high=180),
    Setting("smell_days_bare", 14, "d", "days between smelling and tasting in a wine without SO2", low=3, high=90),
    Setting("oak_first_days", 14, "d", "days from oak to the first taste", low=1, high=180),
    Setting("oak_days", 7, "d", "days between tastes until it is racked off the oak", low=1, high=180),
    # Cold, haze
    Setting("heat_rise", 2, "NTU", "highest rise of turbidity that passes the heat test", "AWRI", high=10),
    Setting("haze_weeks", 9, "weeks", "weeks before bottling at which the haze test is due", low=1, high=52),
    Setting(
        "haze_weeks_sweet",
        15,
        "weeks",
        "weeks before bottling at which the haze test of a wine to be sweetened is due",
        low=1,
        high=52,
    ),
    Setting(
        "haze_quiet",
        30,
        "d",
        "days that a red is left alone before the clarity check that proves it free of haze",
        high=180,
    ),
    Setting("cold_weeks", 6, "weeks", "weeks before bottling at which the cold hold starts", low=1, high=52),
    Setting(
        "cold_weeks_sweet",
        12,
        "weeks",
        "weeks before bottling at which the cold hold of a wine to be sweetened starts",
        low=1,
        high=52,
    ),
    Setting("hold_factor", 1, "", "factor on the days that a cold hold takes", low=0.5, high=4),
    Setting(
        "hold_fridge",
        4.4,
        "C",
        "temperature assumed for a cold hold still to come: a kitchen fridge",
        low=-5,
        high=7.9,
    ),
    Setting("hold_check_days", 2, "d", "days between temperature readings of a cold hold", low=1, high=14),
    Setting(
        "hold_trust_cold",
        3,
        "d",
        "days that a fridge or chiller is credited after the last temperature reading",
        low=1,
        high=14,
    ),
    Setting(
        "hold_trust_cellar",
        14,
        "d",
        "days that a cold cellar is credited after the last temperature reading",
        low=1,
        high=60,
    ),
    Setting(
        "cold_test_before",
        3,
        "d",
        "days before the forecast end of the cold hold at which the cold test is due",
        high=14,
    ),
    Setting("cold_retest", 7, "d", "days of cold hold added after a failed cold test", low=1, high=60),
    Setting("cold_test_days", 3, "d", "days that the sample of a cold test stands at -4 C", low=1, high=14),
    Setting("fridge_test_days", 7, "d", "days that the bottle of a fridge test stands", low=1, high=60),
    Setting(
        "conductivity_drop",
        5,
        "%",
        "conductivity drop under which a wine is cold stable",
        "Handbook of Enology vol. 2",
        low=1,
        high=20,
    ),
    Setting(
        "fridge_test_weeks",
        6,
        "weeks",
        "weeks before bottling at which the fridge test of a fruit wine is due",
        low=1,
        high=52,
    ),
    Setting(
        "fridge_test_weeks_sweet",
        8,
        "weeks",
        "weeks before bottling at which the fridge test of a fruit wine to be sweetened is due",
        low=1,
        high=52,
    ),
    # Sorbate, sweetening, bottling
    Setting("sweeten_from", 1, "d", "days from sorbate to sugar, earliest", low=1, high=14),
    Setting("sweeten_to", 7, "d", "days from sorbate to sugar, latest", low=1, high=30),
    Setting(
        "sorbate_effect", 95, "%", "least part of the table dose of sorbate that counts as effective", low=80, high=100
    ),
    Setting("watch_days", 28, "d", "days that a sweetened wine is watched for refermentation", low=14, high=90),
    Setting(
        "watch_first",
        7,
        "d",
        "days from the sweetening to the first gravity of the refermentation watch",
        low=1,
        high=30,
    ),
    Setting(
        "watch_second",
        14,
        "d",
        "days from the sweetening to the second gravity of the refermentation watch",
        low=2,
        high=60,
    ),
    Setting(
        "watch_warm", 18, "C", "temperature at which a day of the refermentation watch counts as warm", low=15, high=28
    ),
    Setting("watch_warm_days", 21, "d", "warm days that the refermentation watch needs", low=7, high=90),
    Setting(
        "warm_sample_days",
        14,
        "d",
        "days that a warm sample stands before it counts for the refermentation watch",
        low=3,
        high=90,
    ),
    Setting("final_from", 4, "d", "latest day of the pre-bottling SO2, in days before bottling", low=1, high=14),
    Setting("final_to", 7, "d", "earliest day of the pre-bottling SO2, in days before bottling", low=2, high=30),
    Setting(
        "final_extra",
        5,
        "mg/L",
        "free SO2 above target that filling is expected to cost",
        "losses to 11 published",
        high=20,
    ),
    Setting("final_reading_age", 5, "d", "oldest free SO2 test on which bottling may rest", low=1, high=14),
    Setting(
        "final_reading_from",
        2,
        "d",
        "days from the pre-bottling sulfite to its free SO2 test, earliest",
        low=1,
        high=10,
    ),
    Setting(
        "final_reading_to", 3, "d", "days from the pre-bottling sulfite to its free SO2 test, latest", low=1, high=10
    ),
    Setting("final_window", 10, "d", "days before the target date from which the pre-bottling SO2 is due", high=60),
    Setting("foreign_share", 2, "%", "part of another wine topped in that makes the wine a blend", high=20),
    Setting("kept_first", 14, "d", "days from bottling to the first check of the retained bottles", low=3, high=90),
    Setting("kept_second", 90, "d", "days from bottling to the second check of the retained bottles", low=14, high=365),
    Setting("kept_third", 365, "d", "days from bottling to the third check of the retained bottles", low=90, high=1000),
    Setting(
        "kept_sweet_first",
        28,
        "d",
        "days from bottling to a further check of the retained bottles where sugar or live yeast is inside",
        low=7,
        high=180,
    ),
    Setting(
        "kept_sweet_second",
        60,
        "d",
        "days from bottling to the last check of the retained bottles where sugar or live yeast is inside",
        low=14,
        high=365,
    ),
    # Doses
    Setting("acid_undoes", 0.5, "g/L", "acid added or removed that undoes cold stability", high=5),
    Setting(
        "potassium_undoes",
        120,
        "mg/L",
        "potassium added since the cold test that undoes cold stability",
        "computed from 0.26 of sorbate and 0.35 of metabisulfite",
        high=1000,
    ),
    Setting("ph_undoes", 0.1, "pH", "change of pH that undoes the haze test", high=1),
    Setting("small_lot", 10, "L", "volume below which the sample of a test matters", high=50),
    Setting("sample_volume", 0.025, "L", "wine that a test takes from a small lot", high=1),
    Setting("threefold", 3, "x", "a sulfite dose this many times the usual one is stopped", low=1.5, high=10),
    Setting(
        "copper_most",
        0.5,
        "mg/L",
        "total copper added above which a further addition is stopped",
        "the cautious one of the published limits (source not verified)",
        high=2,
    ),
    Setting(
        "bag_days",
        365,
        "d",
        "days after which an opened bag of sulfite may have lost strength",
        "source not verified",
        high=3650,
    ),
    Setting(
        "slip_ph", 0.25, "pH", "a pH this far from the last one is taken for a slip: test it again", low=0.05, high=2
    ),
    Setting("slip_ph_low", 2.7, "pH", "a pH below this is taken for a slip: test it again", low=2.2, high=3.2),
    Setting("slip_ph_high", 4.2, "pH", "a pH above this is taken for a slip: test it again", low=3.6, high=4.8),
    Setting(
        "slip_sg",
        0.003,
        "SG",
        "a gravity that rises by this without sugar is taken for a slip: test it again",
        low=0.001,
        high=0.05,
    ),
    Setting(
        "slip_malic", 0.3, "g/L", "malic acid that rises by this is taken for a slip: test it again", low=0.05, high=5
    ),
    Setting(
        "slip_temperature",
        12,
        "C",
        "a temperature this far off within a day is taken for a slip: measure it again",
        low=2,
        high=40,
    ),
    Setting(
        "slip_ta", 2, "g/L", "a TA this far from the last one is taken for a slip: test it again", low=0.2, high=10
    ),
    Setting("volume_tolerance", 3, "%", "most by which a measured volume may differ from the ledger", high=50),
    Setting("total_tolerance", 25, "mg/L", "most by which a tested total SO2 may differ from the ledger", high=200),
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
