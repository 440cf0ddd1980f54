"""Typed text is what was typed: in whatever pieces keys arrive, the outcome is that of one key after the other."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

import pytest

from cellar_tui.ledger.cellar_kinds import WineStart
from cellar_tui.ledger.kinds import Check, Reading
from cellar_tui.service.open import OpenCellar
from tests.terminal import two_desks
from tests.terminal.desk import HANG_UP, Desk, dashboard, in_cellar
from tests.terminal.hand import KEYS, SLIP

BACK, SHIFT_TAB, ESCAPE = KEYS["Backspace"], KEYS["Shift+Tab"], KEYS["Escape"]


@pytest.fixture
def service(tmp_path: Path) -> Iterator[OpenCellar]:
    found = in_cellar(tmp_path)
    found.recorder.add_vessel({"name": "Demijohn 2", "capacity": "23L", "material": "glass", "place": "shelf"})
    yield found
    found.close()


def last(service: OpenCellar) -> object:
    entry = service.last_by("ida")
    assert entry is not None
    return entry.body


def readings(service: OpenCellar) -> list[tuple[float | None, float | None]]:
    """Return pH and free SO2 of every reading that stands, oldest first."""
    lines = [one for one in service.view.ledger() if one.state == "standing"]
    bodies = (one.entry.body for one in sorted(lines, key=lambda one: one.entry.seq))
    return [(one.ph, one.free_so2) for one in bodies if isinstance(one, Reading)]


@pytest.mark.parametrize("seed", [1, 2, 3, 4])
def test_keys_in_pieces_do_what_they_do_one_at_a_time(seed: int, tmp_path: Path) -> None:
    two_desks.try_drawn(tmp_path, seed, 15)


def test_an_answer_and_its_enter_in_one_burst_belong_to_the_page_that_asked(
    service: OpenCellar, tmp_path: Path
) -> None:
    with dashboard(service.path, tmp_path) as desk:
        desk.type("yLate gold\tdry white\t\t21.5\r")
        desk.until("2 of 3 · how it stands")
        desk.type("\t\t\r")
        desk.until("3 of 3 · its days")
        desk.type("\t\t")
        desk.settle(SLIP)
        desk.type("\r")
        desk.until(r"Recorded as entry \d+")
    body = last(service)
    assert isinstance(body, WineStart)
    assert (body.name, body.volume, body.source) == ("Late gold", 21.5, "grape")


@pytest.mark.parametrize(
    ("keys", "name", "value"),
    [
        (f"r\t\t\t\t\t\t1.050{BACK}4\r", "sg", 1.054),
        (f"r\t3.4{BACK}5\r", "ph", 3.5),
        (f"r\t3.14{KEYS['Left']}{KEYS['Left']}{BACK}.{KEYS['Right']}\r", "ph", 3.14),
    ],
)
def test_a_correction_within_a_burst_acts_in_its_turn(
    service: OpenCellar, tmp_path: Path, keys: str, name: str, value: float
) -> None:
    with dashboard(service.path, tmp_path) as desk:
        desk.type(keys)
        desk.until(r"Recorded as entry \d+")
    assert getattr(last(service), name) == value


@pytest.mark.parametrize("clear", ["", KEYS["Ctrl+U"]])
def test_a_material_typed_over_another_takes_its_place_and_its_guard_sees_it(
    service: OpenCellar, tmp_path: Path, clear: str
) -> None:
    count = service.entries()
    with dashboard(service.path, tmp_path) as desk:
        desk.type(f"a500{SHIFT_TAB}{clear}sugar\r")
        desk.until("STOP")
        desk.until("Nothing was recorded. A reason passes this stop.")
    assert service.entries() == count


def test_a_form_comes_back_after_a_dropped_line_with_its_cursor_where_it_was(
    service: OpenCellar, tmp_path: Path
) -> None:
    with dashboard(service.path, tmp_path) as desk:
        desk.type("r\t3.3")
        desk.until(r"3\.3")
        desk.process.send_signal(HANG_UP)
        desk.ended()
    with dashboard(service.path, tmp_path) as desk:
        desk.until("As you left it")
        desk.type(f"1{BACK}2\r")
        desk.until(r"Recorded as entry \d+")
    assert readings(service)[-1] == (3.32, None)


def test_escape_puts_away_a_form_that_came_back(service: OpenCellar, tmp_path: Path) -> None:
    with dashboard(service.path, tmp_path) as desk:
        desk.type("r\t3.3")
        desk.until(r"3\.3")
        desk.process.send_signal(HANG_UP)
        desk.ended()
    with dashboard(service.path, tmp_path) as desk:
        desk.until("As you left it")
        desk.type(ESCAPE)
        desk.until("Kept as a draft")


def test_two_sessions_of_one_person_have_a_draft_each(service: OpenCellar, tmp_path: Path) -> None:
    with dashboard(service.path, tmp_path) as first:
        first.type("r\t3.3")
        first.until(r"3\.3")
        first.settle(1.3)
        with dashboard(service.path, tmp_path) as second:
            assert "As you left it" not in second.text
            second.type("r\t3.4\r")
            second.until(r"Recorded as entry \d+")
        # What the other one recorded is shown once; what is typed here is neither lost nor taken for it.
        first.until("This is the new preview")
        first.type(f"{BACK}5\r")
        first.until("Nothing was recorded: ida recorded on Demijohn 1: pH 3.4")
        first.settle(SLIP)
        first.type("\r")
        first.until(r"Recorded as entry \d+")
    assert [ph for ph, _ in readings(service)][-2:] == [3.4, 3.5]


def test_what_is_typed_while_the_round_opens_is_not_lost(service: OpenCellar, tmp_path: Path) -> None:
    with dashboard(service.path, tmp_path) as desk:
        desk.type("d\rp\r")
        desk.until("Recorded")
    assert last(service) == Check(test="level", result="pass")


def test_text_typed_for_one_action_does_not_come_back_with_another(service: OpenCellar, tmp_path: Path) -> None:
    with dashboard(service.path, tmp_path) as desk:
        desk.type("d\r0.99")
        desk.until(r"0\.99")
        for _ in range(8):
            desk.type("\x0e")
            desk.settle()
            assert "As you left it" not in desk.text
            assert "0.99" not in desk.text.partition("Ctrl+O")[2]


@pytest.mark.parametrize("pieces", [("\r\r",), ("\r", "\r")])
def test_an_enter_right_after_an_enter_records_nothing(
    service: OpenCellar, tmp_path: Path, pieces: tuple[str, ...]
) -> None:
    count = service.entries()
    with dashboard(service.path, tmp_path) as desk:
        desk.type("d\rp")
        desk.until("Check · level")
        for piece in pieces:
            desk.type(piece)
        desk.until("Recorded")
        desk.settle()
    assert service.entries() == count + 1


def test_choosing_a_check_by_its_beginning_records_a_pass(service: OpenCellar, tmp_path: Path) -> None:
    with dashboard(service.path, tmp_path) as desk:
        desk.type("cclar\tp\r")
        desk.until(r"Recorded as entry \d+")
    assert last(service) == Check(test="clarity", result="pass")


def worked(desk: Desk) -> float:
    """Return the processor time that the program has taken [s]; it does not depend on what else the machine does."""
    fields = Path(f"/proc/{desk.process.pid}/stat").read_text(encoding="utf-8").rpartition(")")[2].split()
    return sum(map(int, fields[11:13])) / os.sysconf("SC_CLK_TCK")


def longest_silence(desk: Desk, keys: bytes) -> float:
    """Return the longest time [s of work] without a sign of life until the page of keys, asked for last, is there."""
    longest, size, seen = 0.0, len(desk.raw), worked(desk)
    left = keys + b"?"
    while "EVERY DAY" not in desk.text and desk.process.poll() is None:
        if left:
            desk.type(left[:256])
            left = left[256:]
        desk.read(0.05)
        now = worked(desk)
        longest = max(longest, now - seen)
        if len(desk.raw) != size:
            size, seen = len(desk.raw), now
    return longest


def test_five_kilobytes_of_keys_do_not_freeze_the_screen(service: OpenCellar, tmp_path: Path) -> None:
    count = service.entries()
    with dashboard(service.path, tmp_path) as desk:
        assert longest_silence(desk, (b"r3.4\x1b" + b"5.6\x1b" * 20) * 59) < 1.0
        assert desk.process.poll() is None
    assert service.entries() == count


def test_a_burst_in_which_every_letter_is_a_command_does_not_freeze_the_screen(
    service: OpenCellar, tmp_path: Path
) -> None:
    count = service.entries()
    opened = b"".join(bytes([letter]) + b"\x1b" for letter in b"racmnthifRvylbogze")
    with dashboard(service.path, tmp_path) as desk:
        assert longest_silence(desk, opened * 4) < 1.0
        assert desk.process.poll() is None
    assert service.entries() == count
