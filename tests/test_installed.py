"""The program as it is installed: a wheel holds all it needs, the demo cellar too."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

from tests.terminal.desk import Desk

ROOT = Path(__file__).parent.parent


def test_the_demo_opens_from_an_installed_wheel_in_another_folder(tmp_path: Path) -> None:
    pip = [sys.executable, "-m", "pip", "--disable-pip-version-check", "-q"]
    quiet = {**os.environ, "PYTHONDONTWRITEBYTECODE": "1"}
    build = ["wheel", "--no-deps", "--no-build-isolation", "-w", str(tmp_path / "dist"), str(ROOT)]
    subprocess.run([*pip, *build], check=True, env=quiet, capture_output=True)
    (wheel,) = (tmp_path / "dist").glob("*.whl")
    site = tmp_path / "site"
    subprocess.run([*pip, "install", "--no-deps", "--target", str(site), str(wheel)], check=True, capture_output=True)
    env = {"PYTHONPATH": str(site), "XDG_STATE_HOME": str(tmp_path / "state"), "CELLAR_BY": "ida"}
    elsewhere = "import os, sys; os.chdir(sys.argv[1]); sys.argv[1:] = ['demo']"
    program = f"{elsewhere}; import cellar_tui; print(cellar_tui.__file__); from cellar_tui.cli.main import run; run()"
    with Desk("-c", program, str(tmp_path), **env) as desk:
        shown = desk.until("demo, invented")
        assert str(site).encode() in desk.raw
        assert "Thu 26 Nov" in shown
