"""The commands that put a round, a wine's file or a bottling sheet on paper."""

from __future__ import annotations

from argparse import Namespace
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

from cellar_tui.cli import output
from cellar_tui.cli.arguments import UsageError, days_ahead
from cellar_tui.cli.due import day_of
from cellar_tui.cli.where import looked_at
from cellar_tui.exchange import folder, paper_pdf, paper_text, papers
from cellar_tui.exchange.paper import Paper
from cellar_tui.service.open import OpenCellar

SIZES: dict[str, paper_pdf.Size] = {"a4": "A4", "letter": "letter"}


def paper_round(arg: Namespace) -> int:
    """Put the round on paper: what is late and for today, or for the days ahead too."""
    within = days_ahead(arg.within, 0)

    def made(cellar: OpenCellar) -> Paper:
        day = day_of(arg.on, cellar, "on") or cellar.view.today
        tasks = [one for one in cellar.view.tasks(day) if one.action.show <= day + timedelta(days=within)]
        return papers.round_of(cellar.path.stem, tasks, day, cellar.view.units)

    return _put(arg, made)


def paper_wine(arg: Namespace) -> int:
    """Put a wine's file on paper, as it stands on a day."""

    def made(cellar: OpenCellar) -> Paper:
        view = cellar.view.wine(arg.vessel, day_of(arg.on, cellar, "on"))
        held = view.contents
        seen = () if held is None else (held.filling, *held.parents, *(one.entry for one in held.log))
        ledger = [one for one in cellar.view.ledger(arg.vessel, also=seen) if one.entry.on <= view.today]
        names = {one.number: one.name for one in cellar.view.vessels()}
        return papers.wine(cellar.path.stem, view, ledger, names)

    return _put(arg, made)


def paper_bottling(arg: Namespace) -> int:
    """Put a bottling sheet on paper."""

    def made(cellar: OpenCellar) -> Paper:
        view = cellar.view.wine(arg.vessel, day_of(arg.on, cellar, "on"))
        return papers.bottling(cellar.path.stem, view, view.today)

    return _put(arg, made)


def _put(arg: Namespace, made: Callable[[OpenCellar], Paper]) -> int:
    if not arg.out:
        raise UsageError("say where to: --out FILE, as PDF, or as text where its name ends in .txt.")
    size = SIZES.get((arg.size or "A4").casefold())
    if size is None:
        raise UsageError("--size is A4 or letter.")
    path = Path(arg.out)
    cellar = looked_at(arg)
    try:
        paper = made(cellar)
    finally:
        cellar.close()
    as_text = path.suffix.casefold() == ".txt"
    folder.keep(path, [paper_text.written(paper) if as_text else paper_pdf.written(paper, size)])
    if arg.json:
        output.document({"file": str(path), "subject": paper.subject, "day": paper.day.isoformat()})
    else:
        output.lines(f"{paper.subject} is in {path}.")
    return output.DONE
