"""Clearness, haze and crystals: the looks, tests and the cold hold."""

from __future__ import annotations

from collections.abc import Callable

from cellar_tui.ledger import kinds as k
from tests.planning.stories import Story, arrested, clear, dry, kept, red
from tests.planning.tables import statements

Window = tuple[str, str] | None
Tale = Callable[[], Story]


@statements(
    ("not before it is racked", dry, None),
    ("14 d after the racking", kept, "2026-11-01"),
    ("a look before that does not count", lambda: kept().check("2026-10-25", "clarity"), "2026-11-01"),
    ("30 d after one that failed", lambda: kept().check("2026-11-01", "clarity", "fail"), "2026-12-01"),
    (
        "turbidity under 1 NTU passes: then 7 d before bottling",
        lambda: kept().reading("2026-11-01", turbidity=0.8),
        "2027-01-13",
    ),
    ("turbidity of 1 NTU fails", lambda: kept().reading("2026-11-01", turbidity=1.0), "2026-12-01"),
    ("14 d after a fining", lambda: clear().add("2026-11-05", "gelatin", 1), "2026-11-19"),
    ("7 d before the wished bottling", lambda: clear().intent("2026-11-02", bottling="2027-03-10"), "2027-03-03"),
    ("and no more", lambda: clear().check("2027-01-13", "clarity"), None),
    ("14 d after acid, which may cloud it", lambda: clear().add("2026-11-05", "tartaric_acid", 20), "2026-11-19"),
)
def test_clearness_is_looked_at(story: Tale, window: Window) -> None:
    assert story().due("clarity_check") == window


@statements(
    ("not before it is clear", kept, None),
    ("9 weeks before bottling at the latest", clear, ("2026-11-01", "2026-11-18")),
    ("15 where it is to be sweetened", lambda: clear("sweet_white"), ("2026-11-01", "2026-11-07")),
    (
        "both ends the first where that day has gone",
        lambda: clear().intent("2026-10-20", bottling="2026-12-20"),
        "2026-11-01",
    ),
    ("reds need none", lambda: red().rack("2026-10-25").check("2026-11-08", "clarity"), None),
    ("passed, no more", lambda: clear().check("2026-11-02", "heat_test"), None),
    (
        "failed after one had passed, not before a treatment",
        lambda: clear().check("2026-11-02", "heat_test").check("2026-11-10", "heat_test", "fail"),
        None,
    ),
    ("failed, not before a treatment", lambda: clear().check("2026-11-02", "heat_test", "fail"), None),
    (
        "again once the fining is off and it is clear",
        lambda: (
            clear()
            .check("2026-11-02", "heat_test", "fail")
            .add("2026-11-05", "bentonite", 10)
            .rack("2026-11-12")
            .check("2026-11-26", "clarity")
        ),
        "2026-11-26",
    ),
    (
        "again after acid",
        lambda: clear().check("2026-11-02", "heat_test").add("2026-11-05", "tartaric_acid", 20),
        ("2026-11-05", "2026-11-18"),
    ),
    (
        "fruit needs a pectin test as well",
        lambda: clear("dry_fruit").check("2026-11-02", "heat_test"),
        ("2026-11-01", "2026-11-18"),
    ),
    (
        "both passed, no more",
        lambda: clear("dry_fruit").check("2026-11-02", "heat_test").check("2026-11-02", "pectin_test"),
        None,
    ),
)
def test_haze_is_tested(story: Tale, window: Window) -> None:
    assert story().due("haze_test") == window


def test_a_pectin_test_alone_speaks_of_pectin_and_no_heat() -> None:
    alone = clear("dry_fruit").check("2026-11-02", "heat_test").dues("haze_test")[0]
    assert "pectin" in alone.because.reason
    assert "NTU" not in alone.because.reason
    assert "NTU" in clear("dry_fruit").dues("haze_test")[0].because.reason


def heat_stable(style: str = "dry_white") -> Story:
    return clear(style).check("2026-11-02", "heat_test")


@statements(
    ("not before the haze test", clear, None),
    ("6 weeks before bottling at the latest", heat_stable, ("2026-11-02", "2026-12-09")),
    ("12 where it is to be sweetened", lambda: heat_stable("sweet_white"), ("2026-11-02", "2026-11-28")),
    (
        "not with its bentonite in, nor racked off: it is tested again first",
        lambda: clear().check("2026-11-02", "heat_test", "fail").add("2026-11-05", "bentonite", 10).rack("2026-11-12"),
        None,
    ),
    (
        "once the retest has passed",
        lambda: (
            clear()
            .check("2026-11-02", "heat_test", "fail")
            .add("2026-11-05", "bentonite", 10)
            .rack("2026-11-12")
            .check("2026-11-26", "clarity")
            .reading("2026-11-26", free_so2=36, method="aspiration")
            .check("2026-11-26", "heat_test")
        ),
        ("2026-11-26", "2026-12-09"),
    ),
    (
        "not while a fining settles, whatever was tested before",
        lambda: heat_stable().add("2026-11-05", "gelatin", 1),
        None,
    ),
    ("not with free SO2 under target", lambda: heat_stable().reading("2026-11-02", free_so2=18), None),
    ("not before malolactic fermentation is settled", lambda: dry("dry_red", sg=0.994), None),
    ("a red needs no haze test: 8 months less 6 weeks", red, ("2026-10-24", "2027-04-08")),
    (
        "a red whose crystals are accepted needs no cold",
        lambda: red().intent("2026-10-25", crystals_accepted=True),
        None,
    ),
    ("crystals waived", lambda: heat_stable().waive("2026-11-02", "crystals"), None),
    ("a cold test passed without a hold", lambda: heat_stable().check("2026-11-02", "cold_test"), None),
    ("a conductivity drop under 5 %", lambda: heat_stable().reading("2026-11-02", conductivity_drop=4.2), None),
    ("not while holding", lambda: heat_stable().chill("2026-11-03", 2), None),
    ("fruit drops none", lambda: heat_stable("dry_fruit").check("2026-11-02", "pectin_test"), None),
    (
        "fruit with tartaric acid may",
        lambda: (
            kept("dry_fruit")
            .add("2026-10-22", "tartaric_acid", 20)
            .check("2026-11-01", "clarity")
            .check("2026-11-02", "heat_test")
            .check("2026-11-02", "pectin_test")
        ),
        ("2026-11-02", "2026-12-09"),
    ),
)
def test_the_cold_hold_begins(story: Tale, window: Window) -> None:
    assert story().due("cold_hold_start") == window


def test_the_cold_hold_rests_on_a_reading_of_14_days() -> None:
    due = heat_stable().dues("cold_hold_start")[0]
    assert due.expires is not None
    assert due.expires.isoformat() == "2026-11-04"  # free SO2 was read on 21 October


def test_only_a_wine_not_served_cold_may_keep_its_crystals() -> None:
    assert "accepted" in red().dues("cold_hold_start")[0].because.reason
    assert "accepted" not in heat_stable().dues("cold_hold_start")[0].because.reason


def holding(temperature: float = 4.0) -> Story:
    return heat_stable().chill("2026-11-03", temperature)


@statements(
    ("nothing holds", heat_stable, None),
    ("2 d after the start", holding, "2026-11-05"),
    ("2 d after each reading", lambda: holding().reading("2026-11-05", temperature=3.5), "2026-11-07"),
    ("a skip counts like a reading", lambda: holding().skip("2026-11-05", "cold_hold_check"), "2026-11-07"),
    ("at once where the last earns nothing", lambda: holding().reading("2026-11-05", temperature=9), "2026-11-05"),
    (
        "2 d later where it still earns nothing",
        lambda: holding().reading("2026-11-05", temperature=9).reading("2026-11-05", temperature=10),
        "2026-11-07",
    ),
    ("the chill of an arrest is its hold too", arrested, "2026-10-01"),
    ("not once it ended", lambda: holding().warm("2026-12-03"), None),
)
def test_the_hold_is_measured(story: Tale, window: Window) -> None:
    assert story().due("cold_hold_check") == window


def test_a_fridge_that_warmed_pushes_the_end_out_and_says_by_how_much() -> None:
    # At -2.8 C the end would be 5 d after 3 November; 2 d count as warm as 4.4 C, 2/30, and 28 d of it remain.
    story = red().chill("2026-11-03", -2.8).reading("2026-11-05", temperature=4.4)
    assert story.due("cold_hold_end") == ("2026-12-03", "2026-12-03")
    assert "pushed out by 25 d" in story.dues("cold_hold_check")[0].because.reason


@statements(
    ("3 d before the forecast end", lambda: holding(-2.8), "2026-11-05"),
    ("7 d after a failed one", lambda: holding(-2.8).check("2026-11-05", "cold_test", "fail"), "2026-11-12"),
    ("passed, no more", lambda: holding(-2.8).check("2026-11-05", "cold_test"), None),
    ("no forecast, no day", lambda: holding(9.0), None),
    ("without a hold none is asked of grape wine", heat_stable, None),
    ("fruit: 6 weeks before bottling at the latest", lambda: clear("dry_fruit"), ("2026-11-01", "2026-12-09")),
    ("fruit to be sweetened: 8", lambda: clear("sweet_fruit"), ("2026-11-01", "2026-11-25")),
    ("fruit after its fridge test", lambda: clear("dry_fruit").check("2026-11-09", "fridge_test"), None),
)
def test_crystals_are_tested(story: Tale, window: Window) -> None:
    assert story().due("cold_test") == window


def sterile_arrested() -> Story:
    return arrested().check("2026-10-20", "cold_test").record("2026-10-25", k.Filter(pore=0.45, sterile=True))


@statements(
    ("served cold: not without a test", lambda: holding(-2.8), None),
    (
        "served cold: the day credit is full, tested",
        lambda: holding(-2.8).check("2026-11-05", "cold_test"),
        "2026-11-08",
    ),
    ("served cold: the day of a later test", lambda: holding(-2.8).check("2026-11-12", "cold_test"), "2026-11-12"),
    (
        "the day stands, however long it is read on",
        lambda: (
            holding(-2.8)
            .check("2026-11-05", "cold_test")
            .reading("2026-11-08", temperature=-2.8)
            .reading("2026-11-10", temperature=-2.8)
        ),
        "2026-11-08",
    ),
    ("not served cold: by credit alone", lambda: red().chill("2026-11-03", -2.8), "2026-11-08"),
    ("an arrested wine never before its sorbate", lambda: arrested().check("2026-10-20", "cold_test"), None),
    ("an arrested wine once it is filtered sterile", sterile_arrested, "2026-10-25"),
)
def test_the_cold_hold_ends(story: Tale, window: Window) -> None:
    assert story().due("cold_hold_end") == window
