"""The word that is meant by the beginning of it: one rule for every field that takes words."""

from __future__ import annotations

from collections.abc import Sequence

from cellar_tui.language.clean_text import safe
from cellar_tui.language.material_names import meant


def chosen(typed: str, choices: Sequence[str]) -> str:
    """Return the choice that is meant: the word itself, the only one that begins with the text, else the only one with
    a word in it that does. Of several that begin with it, the one with which all others begin is meant.

    What fits none or several is returned as it is typed.

    >>> chosen("p", ("pass", "fail")), chosen("mal", ("rose", "dry_white_malolactic")), chosen("dr", ("dry", "drum"))
    ('pass', 'dry_white_malolactic', 'dr')
    """
    wanted = key(typed)
    if not wanted:
        return typed
    keys = {choice: key(choice) for choice in choices}
    for choice, known in keys.items():
        if known == wanted:
            return choice
    starting = [choice for choice, known in keys.items() if known.startswith(wanted)]
    if not starting:
        starting = [choice for choice, known in keys.items() if f" {wanted}" in f" {known}"]
    shortest = min(starting, key=len, default=None)
    if shortest is not None and all(keys[one].startswith(keys[shortest]) for one in starting):
        return shortest
    return typed


def fitting(typed: str, choices: Sequence[str]) -> list[str]:
    """Return the choices that what is typed may still become, every one where nothing is typed."""
    wanted = key(typed)
    return [choice for choice in choices if f" {wanted}" in f" {key(choice)}"] if wanted else list(choices)


def chosen_material(typed: str, known: Sequence[str]) -> str:
    """Return the material that is meant, by its name, by a name of the trade, or by the beginning of its name."""
    found = meant(typed) or chosen(typed, known)
    return found if found in known else typed


def key(text: str) -> str:
    """Return a word as words are compared."""
    return safe(text).casefold().replace("_", " ").strip()
