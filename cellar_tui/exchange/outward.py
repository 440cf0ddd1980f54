"""What leaves an open cellar for the world, as the command line and the screens both ask for it."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

from cellar_tui.exchange import calendar, folder, paper_pdf, paper_text, papers, sheets_out
from cellar_tui.exchange.paper import Paper
from cellar_tui.exchange.paper_pdf import Size
from cellar_tui.service import ledger_file, series
from cellar_tui.service.open import OpenCellar
from cellar_tui.service.views import CellarError, Task


def round_paper(cellar: OpenCellar, on: date | None = None, within: int = 0) -> Paper:
    """Return the round of a day: what is late and for today, and what shows in the days `within`."""
    day = on or cellar.view.today
    tasks = [task for task in cellar.view.tasks(day) if task.action.show <= day + timedelta(days=within)]
    return papers.round_of(cellar.path.stem, tasks, day, cellar.view.units)


def wine_paper(cellar: OpenCellar, vessel: str, on: date | None = None) -> Paper:
    """Return the file of the wine in a vessel as it stands on a day.

    Raises:
        CellarError: there is no such vessel.
    """
    view = cellar.view.wine(vessel, on)
    held = view.contents
    seen = () if held is None else (held.filling, *held.parents, *(event.entry for event in held.log))
    ledger = [line for line in cellar.view.ledger(vessel, also=seen) if line.entry.on <= view.today]
    names = {vessel.number: vessel.name for vessel in cellar.view.vessels()}
    return papers.wine(cellar.path.stem, view, ledger, names)


def bottling_paper(cellar: OpenCellar, vessel: str, on: date | None = None) -> Paper:
    """Return the bottling sheet of the wine in a vessel.

    Raises:
        CellarError: there is no such vessel.
    """
    view = cellar.view.wine(vessel, on)
    return papers.bottling(cellar.path.stem, view, view.today)


def put(paper: Paper, path: Path, size: Size = "A4") -> None:
    """Write a paper: as text where the file's name ends in .txt, else as PDF.

    Raises:
        CellarError: it cannot be written.
    """
    as_text = path.suffix.casefold() == ".txt"
    folder.keep(path, [paper_text.written(paper) if as_text else paper_pdf.written(paper, size)])


def keep_calendar(cellar: OpenCellar, path: Path, tasks: list[Task] | None = None, day: date | None = None) -> int:
    """Bring a calendar file up to date; return how many actions are due in it.

    Raises:
        CellarError: the file is another program's, or cannot be written.
    """
    found = cellar.view.tasks() if tasks is None else tasks
    reached = ledger_file.reached(cellar)
    today = day or cellar.view.today
    state = calendar.State(reached.cellar, reached.entries, reached.recorded, today, cellar.view.units)
    old = calendar.before(path)
    new = calendar.written(found, state, old)
    if new != old:
        folder.keep(path, [new])
    return len(found)


def export(cellar: OpenCellar, place: Path) -> tuple[list[str], list[str]]:
    """Write everything into a folder; return the lines of the ledger and the names of the files.

    Raises:
        CellarError: the folder holds something else, or cannot be written.
    """
    folder.ready(place)
    lines, ordered = ledger_file.everything(cellar)
    if not lines:
        raise CellarError("There is no entry to export yet.")
    files = {f"{kind}.csv": rows for kind, rows in sorted(sheets_out.sheets(ordered).items())}
    files |= {folder.series_name(digest): texts for digest, texts in series.kept(cellar, ordered).items()}
    folder.write(place, {folder.LEDGER: (f"{line}\n" for line in lines), **files})
    return lines, [folder.LEDGER, *files]
