"""Opening the full-screen interface, on a cellar or on a scratch copy of the demo."""

from __future__ import annotations

import os
import shutil
import sys
import tempfile
from argparse import Namespace
from datetime import UTC, datetime, time
from pathlib import Path

import cellar_tui
from cellar_tui.cli.where import opened, person
from cellar_tui.demo.day import STORY_DAY
from cellar_tui.service import clock
from cellar_tui.service.open import OpenCellar, open_cellar
from cellar_tui.service.views import CellarError
from cellar_tui.tui import terminal

DEMO = "demo_cellar.db"
NOON = time(12)


def _terminal() -> None:
    """Refuse where no full screen can be drawn, before anything heavy is loaded.

    Raises:
        CellarError: saying what to do instead.
    """
    if terminal.served():
        return
    if not all(stream is not None and stream.isatty() for stream in (sys.stdin, sys.stdout)):
        if "SSH_CONNECTION" in os.environ:
            raise CellarError("the dashboard needs a terminal: connect with `ssh -t`.")
        raise CellarError("the dashboard needs a terminal: use `cellar-tui due` and the other commands in a pipe.")
    if os.environ.get("TERM", "") in ("dumb", ""):
        raise CellarError("this terminal cannot draw a full screen: set TERM, or use `cellar-tui due`.")


def dashboard(arg: Namespace) -> int:
    """Open the dashboard on a cellar."""
    _terminal()
    service = opened(arg, read_only=arg.read_only or arg.wall, make=True)
    return _run(service, title=service.path.stem, invented=False, wall=arg.wall)


def _run(service: OpenCellar, *, title: str, invented: bool, wall: bool = False) -> int:
    terminal.prepare()
    from cellar_tui.tui.app import run_app

    try:
        return run_app(service, title=title, invented=invented, wall=wall)
    finally:
        service.close()


def demo_file() -> Path:
    """Return the demo cellar: beside the program, else at the top of a checkout.

    Raises:
        CellarError: it is in neither place.
    """
    here = Path(cellar_tui.__file__).resolve().parent
    for folder in (here, here.parent):
        if (folder / DEMO).is_file():
            return folder / DEMO
    raise CellarError("the demo cellar is not beside the program: install it again.")


def story_clock() -> clock.Clock:
    """Return a clock that stands on the story's day and goes on from the moment of opening."""
    opened_at = clock.system()
    # From noon it is that day in the story's zone, whatever hour it is where the program runs.
    start = datetime.combine(STORY_DAY, NOON, UTC)
    return lambda: start + (clock.system() - opened_at)


def demo(arg: Namespace) -> int:
    """Open a scratch copy of the demo cellar, on the day its story stands."""
    _terminal()
    folder = Path(tempfile.mkdtemp(prefix="cellar-demo-"))
    try:
        scratch = folder / DEMO
        shutil.copyfile(demo_file(), scratch)
        scratch.chmod(0o600)
        service = open_cellar(scratch, story_clock(), by=person(arg.by))
        return _run(service, title="demo", invented=True)
    finally:
        shutil.rmtree(folder, ignore_errors=True)
