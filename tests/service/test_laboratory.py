"""A laboratory's report stands before the cellar's own tests of the day; a tasting note stands beside the figures."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.history import checks, readings
from cellar_tui.service.views import CellarError
from tests.planning.stories import Story, dry
from tests.service.kept import Kept

LAB: dict[str, Any] = {"laboratory": "North Lab", "reference": "77/3"}


def values(story: Story, name: str) -> list[float]:
    return [one.value for one in readings(story.subject().c, name)]


def test_a_report_outranks_what_the_cellar_read_before_it_that_day() -> None:
    story = dry().reading("2026-11-02", free_so2=20.0, ph=3.3)
    story.record("2026-11-02", k.LabReport(free_so2=27.0, **LAB))
    assert values(story, "free_so2") == [27.0]
    assert values(story, "ph")[-1] == 3.3  # the laboratory said nothing of it


def test_and_what_it_reads_after_it_that_day() -> None:
    story = dry().record("2026-11-02", k.LabReport(alcohol=12.4, total_so2=80.0, **LAB))
    story.reading("2026-11-02", alcohol=11.0, total_so2=95.0, va=0.4)
    s = story.subject()
    assert s.alcohol == pytest.approx(12.4, abs=0.01)
    assert s.total_so2 == pytest.approx(80.0)
    assert values(story, "va") == [0.4]


def test_readings_of_other_days_stay() -> None:
    story = dry().reading("2026-11-01", free_so2=20.0).record("2026-11-02", k.LabReport(free_so2=27.0, **LAB))
    story.reading("2026-11-03", free_so2=26.0)
    assert values(story, "free_so2") == [20.0, 27.0, 26.0]


def test_a_wine_that_was_worked_on_is_not_the_one_that_was_sampled() -> None:
    story = dry().record("2026-11-02", k.LabReport(free_so2=12.0, **LAB)).sulfite("2026-11-02", 30)
    story.reading("2026-11-02", free_so2=28.0)
    assert values(story, "free_so2") == [12.0, 28.0]


def test_a_brix_of_the_cellar_gives_way_to_a_density_of_the_laboratory() -> None:
    story = Story("dry_white", sg=1.090).reading("2026-09-20", brix=20.0)
    story.record("2026-09-20", k.LabReport(sg=1.088, **LAB))
    assert values(story, "sg") == [1.088]


def test_a_report_names_its_laboratory(cellar: Kept) -> None:
    with pytest.raises(CellarError, match="laboratory is missing"):
        cellar.record("lab_report", "2026-11-02", alcohol="12")


def test_a_note_is_scored_on_the_scale_of_the_house_of_its_day(cellar: Kept) -> None:
    first = cellar.record("tasting", "2026-11-02", nose="pears", score="15").outcomes[0].entry
    cellar.service.recorder.set_rule("tasting_scale", "100")
    second = cellar.record("tasting", "2026-11-03", score="88").outcomes[0].entry
    assert [getattr(one.body, "scale", None) for one in (first, second)] == [20.0, 100.0]
    kept = [one.entry.body for one in cellar.service.view.ledger("B1") if one.entry.body.kind == "tasting"]
    assert [getattr(one, "scale", None) for one in kept] == [100.0, 20.0]


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ({"score": "21"}, "over the scale of 20"),
        ({"score": "11", "scale": "10"}, "over the scale of 10"),
        ({"faults": "stinks"}, "faults has no word stinks"),
        ({}, "say what was found"),
    ],
)
def test_a_note_that_says_nothing_or_too_much_is_refused(cellar: Kept, said: dict[str, str], told: str) -> None:
    with pytest.raises(CellarError, match=told):
        cellar.record("tasting", "2026-11-02", **said)


def test_a_note_is_a_smelling_and_its_fault_leads_on() -> None:
    clean = dry().record("2026-11-02", k.Tasting(nose="pears", score=14, scale=20))
    (seen,) = [one for one, _ in checks(clean.subject().c, "smell") if one.on == date(2026, 11, 2)]
    assert seen.value == 1
    sour = dry().record("2026-11-02", k.Tasting(faults=("oxidised", "vinegar")))
    found = checks(sour.subject().c, "smell")[-1]
    assert (found[0].value, found[1].fault) == (0, "vinegar")


def test_a_look_alone_is_no_smelling() -> None:
    story = dry()
    before = len(checks(story.subject().c, "smell"))
    story.record("2026-11-02", k.Tasting(look="bright, lemon"))
    assert len(checks(story.subject().c, "smell")) == before
