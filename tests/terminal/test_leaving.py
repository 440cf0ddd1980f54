"""Told to go, the program goes within two seconds and keeps what was typed, whatever became of its terminal."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest

from cellar_tui.entry_form import drafts
from cellar_tui.service.open import OpenCellar
from tests.opened import clock_of, set_clock
from tests.terminal.desk import ROOT, Desk, dashboard, in_cellar

GONE = 2.0
"""Seconds within which it is gone; a loaded machine gets some more to start the clock."""


@pytest.fixture
def service(tmp_path: Path) -> Iterator[OpenCellar]:
    found = in_cellar(tmp_path)
    yield found
    found.close()


def _typed(service: OpenCellar, state: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    monkeypatch.setenv("XDG_STATE_HOME", str(state))
    draft = drafts.load(drafts.draft_file(service.path, "ida"))
    return "" if draft is None else draft.fields.get("amount", "")


def _fill(desk: Desk) -> None:
    """Have it draw until the line takes no more, and read nothing of it."""
    for width in range(200):
        desk.resize(140 + width % 3, 45)
        os.kill(desk.process.pid, signal.SIGWINCH)
        time.sleep(0.02)


def _gone(desk: Desk) -> float:
    begun = time.monotonic()
    desk.process.wait(20)
    return time.monotonic() - begun


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGHUP, signal.SIGINT])
def test_a_stalled_reader_keeps_nothing_alive_and_loses_no_draft(
    service: OpenCellar, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, number: signal.Signals
) -> None:
    with dashboard(service.path, tmp_path) as desk:
        desk.type("a")
        desk.until("Addition")
        desk.type("2.25")
        desk.until(r"2\.25")
        _fill(desk)
        desk.process.send_signal(number)
        assert _gone(desk) < GONE
        assert desk.process.returncode == 128 + number
    assert _typed(service, tmp_path, monkeypatch) == "2.25"


def test_an_interrupt_from_outside_keeps_the_draft_and_leaves_a_sane_terminal(
    service: OpenCellar, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with dashboard(service.path, tmp_path) as desk:
        desk.type("a")
        desk.until("Addition")
        desk.type("2.5")
        desk.until(r"2\.5")
        desk.process.send_signal(signal.SIGINT)
        assert desk.ended() == 130
        assert desk.is_sane
    assert _typed(service, tmp_path, monkeypatch) == "2.5"


@pytest.mark.parametrize("wait", [0.05, 0.2, 0.4, 0.7])
def test_a_signal_while_it_starts_ends_it_without_a_traceback(service: OpenCellar, tmp_path: Path, wait: float) -> None:
    words = ("-m", "cellar_tui", "--db", str(service.path), "--by", "ida")
    for number in (signal.SIGINT, signal.SIGTERM):
        with Desk(*words, XDG_STATE_HOME=str(tmp_path)) as desk:
            time.sleep(wait)
            desk.process.send_signal(number)
            if desk.ended() == 1:  # it came while Python itself was starting
                assert b"cellar_tui" not in desk.raw
                continue
            assert desk.process.returncode in (128 + number, -number)
            assert b"Traceback" not in desk.raw
            if b"\x1b[?1049h" in desk.raw:
                assert desk.is_sane


def test_ctrl_c_in_a_command_is_quiet(service: OpenCellar) -> None:
    for wait in (0.02, 0.1, 0.3):
        words = [sys.executable, "-m", "cellar_tui", "--db", str(service.path), "check"]
        command = subprocess.Popen(words, cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.PIPE)
        time.sleep(wait)
        command.send_signal(signal.SIGINT)
        _, said = command.communicate(timeout=20)
        assert b"cellar_tui" not in said, "no traceback of ours"
        assert command.returncode in (0, 130, -signal.SIGINT, 1)


def test_where_drafts_cannot_be_kept_that_is_said(service: OpenCellar, tmp_path: Path) -> None:
    blocked = tmp_path / "file"
    blocked.write_text("")
    with Desk("-m", "cellar_tui", "--db", str(service.path), "--by", "ida", XDG_STATE_HOME=str(blocked)) as desk:
        desk.until("what is typed is lost if the line drops")


@pytest.mark.parametrize(
    "said",
    [
        '{"drafts": ' + "[" * 100_000 + "]" * 100_000 + "}",
        '{"drafts": [{"kind": "bung", "target": "Demijohn 1", "fields": {"x": "1"}, "key": "00", "heads": {}, '
        '"fixed": {}, "amends": null}]}',
        '{"drafts": [{"kind": "addition", "target": "Demijohn 1", "fields": {"amount": "\\ud800"}, "key": "00", '
        '"heads": {}, "fixed": {}, "amends": null}]}',
        '{"drafts": [{"kind": "addition", "target": "Barrel 99", "fields": {"amount": "2"}, "key": "00", "heads": {}, '
        '"fixed": {}, "amends": 12345}]}',
    ],
    ids=["deep", "an unknown kind", "half a character", "a vessel and an entry that are not there"],
)
def test_a_strange_draft_stops_nobody(
    service: OpenCellar, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, said: str
) -> None:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path))
    place = drafts.draft_file(service.path, "ida")
    place.parent.mkdir(parents=True)
    place.write_text(said)
    with dashboard(service.path, tmp_path) as desk:
        assert "Demijohn 1" in desk.text
        desk.type("\x1bq")
        assert desk.ended() == 0


def test_a_wrong_clock_is_said_on_every_screen(service: OpenCellar, tmp_path: Path) -> None:
    ahead = clock_of(service)
    try:
        set_clock(service, lambda: ahead() + timedelta(days=400))
        service.recorder.set_rule("dry_sg", "0.996")
    finally:
        set_clock(service, ahead)
    with dashboard(service.path, tmp_path) as desk:
        desk.until("The clock is wrong")
        desk.type("\r")
        desk.until("The clock is wrong.*Terrace")


def test_the_window_is_named_after_cellar_and_vessel_and_gets_it_back(service: OpenCellar, tmp_path: Path) -> None:
    with dashboard(service.path, tmp_path) as desk:
        desk.type("\r")
        desk.until("Terrace")
        for _ in range(30):
            desk.read(0.1)
        desk.type("\x1bq")
        desk.ended()
        desk.settle()
        assert b"\x1b]2;cellar\x07" in desk.raw
        assert "\x1b]2;cellar · Demijohn 1\x07".encode() in desk.raw
        assert desk.raw.find(b"\x1b[22;2t") < desk.raw.find(b"\x1b]2;") < desk.raw.rfind(b"\x1b[23;2t")
