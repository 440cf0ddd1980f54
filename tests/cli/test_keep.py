"""Check, rebuild, backup and restore on the command line; what the exit status says, whatever becomes of the output."""

from __future__ import annotations

import os
import sqlite3
import subprocess
import sys
from collections.abc import Callable
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from cellar_tui.service import clock
from cellar_tui.service.saving import Saving
from cellar_tui.service.view import CellarView
from cellar_tui.service.views import CellarError
from storage.store import Store
from tests.cli.conftest import Desk

GAS = ("record", "Demijohn 1", "gas")


def _change(path: Path, *statements: str) -> None:
    with closing(sqlite3.connect(path, isolation_level=None)) as plain:
        for statement in statements:
            plain.execute(statement)


def _count(path: Path) -> int:
    with Store.open(path) as store:
        return store.count()


def _run(*words: str, **how: object) -> subprocess.CompletedProcess[bytes]:
    return subprocess.run([sys.executable, "-m", "cellar_tui", *words], check=False, timeout=60, **how)  # type: ignore[call-overload,no-any-return]


# -- a board that was changed


def test_a_changed_board_is_said_at_the_head_of_due_and_put_right_by_rebuild(white: Desk, path: Path) -> None:
    right = white("due", "--within", "90", "--json").json
    _change(path, "UPDATE action SET show = '2050-01-01', due = '2050-01-01', window_to = '2050-01-02'")
    said = white("due", "--within", "90")
    assert said.out.splitlines()[0].startswith("! The file's board was damaged")
    assert said.status == 0
    told = white("due", "--within", "90", "--json")
    assert told.json == right
    assert "rebuild" in told.err
    found = white("check")
    assert found.status == 4
    assert "cellar-tui rebuild" in found.out
    assert white("rebuild").out.startswith("Entry 6: the board was worked out again from 6 entries.")
    assert white("check").status == 0


def test_a_damaged_ledger_ends_with_status_4_and_names_the_entry(white: Desk, path: Path, tmp_path: Path) -> None:
    copy = str(tmp_path / "copy.db")
    assert white("backup", copy).status == 0
    white("record", "Demijohn 1", "note", "text=plum, slightly hazy")
    path.write_bytes(path.read_bytes().replace(b"slightly hazy", b"entirely fine"))
    for words in (("show", "Demijohn 1"), GAS, ("check",), ("rebuild",), ("backup", copy + "2")):
        said = white(*words)
        assert said.status == 4, words
        assert "ntry 6" in said.out + said.err
    said = white("restore", copy)
    assert said.status == 0
    assert "5 entries restored" in said.out
    assert "before-restore" in said.out
    assert white("check").status == 0
    assert white("show", "Demijohn 1").err == "", "nobody is told of the older end of the ledger after a restore"


def test_a_text_that_cannot_be_read_is_damage_in_one_sentence(white: Desk, path: Path) -> None:
    path.write_bytes(path.read_bytes().replace(b"back wall", b"back \xff\xfe\xff\xfe"))
    for words in (("due",), ("show", "Demijohn 1"), ("check",), ("backup", str(path) + "2"), GAS):
        said = white(*words, "--json")
        assert said.status == 4, words
        assert said.out.count("\n") > 1
        assert "Traceback" not in said.err


# -- tips


def test_a_tip_kept_elsewhere_shows_whether_history_was_written_again(white: Desk, path: Path, tmp_path: Path) -> None:
    tip = white("backup", str(tmp_path / "copy.db"), "--json").json["tip"]
    white(*GAS)
    assert white("check", "--known", tip).status == 0
    other = f"{tip.split(':')[0]}:{'0' * 32}"
    said = white("check", "--known", other)
    assert said.status == 4
    assert "Entry 5 is not the one that was recorded once." in said.out
    said = white("check", "--known", f"99:{'0' * 32}")
    assert said.status == 4
    assert "ends at entry 6" in said.out
    for wrong in ("5", "x:y", "5:zz", "5:00", "-1:" + "0" * 32):
        assert white("check", "--known", wrong).status == 2


def test_a_shortened_ledger_is_named_at_every_opening_until_a_check_has_said_so(
    white: Desk, path: Path, tmp_path: Path
) -> None:
    copy = tmp_path / "copy.db"
    white("backup", str(copy))
    white(*GAS)
    os.replace(copy, path)
    for _ in range(2):
        said = white("due")
        assert "The ledger ends at entry 5, but entry 6 was recorded once." in said.err
    assert white("check").status == 4
    assert white("check").status == 0
    assert white("due").err == ""


# -- backups


def test_a_backup_goes_to_standard_output_too(white: Desk, path: Path, tmp_path: Path) -> None:
    done = _run("backup", "-", capture_output=True)
    assert done.returncode == 0
    assert b"Tip of the ledger: 5:" in done.stderr
    (tmp_path / "streamed.db").write_bytes(done.stdout)
    assert white("--db", str(tmp_path / "streamed.db"), "check").status == 0


@pytest.mark.parametrize("name", ["x.db-journal", "x.db-wal", "x" * 300])
def test_a_backup_takes_no_name_under_which_it_would_be_lost(white: Desk, tmp_path: Path, name: str) -> None:
    before = sorted(tmp_path.iterdir())
    said = white("backup", str(tmp_path / name))
    assert said.status == 1
    assert said.err.count("\n") == 1
    assert sorted(tmp_path.iterdir()) == before


# -- the exit status


def _closed() -> None:
    os.close(1)


@pytest.mark.parametrize("how", ["full", "closed", "nobody", "both"])
def test_once_an_entry_is_durable_the_status_is_0_whatever_becomes_of_the_output(
    white: Desk, path: Path, how: str
) -> None:
    before = _count(path)
    with open("/dev/full", "wb") as full:
        if how == "full":
            done = _run(*GAS, stdout=full, stderr=subprocess.PIPE)
        elif how == "both":
            done = _run(*GAS, stdout=full, stderr=full)
        elif how == "closed":
            done = _run(*GAS, preexec_fn=_closed, stderr=subprocess.PIPE)
        else:
            reading, writing = os.pipe()
            os.close(reading)
            with open(writing, "wb") as nobody:
                done = _run(*GAS, stdout=nobody, stderr=subprocess.PIPE)
    assert done.returncode == 0
    assert b"Traceback" not in (done.stderr or b"")
    assert _count(path) == before + 1


def test_a_disk_that_fails_after_the_save_makes_no_failure_of_what_is_durable(
    white: Desk, path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What is told of an entry is read after it: a script that took that for a failed save would make it twice."""
    before = _count(path)

    def fails(*asked: object, **named: object) -> None:
        raise CellarError("the disk went away", code="damaged")

    with monkeypatch.context() as patch:
        patch.setattr(CellarView, "vessels", fails)
        said = white(*GAS)
    assert said.status == 0
    assert "It is recorded" in said.err
    assert "the disk went away" in said.err
    assert _count(path) == before + 1


def test_a_board_that_was_mended_before_a_save_that_failed_is_no_success(
    white: Desk, path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The rebuild is durable, the entry is not: only the entry counts."""
    _change(path, "UPDATE action SET dose_amount = 99")
    before = _count(path)

    def fails(*asked: object, **named: object) -> None:
        raise CellarError("the disk went away", code="storage")

    monkeypatch.setattr(Saving, "_keep", fails)
    said = white(*GAS)
    assert said.status == 4
    assert _count(path) in (before, before + 1), "at most the entry of the rebuild"


def test_a_list_that_could_not_be_written_is_no_success(white: Desk) -> None:
    with open("/dev/full", "wb") as full:
        done = _run("due", stdout=full, stderr=subprocess.PIPE)
    assert done.returncode == 1
    assert done.stderr.startswith(b"The answer could not be written")


@pytest.mark.parametrize("words", [("due",), (), ("record", "Demijohn 1", "note", "text=a")])
def test_a_closed_standard_input_is_no_traceback(white: Desk, words: tuple[str, ...]) -> None:
    done = _run(*words, preexec_fn=lambda: os.close(0), capture_output=True)
    assert b"Traceback" not in done.stderr
    assert done.returncode in (0, 1)


def test_a_vessel_that_cannot_be_leaves_no_cellar_behind(desk: Desk, path: Path) -> None:
    said = desk("vessel", "add", "Tub", "capacity=much", "material=plastic")
    assert said.status == 1
    assert list(path.parent.iterdir()) == []


# -- who may read, and where it lies


def test_a_file_that_may_not_be_read_is_not_called_missing(
    white: Desk, path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    may = os.access
    monkeypatch.setattr(os, "access", lambda place, mode: Path(place) != path and may(place, mode))
    said = white("due")
    assert said.status == 4
    assert said.err == f"{path} may not be read by you: check who owns it.\n"

    def locked(self: Path, **how: bool) -> os.stat_result:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "stat", locked)
    said = white("due")
    assert said.status == 4
    assert "may not be entered by you" in said.err


def test_a_file_that_others_may_write_is_cautioned(white: Desk, path: Path) -> None:
    path.chmod(0o666)
    assert f"chmod o-w {path}" in white("due").err
    path.chmod(0o600)
    path.parent.chmod(0o777)
    assert f"chmod o-w {path.parent}" in white("due").err
    path.parent.chmod(0o700)


def test_a_network_file_system_is_cautioned(white: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("storage.mounts.file_system", lambda path: "nfs4")
    assert "network file system (nfs4)" in white("due").err


# -- the clock


@pytest.fixture
def at(monkeypatch: pytest.MonkeyPatch) -> Callable[[datetime], None]:
    """Set the machine's clock."""
    return lambda moment: monkeypatch.setattr(clock, "system", lambda: moment)


def test_a_clock_that_is_behind_is_said_first_and_records_only_with_a_reason(
    white: Desk, path: Path, at: Callable[[datetime], None]
) -> None:
    at(datetime(1970, 1, 1, 0, 5, tzinfo=UTC))
    said = white("due")
    assert said.status == 1
    assert said.out.startswith("! The clock is wrong: it says Thu 1 Jan 1970")
    assert white("due", "--json").status == 1
    assert white("check").status == 1
    before = _count(path)
    assert white("rule", "set", "dry_sg=0.99").status == 1
    assert white("material", "set", "sugar", "amount=1kg").status == 1
    assert white("vessel", "add", "Tub", "capacity=9L", "material=plastic").status == 1
    assert white("undo", "5").status == 1
    assert _count(path) == before
    at(datetime.now(UTC) - timedelta(hours=2))
    assert white(*GAS).status == 1
    assert white(*GAS, "--preview", "--json").status == 1
    assert white(*GAS, "--waive", "the machine has no battery").status == 0
    assert white("due").status == 0


def test_the_same_command_twice_is_cautioned(white: Desk) -> None:
    sweet = ("record", "Demijohn 1", "addition", "material=tannin", "amount=2g")
    assert "says the same" not in white(*sweet).out
    assert "says the same" in white(*sweet).out
    assert "says the same" not in white(*sweet, "--key", "a").out


@pytest.mark.parametrize("locale", ["C", "POSIX"])
def test_names_keep_their_letters_whatever_the_locale(white: Desk, path: Path, locale: str) -> None:
    plain = os.environ | {"LC_ALL": locale, "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"}
    done = _run("vessel", "add", "Fût 1", "capacity=23L", "material=glass", env=plain, capture_output=True)
    assert done.returncode == 0, done.stderr
    assert white("show", "Fût 1", "--json").json["vessel"] == "Fût 1"
    assert _run("show", "Fût 1", env=plain, capture_output=True).stdout.startswith("Fût 1".encode())


def test_a_new_cellar_is_not_compared_with_one_that_stood_there(white: Desk, path: Path) -> None:
    for file in path.parent.glob("cellar.db*"):
        file.unlink()
    said = white("vessel", "add", "Tub", "capacity=60L", "material=plastic")
    assert said.status == 0
    assert said.err == f"A new cellar was made at {path}.\n"


def test_a_missing_number_of_days_is_a_wrong_command_line(white: Desk) -> None:
    said = white("due", "--within", "--")
    assert said.status == 2
    assert said.err.count("\n") == 1
