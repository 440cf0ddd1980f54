"""`python -m tests.spreadsheet`: exported sheets opened and saved by a spreadsheet come back as what is there already.

A copy of the demo is exported; LibreOffice, without a window, opens the sheets of readings and additions, saves them
as its own files and those as CSV again; an import of them must find every row in the ledger. Exit status 0 where it
does, 1 where it does not, 3 where there is no LibreOffice and none could be installed.
"""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).parents[1]
SHEETS = ("reading", "addition")


def install() -> bool:
    """Return whether the spreadsheet is there, after an attempt to install Debian's where this account may."""
    if shutil.which("soffice") is None and os.getuid() == 0 and shutil.which("apt-get"):
        words = ["apt-get", "install", "-y", "-q", "--no-install-recommends", "libreoffice-calc"]
        subprocess.run(words, check=False, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    return shutil.which("soffice") is not None


def through(sheet: Path, folder: Path) -> Path:
    """Return a sheet as the spreadsheet saves it after it has opened its own file of it."""
    home = f"-env:UserInstallation=file://{folder}/profile"
    for kind, source in (("ods", sheet), ("csv", folder / f"{sheet.stem}.ods")):
        words = ["soffice", home, "--headless", "--convert-to", kind, "--outdir", str(folder), str(source)]
        subprocess.run(words, check=True, capture_output=True, timeout=300)
    return folder / f"{sheet.stem}.csv"


def ask(cellar: Path, *words: str) -> subprocess.CompletedProcess[str]:
    """Run a command of the program on a cellar."""
    command = [sys.executable, "-m", "cellar_tui", "--db", str(cellar), *words]
    return subprocess.run(command, cwd=ROOT, check=False, capture_output=True, text=True, timeout=600)


def main() -> int:
    """Take each sheet through the spreadsheet and print what came of it."""
    if not install():
        print("not run: there is no LibreOffice on this machine and none can be installed here")
        return 3
    with tempfile.TemporaryDirectory(prefix="cellar-sheets-") as name:
        folder = Path(name)
        cellar = folder / "cellar.db"
        shutil.copyfile(ROOT / "demo_cellar.db", cellar)
        assert ask(cellar, "export", str(folder / "out")).returncode == 0
        status = 0
        for kind in SHEETS:
            (sheet,) = (folder / "out").glob(f"{kind}*.csv")
            came = folder / kind
            came.mkdir()
            said = ask(cellar, "import", str(through(sheet, came)), "--dates", "YMD", "--preview", "--json")
            found = json.loads(said.stdout)
            whole = said.returncode == 0 and found["already"] == len(found["rows"]) > 0
            status |= not whole
            print(
                f"{'ok ' if whole else 'NOT'} {sheet.name}: {len(found['rows'])} rows, {found['already']} known",
                flush=True,
            )
        return status


if __name__ == "__main__":
    sys.exit(main())
