"""The screens kept as text: `python -m tests.screens.redraw` draws them anew, to be looked at before a commit."""

from __future__ import annotations

import asyncio
import os
import tempfile
from pathlib import Path

from cellar_tui.cellar import Service
from tests.screens.seen import cellar, choose, lines, opened

GOLDEN = Path(__file__).parent / "golden"
SIZES = ("60x20", "80x24", "140x45")
NEW_WINE = ("y", *"Hill", "enter", *"rose", "enter", "enter", "9", "enter", "down")
KEPT: dict[str, tuple[str, ...]] = {
    "cellar_80x24": (), "wine_80x24": ("enter",), "cellar_140x45": (),
    **{f"new_vessel_{size}": ("v",) for size in SIZES},
    **{f"new_wine_{size}": NEW_WINE for size in SIZES},
    **{f"release_{size}": ("g",) for size in SIZES},
    **{f"wall_{size}": ("o",) for size in SIZES},
}  # fmt: skip
"""Name of each screen with its size, and the keys that lead to it from the cellar with the cursor on Barrel 2."""


async def drawn(service: Service, name: str) -> str:
    """Return a screen as text."""
    width, height = (int(one) for one in name.rpartition("_")[2].split("x"))
    async with opened(service, (width, height)) as pilot:
        choose(pilot, "Barrel 2")
        await pilot.press(*KEPT[name])
        await pilot.pause(0.5)
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
