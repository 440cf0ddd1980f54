"""A house rule in words: its value in the house's units, what it may be, what it decides and where it is from."""

from __future__ import annotations

from cellar_tui.language import quantities
from cellar_tui.language.describe_entry import words
from cellar_tui.language.layout import wrapped
from cellar_tui.ledger.house import ANY_WORD, SETTINGS, Setting


def title(setting: Setting) -> str:
    """Return its name as words."""
    return words(setting.name).replace(" sg", " SG")


def shown_value(setting: Setting, value: float | str, units: str) -> str:
    """Return a value without its unit, as it can be typed again: in full, since nobody measured it."""
    if isinstance(value, str):
        return value
    if shown_unit(setting, units) != setting.unit:
        return quantities.number(value, setting.unit, system=units)
    return f"{value:g}"


def shown_unit(setting: Setting, units: str) -> str:
    """Return the unit in which the house reads it, "" for a word; rules of gravity are SG in every house."""
    if setting.words or setting.unit == "SG":
        return "" if setting.words else "SG"
    return quantities.shown_unit(setting.unit, units)


def with_unit(setting: Setting, value: float | str, units: str) -> str:
    """Return a value with its unit."""
    return f"{shown_value(setting, value, units)} {shown_unit(setting, units)}".rstrip()


def allowed(setting: Setting, units: str) -> str:
    """Return what it may be: a range, or the words it takes."""
    if setting.words == ANY_WORD:
        return "a zone such as Europe/Berlin"
    if setting.words:
        return ", ".join(setting.words)
    return f"{shown_value(setting, setting.low, units)} to {with_unit(setting, setting.high, units)}"


def beside_value(setting: Setting, units: str) -> str:
    """Return what stands beside the field of a value: its unit, or the words it takes."""
    return shown_unit(setting, units) if not setting.words else "" if setting.words == ANY_WORD else "a word"


def about_lines(kind: str, name: str, units: str, width: int) -> list[tuple[str, str]]:
    """Return what a house rule decides, what it may be and its default, as lines above a preview."""
    if kind != "rule" or name not in SETTINGS:
        return []
    setting = SETTINGS[name]
    told = f"{allowed(setting, units)}; empty: the default {with_unit(setting, setting.default, units)}"
    return [(text, "quiet") for part in (setting.about, told) for text in wrapped(part, width)]
