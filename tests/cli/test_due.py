"""What is due as a line, as mail, and as a calendar that a phone subscribes to."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from ical.calendar_stream import IcsCalendarStream
from icalendar import Calendar

from tests.cli.conftest import Desk


def events(path: Path) -> dict[str, Any]:
    """Return the events of a calendar by what they are named for, as the library's strict parse gives them."""
    read = Calendar.from_ical(path.read_bytes())
    assert not read.errors
    found = list(read.walk("VEVENT"))
    assert all(not one.errors for one in found)
    assert len({str(one["uid"]) for one in found}) == len(found)
    return {str(one["uid"]).split("-")[0]: one for one in found}


def test_one_line_says_how_much_is_late_and_for_today(white: Desk) -> None:
    found = white("due", "--json").json
    late, today = (sum(one["status"] == status for one in found) for status in ("late", "today"))
    assert white("due", "--short").out == f"{late} late, {today} today\n"
    assert white("due", "--short", "--on", "2026-01-01").out == "0 late, 0 today\n"


def test_mail_is_empty_where_nothing_is_late_or_for_today(white: Desk) -> None:
    assert white("due", "--quiet", "--on", "2026-01-01").out == ""


def test_mail_has_lines_of_eighty_and_reasons_on_request(white: Desk) -> None:
    plain, reasons = white("due", "--quiet").out, white("due", "--quiet", "--why").out
    assert max(map(len, reasons.splitlines())) <= 80
    assert "Demijohn 1" in plain
    assert len(reasons.splitlines()) > len(plain.splitlines())
    assert "Ahead" not in plain


def test_ways_to_answer_exclude_each_other(white: Desk) -> None:
    assert white("due", "--short", "--quiet").status == 2


def test_a_calendar_has_a_whole_day_for_each_due_action_with_dose_reason_and_reminder(
    white: Desk, tmp_path: Path
) -> None:
    path = tmp_path / "cellar.ics"
    assert white("due", "--ics", str(path)).status == 0
    due = {one["action"]: one for one in white("due", "--json").json}
    found = events(path)
    assert set(found) == set(due)
    for action, event in found.items():
        assert event.decoded("dtstart") == date.fromisoformat(due[action]["show"])
        assert event.decoded("dtend") - event.decoded("dtstart") == timedelta(days=1)
        assert due[action]["why"] in str(event["description"])
        (alarm,) = event.walk("VALARM")
        assert alarm.decoded("trigger") == timedelta(hours=8)
    dosed = next(action for action, one in due.items() if one["dose"])
    assert due[dosed]["dose"]["note"] in str(found[dosed]["description"])


def test_the_same_schedule_gives_the_same_bytes(white: Desk, tmp_path: Path) -> None:
    path = tmp_path / "cellar.ics"
    white("due", "--ics", str(path))
    before, at = path.read_bytes(), path.stat().st_mtime_ns
    white("due", "--ics", str(path))
    assert (path.read_bytes(), path.stat().st_mtime_ns) == (before, at)
    other = tmp_path / "other.ics"
    white("due", "--ics", str(other))
    assert other.read_bytes() == before


def test_a_moved_date_updates_its_event_and_what_is_done_is_cancelled(white: Desk, tmp_path: Path) -> None:
    path = tmp_path / "cellar.ics"
    white("due", "--ics", str(path))
    old = events(path)
    moved = next(iter(old))
    assert white("record", "Demijohn 1", "postpone", f"action={moved}", "until=+9d", "reason=away").status == 0
    white("due", "--ics", str(path))
    new = events(path)
    assert new[moved]["uid"] == old[moved]["uid"]
    assert new[moved].decoded("dtstart") > old[moved].decoded("dtstart")
    assert int(new[moved]["sequence"]) > int(old[moved]["sequence"])
    level = "level_look"
    assert level in new
    assert white("record", "Demijohn 1", "check", "test=level", "result=pass").status == 0
    white("due", "--ics", str(path))
    after = Calendar.from_ical(path.read_bytes())
    done = next(one for one in after.walk("VEVENT") if one["uid"] == new[level]["uid"])
    assert str(done["status"]) == "CANCELLED"
    assert int(str(done["sequence"])) > int(new[level]["sequence"])
    assert not done.walk("VALARM")


def test_a_file_that_was_lost_never_falls_behind_what_a_phone_has_seen(white: Desk, tmp_path: Path) -> None:
    path = tmp_path / "cellar.ics"
    white("due", "--ics", str(path))
    white("record", "Demijohn 1", "postpone", "action=level_look", "until=+9d", "reason=away")
    white("due", "--ics", str(path))
    seen = {uid: int(one["sequence"]) for uid, one in events(path).items()}
    path.unlink()
    white("due", "--ics", str(path))
    assert all(int(one["sequence"]) >= seen[uid] for uid, one in events(path).items())


def test_a_file_of_another_program_is_never_written_over(white: Desk, tmp_path: Path) -> None:
    path = tmp_path / "cellar.ics"
    for content in (b"my letter", b"BEGIN:VCALENDAR\r\nPRODID:mine\r\nVERSION:2.0\r\nEND:VCALENDAR\r\n", b""):
        path.write_bytes(content)
        said = white("due", "--ics", str(path))
        assert said.status == 1
        assert path.read_bytes() == content
        assert "left as it is" in said.err


def test_no_text_steers_a_reader_of_the_calendar(desk: Desk, tmp_path: Path) -> None:
    name = "D; 1, \\n\x1b[2J\u202e" + "ü" * 30
    assert desk("vessel", "add", name, "capacity=24L", "material=glass", "place=a;b,c").status == 0
    stored = next(one["vessel"] for one in [desk("show", name.replace("\x1b", ""), "--json").json])
    known = ("style=dry_red", "volume=20L", "sg=1.090")
    assert desk("wine", "start", "BEGIN:VEVENT".replace(":", " "), f"vessel={stored}", *known).status == 0
    path = tmp_path / "cellar.ics"
    assert desk("due", "--ics", str(path)).status == 0
    content = path.read_bytes()
    assert not any(byte < 0x20 for byte in content.replace(b"\r\n", b"").replace(b"\t", b""))
    assert content.count(b"\n") == content.count(b"\r\n")
    assert max(len(line) for line in content.split(b"\r\n")) <= 75
    assert all(str(one["summary"]).startswith(stored) for one in events(path).values())


ZONES = (
    "Pacific/Auckland",
    "Australia/Adelaide",
    "America/Santiago",
    "Africa/Johannesburg",
    "America/Los_Angeles",
    "America/St_Johns",
    "Europe/Berlin",
    "Asia/Kolkata",
    "Pacific/Kiritimati",
)


@pytest.mark.parametrize("zone", ZONES)
def test_a_second_reader_has_every_event_on_its_day_in_any_zone(white: Desk, tmp_path: Path, zone: str) -> None:
    path = tmp_path / "cellar.ics"
    white("due", "--ics", str(path))
    shown = {one["action"]: one["show"] for one in white("due", "--json").json}
    read = IcsCalendarStream.calendar_from_ics(path.read_text(encoding="utf-8"))
    line = read.timeline_tz(ZoneInfo(zone))
    assert len(read.events) == len(shown)
    for action, day in shown.items():
        begin = datetime.fromisoformat(day).replace(tzinfo=ZoneInfo(zone))
        on_day = {str(one.uid).split("-")[0] for one in line.overlapping(begin, begin + timedelta(hours=23))}
        before = {str(one.uid).split("-")[0] for one in line.overlapping(begin - timedelta(hours=20), begin)}
        assert action in on_day
        assert action not in before
    assert b"TZID" not in path.read_bytes()
