"""The command that puts everything of a cellar into files that any program reads."""

from __future__ import annotations

from argparse import Namespace
from pathlib import Path

from cellar_tui.cli import output
from cellar_tui.cli.where import looked_at
from cellar_tui.exchange import folder, sheets_out
from cellar_tui.service import ledger_file, series


def export(arg: Namespace) -> int:
    """Write the whole ledger and a sheet a kind into a folder."""
    place = Path(arg.folder)
    service = looked_at(arg)
    try:
        folder.ready(place)
        lines, ordered = ledger_file.everything(service)
        logged = {folder.series_name(digest): texts for digest, texts in series.kept(service, ordered).items()}
    finally:
        service.close()
    sheets = {f"{kind}.csv": rows for kind, rows in sorted(sheets_out.sheets(ordered).items())}
    folder.write(place, {folder.LEDGER: (f"{line}\n" for line in lines), **sheets, **logged})
    tip = ledger_file.end(lines)
    if arg.json:
        output.document(
            {"folder": str(place), "entries": len(lines), "files": [folder.LEDGER, *sheets, *logged], "tip": tip}
        )
    else:
        output.lines(
            f"{len(lines)} entries written to {place}: {folder.LEDGER} and {len(sheets)} sheets.",
            f"The ledger ends with {tip}: keep that with it.",
        )
    return output.DONE
