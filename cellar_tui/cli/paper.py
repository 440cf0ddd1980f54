"""The commands that put a round, a wine's file or a bottling sheet on paper."""

from __future__ import annotations

from argparse import Namespace
from collections.abc import Callable
from pathlib import Path

from cellar_tui.cli import output
from cellar_tui.cli.arguments import UsageError, days_ahead
from cellar_tui.cli.due import day_of
from cellar_tui.cli.where import looked_at
from cellar_tui.exchange import outward, paper_pdf
from cellar_tui.exchange.paper import Paper
from cellar_tui.service.open import OpenCellar

SIZES: dict[str, paper_pdf.Size] = {"a4": "A4", "letter": "letter"}


def paper_round(arg: Namespace) -> int:
    """Put the round on paper: what is late and for today, or for the days ahead too."""
    within = days_ahead(arg.within, 0)
    return _put(arg, lambda cellar: outward.round_paper(cellar, day_of(arg.on, cellar, "on"), within))


def paper_wine(arg: Namespace) -> int:
    """Put a wine's file on paper, as it stands on a day."""
    return _put(arg, lambda cellar: outward.wine_paper(cellar, arg.vessel, day_of(arg.on, cellar, "on")))


def paper_bottling(arg: Namespace) -> int:
    """Put a bottling sheet on paper."""
    return _put(arg, lambda cellar: outward.bottling_paper(cellar, arg.vessel, day_of(arg.on, cellar, "on")))


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
    outward.put(paper, path, size)
    if arg.json:
        output.document({"file": str(path), "subject": paper.subject, "day": paper.day.isoformat()})
    else:
        output.lines(f"{paper.subject} is in {path}.")
    return output.DONE
