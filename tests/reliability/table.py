"""What the cellar is held to on bad days, a row each, and the tests that hold it to that."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import pytest

FILES = {
    "saves": "tests/storage/test_saves.py",
    "opening": "tests/storage/test_opening.py",
    "backup": "tests/storage/test_backup.py",
    "restore": "tests/storage/test_restore.py",
    "rows": "tests/storage/test_ledger.py",
    "board": "tests/laws/test_kept_cellar.py",
    "sound": "tests/service/test_soundness.py",
    "recording": "tests/service/test_recording.py",
    "keep": "tests/cli/test_keep.py",
    "record": "tests/cli/test_record.py",
    "due": "tests/cli/test_due.py",
    "sheets": "tests/cli/test_import_sheets.py",
    "export": "tests/cli/test_export.py",
    "leaving": "tests/terminal/test_leaving.py",
    "terminal": "tests/terminal/test_terminal.py",
    "rough": "tests/terminal/test_rough_lines.py",
    "shown": "tests/tui/test_text_as_text.py",
    "typed_sheet": "tests/tui/test_sheet.py",
    "text": "tests/language/test_clean_text.py",
    "units": "tests/language/test_quantities.py",
    "days": "tests/language/test_days.py",
    "accidents": "tests/reliability/test_reliability.py",
}


@dataclass(frozen=True)
class Row:
    """A promise and the tests that show it: a file of FILES each, after a colon a part of the names of its tests."""

    name: str
    promise: str
    tests: str

    def holds(self, test: str) -> bool:
        """Whether a test, by pytest's name for it, is one of this row."""
        return any(test.startswith(FILES[file]) and part in test for file, part in self.parts)

    @property
    def parts(self) -> list[tuple[str, str]]:
        """The files, and the parts of names; '' for all of a file."""
        return [(file, part) for file, _, part in (one.partition(":") for one in self.tests.split())]


ROWS: tuple[Row, ...] = (
    Row("R1", "the power goes: nothing acknowledged is lost", "opening:cut_off saves:commit_that_failed"),
    Row(
        "R2",
        "a failing disk: whole or absent, and what is said is true",
        "saves:that_failed saves:is_claimed",
    ),
    Row("R3", "killed: all that was acknowledged is there", "saves:survives_the_kill accidents:killed_in"),
    Row("R4", "two programs at one vessel lose nothing", "saves:two_programs sound:between_weighing"),
    Row("R5", "a full disk records nothing, the second try works", "saves:full_disk saves:file_size"),
    Row(
        "R6",
        "a damaged or foreign file gets a sentence, no more",
        "opening:refused keep:damage accidents:damaged",
    ),
    Row("R7", "a backup made while others record is whole or not there", "backup restore"),
    Row("R8", "the board is what the ledger gives", "board:board sound:board"),
    Row("R9", "told to go it goes in two seconds, the draft kept", "leaving terminal:signal terminal:gone"),
    Row("R10", "a rebuild cut off leaves the old board or the new", "accidents:rebuild_killed"),
    Row("C1", "no control character reaches a terminal", "terminal:controls shown:control text:hostile"),
    Row("C2", "brackets are text", "shown:brackets shown:name"),
    Row("C3", "wide and joined letters keep their columns", "shown:wide text:width text:cells"),
    Row("C4", "no cell of an export is a formula", "export:formula export:negative"),
    Row("C5", "an import is whole or nothing, twice is once", "sheets"),
    Row("C6", "a calendar holds nothing but what it says", "due:calendar"),
    Row(
        "C7",
        "no file is overwritten, none strays",
        "export:folder backup:overwrites opening:overwritten",
    ),
    Row("C8", "a cellar is its owner's alone", "opening:owner keep:others_may_write export:owner"),
    Row("C9", "a foreign trigger, view or table is refused", "opening:refused opening:changed_while_open"),
    Row("C10", "a pasted megabyte is refused at once", "text:megabyte"),
    Row("C11", "numbers are read or refused, never guessed", "units:number units:amount"),
    Row("C12", "units are looked up, never calculated", "units:unit"),
    Row("C13", "days are read or refused, never guessed", "days"),
    Row("C14", "an hour that the clocks skipped is refused", "sound:skipped"),
    Row("C15", "days count on the calendar", "days:calendar days:read_back"),
    Row("C16", "a day that is none is not stored", "rows:cannot"),
    Row("C17", "a wrong clock is said and stops the record", "sound:clock sound:2100 keep:clock leaving:clock"),
    Row(
        "C18",
        "what another recorded meanwhile is seen first",
        "rows:form sound:between_weighing",
    ),
    Row("C19", "one key makes one entry", "rough:double_enter record:key"),
    Row("C20", "small windows, dumb terminals and pipes", "rough:little rough:dragged terminal:cannot_draw"),
    Row("C21", "pasted letters record nothing by themselves", "typed_sheet:pasted terminal:burst"),
    Row("C22", "a crash is one sentence and a private file", "terminal:error_in_the_program"),
)
"""R: what the file survives; C: what may be put in."""


class _Outcomes:
    def __init__(self) -> None:
        self.passed: dict[str, bool] = {}

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        """Note how a test ended."""
        if report.when == "call" or report.failed:
            self.passed[report.nodeid] = report.passed and self.passed.get(report.nodeid, True)


def held(rows: Sequence[Row] = ROWS) -> list[tuple[Row, int, int]]:
    """Run the tests of the rows; return each with how many of them passed and how many there are."""
    files = sorted({FILES[file] for row in rows for file, _ in row.parts})
    seen = _Outcomes()
    quiet = ["-q", "-n", "2", "--no-header", "-p", "no:cacheprovider", "--tb=line"]
    pytest.main([*quiet, *files], plugins=[seen])
    found = []
    for row in rows:
        own = [passed for test, passed in seen.passed.items() if row.holds(test)]
        found.append((row, sum(own), len(own)))
    return found
