"""No silently wrong figure: a board changed behind the program's back, a wrong clock, entries from a day to come."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from contextlib import closing
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from cellar_tui.service.open import OpenCellar, create_cellar, open_cellar
from cellar_tui.service.records import BOARD_DAMAGED
from cellar_tui.service.views import CellarError, Request, SaveResult
from storage.errors import DiskFailed
from storage.schema import SCHEMA_VERSION
from tests.service.kept import KMS, NOON, Kept
from tests.storage.dump import make


def _change(path: Path, *statements: str) -> None:
    with closing(sqlite3.connect(path, isolation_level=None)) as plain:
        for statement in statements:
            plain.execute(statement)


def _dosed(cellar: Kept) -> None:
    """A wine with a sulfite due: pH 3.5 and 8 mg/L free."""
    cellar.kept("reading", "2026-11-18", ph="3.5", free_so2="8", method="aspiration")


def _doses(service: OpenCellar) -> list[float]:
    return [one.action.dose.amount for one in service.view.tasks() if one.action.dose is not None]


@pytest.mark.parametrize(
    "damage",
    [
        "UPDATE action SET dose_amount = 190 WHERE dose_amount IS NOT NULL",
        "DELETE FROM action",
        "UPDATE filling SET name = 'B9', name_key = 'b9' WHERE name = 'B1'",
        "UPDATE filling SET volume = 20",
        "UPDATE action SET because = '{}'",
        "UPDATE vessel SET component = 99",
        "UPDATE filling SET name_key = CAST(x'62ff31' AS TEXT) WHERE name = 'B1'",
        "DELETE FROM seal",
        "UPDATE meta SET value = '0x' WHERE name = 'plan_version'",
    ],
)
def test_a_changed_board_is_worked_out_again_and_a_line_says_so(tmp_path: Path, damage: str) -> None:
    cellar = Kept(tmp_path / "cellar.db")
    _dosed(cellar)
    right, wine = _doses(cellar.service), cellar.service.view.wine("B1")
    assert right, "the story asks for a dose"
    lines = cellar.service.view.board().lines
    cellar.service.close()
    _change(tmp_path / "cellar.db", damage)

    with closing(open_cellar(tmp_path / "cellar.db", lambda: cellar.now, by="ida")) as service:
        silent = "meta" in damage or "seal" in damage  # worked out again at the opening, with an entry that says so
        assert _doses(service) == right
        assert service.view.wine("B1") == wine
        assert [(one.name, one.volume) for one in service.view.board().lines] == [
            (one.name, one.volume) for one in lines
        ]
        assert (BOARD_DAMAGED in service.warnings) is not silent
        assert bool(service.checked().damaged) is not silent
        service.rebuild()
        assert service.warnings == ()
        assert service.check() == []


def test_what_is_recorded_on_a_changed_board_mends_it_first(tmp_path: Path) -> None:
    cellar = Kept(tmp_path / "cellar.db")
    _dosed(cellar)
    cellar.service.close()
    _change(tmp_path / "cellar.db", "UPDATE filling SET name_key = 'b9' WHERE name_key = 'b2'")
    with closing(open_cellar(tmp_path / "cellar.db", lambda: cellar.now, by="ida")) as service:
        assert service.recorder.record(Request("B2", "reading", {"ph": "3.3"})).saved
        assert service.check() == []
        assert [one.entry.body.kind for one in service.view.ledger()][:2] == ["reading", "rebuild"]


def test_a_read_only_look_at_a_changed_board_is_right_too_and_touches_nothing(tmp_path: Path) -> None:
    cellar = Kept(tmp_path / "cellar.db")
    _dosed(cellar)
    right = _doses(cellar.service)
    cellar.service.close()
    _change(tmp_path / "cellar.db", "UPDATE action SET dose_amount = 190 WHERE dose_amount IS NOT NULL")
    before = (tmp_path / "cellar.db").read_bytes()
    with closing(open_cellar(tmp_path / "cellar.db", lambda: cellar.now, by="ida", read_only=True)) as service:
        assert _doses(service) == right
        assert service.warnings == (BOARD_DAMAGED,)
    assert (tmp_path / "cellar.db").read_bytes() == before


def test_a_damaged_ledger_is_never_folded(tmp_path: Path) -> None:
    cellar = Kept(tmp_path / "cellar.db")
    cellar.kept("note", text="plum, slightly hazy")
    cellar.service.close()
    path = tmp_path / "cellar.db"
    path.write_bytes(path.read_bytes().replace(b"slightly hazy", b"entirely fine"))
    with closing(open_cellar(path, lambda: cellar.now, by="ida")) as service:
        for ask in (lambda: service.view.wine("B1"), service.view.ledger, lambda: service.rebuild()):
            with pytest.raises(CellarError, match="restore") as refused:
                ask()
            assert refused.value.code == "damaged"
        with pytest.raises(CellarError, match="restore"):
            service.recorder.record(Request("B1", "reading", {"ph": "3.3"}))
        assert "Entry 7" in service.checked().damaged[0]
        with pytest.raises(CellarError, match="No backup was made"):
            service.backup(tmp_path / "copy.db")
        assert service.view.board().lines, "the board itself is as it was written"


@pytest.mark.parametrize("version", range(1, SCHEMA_VERSION))
def test_a_cellar_of_an_older_version_opens_with_its_plans(tmp_path: Path, version: int) -> None:
    path = make(version, tmp_path / "old.db")
    clock = lambda: datetime(2026, 3, 14, 19, tzinfo=UTC)  # noqa: E731 - a clock that stands
    with closing(open_cellar(path, clock, by="ida", read_only=True)) as service:
        looked = service.view.tasks()
        assert service.warnings == ()
    with closing(open_cellar(path, clock, by="ida")) as service:
        assert service.view.tasks() == looked != []
        assert service.check() == []
        assert service.view.ledger()[0].entry.body.kind == "rebuild"


# -- the clock


def test_a_clock_behind_the_newest_entry_records_nothing_without_a_reason(cellar: Kept) -> None:
    _dosed(cellar)
    now, cellar.now = cellar.now, datetime(1970, 1, 1, 0, 3, tzinfo=UTC)
    cellar.service._records.forget()
    assert "1 Jan 1970" in (cellar.service.clock_behind() or "")
    before = cellar.service.tip
    attempts: list[Callable[[], SaveResult]] = [
        lambda: cellar.record("gas"),
        lambda: cellar.service.recorder.undo(7),
        lambda: cellar.service.recorder.amend(7, {"ph": "3.4"}),
        lambda: cellar.service.recorder.add_vessel({"name": "B4", "capacity": "225", "material": "oak"}),
        lambda: cellar.service.recorder.set_rule("dry_sg", "0.99"),
        lambda: cellar.service.recorder.set_material(KMS, {"amount": "100g"}),
    ]
    for attempt in attempts:
        answer = attempt()
        assert not answer.saved
        assert answer.outcomes[0].stops[0].waivable
    assert cellar.service.tip == before
    cellar.now = NOON - timedelta(days=1)
    assert not cellar.record("gas").saved
    assert cellar.record("gas", waive="the clock has no battery").saved
    assert cellar.service.clock_behind() is None, "one entry so recorded settles it"
    cellar.now = now


def test_one_reason_settles_an_entry_from_the_year_2100(cellar: Kept) -> None:
    cellar.now = datetime(2100, 1, 1, tzinfo=UTC)
    cellar.kept("reading", ph="3.3", free_so2="30", method="aspiration")
    cellar.now = NOON
    cellar.service._records.forget()
    assert cellar.service.warnings[0].startswith("The clock is wrong")
    cellar.service.recorder.clock_reason = "the clock stood in 2100"
    assert cellar.service.recorder.undo(7).saved
    cellar.service.recorder.clock_reason = None
    assert cellar.service.warnings == ()
    assert cellar.record("gas").saved


@pytest.mark.parametrize(("back", "doubted"), [(9, False), (11, True), (60, True)])
def test_two_machines_are_never_quite_together(cellar: Kept, back: int, doubted: bool) -> None:
    cellar.kept("gas")
    cellar.now = NOON - timedelta(minutes=back)
    assert (cellar.service.clock_behind() is not None) is doubted
    cellar.now = NOON


def test_an_entry_after_today_counts_for_nothing_until_its_day(cellar: Kept) -> None:
    _dosed(cellar)
    asked = [one.action.rule for one in cellar.service.view.tasks()]
    assert "sulfite" in asked
    cellar.now = datetime(2100, 1, 1, tzinfo=UTC)
    cellar.kept("reading", "2100-01-01", ph="3.3", free_so2="40", method="aspiration")
    cellar.now = NOON
    cellar.service._records.forget()
    cellar.service.recorder.clock_reason = "the clock stood in 2100"

    assert [one.action.rule for one in cellar.service.view.tasks()] == asked
    assert cellar.ph() == 3.5
    named = "after today"
    assert any(named in one.problem for one in cellar.service.view.board().problems)
    assert any(named in one.problem for one in cellar.service.view.wine("B1").problems)
    assert [one.entry for one in cellar.service.check() if named in one.problem] == [8]

    answer = cellar.record("addition", material=KMS, amount="10g")
    assert answer.saved
    assert answer.outcomes[0].before is not None
    assert answer.outcomes[0].before.ph == 3.5
    later = cellar.service.view.tasks(date(2100, 1, 2))
    assert later != cellar.service.view.tasks(date(2099, 12, 31))
    with closing(open_cellar(cellar.service.path, lambda: datetime(2100, 1, 2, tzinfo=UTC), by="ida")) as then:
        view = then.view.wine("B1")
        assert view.plan is not None
        assert view.plan.readings["ph"].value == 3.3, "on its day it counts"
        assert [one for one in view.problems if named in one.problem] == []


def test_an_hour_that_the_clocks_skipped_is_refused(tmp_path: Path) -> None:
    now = datetime(2026, 3, 29, 20, tzinfo=UTC)
    service = create_cellar(tmp_path / "cellar.db", lambda: now, by="ida", zone="Europe/Berlin")
    service.recorder.add_vessel({"name": "B1", "capacity": "225", "material": "oak"})
    wine = {"name": "Hill", "style": "dry_white", "finished": "yes", "alcohol": "12", "volume": "200"}
    assert service.recorder.start_wine(Request("B1", "wine", wine, "2026-03-01")).saved
    for hour in ("01:59", "03:00"):
        assert service.recorder.record(Request("B1", "note", {"text": hour}, f"2026-03-29T{hour}")).saved
    with pytest.raises(CellarError, match=r"02:30 was skipped") as refused:
        service.recorder.record(Request("B1", "note", {"text": "at night"}, "2026-03-29T02:30"))
    assert refused.value.field == "at"
    service.close()


# -- the lock


def test_another_entry_made_between_weighing_and_lock_is_weighed_too(
    cellar: Kept, monkeypatch: pytest.MonkeyPatch
) -> None:
    other = open_cellar(cellar.service.path, lambda: cellar.now, by="jo")
    weighed = cellar.service._saving._weighed_before
    times: list[int] = []

    def and_then_another(*words: object) -> object:
        found = weighed(*words)  # type: ignore[arg-type]
        assert other.recorder.record(Request("B1", "loss", {"volume": "50"})).saved
        times.append(1)
        return found

    monkeypatch.setattr(cellar.service._saving, "_weighed_before", and_then_another)
    made = cellar.kept("loss", volume="30")
    assert times == [1]
    assert made.entry.seq == 8, "the other one is entry 7"
    assert made.before is not None
    assert made.after is not None
    assert (made.before.volume_l, made.after.volume_l) == (150, 120)
    other.close()


def test_nothing_is_weighed_under_the_lock_where_nobody_else_saves(
    cellar: Kept, monkeypatch: pytest.MonkeyPatch
) -> None:
    weigh = cellar.service._saving.weigh

    def unlocked(*words: object) -> object:
        with closing(sqlite3.connect(cellar.service.path, isolation_level=None, timeout=0)) as other:
            other.execute("BEGIN IMMEDIATE")
            other.execute("ROLLBACK")
        return weigh(*words)  # type: ignore[arg-type]

    monkeypatch.setattr(cellar.service._saving, "weigh", unlocked)
    cellar.kept("gas")


def test_the_same_entry_twice_within_a_minute_is_doubted_and_kept(cellar: Kept) -> None:
    def cautions(said: str) -> list[str]:
        found = cellar.kept("addition", material=KMS, amount=said).cautions
        return [one.guard for one in found if one.guard == "doubled"]

    assert cautions("5g") == []
    cellar.now += timedelta(seconds=20)
    assert cautions("5g") == ["doubled"]
    assert cautions("6g") == []
    cellar.now += timedelta(seconds=70)
    assert cautions("6g") == []


def test_a_save_that_is_durable_is_a_save_whatever_the_disk_does_next(
    cellar: Kept, monkeypatch: pytest.MonkeyPatch
) -> None:
    def failing(store: object) -> None:
        raise DiskFailed("The disk reported a fault.")

    monkeypatch.setattr("cellar_tui.service.saving.tip", failing)
    assert cellar.record("gas").saved


def test_a_damaged_hour_of_the_newest_entry_is_damage(tmp_path: Path) -> None:
    cellar = Kept(tmp_path / "cellar.db")
    cellar.now = datetime(2026, 11, 20, 12, 34, 56, tzinfo=UTC)
    cellar.kept("gas")
    cellar.service.close()
    path = tmp_path / "cellar.db"
    path.write_bytes(path.read_bytes().replace(b"12:34:56Z", b"12:34:56 "))
    with closing(open_cellar(path, lambda: cellar.now, by="ida")) as service:
        with pytest.raises(CellarError) as refused:
            service.clock_behind()
        assert refused.value.code == "damaged"
