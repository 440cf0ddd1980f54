"""The program in a real terminal: the main job by keys, type-ahead, two programs, signals, a dropped line, a crash."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from cellar_tui.entry_form import drafts
from cellar_tui.ledger.kinds import Addition, Reading
from cellar_tui.service.open import OpenCellar
from cellar_tui.service.views import Request
from tests.opened import store_of
from tests.terminal.desk import HANG_UP, TERM, Desk, dashboard, in_cellar

UP, DOWN, ESCAPE = "\x1b[A", "\x1b[B", "\x1b"


@pytest.fixture
def service(tmp_path: Path) -> Iterator[OpenCellar]:
    found = in_cellar(tmp_path)
    yield found
    found.close()


def test_two_grams_are_added_the_date_moves_and_u_takes_them_back(service: OpenCellar, tmp_path: Path) -> None:
    with dashboard(service.path, tmp_path) as desk:
        desk.type("a")
        desk.until("Addition")
        desk.type("2")
        desk.until(r"\+51 mg/L total SO2")
        assert "→" in desk.text
        desk.type("\r")
        desk.until(r"Recorded as entry \d+: 2 g potassium metabisulfite, Demijohn 1\. .*test SO2")
        desk.type("u")
        desk.until("Taken back: 2 g potassium metabisulfite")
        desk.type("q")
        assert desk.ended() == 0
        assert desk.is_sane
    last = service.last_by("ida")
    assert last is not None
    assert isinstance(last.body, Reading)


def test_a_save_that_waits_says_for_whom_and_is_kept_once_the_other_has_ended(
    service: OpenCellar, tmp_path: Path
) -> None:
    with dashboard(service.path, tmp_path) as desk, closing(sqlite3.connect(service.path)) as other:
        desk.type("a2")
        desk.until(r"\+51 mg/L total SO2")
        other.isolation_level = None
        other.execute("BEGIN IMMEDIATE")
        desk.type("\r")
        desk.until(rf"Waiting for \w+ \(process {os.getpid()}\), who is saving into this cellar\.")
        other.execute("ROLLBACK")
        desk.until(r"Recorded as entry \d+: 2 g")
        desk.settle()
        assert "Waiting for" not in desk.text


def test_keys_typed_in_one_burst_all_reach_the_form(service: OpenCellar, tmp_path: Path) -> None:
    with dashboard(service.path, tmp_path) as desk:
        desk.type("a2.5 g\r")
        desk.until(r"Recorded as entry \d+: 2\.5 g")
    last = service.last_by("ida")
    assert last is not None
    assert isinstance(last.body, Addition)
    assert last.body.amount == 2.5


def test_escape_and_enter_in_one_burst_record_nothing(service: OpenCellar, tmp_path: Path) -> None:
    count = service.entries()
    with dashboard(service.path, tmp_path) as desk:
        desk.type("a2")
        desk.until(r"\+51 mg/L total")
        desk.type("\x1b\r")
        # The Enter is the list's: it opens the wine, as it does when it is pressed a second later.
        desk.until(r"w why\s+Esc back")
    assert service.entries() == count


def test_what_another_program_records_is_shown_within_two_seconds(service: OpenCellar, tmp_path: Path) -> None:
    with dashboard(service.path, tmp_path) as desk:
        service.recorder.record(Request("Demijohn 1", "reading", {"ph": "3.07"}))
        for _ in range(40):
            desk.read(0.05)
        assert "3.07" in desk.text


def test_nothing_is_sent_while_nobody_types_and_little_for_a_cursor_move(service: OpenCellar, tmp_path: Path) -> None:
    for number in range(2, 6):
        service.recorder.add_vessel({"name": f"Demijohn {number}", "capacity": "23L", "material": "glass"})
    with dashboard(service.path, tmp_path) as desk:
        before = len(desk.raw)
        for _ in range(30):
            desk.read(0.05)
        assert len(desk.raw) == before
        desk.type(DOWN)
        desk.settle()
        assert 0 < len(desk.raw) - before < 1024
        assert b"\x1b[?1000h" not in desk.raw


@pytest.mark.parametrize("number", [TERM, HANG_UP])
def test_a_signal_leaves_a_sane_terminal_and_keeps_what_was_typed(
    service: OpenCellar, tmp_path: Path, number: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path))
    with dashboard(service.path, tmp_path) as desk:
        desk.type("r\t3.2")
        desk.until(r"3\.2")
        desk.process.send_signal(number)
        assert desk.ended() == 128 + number
        assert desk.is_sane
    kept = drafts.load(drafts.draft_file(service.path, "ida"))
    assert kept is not None
    assert "3.2" in kept.fields.values()


def test_the_program_ends_when_its_terminal_is_gone(service: OpenCellar, tmp_path: Path) -> None:
    with dashboard(service.path, tmp_path) as desk:
        desk.hang_up()
        assert desk.ended(4) != 0


def test_bytes_that_are_no_text_do_not_end_it(service: OpenCellar, tmp_path: Path) -> None:
    with dashboard(service.path, tmp_path) as desk:
        desk.type(b"\x80\xff\xe9")
        desk.type("?")
        desk.until("EVERY DAY")


def test_a_name_full_of_controls_sends_none_to_the_terminal(service: OpenCellar, tmp_path: Path) -> None:
    found = store_of(service).by_name("demijohn 1")
    assert found is not None
    service.recorder.record(Request("Demijohn 1", "note", {"text": "x"}))
    with dashboard(service.path, tmp_path) as desk:
        desk.type("n\x1b[200~\x1b]0;owned\x07\x1b[2J evil\x1b[201~\r")
        desk.until("Recorded as entry")
        desk.type("\r")
        desk.until("evil")
        assert b"\x1b]0;owned" not in desk.raw


CRASH = """
import sys
from cellar_tui.service import clock
from cellar_tui.service.open import OpenCellar, open_cellar
from cellar_tui.tui.screens.home import HomeScreen

def broken(self):
    secret = "private note"
    raise ZeroDivisionError(secret)

HomeScreen.action_sort = broken
from cellar_tui.tui.app import run_app
sys.exit(run_app(open_cellar(sys.argv[1], clock.system, by="ida"), title="test"))
"""


def test_an_error_in_the_program_is_one_sentence_a_private_file_and_status_1(
    service: OpenCellar, tmp_path: Path
) -> None:
    with Desk("-c", CRASH, str(service.path), XDG_STATE_HOME=str(tmp_path)) as desk:
        desk.until("Vessel")
        desk.settle()
        desk.type("s")
        assert desk.ended() == 1
        assert desk.is_sane
        assert "The program met an error and ended. What was recorded is in the cellar's file" in desk.text
        assert b"private note" not in desk.raw
    log = tmp_path / "cellar-tui" / "crash.log"
    assert log.stat().st_mode & 0o777 == 0o600
    assert "ZeroDivisionError" in log.read_text(encoding="utf-8")


@pytest.mark.parametrize("term", ["linux", "xterm-256color"])
def test_without_colour_the_screen_reads_the_same(service: OpenCellar, tmp_path: Path, term: str) -> None:
    with dashboard(service.path, tmp_path, TERM=term) as desk:
        coloured = desk.text
    with dashboard(service.path, tmp_path, TERM=term, NO_COLOR="1") as desk:
        assert desk.text == coloured
        rows = [row for row in range(24) if desk.screen.buffer[row][1].reverse]
        assert [desk.screen.display[row].split()[0] for row in rows] == ["Demijohn"]


def test_a_terminal_that_cannot_draw_gets_a_sentence(service: OpenCellar, tmp_path: Path) -> None:
    words = ("-m", "cellar_tui", "--db", str(service.path))
    with Desk(*words, XDG_STATE_HOME=str(tmp_path), TERM="dumb") as desk:
        assert desk.ended() == 1
        assert "cannot draw a full screen" in desk.text
        assert b"\x1b[?1049h" not in desk.raw
