"""Where a figure turns: on the target, on the limit, on the eve, and what a wine forgets."""

from __future__ import annotations

import pytest

from cellar_tui.enology import so2 as chemistry
from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.effects import weighed_out
from cellar_tui.ledger.validate import faults
from cellar_tui.planning import so2
from cellar_tui.planning.forecast.priors import share_rule
from cellar_tui.planning.rules import final_so2
from tests.planning.stories import Story, all_but_air, clear, dry, fermenting, kept


def seen_full(ph: float = 3.2) -> Story:
    """The kept white, its level looked at on 22 October."""
    return kept(ph=ph).check("2026-10-22", "level")


def test_a_racking_on_the_eve_of_bottling_leaves_the_verdict_on_air() -> None:
    for on, state in (("2026-11-09", "lapsed"), ("2026-11-10", "shown"), ("2026-11-11", "shown")):
        story = seen_full().intent("2026-10-23", bottling="2026-11-11").rack(on)
        assert story.state("air") == state, on


def test_a_free_so2_exactly_on_target_keeps_the_air_out() -> None:
    # pH 3.10: 0.8 mg/L molecular is 16.4 free, the floor of 20 counts.
    story = seen_full(ph=3.1)
    assert so2.target(story.subject()).free == 20
    assert seen_full(ph=3.1).reading("2026-11-10", free_so2=20, method="aspiration").state("air") == "shown"
    assert seen_full(ph=3.1).reading("2026-11-10", free_so2=19.9, method="aspiration").state("air") == "lapsed"


def test_the_final_so2_is_closed_by_a_reading_of_target_and_filling_or_by_one_after_its_dose() -> None:
    # Wished 20 January, pH 3.20: the target is 20.4 mg/L, 5 more for the filling; 2.4 short of that are 3.6 mg/L total,
    # a dose too small to be asked for.
    def closes(story: Story) -> bool:
        return final_so2.closed(story.subject()) is not None

    read = {free: all_but_air().reading("2027-01-14", free_so2=free, method="aspiration") for free in (26, 23, 21, 20)}
    assert {free: closes(story) for free, story in read.items()} == {26: True, 23: True, 21: False, 20: False}
    after = all_but_air().reading("2027-01-14", free_so2=21, method="aspiration").sulfite("2027-01-14", 8)
    assert not closes(after)
    assert closes(after.reading("2027-01-16", free_so2=23, method="aspiration")), "on target after its dose"
    low = all_but_air().reading("2027-01-14", free_so2=15, method="aspiration").sulfite("2027-01-14", 8)
    assert not closes(low.reading("2027-01-16", free_so2=20, method="aspiration")), "a dose that was not enough"


@pytest.mark.parametrize("ph", [2.8, 2.9, 3.0, 3.2, 3.4])
def test_a_proposed_dose_never_aims_past_2_mg_l_molecular(ph: float) -> None:
    wide = {"dose_least": 20, "dose_most": 20}
    for story in (dry().reading("2026-10-13", ph=ph), kept(ph=ph).reading("2026-11-20", free_so2=8)):
        story.house(**wide)
        (due, *_) = story.dues("sulfite")
        assert due.dose is not None
        s = story.subject()
        share = so2.share(s)[0]
        so2_mg = due.dose.amount * (576 if due.dose.unit == "g" else 57.6)
        free = (so2.free_now(s)[0] or 0.0) + share * so2_mg / s.volume
        assert chemistry.molecular(free, ph) <= 2.0005
        # The guard judges by the reading that the dose rests on too, however much more the forecast had believed in.
        strength = None if due.dose.unit == "g" else 5.76
        body = weighed_out(k.Addition(material=due.dose.material, strength=strength), due.dose.amount, strength)
        assert "molecular_so2" not in [one.guard for one in story.findings(due.earliest.isoformat(), body)]


def test_a_refractometer_in_a_wine_tells_neither_its_gravity_nor_its_strength() -> None:
    # From SG 1.090; 8 Brix in a half fermented must is not SG 1.032, for alcohol bends the light.
    plain = fermenting().reading("2026-09-26", brix=8, method="hydrometer").subject()
    fooled = fermenting().reading("2026-09-26", brix=8, method="refractometer").subject()
    assert plain.gravities[-1].value == pytest.approx(1.032, abs=0.001)
    assert plain.alcohol is not None
    assert fooled.gravities == []
    assert fooled.alcohol is None


def test_a_refractometer_is_not_corrected_like_a_hydrometer() -> None:
    def first(method: str) -> float:
        story = Story(volume=18.0).reading("2026-09-20", brix=21, method=method, sample_temperature=30)
        return story.subject().gravities[-1].value

    assert first("hydrometer") > first("refractometer"), "warm must lets a hydrometer sink"


def test_a_wine_once_cloudy_is_dosed_as_clear_when_it_is() -> None:
    cloudy = kept().check("2026-11-01", "clarity", "fail")
    assert share_rule(cloudy.subject()) == "share_sweet"
    assert share_rule(cloudy.check("2026-12-01", "clarity").subject()) == "share_later"
    assert share_rule(clear().check("2026-12-01", "clarity", "fail").subject()) == "share_sweet"


def test_half_a_litre_can_be_blended_in() -> None:
    assert faults(k.Blend(source=2, volume=0.5)) == []
    story = kept(volume=22.0).blend_in("2026-11-05", 0.5)
    assert story.subject().volume == pytest.approx(22.5)
