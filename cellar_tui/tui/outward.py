"""What the palette can put into files (papers, the calendar, an export, where the program runs) and take from one."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import partial
from pathlib import Path

from textual.app import SystemCommand

from cellar_tui.exchange import outward
from cellar_tui.exchange.folder import file_name
from cellar_tui.exchange.paper import Paper
from cellar_tui.service.views import CellarError
from cellar_tui.tui.screens.list_screen import ListScreen


def commands(screen: ListScreen) -> Iterable[SystemCommand]:
    """Yield what can leave the cellar from this screen, by name."""
    cellar = screen.service
    yield _command("Print the round", "PDF: late and for today, with boxes", screen, _round)
    if screen.target():
        yield _command("Print this wine", "PDF: the wine's file, for a binder", screen, _wine)
        yield _command("Print the bottling sheet", "PDF: sums, label, bottles, corks", screen, _bottling)
    yield _command("Write the calendar", f"{cellar.path.stem}.ics: all that is due, for a phone", screen, _calendar)
    if not screen.only_read:
        told = "a CSV: each column's field, what each row would record, then all or none"
        yield SystemCommand("Import a sheet", told, partial(_import, screen))
    yield _command("Export everything", "the ledger and a CSV a kind, in a folder of its own", screen, _export)


def show(screen: ListScreen) -> None:
    """Open the page that lists them; the chosen one is done when the page is closed."""
    # Loaded when it is opened, as the workbench is.
    from cellar_tui.tui.screens.files import FilesScreen

    def chosen(command: SystemCommand | None) -> None:
        screen.say("")
        if command is not None:
            command.callback()

    screen.app.push_screen(FilesScreen(tuple(commands(screen))), chosen)


def _command(title: str, told: str, screen: ListScreen, work: Callable[[ListScreen], str]) -> SystemCommand:
    return SystemCommand(title, told, partial(_run, screen, work))


def _run(screen: ListScreen, work: Callable[[ListScreen], str]) -> None:
    try:
        screen.say(work(screen))
    except CellarError as error:
        screen.say(str(error))


def _printed(paper: Paper) -> str:
    path = Path.cwd() / file_name(f"{paper.subject} {paper.day.isoformat()}", ".pdf")
    outward.put(paper, path)
    return f"{path.name} is in {path.parent}."


def _round(screen: ListScreen) -> str:
    return _printed(outward.round_paper(screen.service))


def _wine(screen: ListScreen) -> str:
    return _printed(outward.wine_paper(screen.service, screen.target() or ""))


def _bottling(screen: ListScreen) -> str:
    return _printed(outward.bottling_paper(screen.service, screen.target() or ""))


def _calendar(screen: ListScreen) -> str:
    path = Path.cwd() / file_name(screen.service.path.stem, ".ics")
    return f"{path.name}, of {outward.keep_calendar(screen.service, path)} due actions, is in {path.parent}."


def _import(screen: ListScreen) -> None:
    """Open the page that takes in a sheet, and tell afterwards what became of it."""
    # Loaded when it is opened, as the workbench is.
    from cellar_tui.tui.screens.import_sheet import ImportScreen

    def closed(told: str | None) -> None:
        screen.refresh_from_service()
        screen.say(told or "")

    screen.say("")
    screen.app.push_screen(ImportScreen(screen.service), closed)


def _export(screen: ListScreen) -> str:
    place = Path.cwd() / file_name(f"{screen.service.path.stem} export", "")
    lines, _ = outward.export(screen.service, place)
    return f"{place.name}, of {len(lines)} entries, is in {place.parent}."
