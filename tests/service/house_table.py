"""What each house rule moves: a row names the rule, the new value as typed, a story, and what that moves in it.

To add a row for a new house rule, put one line into the table of its topic; where no story suits, tell one in
`house_stories.py`. What moves is written as
- `rack`, an action: its days or its task;
- `yeast action`, the one action that bears the name of a verdict;
- `rack dose`, the dose of an action, with what is to be known of it;
- `rack reason`, what is said of an action that a person decides by;
- `yeast`, a verdict: its state or its end;
- `forecast`, where free SO2 is heading;
- `path bottle`, the earliest day of a step until bottling;
- `guard NAME`, what a guard says of `asked`, a line that is only weighed;
- `lot`, the number on the bottles of `asked`, and `scale`, that of its score;
- `empty ACTION`, what is asked of the vessel once it is empty;
- `today` and `units`, which are words of the whole cellar.
It must be there after the change, because its why is asked for the entry that changed the rule.
"""

from __future__ import annotations

from dataclasses import dataclass

from cellar_tui.ledger.materials import MATERIALS
from tests.service import house_stories as told


@dataclass(frozen=True)
class Row:
    """One house rule, set to a value in a story, and what that moves; `asked` is a line weighed for its guards."""

    setting: str
    value: str
    story: str
    moves: str
    asked: str = ""


def sulfite(amount: str, day: str = "2026-10-25") -> str:
    """Return the line of a sulfite addition."""
    return f"{day} addition material=potassium_metabisulfite amount={amount}"


WORDS = (
    Row("skip_holds", "20", told.SKIPPED, "sulfite"),
    Row("zone", "Pacific/Auckland", told.KEPT, "today"),
    Row("units", "us", told.KEPT, "units"),
    Row("gravity_scale", "oechsle", told.KEPT, "units"),
    Row("lot_pattern", "{yyyy}", told.KEPT, "lot", "2026-11-20 bottle count=10 size=750"),
    Row("tasting_scale", "100", told.KEPT, "scale", "2026-11-20 tasting nose=pears score=12"),
    Row("jurisdiction", "eu", told.KEPT, "guard legal_total_so2", sulfite("8g")),
    Row("ph_meter", "no", told.SWEET_NO_PH, "sorbate"),
)

MUST = (
    Row("enzyme_after_so2", "36", told.PULP, "pectic_enzyme"),
    Row("empty_wood_days", "21", told.EMPTY_BARREL, "empty empty_wood"),
    Row("dry_wood_days", "90", told.EMPTY_BARREL, "empty wood_soak"),
    Row("must_alcohol_least", "13.5", told.NO_YEAST, "must_sugar dose"),
    Row("enrichment_most", "2", told.WEAK, "must_sugar dose"),
    Row("must_ta_low", "5.5", told.WEAK, "fining_trial"),
    Row("settle_hours", "36", told.NO_YEAST, "settle"),
    Row("settle_ntu", "150", told.BRIGHT_MUST, "settle"),
    Row("yeast_after_so2", "48", told.PULP, "yeast action"),
    Row("enzyme_dose", "20", told.PULP, "pectic_enzyme dose"),
    Row("enzyme_late_from", "3", told.PECTIN, "pectic_enzyme dose"),
    Row("enzyme_late_to", "5", told.PECTIN, "pectic_enzyme dose"),
    Row("enzyme_warm_from", "18", told.PECTIN, "pectic_enzyme"),
    Row("enzyme_warm_to", "22", told.PECTIN, "pectic_enzyme"),
    Row("yeast_dose", "30", told.PULP, "yeast dose"),
    Row("yeast_restart", "60", told.RESTARTED, "yeast dose"),
    Row("cap_days", "2", told.SKINS, "cap"),
    Row("press_red_sg", "1.020", told.SKINS_READ, "press"),
    Row("press_red_last", "1.000", told.SKINS_LOW, "press reason"),
    Row("press_red_days", "8", told.SKINS, "press"),
    Row("press_fruit_sg", "1.040", told.PULP_READ, "press"),
    Row("press_fruit_from", "4", told.PULP, "press"),
    Row("press_fruit_to", "8", told.PULP, "press"),
    Row("press_white_days", "2", told.WHITE_SKINS, "press"),
    Row("last_third", "50", told.SKINS_COOL, "warm"),
    Row("warm_red", "23", told.SKINS_READ, "warm"),
    Row("warm_white", "15", told.COOL, "warm"),
    Row("hot_red", "26", told.SKINS_WARM, "warm"),
    Row("hot_other", "18", told.FERMENT, "warm"),
    Row("hot_any", "26", told.SKINS_WARM, "warm"),
    Row("nutrient_after", "48", told.FRUIT_MUST, "nutrient"),
    Row("nutrient_second", "45", told.FRUIT_FED, "nutrient"),
    Row("nutrient_last", "60", told.FRUIT_HALF, "nutrient"),
    Row("yan_light", "180", told.FRUIT_MUST, "nutrient dose"),
    Row("complex_nitrogen", "5", told.FRUIT_COMPLEX, "nutrient dose"),
    Row("yan_unmeasured", "50", told.FRUIT_MUST, "nutrient dose"),
)

FERMENT = (
    Row("gravity_days", "4", told.FERMENT, "gravity_check"),
    Row("gravity_days_hot", "3", told.HOT, "gravity_check"),
    Row("gravity_hot", "27", told.HOT, "gravity_check"),
    Row("gravity_days_end", "5", told.NEAR_END, "gravity_check"),
    Row("gravity_must_days", "5", told.NO_YEAST, "gravity_check"),
    Row("gravity_end_sg", "0.998", told.NEAR_END, "gravity_check"),
    Row("stuck_after", "6", told.STUCK, "ferment_decision"),
    Row("stuck_days", "5", told.STUCK, "ferment_decision"),
    Row("stuck_quiet", "10", told.RESTARTED, "ferment_decision"),
    Row("stuck_fall", "0.005", told.SLOW, "ferment_decision"),
    Row("feed_days", "2", told.FED_EARLY, "yeast"),
    Row("feed_gravity_days", "5", told.FED_LATE, "yeast"),
    Row("dry_sg", "0.997", told.HIGH, "gravity_check"),
    Row("steady_sg", "0.0005", told.UNEVEN, "gravity_check"),
    Row("steady_days", "4", told.PROVED, "rack"),
    Row("yeast_proof_days", "10", told.OUT, "gravity_check"),
    Row("dry_sugar", "1", told.SUGAR_READ, "yeast"),
    Row("arrest_near", "0.020", told.TO_ARREST, "gravity_check"),
    Row("arrest_hours", "6", told.TO_ARREST_NEAR, "gravity_check"),
    Row("arrest_at", "0.006", told.TO_ARREST_NEAR, "arrest"),
    Row("arrest_chill", "0", told.TO_ARREST_NOW, "arrest"),
    Row("arrest_cold", "2", told.ARRESTED_MILD, "arrest"),
    Row("arrest_first", "4", told.ARRESTED, "gravity_check"),
    Row("arrest_second", "8", told.ARRESTED_READ, "gravity_check"),
    Row("arrest_third", "15", told.ARRESTED_READ_TWICE, "gravity_check"),
    Row("fortify_strength", "19", told.TO_FORTIFY, "fortify dose"),
    Row("spirit_strength", "20", told.FORTIFIED, "gravity_check"),
    Row("spirit_index", "85", told.WEAKLY_FORTIFIED, "yeast"),
    Row("fortified_days", "20", told.FORTIFIED_READ, "gravity_check"),
)

MALOLACTIC = (
    Row("malic_done", "0.3", told.NEARLY_THROUGH, "sulfite"),
    Row("malolactic_first_days", "20", told.RUNNING, "malolactic_check"),
    Row("malolactic_days", "12", told.RUNNING_WARM, "malolactic_check"),
    Row("malolactic_days_cold", "30", told.RUNNING_COLD, "malolactic_check"),
    Row("malolactic_cold", "10", told.RUNNING_COLD, "malolactic_check"),
    Row("malolactic_ph", "3.1", told.SULFITED, "malolactic_check"),
    Row("malolactic_look_days", "5", told.SOFT_SULFITED, "malolactic_check"),
    Row("malolactic_look_again", "60", told.SOFT_LOOKED, "malolactic_check"),
    Row("malolactic_stop_first", "20", told.STOPPED, "malolactic_check"),
    Row("malolactic_stop_second", "20", told.STOPPED_LOOKED, "malolactic_check"),
    Row("coinoculation", "14", told.LESS_RIPE, "malolactic_start"),
    Row("coinoculation_from", "0", told.RIPE, "malolactic_start"),
    Row("coinoculation_to", "4", told.RIPE, "malolactic_start"),
    Row("chromatogram_days", "7", told.SPOTLESS, "sulfite"),
    Row(
        "malic_fall",
        "0.2",
        told.MALIC_KEPT,
        "guard sorbate_live_malolactic",
        "2026-12-12 addition material=potassium_sorbate amount=3g",
    ),
    Row("malic_same", "0.2", told.MALIC_KEPT, "bacteria"),
    Row("malic_apart", "25", told.MALIC_KEPT, "bacteria"),
    Row("bacteria_ph", "3.1", told.SAFE, "bacteria"),
    Row("bacteria_days", "90", told.SAFE, "bacteria"),
    Row("malolactic_so2_harm", "5", told.DISTURBED, "malolactic_overdue"),
    Row("malolactic_warm", "22", told.RUNNING_WARM, "malolactic_conditions"),
    Row("malolactic_free_most", "5", told.HINDERED, "malolactic_conditions"),
    Row("malolactic_total_most", "30", told.HINDERED, "malolactic_conditions"),
    Row("malolactic_crush_so2", "20", told.CRUSHED, "malolactic_conditions"),
    Row("malolactic_ph_least", "3.4", told.HINDERED, "malolactic_conditions"),
    Row("malolactic_alcohol_most", "12", told.RUNNING, "malolactic_conditions"),
    Row("malolactic_overdue_days", "70", told.RUNNING_WARM, "malolactic_overdue"),
    Row("malolactic_unmeasured_days", "50", told.RUNNING, "malolactic_overdue"),
    Row("malolactic_stall_days", "25", told.STALLED, "malolactic_overdue"),
    Row("malolactic_stall_fall", "0.05", told.STALLED, "malolactic_overdue"),
    Row("malolactic_quiet", "7", told.NOTED_COLD, "malolactic_conditions"),
)

SULFITE = (
    Row("share_first", "0.6", told.OUT, "sulfite dose"),
    Row("share_sweet", "0.5", told.SWEETENED_LOW, "sulfite dose"),
    Row("share_later", "0.5", told.LOW, "sulfite dose"),
    Row("yeast_so2", "60", told.KEPT, "guard legal_total_so2", sulfite("3.4g")),
    Row("first_sulfite_days", "2", told.OUT, "sulfite"),
    Row("first_sulfite_days_encouraged", "5", told.THROUGH_PH, "sulfite"),
    Row("first_sulfite_days_either", "5", told.OPEN, "sulfite"),
    Row("free_floor", "24", told.SOUR, "sulfite dose"),
    Row("free_floor_sorbate", "20", told.SWEET_SOUR, "sulfite dose"),
    Row("free_high", "20", told.KEPT, "fining_trial"),
    Row("floor_molecular", "1.1", told.SOUR, "sulfite dose"),
    Row("arrest_molecular", "1", told.CHILLED, "sulfite dose"),
    Row("charted_molecular", "0.5", told.OUT, "guard threefold_dose", sulfite("3.4g")),
    Row("charted_ph", "3.2", told.LOW_NO_METER, "sulfite dose"),
    Row("dose_blind", "50", told.NO_METER, "sulfite dose"),
    Row("dose_blind_malolactic", "40", told.THROUGH, "sulfite dose"),
    Row("strip_most", "10", told.SULFITED, "guard one_strip", "2026-10-21 reading free_so2=15 method=strip"),
    Row("reading_far", "1", told.KEPT, "guard far_from_forecast", "2026-10-22 reading free_so2=33 method=aspiration"),
    Row("keeping_margin", "8", told.BARELY_KEPT, "sulfite"),
    Row("dose_lasts", "120", told.LOW, "sulfite dose"),
    Row("dose_least", "12", told.LOW, "sulfite dose"),
    Row("dose_worth", "20", told.JUST_LOW, "so2_recheck"),
    Row("balance_step", "0.01", told.LOW, "sulfite dose"),
    Row("dose_reading_age", "10", told.LOW, "sulfite"),
    Row("dose_spread", "1", told.LOW, "sulfite"),
    Row("loss_q10", "3", told.WARMED, "so2_recheck"),
    Row("loss_warmth", "10", told.WARMED, "so2_recheck"),
    Row("dose_most", "8", told.lying_in("oak", told.SOFT), "sulfite dose"),
    Row("molecular_most", "1.2", told.KEPT, "guard molecular_so2", sulfite("1g")),
    *(Row(f"loss_{one}", "0.009", told.lying_in(one), "so2_recheck") for one in ("steel", "glass", "oak", "plastic")),
    Row("loss_spread", "3", told.KEPT, "so2_recheck"),
    Row("forecast_risk", "30", told.KEPT, "so2_recheck"),
    Row("total_share", "45", told.KEPT, "total_so2"),
    Row("total_before_bottling", "60", told.SETTLED, "total_so2"),
    Row("total_added", "15", told.TOTAL_READ, "total_so2"),
    Row("standing_dose", "12", told.SMALL_KEPT, "so2_recheck dose"),
    Row("recheck_after_work", "5", told.WORKED_ON, "so2_recheck"),
    Row("recheck_least", "9", told.NEARLY_LOW, "so2_recheck"),
    Row("recheck_oak", "20", told.lying_in("oak", told.WELL_KEPT), "so2_recheck"),
    Row("recheck_plastic", "30", told.lying_in("plastic", told.WELL_KEPT), "so2_recheck"),
    Row("recheck_full", "40", told.WELL_KEPT, "so2_recheck"),
    Row("hold_reading_age", "20", told.HEATED, "cold_hold_start"),
    Row("ph_age", "30", told.LATE_LOW, "ph_check"),
    Row("ph_age_first", "5", told.OUT, "ph_check"),
)

KEEPING = (
    Row("first_rack_from", "5", told.OUT, "rack"),
    Row("first_rack_to", "14", told.OUT, "rack"),
    Row("second_rack_weeks", "7", told.KEPT, "rack"),
    Row("later_rack_from", "1", told.RACKED_TWICE, "rack"),
    Row("later_rack_to", "4", told.RACKED_TWICE, "rack"),
    Row("press_rack_from", "2", told.PRESSED, "rack"),
    Row("press_rack_to", "5", told.PRESSED, "rack"),
    Row("arrest_rack_from", "3", told.ARRESTED, "rack"),
    Row("arrest_rack_to", "6", told.ARRESTED, "rack"),
    Row("arrest_again_from", "8", told.ARRESTED_RACKED, "rack"),
    Row("arrest_again_to", "20", told.ARRESTED_RACKED, "rack"),
    Row("cold_rackings", "1", told.ARRESTED_RACKED, "rack"),
    Row("spirit_rack_from", "4", told.FORTIFIED, "rack"),
    Row("spirit_rack_to", "9", told.FORTIFIED, "rack"),
    Row("settle_bentonite", "9", told.BENTONITE, "rack"),
    Row("settle_fining", "20", told.GELATIN, "rack"),
    Row("top_oak_weeks", "6", told.lying_in("oak", told.filled("22.95L")), "top_up"),
    Row("ullage_oak", "0.1", told.lying_in("oak", told.filled("22.95L")), "top_up"),
    Row("ullage_share", "0.3", told.filled("22.9L"), "top_up"),
    Row("ullage_volume", "0.02", told.filled("4.985L", capacity="5L"), "top_up"),
    Row("ullage_steel", "0.3", told.lying_in("steel", told.filled("22.85L")), "top_up"),
    Row("gas_days", "20", told.GASSED, "top_up"),
    Row("level_days", "40", told.KEPT, "level_look"),
    Row("level_days_bare", "10", told.OUT, "level_look"),
    Row("look_days", "10", told.LOOKED_AT, "air"),
    Row("smell_days", "40", told.SMELT, "smell_check"),
    Row("smell_days_bare", "10", told.SMELT_BARE, "smell_check"),
    Row("oak_first_days", "10", told.OAKED, "oak_taste"),
    Row("oak_days", "5", told.OAK_TASTED, "oak_taste"),
    Row("clarity_after", "20", told.KEPT, "clarity_check"),
    Row("clarity_days", "40", told.CLOUDY, "clarity_check"),
    Row("clarity_before", "14", told.CLEAR, "clarity_check"),
    Row("clear_ntu", "2", told.METERED, "haze_test"),
    Row("clear_ntu_red", "1", told.RED_METERED, "clarity_check"),
    Row("foreign_share", "1", told.TOPPED, "yeast"),
    Row("small_lot", "15", told.SMALL, "sulfite dose"),
    Row("sample_volume", "0.1", told.SMALLER, "sulfite dose"),
)

STABILITY = (
    Row("heat_rise", "3", told.CLEAR, "haze_test reason"),
    Row("haze_weeks", "5", told.CLEAR, "haze_test"),
    Row("haze_weeks_sweet", "10", told.SWEET, "haze_test"),
    Row("haze_quiet", "10", told.RED_FINED, "haze"),
    Row("ph_undoes", "0.04", told.PH_MOVED, "haze"),
    Row("cold_weeks", "4", told.HEATED, "cold_hold_start"),
    Row("cold_weeks_sweet", "8", told.SWEET_HEATED, "cold_hold_start"),
    Row("hold_factor", "2", told.RED_COLD, "cold_hold_end"),
    Row("hold_fridge", "-2.8", told.HEATED, "path final_so2"),
    Row("hold_check_days", "4", told.HOLD, "cold_hold_check"),
    Row("hold_trust_cold", "10", told.RED_COLD, "crystals"),
    Row("hold_trust_cellar", "40", told.RED_IN_COLD_CELLAR, "crystals"),
    Row("cold_test_before", "1", told.HOLD, "cold_test"),
    Row("cold_retest", "10", told.HOLD_FAILED, "cold_test"),
    Row("cold_test_days", "6", told.HEATED, "path cold_test"),
    Row("conductivity_drop", "7", told.CONDUCTIVITY, "crystals"),
    Row("fridge_test_weeks", "4", told.FRUIT, "cold_test"),
    Row("fridge_test_weeks_sweet", "4", told.SWEET_FRUIT, "cold_test"),
    Row("fridge_test_days", "40", told.FRUIT, "path final_so2"),
    Row("acid_undoes", "0.2", told.ACIDIFIED, "crystals"),
    Row("potassium_undoes", "10", told.SULFITED_AGAIN, "crystals"),
)

SWEETNESS = (
    Row("sorbate_reading_age", "10", told.SWEET_STABLE, "sorbate"),
    Row("sorbate_proof_age", "20", told.SORBATE_LATE, "sweeten"),
    Row("sorbate_effect", "85", told.SORBATE_SHORT, "sweeten"),
    Row("sweeten_from", "2", told.SORBATE_IN, "sweeten"),
    Row("sweeten_to", "10", told.SORBATE_IN, "sweeten"),
    Row("watch_first", "9", told.SWEETENED, "refermentation_watch"),
    Row("watch_second", "20", told.WATCHED_ONCE, "refermentation_watch"),
    Row("watch_days", "40", told.WATCHED_TWICE, "refermentation_watch"),
    Row("watch_warm", "20", told.WATCHED, "yeast"),
    Row("watch_warm_days", "40", told.WATCHED, "yeast"),
    Row("warm_sample_days", "10", told.WARM_SAMPLE, "yeast"),
    Row("final_from", "2", told.SETTLED, "final_so2"),
    Row("final_to", "9", told.SETTLED, "final_so2"),
    Row("final_extra", "15", told.FINAL_READ, "final_so2 dose"),
    Row("final_reading_age", "8", told.FINAL_CLOSED, "final_so2"),
    Row("final_reading_from", "1", told.FINAL_DOSED, "final_so2"),
    Row("final_reading_to", "5", told.FINAL_DOSED, "final_so2"),
    Row("final_window", "5", told.SETTLED, "final_so2"),
)

BOTTLES = (
    Row("kept_first", "20", told.BOTTLED, "kept_bottle_check"),
    Row("kept_second", "100", told.BOTTLE_LOOKED_AT, "kept_bottle_check"),
    Row("kept_third", "400", told.BOTTLE_LOOKED_AT_AGAIN, "kept_bottle_check"),
    Row("kept_sweet_first", "20", told.SWEET_BOTTLE_LOOKED_AT, "kept_bottle_check"),
    Row("kept_sweet_second", "50", told.SWEET_BOTTLE_LOOKED_AT_AGAIN, "kept_bottle_check"),
)

GUARDS = (
    Row("threefold", "2", told.OUT, "guard threefold_dose", sulfite("3.4g")),
    Row("bag_days", "200", told.BAG, "guard old_bag", sulfite("1g")),
    Row("volume_tolerance", "1", told.KEPT, "guard differs", "2026-10-25 reading volume=19.6L"),
    Row("total_tolerance", "10", told.KEPT, "guard differs", "2026-10-25 reading total_so2=110"),
    Row("slip_ph", "0.1", told.KEPT, "guard ph_far", "2026-10-25 reading ph=3.45"),
    Row("slip_ph_low", "3.15", told.NO_METER, "guard ph_far", "2026-10-25 reading ph=3.1"),
    Row("slip_ph_high", "3.6", told.NO_METER, "guard ph_far", "2026-10-25 reading ph=3.7"),
    Row("slip_sg", "0.001", told.OUT, "guard gravity_rises", "2026-10-25 reading sg=0.994"),
    Row("slip_malic", "0.1", told.MALIC_KEPT, "guard malic_rises", "2026-12-15 reading malic=1.9"),
    Row("slip_temperature", "3", told.WATCHED_ONCE, "guard temperature_far", "2026-11-15 reading temperature=15C"),
    Row("slip_ta", "0.5", told.ACID_READ, "guard acid_far", "2026-10-25 reading ta=7"),
    Row("copper_most", "0.1", told.KEPT, "guard copper", "2026-10-25 addition material=copper_sulfate amount=0.02g"),
    Row("full_ferment", "60", told.EMPTY, "guard full_ferment", "wine 2026-09-20 style=dry_white volume=16L"),
    Row("strong_must", "12", told.EMPTY, "guard strong_must", "wine 2026-09-20 style=dry_white volume=16L sg=1.095"),
    *(
        # 2.5 times the usual most in 20 L passes; with half of it as the most it is five times.
        Row(
            f"most_{name}",
            f"{one.most / 2}",
            told.MUST,
            "guard threefold_dose",
            f"2026-09-22 addition material={name} amount={one.most * 0.05}g",
        )
        for name, one in MATERIALS.items()
        if one.most is not None
    ),
)

AT_SECOND_HAND = (
    Row("share_first", "0.25", told.LATE_FALLEN, "sulfite dose"),
    Row("reading_far", "1", told.SAFE, "so2_recheck reason"),
    Row("yeast_so2", "20", told.SETTLED, "total_so2"),
    Row("final_to", "4", told.FINAL_CLOSED, "total_so2"),
    Row("final_window", "5", told.FINAL_CLOSED, "total_so2"),
    Row("small_lot", "8", told.SMALL_KEPT, "so2_recheck"),
    Row("arrest_near", "0.002", told.TO_ARREST_NEAR, "gravity_check"),
    Row("kept_sweet_second", "120", told.SWEET_BOTTLE_LOOKED_AT_AGAIN, "kept_bottle_check"),
)
"""House rules that move something they are not made for: what a wine has taught, what another step waits for."""

ROWS = (*WORDS, *MUST, *FERMENT, *MALOLACTIC, *SULFITE, *KEEPING, *STABILITY, *SWEETNESS, *BOTTLES, *GUARDS)
"""Every house rule, once."""
