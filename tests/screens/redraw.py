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
KEPT: dict[str, tuple[str, ...]] = {
    "cellar_80x24": (), "wine_80x24": ("enter",),
    **{f"house_{size}": ("o",) for size in SIZES}, **{f"materials_{size}": ("g",) for size in SIZES},
    "rule_80x24": ("o", "slash", *"days between looks", "enter", "enter", "2", "0"),
    "material_60x20": ("g", "enter"),
}  # fmt: skip
"""Name of each screen with its size, and the keys that lead to it from the cellar with the cursor on Barrel 2."""


def shelved(folder: Path) -> Service:
    """Make the cellar, with a bag on the shelf that has grown old and a house rule that was changed."""
    service = cellar(folder)
    service.set_material("potassium_metabisulfite", {"amount": "250g", "opened": "2025-09-01"})
    service.set_material("potassium_sorbate", {"amount": "100g", "strength": "0.95", "opened": "2026-09-01"})
    service.set_material("oak chips", {"amount": "1.5kg"})
    service.set_rule("acid_undoes", "0.4")
    service.set_rule("gravity_days", "3")
    return service


async def drawn(service: Service, name: str) -> str:
    """Return a screen as text."""
    width, height = name.rsplit("_", 1)[1].split("x")
    async with opened(service, (int(width), int(height))) as pilot:
        choose(pilot, "Barrel 2")
        await pilot.press(*KEPT[name])
        await pilot.pause(0.8 if name.startswith("rule") else 0.2)
        return "\n".join(lines(pilot)) + "\n"


async def redraw() -> None:
    """Write every screen anew."""
    with tempfile.TemporaryDirectory() as folder:
        os.environ |= {"TERM": "xterm-256color", "XDG_STATE_HOME": folder}
        service = shelved(Path(folder))
        for name in KEPT:
            (GOLDEN / f"{name}.txt").write_text(await drawn(service, name), encoding="utf-8")
        service.close()


if __name__ == "__main__":
    asyncio.run(redraw())
