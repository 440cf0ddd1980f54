"""Drafts: what is typed and not recorded survives, one a form, readable by its owner only."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from cellar_tui.entry_form import drafts
from cellar_tui.entry_form.drafts import Draft

KEY = "00" * 16
READING = Draft("reading", "Demijohn 1", {"ph": "3,2 [x"}, KEY, {"1": 7})


@pytest.fixture
def place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    return drafts.draft_file(tmp_path / "cellar.db", "ida")


def test_a_draft_comes_back_as_it_was_typed(place: Path) -> None:
    assert drafts.save(place, READING)
    assert drafts.load(place) == READING


def test_only_its_owner_may_read_it_and_no_scratch_file_stays(place: Path) -> None:
    drafts.save(place, READING)
    assert place.stat().st_mode & 0o777 == 0o600
    assert [one.name for one in place.parent.iterdir()] == [place.name]


def test_each_person_and_each_cellar_has_drafts_of_its_own(tmp_path: Path) -> None:
    places = {drafts.draft_file(tmp_path / file, by) for file in ("a.db", "b.db") for by in ("ida", "jon")}
    assert len(places) == 4


def test_a_second_form_does_not_push_out_the_first(place: Path) -> None:
    note = Draft("note", "Barrel 1", {"text": "smells of pear"}, "11" * 16)
    drafts.save(place, READING)
    drafts.save(place, note)
    assert drafts.kept(place) == [READING, note]
    drafts.drop(place, note)
    assert drafts.kept(place) == [READING]
    drafts.drop(place, READING)
    assert not place.exists()


def test_the_same_form_keeps_one_draft_and_a_correction_is_another_form(place: Path) -> None:
    drafts.save(place, READING)
    later = Draft("reading", "Demijohn 1", {"ph": "3.21"}, KEY)
    correction = Draft("reading", "Demijohn 1", {"ph": "3.21"}, KEY, amends=7)
    drafts.save(place, later)
    drafts.save(place, correction)
    assert drafts.kept(place) == [later, correction]


def test_the_oldest_drafts_go_when_there_are_too_many(place: Path) -> None:
    for number in range(drafts.MOST + 3):
        drafts.save(place, Draft("note", f"Barrel {number}", {"text": "x"}, f"{number:032x}"))
    found = drafts.kept(place)
    assert len(found) == drafts.MOST
    assert found[-1].target == f"Barrel {drafts.MOST + 2}"


@pytest.mark.parametrize("text", ["", "{", "[]", '{"drafts": [1, null]}', '{"drafts": 3}', "\xff"])
def test_a_file_that_cannot_be_read_holds_no_draft(place: Path, text: str) -> None:
    place.parent.mkdir(parents=True)
    place.write_bytes(text.encode("latin-1"))
    assert drafts.load(place) is None


def test_a_draft_that_is_damaged_does_not_hide_the_others(place: Path) -> None:
    drafts.save(place, READING)
    said = json.loads(place.read_text())
    said["drafts"].append({**said["drafts"][0], "key": "no key", "target": "Barrel 1"})
    place.write_text(json.dumps(said))
    assert drafts.kept(place) == [READING]


def test_a_folder_that_cannot_be_written_is_told_and_ends_nothing(tmp_path: Path, place: Path) -> None:
    (tmp_path / "state").write_text("a file where the folder should be")
    assert not drafts.save(place, READING)
    assert drafts.load(place) is None
