"""The command that puts everything of a cellar into files that any program reads."""

from __future__ import annotations

from argparse import Namespace
from pathlib import Path

from cellar_tui.cli import output
from cellar_tui.cli.where import looked_at
from cellar_tui.exchange import folder, outward
from cellar_tui.service import ledger_file


def export(arg: Namespace) -> int:
    """Write the whole ledger and a sheet a kind into a folder."""
    place = Path(arg.folder)
    cellar = looked_at(arg)
    try:
        lines, files = outward.export(cellar, place)
    finally:
        cellar.close()
    tip = ledger_file.end(lines)
    if arg.json:
        output.document({"folder": str(place), "entries": len(lines), "files": files, "tip": tip})
    else:
        output.lines(
            f"{len(lines)} entries written to {place}: {folder.LEDGER} and {len(files) - 1} sheets.",
            f"The ledger ends with {tip}: keep that with it.",
        )
    return output.DONE
