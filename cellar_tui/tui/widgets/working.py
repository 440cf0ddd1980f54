"""A calculation's result in large, and below it everything that is needed to check it by hand."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.content import Content
from textual.widgets import Digits, Static

from cellar_tui.language.layout import column, joined, wrapped
from cellar_tui.tui.boundary import SpeaksErrors
from cellar_tui.tui.widgets.cells import label, tinted
from cellar_tui.tui.widgets.themes import ROLES
from cellar_tui.workbench.calculate import Figure, Unworked, Worked

Line = tuple[str, str]
"""A line of text with its tone: head, warn, quiet, plain."""

STYLES = {**ROLES, "head": ROLES["stop"], "warn": "italic"}
ROOMY = 50
"""Width [cells] from which the inputs stand in line with the formula."""
DRAWN = frozenset("0123456789.-")
"""Signs that are drawn three lines high."""


def split_figure(text: str) -> tuple[str, str]:
    """Return the number of a result, as far as it can be drawn large, and the rest of its text.

    >>> split_figure("4.7 g"), split_figure("-6.5 to -4.7 C"), split_figure("yes")
    (('4.7', 'g'), ('', '-6.5 to -4.7 C'), ('', 'yes'))
    """
    number, _, unit = text.partition(" ")
    return (number, unit) if set(number) <= DRAWN and " to " not in text else ("", text)


def result_lines(found: Worked, width: int) -> list[Line]:
    """Return the results besides the main one, then what to beware of, then the working and its source."""
    lines = [(f"{column(result.label, 18)} {result.text}", "plain") for result in found.results[1:]]
    for caution in found.cautions:
        lines += [(text, "warn") for text in wrapped(f"! {caution}", width)]
    lines += [("", "plain"), *_block("How", found.formula, width)]
    lines += [line for one in found.inputs for line in _input_lines(one, width)]
    return [*lines, *[(text, "quiet") for text, _ in _block("Source", found.source, width)]]


def _inset(width: int) -> int:
    """Return how far an input is set in below the formula: little where there is little room."""
    return 8 if width >= ROOMY else 2


def _block(name: str, text: str, width: int) -> list[Line]:
    """Return a text with its name before the first line, the others set in below it."""
    first, *rest = wrapped(text, width - 8)
    return [(f"{name:<8}{first}", "plain"), *[(f"{'':<8}{one}", "plain") for one in rest]]


def _input_lines(one: Figure, width: int) -> list[Line]:
    """Return an input with where it is from, set in below the formula."""
    inset = " " * _inset(width)
    shown = f"{inset}{column(one.label, 15)} {one.text}"
    source = one.source or "typed"
    if len(shown) + 2 + len(source) <= width:
        return [(f"{shown}  {source}", "plain")]
    return [(shown, "plain"), *[(f"{inset}  {text}", "quiet") for text in wrapped(source, width - len(inset) - 2)]]


def obstacle_lines(found: Unworked, width: int) -> list[Line]:
    """Return what stands in the way: first what is wrong, then what is still to be typed."""
    lines: list[Line] = []
    for fault in found.faults.values():
        lines += [(text, "head") for text in wrapped(f"! {fault}", width)]
    for missing in found.missing.values():
        lines += [(text, "quiet") for text in wrapped(missing, width)]
    return lines


def painted(lines: list[Line]) -> Content:
    """Return lines as text to be drawn, each in its tone."""
    return tinted((f"{text}\n", STYLES[tone]) for text, tone in lines)


class Working(SpeaksErrors, Vertical):
    """The result of a calculation, large; its working below, to be scrolled where it is longer than its room."""

    DEFAULT_CSS = """
    Working { height: 1fr; }
    Working > .main { height: 3; display: none; }
    Working.-worked > .main { display: block; }
    Working Digits { width: auto; color: $text-success; text-style: bold; margin-right: 1; }
    Working .main-words { height: 3; width: 1fr; }
    Working.-small > .main { height: 1; }
    Working.-small .main-words { height: 1; text-style: bold; }
    Working.-small Digits { display: none; }
    Working > VerticalScroll { height: 1fr; scrollbar-size-vertical: 1; }
    """

    def compose(self) -> ComposeResult:
        """Lay out the large figure and the working."""
        with Horizontal(classes="main"):
            yield Digits()
            yield Static(classes="main-words")
        with VerticalScroll(can_focus=False):
            yield Static(classes="working-lines")

    def show(self, found: Worked | Unworked | None) -> None:
        """Show a result or what stands in its way; None shows nothing."""
        self.set_class(isinstance(found, Worked), "-worked")
        width = max(24, self.size.width - 2)
        if found is None:
            lines: list[Line] = []
        elif isinstance(found, Worked):
            self._enlarge(found.results[0])
            lines = result_lines(found, width)
        else:
            lines = obstacle_lines(found, width)
        self.query_one(".working-lines", Static).update(painted(lines))
        self.query_one(VerticalScroll).scroll_home(animate=False)

    def _enlarge(self, main: Figure) -> None:
        number, unit = split_figure(main.text)
        digits, words = self.query_one(Digits), self.query_one(".main-words", Static)
        small = self.has_class("-small")
        digits.display = bool(number) and not small
        digits.update(number)
        if small:
            words.update(label(f"{main.label}  {main.text}"))
        else:
            words.update(label(f"\n{joined((unit, main.label), '  ')}"))

    def page(self, step: int) -> None:
        """Scroll the working by most of its height."""
        area = self.query_one(VerticalScroll)
        area.scroll_relative(y=step * max(1, area.size.height - 1), animate=False)
