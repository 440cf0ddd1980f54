"""Over a rough line: slow bytes, dropped connections, windows that are dragged about, terminals that can do little."""

from __future__ import annotations

from pathlib import Path

import pytest

from cellar_tui.service.open import OpenCellar
from tests.terminal.desk import HANG_UP, dashboard, in_cellar

DOWN = b"\x1b[B"


@pytest.fixture(name="service")
def _service(tmp_path: Path) -> OpenCellar:
    service = in_cellar(tmp_path)
    service.recorder.add_vessel({"name": "Demijohn 2", "capacity": "23L", "material": "glass", "place": "shelf"})
    return service


def test_an_arrow_key_that_comes_byte_by_byte_is_still_one_key(service: OpenCellar, tmp_path: Path) -> None:
    with dashboard(service.path, tmp_path) as desk:
        for byte in DOWN:
            desk.type(bytes([byte]))
            for _ in range(3):
                desk.read(0.05)
        desk.settle()
        # Broken up, the key would have been Escape, then two letters typed at the list.
        desk.until("empty")
        desk.type("\r")
        desk.until("Demijohn 2 · empty")


def test_a_form_comes_back_after_a_dropped_line_as_it_was_left(service: OpenCellar, tmp_path: Path) -> None:
    count = service.entries()
    with dashboard(service.path, tmp_path) as desk:
        desk.type("a3 g")
        desk.until(r"\+76 mg/L total")
        desk.process.send_signal(HANG_UP)
        desk.ended()
    assert service.entries() == count
    with dashboard(service.path, tmp_path) as desk:
        desk.until("As you left it")
        desk.until(r"\+76 mg/L total")
        desk.type("\r")
        desk.until(r"Recorded as entry \d+: 3 g")
    assert service.entries() == count + 1


def test_a_double_enter_on_a_slow_line_records_once(service: OpenCellar, tmp_path: Path) -> None:
    count = service.entries()
    with dashboard(service.path, tmp_path) as desk:
        desk.type("a2")
        desk.until(r"\+51 mg/L total")
        desk.type("\r\r")
        desk.until(r"Recorded as entry \d+")
        desk.settle()
        desk.type("\r")
        desk.settle()
    assert service.entries() == count + 1


def test_a_window_dragged_about_leaves_the_screen_whole(service: OpenCellar, tmp_path: Path) -> None:
    with dashboard(service.path, tmp_path) as desk:
        for step in range(30):
            desk.resize(40 + step * 3, 10 + step)
            if step % 5 == 0:
                desk.type("r" if step % 2 else "\x1b")
            desk.read(0.02)
        desk.resize(80, 24)
        desk.settle()
        desk.type("\x1b")
        desk.settle(1.5)  # Escape and the next key are two keys, on a machine that does much else too
        desk.until("Demijohn 1")
        assert desk.process.poll() is None
        desk.type("q")
        assert desk.ended() == 0
        assert desk.is_sane


@pytest.mark.parametrize("term", ["linux", "screen", "xterm", "vt100", "tmux-256color"])
def test_the_main_job_works_in_a_terminal_that_can_do_little(service: OpenCellar, tmp_path: Path, term: str) -> None:
    with dashboard(service.path, tmp_path, TERM=term) as desk:
        desk.type("a2")
        desk.until(r"\+51 mg/L total SO2")
        desk.type("\r")
        desk.until(r"Recorded as entry \d+: 2 g")
        desk.type("q")
        assert desk.ended() == 0


def test_a_ph_and_so2_reading_of_the_next_due_wine_takes_nine_keys_at_most(service: OpenCellar, tmp_path: Path) -> None:
    keys = "r28\t3.31\r"
    assert len(keys) <= 9
    with dashboard(service.path, tmp_path) as desk:
        desk.type(keys)
        desk.until(r"Recorded as entry \d+")
    last = service.last_by("ida")
    assert last is not None
    assert (last.body.ph, last.body.free_so2) == (3.31, 28)  # type: ignore[attr-defined]


def test_a_cursor_move_in_a_long_list_sends_less_than_a_kilobyte(service: OpenCellar, tmp_path: Path) -> None:
    for number in range(3, 40):
        service.recorder.add_vessel({"name": f"Demijohn {number}", "capacity": "23L", "material": "glass"})
    with dashboard(service.path, tmp_path) as desk:
        for _ in range(12):
            before = len(desk.raw)
            desk.type(DOWN)
            desk.settle(0.2)
            assert 0 < len(desk.raw) - before < 1024


def test_what_is_typed_while_the_program_starts_is_not_lost(service: OpenCellar, tmp_path: Path) -> None:
    with dashboard(service.path, tmp_path, typed="a2 g\r") as desk:
        desk.until(r"Recorded as entry \d+: 2 g")
