"""Total SO2, smells, bench trials and finings, oak, and lots too small to be read often."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from cellar_tui.ledger import kinds as k
from cellar_tui.planning.rules.table import RULE_BY_ID
from cellar_tui.planning.small_lot import with_room
from tests.planning.stories import Story, all_but_air, came_finished, clear, dry, fermenting, kept, red, sweetened
from tests.planning.tables import statements

Window = tuple[str, str] | None
Tale = Callable[[], Story]


# "the ledger's sum over 75 % of the limit, or over 100 mg/L before bottling, and 30 mg/L or more of it added since the
# last total reading | now". The yeast's 15 and 80 mg/L are in the kept white; its limit is 200 mg/L, 75 % of it 150.
@statements(
    ("95 mg/L by the ledger is far from it", kept, None),
    ("over 150", lambda: kept().sulfite("2026-11-01", 56), "2026-11-01"),
    ("not at 145", lambda: kept().sulfite("2026-11-01", 50), None),
    ("a reading takes its place", lambda: kept().sulfite("2026-11-01", 56).reading("2026-11-02", total_so2=148), None),
    (
        "20 more since it are too few",
        lambda: kept().sulfite("2026-11-01", 56).reading("2026-11-02", total_so2=148).sulfite("2026-11-20", 20),
        None,
    ),
    (
        "35 more are not",
        lambda: kept().sulfite("2026-11-01", 56).reading("2026-11-02", total_so2=148).sulfite("2026-11-20", 35),
        "2026-11-20",
    ),
    ("what it came with was stated, nothing added", lambda: came_finished(total_so2=180), None),
    ("over 100 with the final SO2", lambda: all_but_air().sulfite("2026-11-02", 10), "2027-01-13"),
    ("95 then ask for none", all_but_air, None),
    ("a must has no total to speak of", lambda: Story(sg=1.09).sulfite("2026-09-20", 160), None),
    ("a stricter share is the house's to set", lambda: kept().house(total_share=45), "2026-10-14"),
)
def test_total_so2_is_read(story: Tale, window: Window) -> None:
    assert story().due("total_so2") == window


# "end of ferment, each racking, every 60 d, 14 d without SO2"
@statements(
    ("not in a ferment", fermenting, None),
    ("a ferment racked off its heavy solids is", lambda: fermenting("dry_red").rack("2026-09-28"), "2026-09-28"),
    ("once", lambda: fermenting("dry_red").rack("2026-09-28").check("2026-09-28", "smell"), None),
    ("vinegar in a must: again 2 d later", lambda: stinking_must("vinegar"), "2026-09-24"),
    ("rotten egg in a ferment too", lambda: stinking_must("rotten_egg"), "2026-09-24"),
    ("not once it smells clean", lambda: stinking_must("rotten_egg").check("2026-09-24", "smell"), None),
    (
        "and again at its end",
        lambda: (
            fermenting("dry_red")
            .rack("2026-09-28")
            .check("2026-09-28", "smell")
            .reading("2026-10-10", sg=0.994)
            .reading("2026-10-13", sg=0.994)
        ),
        "2026-10-13",
    ),
    ("at the end of the ferment", dry, "2026-10-13"),
    ("a finished wine when it comes", came_finished, "2026-10-13"),
    (
        "a blend on the day it was made",
        lambda: clear().check("2026-11-01", "smell").blend_in("2026-11-05", 0.05),
        "2026-11-05",
    ),
    ("14 d later without SO2", lambda: dry().check("2026-10-13", "smell"), "2026-10-27"),
    ("at each racking", kept, "2026-10-18"),
    ("60 d later with SO2", lambda: kept().check("2026-10-18", "smell"), "2026-12-17"),
    ("a skip counts like a look", lambda: kept().skip("2026-10-18", "smell_check"), "2026-12-17"),
    ("vinegar: again 2 d later", lambda: kept().check("2026-10-18", "smell", "fail", "vinegar"), "2026-10-20"),
    (
        "or 2 d after its VA was read",
        lambda: kept().check("2026-10-18", "smell", "fail", "vinegar").reading("2026-10-19", va=0.5),
        "2026-10-21",
    ),
    ("rotten egg: again 2 d later", lambda: kept().check("2026-10-18", "smell", "fail", "rotten_egg"), "2026-10-20"),
    (
        "mouse has no cure: at the usual time",
        lambda: kept().check("2026-10-18", "smell", "fail", "mouse"),
        "2026-12-17",
    ),
    (
        "clean again",
        lambda: kept().check("2026-10-18", "smell", "fail", "vinegar").check("2026-10-20", "smell"),
        "2026-12-19",
    ),
)
def test_it_is_smelt(story: Tale, window: Window) -> None:
    assert story().due("smell_check") == window


def stinking_must(fault: str) -> Story:
    """A ferment that smelled of a fault on 22 September."""
    return fermenting("dry_red", skins=True).check("2026-09-22", "smell", "fail", fault)


@pytest.mark.parametrize(
    ("fault", "words"), [("vinegar", ("punch down", "cover")), ("rotten_egg", ("air", "nitrogen"))]
)
def test_a_fault_in_a_ferment_is_answered_with_air_and_care_and_no_sulfite(fault: str, words: tuple[str, ...]) -> None:
    task = stinking_must(fault).dues("smell_check")[0].task
    assert [word for word in words if word not in task] == []
    assert "SO2" not in task


@pytest.mark.parametrize(
    ("fault", "words"),
    [
        ("vinegar", ("SO2 to target", "top up", "apart", "VA")),
        ("film", ("SO2 to target", "top up", "apart", "VA")),
        ("rotten_egg", ("before any SO2", "copper by trial")),
    ],
)
def test_a_fault_says_what_it_leads_to(fault: str, words: tuple[str, ...]) -> None:
    task = kept().check("2026-10-18", "smell", "fail", fault).dues("smell_check")[0].task
    assert [word for word in words if word not in task] == []


def test_mouse_is_not_to_be_blended() -> None:
    assert "do not blend" in kept().check("2026-10-18", "smell", "fail", "mouse").dues("smell_check")[0].because.reason


def working_red() -> Story:
    return dry("dry_red", sg=0.994).add("2026-10-13", "malolactic_culture", 2)


def soft_red() -> Story:
    """A red of pH 3.75: 0.5 mg/L molecular is 0.5 x (1 + 10^1.94) = 44.0 mg/L free."""
    return red().reading("2026-11-02", ph=3.75)


def failed(style: str = "dry_white", test: str = "heat_test") -> Story:
    return clear(style).check("2026-11-02", test, "fail")


def stinking() -> Story:
    """Clear, rotten egg smelled on 5 November, splash racked, and smelt again on 7 November."""
    story = clear().check("2026-11-05", "smell", "fail", "rotten_egg").rack("2026-11-05")
    return story.check("2026-11-07", "smell", "fail", "rotten_egg")


# "haze test failed | at once; say first that months in bulk settle much by themselves"
@statements(
    ("not before a test has failed", clear, None),
    ("nor of a wine that has just come", lambda: Story(started="2026-10-13", finished=True), None),
    ("a failed heat test", failed, "2026-11-02"),
    (
        "one that failed after another had passed",
        lambda: clear().check("2026-11-02", "heat_test").check("2026-11-10", "heat_test", "fail"),
        "2026-11-10",
    ),
    ("not once it passed", lambda: failed().check("2026-11-03", "heat_test"), None),
    ("a trial with a dose chosen", lambda: failed().trial("2026-11-03", "bentonite", 50), None),
    ("one that chose none to add", lambda: failed().trial("2026-11-03", "bentonite", 0), None),
    ("one without a choice: again 2 d later", lambda: failed().trial("2026-11-03", "bentonite", None), "2026-11-05"),
    ("a trial of oak tells nothing of haze", lambda: failed().trial("2026-11-03", "oak", 200), "2026-11-02"),
    ("treated without a trial", lambda: failed().add("2026-11-03", "bentonite", 10), None),
    ("a failed pectin test has its enzyme first", lambda: failed("dry_fruit", "pectin_test"), None),
    (
        "pectin left after the enzyme",
        lambda: (
            failed("dry_fruit", "pectin_test")
            .add("2026-11-03", "pectic_enzyme", 5)
            .check("2026-11-20", "pectin_test", "fail")
        ),
        "2026-11-20",
    ),
    (
        "a red that does not clear",
        lambda: red().rack("2026-10-25").check("2026-11-08", "clarity", "fail"),
        "2026-11-08",
    ),
    (
        "not while its bacteria still stir it",
        lambda: (
            dry("dry_red", sg=0.994)
            .add("2026-10-13", "malolactic_culture", 2)
            .rack("2026-10-18")
            .check("2026-11-01", "clarity", "fail")
        ),
        None,
    ),
    (
        "it is not late when they are through",
        lambda: (
            dry("dry_red", sg=0.994)
            .add("2026-10-13", "malolactic_culture", 2)
            .rack("2026-10-18")
            .check("2026-11-01", "clarity", "fail")
            .reading("2027-01-24", malic=0.1)
        ),
        "2027-01-24",
    ),
    ("a red of pH 3.75: acid", lambda: red().reading("2026-11-02", ph=3.75), "2026-11-02"),
    ("not at 3.70", lambda: red().reading("2026-11-02", ph=3.70), None),
    ("a white of pH 3.55: acid", lambda: kept(ph=3.55), "2026-10-13"),
    ("not at 3.50", lambda: kept(ph=3.50), None),
    ("not while bacteria work", lambda: working_red().reading("2026-10-20", ph=3.75), None),
    ("a trial that chose a dose", lambda: soft_red().trial("2026-11-03", "tartaric_acid", 100), None),
    ("one that chose none", lambda: soft_red().trial("2026-11-03", "tartaric_acid", 0), None),
    ("a trial of bentonite is no answer to a pH", lambda: soft_red().trial("2026-11-03", "bentonite", 0), "2026-11-02"),
    ("acid in, not before its pH is read again", lambda: soft_red().add("2026-11-03", "tartaric_acid", 23), None),
    (
        "read too high again the next day: once the acid has had the 14 d of a fining",
        lambda: soft_red().add("2026-11-03", "tartaric_acid", 23).reading("2026-11-04", ph=3.74),
        "2026-11-17",
    ),
    ("a white that does not is racked", lambda: kept().check("2026-11-01", "clarity", "fail"), None),
    ("rotten egg is given air first", lambda: clear().check("2026-11-05", "smell", "fail", "rotten_egg"), None),
    ("what air did not take asks for copper", stinking, "2026-11-07"),
    ("not once it smells clean", lambda: stinking().check("2026-11-09", "smell"), None),
)
def test_a_trial_is_made(story: Tale, window: Window) -> None:
    assert story().due("fining_trial") == window


def test_a_high_ph_says_how_much_free_so2_it_would_ask_for_and_that_acid_comes_first() -> None:
    trial = soft_red().dues("fining_trial")[0]
    assert "44 mg/L free SO2" in trial.because.reason
    assert "tartaric acid" in trial.task
    dose = soft_red().reading("2026-11-03", free_so2=30, method="aspiration").dues("sulfite")[0]
    assert "try tartaric acid first" in dose.because.reason
    assert "tartaric" not in dry().dues("sulfite")[0].because.reason


def test_a_trial_says_first_that_months_settle_much() -> None:
    assert "months in bulk settle much" in failed().dues("fining_trial")[0].because.reason


def test_rotten_egg_is_splash_racked_once_and_then_tried_with_copper() -> None:
    story = clear().check("2026-11-05", "smell", "fail", "rotten_egg")
    assert story.due("rack") == ("2026-11-05", "2026-11-05")
    assert stinking().due("rack") is None


@statements(
    ("not without a trial", failed, None),
    ("what the trial chose", lambda: failed().trial("2026-11-03", "bentonite", 50), "2026-11-03"),
    ("nothing where it chose none", lambda: failed().trial("2026-11-03", "bentonite", 0), None),
    (
        "not once it is in",
        lambda: failed().trial("2026-11-03", "bentonite", 50).add("2026-11-03", "bentonite", 11.5),
        None,
    ),
    ("copper like a fining", lambda: stinking().trial("2026-11-07", "copper_sulfate", 0.04), "2026-11-07"),
    ("a fining of the cellar's own", lambda: failed().trial("2026-11-03", "whey", 20), "2026-11-03"),
    (
        "copper by the copper in it",
        lambda: stinking().record("2026-11-07", k.Trial(material="copper_sulfate", chosen=0.2, unit="mg/L")),
        "2026-11-07",
    ),
    (
        "no sugar: that is a sweetness",
        lambda: kept().record("2026-11-07", k.Trial(material="sugar", chosen=30, unit="g/L")),
        None,
    ),
    ("the acid that a trial chose", lambda: soft_red().trial("2026-11-03", "tartaric_acid", 100), "2026-11-03"),
    (
        "the last trial counts",
        lambda: failed().trial("2026-11-03", "bentonite", 50).trial("2026-11-04", "bentonite", 0),
        None,
    ),
)
def test_it_is_fined(story: Tale, window: Window) -> None:
    assert story().due("fine") == window


def test_the_dose_of_the_vessel_is_that_of_the_glass() -> None:
    dose = failed().trial("2026-11-03", "bentonite", 50).dues("fine")[0].dose
    assert dose is not None
    assert (dose.material, dose.unit) == ("bentonite", "g")
    assert dose.amount == pytest.approx(50 * 22.95 / 100)


def test_acid_chosen_in_the_glass_is_weighed_for_the_vessel() -> None:
    dose = soft_red().trial("2026-11-03", "tartaric_acid", 100).dues("fine")[0].dose  # 100 g/hL is 1 g/L
    assert dose is not None
    assert (dose.material, dose.unit) == ("tartaric_acid", "g")
    assert dose.amount == pytest.approx(22.95)
    assert dose.note.startswith("1 g/L by the trial")


def test_a_failed_heat_test_leads_to_one_that_passes() -> None:
    story = failed().trial("2026-11-03", "bentonite", 50).add("2026-11-03", "bentonite", 11.5)
    assert story.due("rack") == ("2026-11-10", "2026-11-10"), "bentonite settles for 7 d"
    assert story.rack("2026-11-10").due("clarity_check") == ("2026-11-24", "2026-11-24"), "14 d after the racking"
    assert story.due("haze_test") is None, "it is not clear yet"
    # At least 9 weeks before 20 January: that day, 18 November, is past.
    assert story.check("2026-11-24", "clarity").due("haze_test") == ("2026-11-24", "2026-11-24")
    assert story.check("2026-11-24", "heat_test").state("haze") == "shown"


# "oak added | 14 d, then every 7 d until racked off"
@statements(
    ("no oak", kept, None),
    ("14 d after it went in", lambda: kept().add("2026-11-01", "oak", 40), "2026-11-15"),
    ("then every 7 d", lambda: kept().add("2026-11-01", "oak", 40).check("2026-11-15", "taste"), "2026-11-22"),
    (
        "a skip counts like a taste",
        lambda: kept().add("2026-11-01", "oak", 40).skip("2026-11-15", "oak_taste"),
        "2026-11-22",
    ),
    ("in the ferment too", lambda: fermenting().add("2026-09-22", "oak", 40), "2026-10-06"),
    ("racked off", lambda: kept().add("2026-11-01", "oak", 40).rack("2026-11-15"), None),
)
def test_oak_is_tasted(story: Tale, window: Window) -> None:
    assert story().due("oak_taste") == window


def test_oak_that_tastes_enough_is_racked_off_that_day() -> None:
    story = clear().add("2026-11-01", "oak", 40).check("2026-11-15", "taste", "fail")
    assert story.due("rack") == ("2026-11-15", "2026-11-15")
    assert story.rack("2026-11-15").due("oak_taste") is None


def small(style: str = "dry_white", volume: float = 4.55) -> Story:
    """The kept white in a demijohn: sulfited on 14, racked on 18, on target by readings of 17 and 21 October."""
    return kept(style, capacity=4.6, volume=volume)


def small_settled() -> Story:
    """The same with its bacteria settled by word and read on 20 November."""
    return small().waive("2026-11-01", "bacteria").reading("2026-11-20", free_so2=30)


def test_a_small_lot_is_dosed_by_a_10_per_cent_solution() -> None:
    dose = small().reading("2026-11-20", free_so2=15).dues("sulfite")[0].dose
    large = kept().reading("2026-11-20", free_so2=15).dues("sulfite")[0].dose
    assert dose is not None
    assert large is not None
    assert (dose.material, dose.unit, large.material) == ("so2_solution", "mL", "potassium_metabisulfite")
    # 10 g in 100 mL: a tenth of the millilitres are grams of powder.
    volume = small().reading("2026-11-20", free_so2=15).subject().volume
    assert dose.amount / 10 / volume == pytest.approx(large.amount / 22.95, rel=0.01)


def test_a_small_lot_is_offered_15_mg_l_in_place_of_a_reading() -> None:
    due = small_settled().dues("so2_recheck")[0]
    assert due.dose is not None
    # 15 mg/L x 4.4 L / 57.6 mg/mL
    assert due.dose.amount == pytest.approx(15 * small_settled().subject().volume / 57.6, rel=0.001)
    assert kept().dues("so2_recheck")[0].dose is None


@statements(
    ("read after a racking all the same", lambda: small().rack("2026-11-22"), "2026-12-04"),
    ("read after a dose while bacteria are not shown held", lambda: small().sulfite("2026-11-20", 15), "2026-12-20"),
    ("shown held, not read before the latest recheck", lambda: small_settled().sulfite("2026-11-20", 15), "2027-01-19"),
)
def test_a_small_lot_is_read_where_it_must(story: Tale, window: Window) -> None:
    assert story().due("so2_recheck") == window


def test_no_dose_is_offered_in_place_of_the_reading_after_a_racking() -> None:
    assert small().rack("2026-11-22").dues("so2_recheck")[0].dose is None


def test_nor_where_the_reading_asks_for_a_dose_of_its_own() -> None:
    # At pH 3.2 the target is 20.4 mg/L: 22 is within its margin of 5.
    story = small().reading("2026-11-20", free_so2=22)
    assert story.due("sulfite") == ("2026-11-20", "2026-11-20")
    assert story.dues("so2_recheck")[0].dose is None


def test_nor_over_the_limit_of_total_so2() -> None:
    assert small().reading("2026-11-20", free_so2=30, total_so2=190).dues("so2_recheck")[0].dose is None


@statements(
    (
        "a working ferment is not brimmed",
        lambda: (
            fermenting("dry_red", skins=True, volume=20.0)
            .reading("2026-09-30", sg=1.010)
            .record("2026-09-30", k.Press(volume=19))
        ),
        None,
    ),
    (
        "pressed and near its end it is",
        lambda: (
            fermenting("dry_red", skins=True, volume=20.0)
            .reading("2026-09-30", sg=1.010)
            .record("2026-09-30", k.Press(volume=19))
            .reading("2026-10-04", sg=1.000)
        ),
        "2026-10-04",
    ),
    (
        "near its end but on its skins it is not",
        lambda: fermenting("dry_red", skins=True, volume=20.0).reading("2026-10-04", sg=1.000),
        None,
    ),
)
def test_a_ferment_is_brimmed_once_it_foams_no_more(story: Tale, window: Window) -> None:
    assert story().due("top_up") == window


@pytest.mark.parametrize(
    ("material", "chosen", "unit", "amount", "said"),
    [
        # In 20 L: 50 g/hL is 10 g, 0.5 g/L is 10 g; copper sulfate is copper by a share of 0.2545: 20 * 0.2 / 254.5 g.
        ("bentonite", 50.0, None, 10.0, "50 g/hL by the trial"),
        ("tartaric_acid", 0.5, "g/L", 10.0, "0.5 g/L by the trial"),
        ("tartaric_acid", 50.0, None, 10.0, "0.5 g/L by the trial"),
        ("copper_sulfate", 0.2, "mg/L", 0.015717, "0.2 mg/L copper by the trial"),
        ("copper_sulfate", 0.02, None, 0.004, "0.02 g/hL by the trial"),
    ],
)
def test_a_chosen_dose_is_weighed_by_the_unit_of_its_trial(
    material: str, chosen: float, unit: str | None, amount: float, said: str
) -> None:
    trial = k.Trial(material=material, chosen=chosen, unit=unit)
    story = kept(volume=20.0).check("2026-11-05", "heat_test", "fail").record("2026-11-05", trial)
    dose = story.dues("fine")[0].dose
    assert dose is not None
    assert dose.amount == pytest.approx(amount * story.subject().volume / 20.0, rel=1e-3)
    assert dose.note.startswith(said)


def test_a_wine_held_by_sorbate_is_offered_no_other_wine_that_would_thin_it() -> None:
    # 2.8 g of sorbate in some 23 L; with 7 L of another wine a quarter less than the dose is left.
    story = sweetened()
    story.rack("2026-12-10", to=story.tell_vessel("glass", 30.0))
    (due,) = story.dues("top_up")
    assert "other wine would thin its sorbate" in due.task
    assert [one.kind for one in RULE_BY_ID["top_up"].open_answers(story.subject())] == ["racking", "gas"]
    story.rack("2026-12-11", to=story.tell_vessel("glass", story.subject().volume * 1.02))
    assert RULE_BY_ID["top_up"].open_answers(story.subject())[0].kind == "topping"


def test_no_standing_dose_is_offered_past_what_stings() -> None:
    # At pH 3.2 2 mg/L molecular are 51 free: 44 and two thirds of 15 are more, 38 and as much are not.
    offered = {
        free: small_settled().reading("2026-11-21", free_so2=free).dues("so2_recheck")[0].dose for free in (38, 44)
    }
    assert offered[38] is not None
    assert offered[44] is None


def test_a_solution_into_a_full_demijohn_says_what_to_draw_off_first() -> None:
    full, room = (Story(volume=volume, capacity=4.6).subject() for volume in (4.6, 4.5))
    assert with_room(full, 3.0, "mL", "+15 mg/L") == "draw off 0.05 L first; +15 mg/L"
    assert with_room(full, 3.0, "g", "+15 mg/L") == with_room(room, 3.0, "mL", "+15 mg/L") == "+15 mg/L"
