"""Ferment, lees and malolactic fermentation: when something is due, when not, and when it is done."""

from __future__ import annotations

from collections.abc import Callable

from cellar_tui.ledger import kinds as k
from tests.planning.stories import Story, arrested, clear, dry, fermenting, fortified, kept, red
from tests.planning.tables import statements

Window = tuple[str, str] | None
Tale = Callable[[], Story]


@statements(
    ("a must without recorded yeast is read from its third day", lambda: Story(sg=1.090), "2026-09-23"),
    ("on its skins the next day", lambda: Story("dry_red", sg=1.090, skins=True), "2026-09-21"),
    ("and then daily", lambda: Story("dry_red", sg=1.09, skins=True).reading("2026-09-22", sg=1.09), "2026-09-23"),
    ("it may ferment by itself", lambda: Story(sg=1.090).reading("2026-09-24", sg=1.075), "2026-09-26"),
    ("a ferment is first read 2 d after the yeast", fermenting, "2026-09-23"),
    ("then every 2 d", lambda: fermenting().reading("2026-09-24", sg=1.060), "2026-09-26"),
    ("a skip counts like a reading", lambda: fermenting().skip("2026-09-23", "gravity_check"), "2026-09-25"),
    ("daily on skins", lambda: fermenting("dry_red", skins=True).reading("2026-09-24", sg=1.05), "2026-09-25"),
    (
        "every 2 d once pressed",
        lambda: (
            fermenting("dry_red", skins=True).record("2026-09-24", k.Press(volume=20)).reading("2026-09-24", sg=1.02)
        ),
        "2026-09-26",
    ),
    ("daily above 24 C", lambda: fermenting().reading("2026-09-24", sg=1.05, temperature=24.5), "2026-09-25"),
    ("not yet daily at 24 C", lambda: fermenting().reading("2026-09-24", sg=1.05, temperature=24), "2026-09-26"),
    ("every 3 d from SG 1.000 down", lambda: fermenting().reading("2026-10-01", sg=1.000), "2026-10-04"),
    (
        "a refractometer after the yeast does not count",
        lambda: fermenting().reading("2026-09-24", brix=8, method="refractometer"),
        "2026-09-23",
    ),
    ("hydrometer Brix does", lambda: fermenting().reading("2026-09-24", brix=8, method="hydrometer"), "2026-09-26"),
    ("a finished wine 7 d after the first steady reading", dry, "2026-10-17"),
    ("a reading before that day does not close it", lambda: dry().reading("2026-10-15", sg=0.992), "2026-10-17"),
    ("one on that day does", lambda: dry().reading("2026-10-17", sg=0.992), None),
    ("residual sugar under 2 g/L does too", lambda: dry().reading("2026-10-14", residual_sugar=1.2), None),
    (
        "gravity that moved is read again 2 d later",
        lambda: dry().reading("2026-10-17", sg=0.992).reading("2026-11-01", sg=0.990),
        "2026-11-03",
    ),
    ("an arrested wine after 3 d", arrested, "2026-10-01"),
    ("after 7 d", lambda: arrested().reading("2026-10-01", sg=1.015), "2026-10-05"),
    ("after 14 d", lambda: arrested().reading("2026-10-01", sg=1.015).reading("2026-10-05", sg=1.015), "2026-10-12"),
    (
        "and then no more",
        lambda: (
            arrested().reading("2026-10-01", sg=1.015).reading("2026-10-05", sg=1.015).reading("2026-10-12", sg=1.015)
        ),
        None,
    ),
    ("a fortified wine at once", fortified, "2026-09-25"),
    ("and 14 d after that reading", lambda: fortified().reading("2026-09-26", sg=1.008), "2026-10-10"),
    ("a wine that came finished at once", lambda: Story(started="2026-10-01", finished=True), "2026-10-01"),
    (
        "and 7 d after that reading",
        lambda: Story(started="2026-10-01", finished=True).reading("2026-10-03", sg=0.992),
        "2026-10-10",
    ),
)
def test_gravity_is_read(story: Tale, window: Window) -> None:
    assert story().due("gravity_check") == window


@statements(
    ("at once where it stopped above its expected dry gravity", lambda: dry(sg=0.9955), "2026-10-13"),
    ("not under the mark", dry, None),
    ("a red's mark lies 0.002 higher", lambda: dry("dry_red", sg=0.9945), None),
    ("not once the sugar is known", lambda: dry(sg=0.9955).reading("2026-10-14", residual_sugar=1.5), None),
    (
        "sugar read in the ferment says nothing",
        lambda: (
            fermenting()
            .reading("2026-10-01", residual_sugar=12)
            .reading("2026-10-10", sg=0.9955)
            .reading("2026-10-13", sg=0.9955)
        ),
        "2026-10-13",
    ),
    ("not while it ferments", fermenting, None),
    ("not for an arrested wine", arrested, None),
)
def test_sugar_is_tested(story: Tale, window: Window) -> None:
    assert story().due("sugar_test") == window


@statements(
    ("not in a ferment", fermenting, None),
    ("3 to 10 d after the ferment", dry, ("2026-10-16", "2026-10-23")),
    ("5 weeks after the first", kept, "2026-11-22"),
    ("then every 2 to 3 months", lambda: kept().rack("2026-11-22"), ("2027-01-22", "2027-02-22")),
    ("months count from the racking", lambda: kept().rack("2026-12-31"), ("2027-02-28", "2027-03-31")),
    ("a skip counts like a racking", lambda: kept().skip("2026-11-22", "rack"), ("2027-01-22", "2027-02-22")),
    ("not once it is clear", clear, None),
    ("again once it was found cloudy", lambda: clear().check("2026-11-10", "clarity", "fail"), "2026-11-22"),
    ("not on the lees by intent", lambda: kept().intent("2026-10-20", on_lees=True), None),
    (
        "the gross lees are left even then",
        lambda: dry().intent("2026-10-13", on_lees=True),
        ("2026-10-16", "2026-10-23"),
    ),
    (
        "a pressed red off heavy solids after 1 to 3 d",
        lambda: fermenting("dry_red", skins=True).record("2026-09-30", k.Press(volume=20)),
        ("2026-10-01", "2026-10-03"),
    ),
    (
        "which a racking settles",
        lambda: fermenting("dry_red", skins=True).record("2026-09-30", k.Press(volume=20)).rack("2026-10-02"),
        None,
    ),
    ("an arrested wine off its yeast after 2 to 5 d", arrested, ("2026-09-30", "2026-10-03")),
    ("and again 7 to 14 d later", lambda: arrested().rack("2026-09-30"), ("2026-10-07", "2026-10-14")),
    ("a fortified wine 3 to 7 d after the spirit", fortified, ("2026-09-28", "2026-10-02")),
    ("the day the cold hold ends", lambda: clear().chill("2026-11-03", -3).warm("2026-11-09"), "2026-11-09"),
    (
        "which a racking that day settles",
        lambda: (
            red()
            .rack("2026-10-25")
            .check("2026-11-09", "clarity")
            .chill("2026-11-10", -3)
            .warm("2026-11-16")
            .rack("2026-11-16")
            .check("2026-11-30", "clarity")
        ),
        None,
    ),
    ("7 d after bentonite", lambda: clear().add("2026-11-05", "bentonite", 10), "2026-11-12"),
    ("14 d after gelatin", lambda: clear().add("2026-11-05", "gelatin", 1), "2026-11-19"),
    (
        "at once where rotten egg is smelled",
        lambda: clear().check("2026-11-05", "smell", "fail", "rotten_egg"),
        "2026-11-05",
    ),
    (
        "at once where bacteria are to be stopped",
        lambda: clear().decide("2026-11-05", "malolactic_unwanted", "stop"),
        "2026-11-05",
    ),
    (
        "a wine that came clear is not racked",
        lambda: Story(started="2026-10-01", finished=True).check("2026-10-02", "clarity"),
        None,
    ),
)
def test_it_is_racked(story: Tale, window: Window) -> None:
    assert story().due("rack") == window


@statements(
    ("at dryness", lambda: dry("dry_red", sg=0.994), "2026-10-13"),
    ("not before", lambda: fermenting("dry_red"), None),
    (
        "1 to 2 d after the yeast in a very ripe must",
        lambda: fermenting("dry_red", sg=1.115),
        ("2026-09-22", "2026-09-23"),
    ),
    ("not where it is prevented", dry, None),
    ("a culture starts it", lambda: dry("dry_red", sg=0.994).add("2026-10-14", "malolactic_culture", 2), None),
    (
        "so does the decision to let it come",
        lambda: dry("dry_red", sg=0.994).decide("2026-10-14", "malolactic_start", "by_itself"),
        None,
    ),
    ("it may be through already", lambda: dry("dry_red", sg=0.994).reading("2026-10-13", malic=0.1), None),
)
def test_malolactic_fermentation_is_started(story: Tale, window: Window) -> None:
    assert story().due("malolactic_start") == window


def inoculated() -> Story:
    return dry("dry_red", sg=0.994).add("2026-10-13", "malolactic_culture", 2)


@statements(
    ("beside the start", lambda: dry("dry_red", sg=0.994), "2026-10-13"),
    ("14 d after the start", inoculated, "2026-10-27"),
    (
        "the reading beside the start is no first look",
        lambda: inoculated().reading("2026-10-13", malic=2.5),
        "2026-10-27",
    ),
    ("then every 10 d", lambda: inoculated().reading("2026-10-27", malic=1.5, temperature=20), "2026-11-06"),
    ("a chromatogram counts", lambda: inoculated().check("2026-10-27", "chromatogram", "faint"), "2026-11-06"),
    ("every 21 d below 15 C", lambda: inoculated().reading("2026-10-27", malic=1.5, temperature=14), "2026-11-17"),
    ("not once it is done", lambda: inoculated().reading("2026-10-27", malic=0.15), None),
    (
        "two chromatograms 10 d apart are done",
        lambda: inoculated().check("2026-10-27", "chromatogram").check("2026-11-06", "chromatogram"),
        None,
    ),
    (
        "let finish, it is followed from that day",
        lambda: kept().decide("2026-11-01", "malolactic_unwanted", "let_finish"),
        "2026-11-15",
    ),
    ("prevented at pH 3.2, not at all", kept, None),
    ("prevented over pH 3.5, within 3 d of the first sulfite", lambda: kept(ph=3.6), ("2026-10-14", "2026-10-17")),
    ("and 30 d after it", lambda: kept(ph=3.6).reading("2026-10-15", malic=2.0), "2026-11-13"),
    (
        "which a second look settles",
        lambda: kept(ph=3.6).reading("2026-10-15", malic=2.0).reading("2026-11-13", malic=2.0),
        None,
    ),
    ("pH not known is looked after alike", lambda: dry().sulfite("2026-10-14"), ("2026-10-14", "2026-10-17")),
    ("not at 18 % by spirit", lambda: fortified().sulfite("2026-09-26"), None),
    (
        "decided to stop it: after 14 d",
        lambda: kept().decide("2026-11-01", "malolactic_unwanted", "stop"),
        "2026-11-15",
    ),
    (
        "and after 28 d",
        lambda: kept().decide("2026-11-01", "malolactic_unwanted", "stop").reading("2026-11-15", malic=1.5),
        "2026-11-29",
    ),
)
def test_malic_acid_is_looked_at(story: Tale, window: Window) -> None:
    assert story().due("malolactic_check") == window
