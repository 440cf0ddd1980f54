"""The colours: five roles and the ink, on a dark ground, on a light one, in 16 colours and in none.

Every colour is itself one of the fixed 240 of the 256-colour palette, so that a line over SSH, which is drawn in 256,
looks as a window does that is drawn in 16 million. Each role is at least 4.5:1 on the ground and on the bar.

The library's names for the roles: late is `text-warning`, stop `text-error`, proven `text-success`, quiet `text-muted`,
accent `text-primary`, ink `foreground`.
"""

from __future__ import annotations

from dataclasses import dataclass

from textual.theme import BUILTIN_THEMES, Theme

ROLES = {
    "late": "bold $text-warning",
    "stop": "bold $text-error",
    "proven": "$text-success",
    "quiet": "$text-muted",
    "accent": "bold $text-primary",
    "plain": "",
    "": "",
}
"""How text of a role is styled. Late: its day has passed. Stop: lapsed, refused, over a limit, an error. Proven: shown
and within its limit. Quiet: units, heads, what is far off. Accent: yours now, keys, the head line. Bold carries the
three that matter where there is no colour."""


@dataclass(frozen=True, slots=True)
class Shades:
    """The colours of one ground, each as `#rrggbb` or as the name of one of the terminal's own.

    Attributes:
        ground, bar, field, selection: backgrounds: of all, of fields and the resting cursor, of the field that is
            typed in, of selected text.
        ink, late, stop, proven, quiet, accent: text.
        cursor, on_cursor: the cursor's row, and its text.
    """

    ground: str
    bar: str
    field: str
    selection: str
    ink: str
    late: str
    stop: str
    proven: str
    quiet: str
    accent: str
    cursor: str
    on_cursor: str


ON_DARK = Shades(
    ground="#121212",
    bar="#262626",
    field="#303030",
    selection="#5f5f00",
    ink="#e4e4e4",
    late="#ffaf5f",
    stop="#ff8787",
    proven="#87d7af",
    quiet="#a8a8a8",
    accent="#d7af5f",
    cursor="#ffd7af",
    on_cursor="#121212",
)
ON_LIGHT = Shades(
    ground="#ffffff",
    bar="#eeeeee",
    field="#e4e4e4",
    selection="#ffd787",
    ink="#1c1c1c",
    late="#875f00",
    stop="#af0000",
    proven="#005f5f",
    quiet="#585858",
    accent="#005f87",
    cursor="#005f87",
    on_cursor="#ffffff",
)
IN_16_DARK = Shades(
    ground="ansi_default",
    bar="ansi_default",
    field="ansi_default",
    selection="ansi_default",
    ink="ansi_default",
    late="ansi_bright_yellow",
    stop="ansi_bright_red",
    proven="ansi_cyan",
    quiet="ansi_default",
    accent="ansi_default",
    cursor="ansi_white",
    on_cursor="ansi_black",
)
"""Quiet is the ink: many terminals draw bright black so that it cannot be read (common practice)."""
IN_16_LIGHT = Shades(
    ground="ansi_default",
    bar="ansi_default",
    field="ansi_default",
    selection="ansi_default",
    ink="ansi_default",
    late="ansi_default",
    stop="ansi_red",
    proven="ansi_default",
    quiet="ansi_default",
    accent="ansi_default",
    cursor="ansi_black",
    on_cursor="ansi_bright_white",
)


def _theme(name: str, shades: Shades, *, dark: bool, ansi: bool = False) -> Theme:
    """Return the library's theme of a set of shades."""
    return Theme(
        name=name,
        primary=shades.accent,
        secondary=shades.proven,
        background=shades.ground,
        surface=shades.bar,
        panel=shades.bar,
        boost=shades.field,
        foreground=shades.ink,
        warning=shades.late,
        error=shades.stop,
        success=shades.proven,
        accent=shades.accent,
        dark=dark,
        ansi=ansi,
        variables={
            # In the terminal's own colours the library works out no others: what it names is taken from its own theme.
            **(BUILTIN_THEMES["ansi-dark" if dark else "ansi-light"].variables if ansi else {}),
            "block-cursor-background": shades.cursor,
            "block-cursor-foreground": shades.on_cursor,
            "block-cursor-text-style": "none",
            "input-cursor-background": shades.cursor,
            "input-cursor-foreground": shades.on_cursor,
            "input-selection-background": shades.selection,
            "input-selection-foreground": shades.ink,
            "text": shades.ink,
            "text-muted": shades.quiet,
            "text-disabled": shades.quiet,
            "text-warning": shades.late,
            "text-success": shades.proven,
            "text-error": shades.stop,
            "text-primary": shades.accent,
            "footer-key-foreground": shades.accent,
            "scrollbar": shades.quiet,
            "scrollbar-background": shades.bar,
            "scrollbar-corner-color": shades.bar,
        },
    )


DARK = _theme("cellar-dark", ON_DARK, dark=True)
LIGHT = _theme("cellar-light", ON_LIGHT, dark=False)
DARK_16 = _theme("cellar-16-dark", IN_16_DARK, dark=True, ansi=True)
LIGHT_16 = _theme("cellar-16-light", IN_16_LIGHT, dark=False, ansi=True)
THEMES = (DARK, LIGHT, DARK_16, LIGHT_16)
NAMES = {
    "dark": DARK.name,
    "light": LIGHT.name,
    "terminal, dark": DARK_16.name,
    "terminal, light": LIGHT_16.name,
}
"""What a person calls them; those of the terminal are its own sixteen colours."""


def of_ground(ground: str, *, plain: bool) -> str:
    """Return the theme for a `light` or `dark` ground; `plain` takes the terminal's own colours."""
    return NAMES[f"terminal, {ground}" if plain else ground]


def fits(name: str, *, plain: bool) -> bool:
    """Return whether there are colours of a name that may be drawn here; `plain` allows the terminal's own alone."""
    own = (DARK_16.name, LIGHT_16.name)
    return name in own if plain else name in NAMES.values()
