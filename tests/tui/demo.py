"""A scratch copy of the demo cellar at noon of its story's day."""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, time
from pathlib import Path
from unittest import mock

from cellar_tui.cli.dashboard import demo_file
from cellar_tui.demo.day import STORY_DAY
from cellar_tui.service.open import OpenCellar, open_cellar


@contextmanager
def demo() -> Iterator[OpenCellar]:
    """Open the copy; what is typed into it and not recorded is kept beside it."""
    with tempfile.TemporaryDirectory() as folder, mock.patch.dict(os.environ, {"XDG_STATE_HOME": folder}):
        copy = Path(folder) / "demo.db"
        shutil.copyfile(demo_file(), copy)
        moment = datetime.combine(STORY_DAY, time(12), UTC)
        service = open_cellar(copy, lambda: moment, by="ida")
        try:
            yield service
        finally:
            service.close()
