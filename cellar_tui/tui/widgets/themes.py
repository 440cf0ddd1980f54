"""The colours: one accent, one for what is wrong, and quiet text; each at least 4.5:1 on its ground."""

from __future__ import annotations

from textual.theme import Theme

DARK = Theme(
    name="cellar-dark",
    primary="#c9a24b",
    secondary="#8fb0a9",
    background="#14110f",
    surface="#26211d",
    panel="#2a2420",
    foreground="#ece5da",
    warning="#f0a45a",
    error="#ff8f7a",
    success="#9fcf8a",
    accent="#c9a24b",
    dark=True,
    variables={
        "block-cursor-background": "#ecd9a8",
        "block-cursor-foreground": "#14110f",
        "block-cursor-text-style": "none",
        "text-muted": "#a89f93",
        "text-warning": "#f0a45a",
        "text-success": "#9fcf8a",
        "text-error": "#ff8f7a",
        "text-primary": "#d8b566",
        "footer-key-foreground": "#d8b566",
        "input-selection-background": "#5a4a2a",
    },
)
LIGHT = Theme(
    name="cellar-light",
    primary="#7a5200",
    secondary="#33605a",
    background="#fbf8f2",
    surface="#efe9dd",
    panel="#e9e2d4",
    foreground="#26211c",
    warning="#9a4a00",
    error="#a3231a",
    success="#2f6a22",
    accent="#7a5200",
    dark=False,
    variables={
        "block-cursor-background": "#5c4310",
        "block-cursor-foreground": "#fffaf0",
        "block-cursor-text-style": "none",
        "text-muted": "#665d52",
        "text-warning": "#9a4a00",
        "text-success": "#2f6a22",
        "text-error": "#a3231a",
        "text-primary": "#7a5200",
        "footer-key-foreground": "#7a5200",
        "input-selection-background": "#e2cf9f",
    },
)
OWN = "ansi-dark"
"""The terminal's own sixteen colours."""
NAMES = {"dark": DARK.name, "light": LIGHT.name, "terminal": OWN}
