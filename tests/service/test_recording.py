"""What a form shows is what is kept; a wine in several vessels; two people at once; refusals."""

from __future__ import annotations

from dataclasses import replace

import pytest

from cellar_tui.entry_form.open_form import Form
from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.cellar_kinds import RECORDED
from cellar_tui.service.open import open_cellar
from cellar_tui.service.views import CellarError, Outcome, Request, SaveResult
from tests.opened import store_of
from tests.service.kept import KMS, Kept

ENTRIES: dict[str, dict[str, str]] = {
    "reading": {"free_so2": "30", "ph": "3.4", "method": "aspiration"},
    "addition": {"material": KMS, "amount": "8 g"},
    "racking": {"to": "B3", "volume": "197"},
    "press": {"volume": "190"},
    "topping": {"with": "B2", "volume": "5"},
    "split": {"to": "B3", "volume": "50", "name": "Twin"},
    "blend": {"with": "B2", "volume": "20"},
    "filter": {"pore": "0.45", "sterile": "yes"},
    "loss": {"volume": "1", "reason": "drunk"},
    "gas": {},
    "chill": {"start": "yes", "temperature": "2", "place": "cellar"},
    "check": {"test": "clarity", "result": "pass"},
    "trial": {"material": "bentonite", "doses": "20 40", "chosen": "20", "results": "clear at 20"},
    "intent": {"bottling": "2027-04-01"},
    "decide": {"about": "malolactic_unwanted", "choice": "stop", "reason": "a white"},
    "waive": {"stability": "haze", "reason": "known wine"},
    "postpone": {"action": "top_up", "until": "2026-12-01", "reason": "away"},
    "skip": {"action": "top_up", "reason": "full to the bung"},
    "bottle": {"count": "200", "size": "750", "left": "40"},
    "harvest": {"parcel": "Upper Field", "variety": "Riesling", "kg": "320", "sg": "85 Oe"},
    "bottles": {"count": "12", "how": "given"},
    "tasting": {"nose": "pears", "palate": "thin", "faults": "oxidised", "score": "12"},
    "lab_report": {"laboratory": "North Lab", "reference": "77/3", "method": "infrared", "alcohol": "12.1"},
    "cleaning": {"how": "sulfur_stick", "agent": "10 g sulfur"},
    "note": {"text": "smells of pears"},
}


def seen(answer: SaveResult) -> list[Outcome]:
    """Return what is shown of an answer, without what only a kept entry has."""
    return [replace(one, entry=replace(one.entry, key=b"", cautions=())) for one in answer.outcomes]


def test_every_kind_of_entry_is_among_the_examples() -> None:
    assert set(ENTRIES) == set(RECORDED)


@pytest.mark.parametrize("kind", ENTRIES)
@pytest.mark.parametrize("at", ["", "2026-10-05"], ids=["today", "late"])
def test_what_a_form_shows_is_what_is_kept(cellar: Kept, kind: str, at: str) -> None:
    cellar.kept("addition", "2026-10-02", material=KMS, amount="5 g")
    cellar.kept("reading", "2026-10-10", ph="3.3", free_so2="22", method="aspiration")
    target = "B1"
    if kind == "cleaning":
        target = "B3"
    if kind == "bottles":
        target = "Hill bottles"
        cellar.record("bottle", "2026-10-02", count="60", size="750", left="150", waive="for this test")
    form = Form(cellar.service, target)
    shown = form.preview(kind, ENTRIES[kind], at, "as agreed")
    asked = cellar.service.recorder.record(form.request(kind, ENTRIES[kind], at, "as agreed"), preview=True)
    count = cellar.service.entries()
    assert (shown.saved, asked.saved) == (False, False)
    kept = form.record(kind, ENTRIES[kind], at, "as agreed")
    assert kept.saved
    assert cellar.service.entries() == count + 1
    assert seen(shown) == seen(asked) == seen(kept)


def test_what_is_kept_is_what_the_wine_shows_next(cellar: Kept) -> None:
    cellar.kept("reading", "2026-11-19", ph="3.3", free_so2="20", method="aspiration")
    outcome = cellar.kept("addition", material=KMS, amount="8 g")
    assert outcome.before is not None
    assert outcome.after is not None
    # 8 g at 57.6 % in 200 L are 23 mg/L.
    assert outcome.after.total_so2 == pytest.approx((outcome.before.total_so2 or 0) + 23.04)
    day = cellar.service.view.wine("B1").day
    assert day is not None
    assert day.so2 is not None
    assert (day.so2.free_so2, day.so2.molecular_so2) == (outcome.after.free_so2, outcome.after.molecular_so2)
    for change in outcome.changes:
        asked = [
            one.action for one in cellar.service.view.tasks() if (one.vessel, one.action.rule) == ("B1", change.action)
        ]
        assert asked == ([] if change.now is None else [change.now.action])


def test_an_entry_keeps_what_was_mentioned_before_it(cellar: Kept) -> None:
    outcome = cellar.kept("reading", free_so2="30", method="strip")
    assert [one.guard for one in outcome.cautions] == ["one_strip"]
    entry = next(one.entry for one in cellar.service.view.ledger("B1") if one.entry.seq == outcome.entry.seq)
    assert [said.split(":")[0] for said in entry.cautions] == ["one_strip"]


# -- a wine in several vessels


def test_an_addition_to_a_wine_is_shared_by_volume(cellar: Kept) -> None:
    answer = cellar.record("addition", target="wine:hill", material=KMS, amount="30 g")
    made = [one.entry for one in answer.outcomes]
    assert [one.vessel for one in answer.outcomes] == ["B1", "B2"]
    assert [one.body.amount for one in made if isinstance(one.body, k.Addition)] == [20, 10]
    assert [one.batch for one in made] == [made[0].seq, made[0].seq]


def test_one_undo_takes_back_the_whole_batch_and_one_more_brings_it_back(cellar: Kept) -> None:
    before = cellar.service.view.tasks()
    made = cellar.record("addition", target="wine:hill", material=KMS, amount="30 g").outcomes
    after = cellar.service.view.tasks()
    void = cellar.service.recorder.undo(made[1].entry.seq)
    assert len(void.outcomes) == 2
    assert cellar.service.view.tasks() == before != after
    cellar.service.recorder.undo(void.outcomes[0].entry.seq)
    assert cellar.service.view.tasks() == after


def test_a_reading_of_a_wine_is_one_for_each_vessel(cellar: Kept) -> None:
    cellar.record("reading", target="wine:Hill", ph="3.25")
    assert (cellar.ph("B1"), cellar.ph("B2")) == (3.25, 3.25)


def test_one_vessel_that_refuses_keeps_the_whole_batch_out(cellar: Kept) -> None:
    count = cellar.service.entries()
    answer = cellar.record("loss", target="wine:Hill", volume="150")
    assert answer.stopped
    assert cellar.service.entries() == count


# -- two people


def test_a_form_overtaken_by_another_entry_keeps_nothing(cellar: Kept) -> None:
    form = Form(cellar.service, "B1")
    other = cellar.kept("reading", ph="3.3")
    with cellar.refusal() as refused:
        form.record("note", {"text": "x"})
    assert (refused.value.code, refused.value.field) == ("moved", str(other.entry.seq))
    form.refresh()
    assert form.record("note", {"text": "x"}).saved


def test_two_people_at_two_vessels_never_meet(cellar: Kept) -> None:
    form = Form(cellar.service, "B1")
    cellar.kept("reading", target="B2", ph="3.3")
    assert form.record("note", {"text": "x"}).saved


def test_a_second_enter_makes_no_second_entry(cellar: Kept) -> None:
    form = Form(cellar.service, "B1")
    first = form.record("addition", {"material": KMS, "amount": "8 g"})
    again = form.record("addition", {"material": KMS, "amount": "8 g"})
    assert again.saved
    assert [one.already for one in again.outcomes] == [True]
    assert again.outcomes[0].entry.seq == first.outcomes[0].entry.seq
    assert again.outcomes[0].after == first.outcomes[0].after
    assert cellar.service.recorded(form.key)


def test_a_second_enter_on_a_wine_answers_for_each_vessel(cellar: Kept) -> None:
    form = Form(cellar.service, "wine:Hill")
    first = form.record("reading", {"ph": "3.3"})
    again = form.record("reading", {"ph": "3.3"})
    assert [one.entry.seq for one in again.outcomes] == [one.entry.seq for one in first.outcomes]


def test_two_programs_on_one_cellar_see_each_other(cellar: Kept) -> None:
    other = open_cellar(cellar.service.path, lambda: cellar.now, by="bo")
    assert not other.changed()
    cellar.kept("reading", ph="3.3")
    cellar.service.recorder.set_rule("units", "us")
    assert other.changed()
    assert not other.changed()
    assert (other.view.units, other.view.board()) == ("us", cellar.service.view.board())
    other.recorder.record(Request("B1", "note", {"text": "seen"}))
    assert cellar.service.changed()
    assert cellar.service.view.ledger("B1", 1)[0].entry.by == "bo"
    other.close()


def test_an_entry_is_its_authors_and_the_last_of_each_can_be_found(cellar: Kept) -> None:
    made = cellar.service.recorder.record(Request("B1", "note", {"text": "x"}, by="bo")).outcomes[0].entry
    cellar.kept("note", text="y")
    found = cellar.service.last_by("bo")
    assert found is not None
    assert found.seq == made.seq
    cellar.service.recorder.undo(made.seq, by="bo")
    assert cellar.service.last_by("bo") is None


@pytest.mark.parametrize(
    ("request_", "field"),
    [
        (Request("B9", "note", {"text": "x"}), "vessel"),
        (Request("wine:Moor", "note", {"text": "x"}), "wine"),
        (Request("B1", "stirring", {}), "kind"),
        (Request("B1", "wine", {}), "kind"),
        (Request("B1", "note", {"text": "x"}, "+2d"), "at"),
        (Request("B1", "note", {"text": "x"}, "soon"), "at"),
        (Request("B1", "skip", {"action": "sweeten", "reason": "dry"}), "action"),
        (Request("B1", "racking", {"to": "B9"}), "to"),
        (Request("B1", "reading", {"colour": "red"}), "colour"),
    ],
)
def test_a_refusal_names_the_field_and_says_what_to_do(cellar: Kept, request_: Request, field: str) -> None:
    with cellar.refusal() as refused:
        cellar.service.recorder.record(request_)
    assert refused.value.field == field
    assert str(refused.value).endswith(".")


def test_the_first_sulfite_is_skipped_only_until_a_day(cellar: Kept) -> None:
    started = {"name": "Moor", "style": "dry_white", "volume": "50", "sg": "1.090"}
    assert cellar.service.recorder.start_wine(Request("B3", "wine", started, "2026-10-01")).saved
    for day in ("2026-10-16", "2026-10-20"):
        cellar.kept("reading", day, target="B3", sg="0.992")
    with cellar.refusal() as refused:
        cellar.kept("skip", target="B3", action="sulfite", reason="no scales")
    assert refused.value.field == "until"
    assert "needs the day until which it may wait" in str(refused.value)
    cellar.kept("skip", target="B3", action="sulfite", until="2026-11-22", reason="no scales")
    plan = cellar.service.view.wine("B3").plan
    assert plan is not None
    assert next(one.due.isoformat() for one in plan.actions if one.rule == "sulfite") == "2026-11-22"


def test_every_fault_of_a_reading_comes_with_its_field(cellar: Kept) -> None:
    with cellar.refusal() as refused:
        cellar.kept("reading", ph="9", volume="3 kg", free_so2="40", total_so2="30")
    assert {name for name, _ in refused.value.details} == {"ph", "volume", "free_so2"}


def test_a_newer_file_is_read_and_not_written(cellar: Kept) -> None:
    with store_of(cellar.service).write() as tx:
        tx.set_meta("plan_version", "999")
    with pytest.raises(CellarError) as refused:
        open_cellar(cellar.service.path, lambda: cellar.now, by="ida")
    assert refused.value.code == "newer"
    open_cellar(cellar.service.path, lambda: cellar.now, by="ida", read_only=True).close()


def test_an_older_plan_is_worked_out_anew_once_and_said_so(cellar: Kept) -> None:
    with store_of(cellar.service).write() as tx:
        tx.set_meta("plan_version", "0")
        tx.replace_all([], [], [])
    count = cellar.service.entries()
    for _ in range(2):
        open_cellar(cellar.service.path, lambda: cellar.now, by="ida").close()
    assert cellar.service.entries() == count + 1
    assert len(cellar.service.view.board().lines) == 3
