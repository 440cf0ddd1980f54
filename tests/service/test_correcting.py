"""Corrections and withdrawals, house rules, looking back, late entries."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import pytest

from cellar_tui.ledger import kinds as k
from cellar_tui.service.open import open_cellar
from cellar_tui.service.views import CellarError, Request
from tests.service.kept import KMS, Act, Kept

# -- corrections


def test_a_correction_keeps_what_it_does_not_name(cellar: Kept) -> None:
    made = cellar.kept("reading", "2026-11-01", ph="3.9", free_so2="25", method="titration").entry
    cellar.service.recorder.amend(made.seq, {"ph": "3.3"})
    written = {one.entry.seq: one for one in cellar.service.view.ledger("B1")}
    newest = written[max(written)].entry
    assert isinstance(newest.body, k.Reading)
    assert (newest.body.ph, newest.body.free_so2, newest.body.method) == (3.3, 25, "titration")
    assert (newest.on, newest.supersedes) == (made.on, made.seq)
    assert (written[made.seq].state, written[newest.seq].state) == ("corrected", "standing")


def test_an_empty_text_drops_a_field(cellar: Kept) -> None:
    made = cellar.kept("reading", ph="3.3", free_so2="25").entry
    cellar.service.recorder.amend(made.seq, {"ph": ""})
    assert cellar.ph() is None


def test_a_correction_may_move_an_entry_to_another_day_and_vessel(cellar: Kept) -> None:
    made = cellar.kept("reading", "2026-11-01", ph="3.3").entry
    answer = cellar.service.recorder.amend(made.seq, {}, at="2026-11-05 14:00", vessel="B2")
    entry = answer.outcomes[0].entry
    assert (entry.on, entry.minute) == (date(2026, 11, 5), 840)
    assert (cellar.ph("B1"), cellar.ph("B2")) == (None, 3.3)
    cellar.service.recorder.amend(made.seq, {}, vessel="B1")
    assert (cellar.ph("B1"), cellar.ph("B2")) == (3.3, None)


def test_an_amount_corrected_brings_its_so2_anew(cellar: Kept) -> None:
    made = cellar.kept("addition", material=KMS, amount="8 g").entry
    body = cellar.service.recorder.amend(made.seq, {"amount": "10 g"}).outcomes[0].entry.body
    assert isinstance(body, k.Addition)
    assert body.so2_mg == pytest.approx(5760)


def test_a_dose_is_weighed_for_the_volume_at_its_own_place(cellar: Kept) -> None:
    cellar.kept("loss", "2026-11-01", volume="100")
    late = cellar.kept("addition", "2026-10-15", material=KMS, dose="50 mg/L").entry.body
    now = cellar.kept("addition", "2026-11-02", material=KMS, dose="50 mg/L").entry.body
    assert isinstance(late, k.Addition)
    assert isinstance(now, k.Addition)
    assert late.so2_mg == pytest.approx(10_000)
    assert now.so2_mg == pytest.approx(5000)


def test_what_an_addition_did_is_fixed_when_it_is_recorded(cellar: Kept) -> None:
    first = cellar.kept("addition", material=KMS, amount="10 g").entry.body
    cellar.service.recorder.set_material(KMS, {"strength": "0.9"})
    second = cellar.kept("addition", material=KMS, amount="10 g").entry.body
    assert isinstance(first, k.Addition)
    assert isinstance(second, k.Addition)
    assert second.so2_mg == pytest.approx(0.9 * first.so2_mg)
    told = [one.entry.body for one in cellar.service.view.ledger("B1") if isinstance(one.entry.body, k.Addition)]
    assert {one.so2_mg for one in told} == {first.so2_mg, second.so2_mg}


def test_a_correction_keeps_the_strength_of_its_own_time(cellar: Kept) -> None:
    first = cellar.kept("addition", material=KMS, amount="10 g").entry
    cellar.service.recorder.set_material(KMS, {"strength": "0.5"})
    corrected = cellar.service.recorder.amend(first.seq, {"for": "keeping"}).outcomes[0].entry.body
    assert isinstance(first.body, k.Addition)
    assert isinstance(corrected, k.Addition)
    assert corrected.so2_mg == first.body.so2_mg


def test_an_undo_names_what_undoes_it(cellar: Kept) -> None:
    made = cellar.kept("reading", ph="3.3").entry
    void = cellar.service.recorder.undo(made.seq).outcomes[0].entry
    assert cellar.ph() is None
    with cellar.refusal() as refused:
        cellar.service.recorder.undo(made.seq)
    assert str(refused.value) == (
        f"entry {made.seq} is already withdrawn by entry {void.seq}; undo {void.seq} brings it back."
    )
    with cellar.refusal() as refused:
        cellar.service.recorder.amend(made.seq, {"ph": "3.4"})
    assert "withdrawn" in str(refused.value)
    cellar.service.recorder.undo(void.seq)
    assert cellar.ph() == 3.3


def test_an_undo_takes_the_corrections_along(cellar: Kept) -> None:
    made = cellar.kept("reading", ph="3.3").entry
    fixed = cellar.service.recorder.amend(made.seq, {"ph": "3.4"}).outcomes[0].entry
    cellar.service.recorder.undo(fixed.seq)
    assert cellar.ph() == 3.3
    cellar.service.recorder.undo(made.seq)
    assert cellar.ph() is None


def test_an_undo_shows_the_wine_with_and_without(cellar: Kept) -> None:
    made = cellar.kept("addition", material=KMS, amount="8 g").entry
    outcome = cellar.service.recorder.undo(made.seq).outcomes[0]
    assert outcome.before is not None
    assert outcome.after is not None
    assert outcome.before.total_so2 == pytest.approx(83.04)
    assert outcome.after.total_so2 == pytest.approx(60)


@pytest.mark.parametrize("seq", [0, 99])
def test_what_is_not_there_can_be_neither_undone_nor_corrected(cellar: Kept, seq: int) -> None:
    acts: tuple[Act, ...] = (
        lambda: cellar.service.recorder.undo(seq),
        lambda: cellar.service.recorder.amend(seq, {"ph": "3.3"}),
    )
    for act in acts:
        with cellar.refusal() as refused:
            act()
        assert (refused.value.field, "no entry" in str(refused.value)) == ("entry", True)


# -- what governs the whole cellar


def test_a_house_rule_moves_every_plan_at_once(cellar: Kept) -> None:
    for name in ("B1", "B2"):
        cellar.kept("reading", "2026-11-19", target=name, ph="3.3", free_so2="22", method="aspiration")
        cellar.kept("check", "2026-11-19", target=name, test="smell", result="pass")
    before = {one.vessel: one.action.due for one in cellar.service.view.tasks() if one.action.rule == "smell_check"}
    answer = cellar.service.recorder.set_rule("smell_days", "20")
    after = {one.vessel: one.action.due for one in cellar.service.view.tasks() if one.action.rule == "smell_check"}
    assert answer.saved
    assert set(before) == set(after) == {"B1", "B2"}
    assert all(after[one] < before[one] for one in before)
    cellar.service.recorder.undo(answer.outcomes[0].entry.seq)
    assert {
        one.vessel: one.action.due for one in cellar.service.view.tasks() if one.action.rule == "smell_check"
    } == before


def test_a_house_rule_that_cannot_be_is_refused(cellar: Kept) -> None:
    for name, value in (("moon", "1"), ("steady_days", "99"), ("units", "roman"), ("zone", "Cellar/North")):
        with cellar.refusal():
            cellar.service.recorder.set_rule(name, value)


def test_an_empty_value_puts_a_house_rule_back_to_its_default_and_its_plans_with_it(cellar: Kept) -> None:
    for name in ("B1", "B2"):
        cellar.kept("check", "2026-11-19", target=name, test="smell", result="pass")
    due = {one.vessel: one.action.due for one in cellar.service.view.tasks() if one.action.rule == "smell_check"}
    cellar.service.recorder.set_rule("smell_days", "20")
    moved = cellar.service.recorder.set_rule("smell_days", "").outcomes[0].changes
    assert {one.vessel for one in moved} == {"B1", "B2"}
    assert {
        one.vessel: one.action.due for one in cellar.service.view.tasks() if one.action.rule == "smell_check"
    } == due
    assert cellar.service.view.house.source("smell_days") == ()
    with cellar.refusal() as refused:
        cellar.service.recorder.set_rule("smell_days", "")
    assert "default already" in str(refused.value)


def test_a_house_rule_is_previewed_without_a_trace(cellar: Kept) -> None:
    request = Request("", "rule", {"name": "top_oak_weeks", "value": "1"})
    before, entries = cellar.service.view.board(), cellar.service.entries()
    shown = cellar.service.recorder.govern(request, preview=True).outcomes[0].changes
    assert (cellar.service.view.board(), cellar.service.entries()) == (before, entries)
    assert cellar.service.recorder.govern(request).outcomes[0].changes == shown


def test_a_house_rule_is_typed_in_any_unit_that_fits(cellar: Kept) -> None:
    cellar.service.recorder.set_rule("gravity_hot", "75 F")
    assert cellar.service.view.house.number("gravity_hot") == pytest.approx(23.889, abs=0.001)
    cellar.service.recorder.set_rule("ullage_share", "0,75 %")
    assert cellar.service.view.house.number("ullage_share") == 0.75
    for name, value in (("gravity_hot", "3 L"), ("dry_sugar", "a little")):
        with cellar.refusal() as refused:
            cellar.service.recorder.set_rule(name, value)
        assert refused.value.field == "value"
        assert name in str(refused.value)


def test_a_known_material_is_the_same_however_it_is_written(cellar: Kept) -> None:
    cellar.service.recorder.set_material("Potassium Metabisulfite", {"strength": "0.9"})
    cellar.service.recorder.set_material("oak Chips", {"amount": "1kg"})
    assert set(cellar.service.view.house.stock) == {KMS, "oak Chips"}


def test_the_zone_cannot_be_corrected_to_one_that_nobody_knows(cellar: Kept) -> None:
    with cellar.refusal():
        cellar.service.recorder.amend(1, {"value": "Cellar/North"})
    with cellar.refusal():
        cellar.service.recorder.set_rule("zone", "")


def test_the_zone_decides_what_day_it_is(cellar: Kept) -> None:
    cellar.now = datetime(2026, 11, 20, 23, 30, tzinfo=UTC)
    assert cellar.service.view.today == date(2026, 11, 20)
    cellar.service.recorder.set_rule("zone", "Europe/Berlin")
    assert cellar.service.view.today == date(2026, 11, 21)


def test_other_units_change_what_a_bare_number_of_degrees_means(cellar: Kept) -> None:
    cellar.service.recorder.set_rule("units", "us")
    with cellar.refusal() as refused:
        cellar.kept("reading", temperature="60")
    assert "unit" in str(refused.value)
    assert cellar.kept("reading", temperature="60 F").entry.body.temperature == pytest.approx(15.56, abs=0.01)  # type: ignore[attr-defined]


# -- looking back


def test_as_of_a_day_only_what_was_written_by_then_is_known(cellar: Kept) -> None:
    made = cellar.kept("reading", "2026-11-19", ph="3.9").entry
    cellar.now += timedelta(days=2)
    cellar.service.recorder.amend(made.seq, {"ph": "3.3"})
    cellar.kept("reading", "2026-11-18", target="B2", ph="3.5")
    assert cellar.ph("B2", date(2026, 11, 21)) is None
    assert cellar.ph(as_of=date(2026, 11, 21)) == 3.9
    assert cellar.ph(as_of=date(2026, 11, 22)) == cellar.ph() == 3.3
    assert cellar.ph("B2", date(2026, 11, 22)) == 3.5


def test_a_read_only_cellar_shows_everything_and_keeps_nothing(cellar: Kept) -> None:
    cellar.kept("reading", ph="3.3")
    other = open_cellar(cellar.service.path, lambda: cellar.now, by="bo", read_only=True)
    assert other.read_only
    assert other.view.board() == cellar.service.view.board()
    acts: tuple[Act, ...] = (
        lambda: other.recorder.record(Request("B1", "note", {"text": "x"})),
        lambda: other.recorder.undo(7),
        lambda: other.recorder.set_rule("units", "us"),
        lambda: other.recorder.add_vessel({"name": "B9", "capacity": "5", "material": "oak"}),
    )
    for act in acts:
        with pytest.raises(CellarError) as refused:
            act()
        assert refused.value.code == "read_only"
    assert other.recorder.record(Request("B1", "note", {"text": "x"}), preview=True).outcomes
    other.close()


def test_a_late_entry_is_judged_at_its_own_place(cellar: Kept) -> None:
    cellar.kept("loss", "2026-11-10", volume="150")
    assert cellar.record("loss", "2026-11-15", volume="100").stopped  # 50 L were left
    assert cellar.record("loss", "2026-11-05", volume="100").saved  # 200 L were there
    assert [one.entry for one in cellar.service.check()] != []  # now the later one cannot have been


def test_a_stop_is_passed_by_a_reason_that_is_kept_or_by_nothing(cellar: Kept) -> None:
    sugar = {"material": "sugar", "amount": "5 kg"}
    stopped = cellar.record("addition", **sugar)
    assert stopped.stopped
    assert [one.guard for one in stopped.outcomes[0].stops] == ["sugar_before_sorbate"]
    passed = cellar.record("addition", waive="sterile filter tomorrow", **sugar)
    assert passed.saved
    assert passed.outcomes[0].entry.waived == "sterile filter tomorrow"
    never = cellar.record("racking", waive="I insist", volume="500")
    assert never.stopped
    assert [one.waivable for one in never.outcomes[0].stops] == [False]
