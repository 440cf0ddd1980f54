"""The screens kept as text: `python -m tests.screens.redraw` draws them anew, to be looked at before a commit."""

from __future__ import annotations

import asyncio
import os
import tempfile
from pathlib import Path

from cellar_tui.cellar import Service
from tests.screens.seen import cellar, choose, lines, opened

GOLDEN = Path(__file__).parent / "golden"
SIZES = ("80x24", "60x20", "140x45")
SHEET = ("R", "f5", "home", "enter", "enter", *"3.6", "tab", *"20", "tab", "a", "tab")
KEPT: dict[str, tuple[str, ...]] = {
    "cellar_80x24": (), "wine_80x24": ("enter",),
    **{f"sheet_{size}": SHEET for size in SIZES},
    **{f"past_{size}": ("enter", "p", *"2026-11-26", "enter") for size in SIZES},
    **{f"split_{size}": ("m", "ctrl+o", *"Demijohn 9", "tab", *"9") for size in SIZES},
}  # fmt: skip
"""Name of each screen with its size, and the keys that lead to it from the cellar with the cursor on Barrel 2."""


async def drawn(service: Service, name: str) -> str:
    """Return a screen as text."""
    width, height = (int(one) for one in name.rsplit("_", 1)[1].split("x"))
    async with opened(service, (width, height)) as pilot:
        choose(pilot, "Barrel 2")
        for key in KEPT[name]:
            await pilot.press(key)
            await pilot.pause()
        await pilot.pause(0.2)
        return "\n".join(lines(pilot)) + "\n"


async def redraw() -> None:
    """Write every screen anew."""
    with tempfile.TemporaryDirectory() as folder:
        os.environ |= {"TERM": "xterm-256color", "XDG_STATE_HOME": folder}
        service = cellar(Path(folder))
        for name in KEPT:
            (GOLDEN / f"{name}.txt").write_text(await drawn(service, name), encoding="utf-8")
        service.close()


if __name__ == "__main__":
    asyncio.run(redraw())
