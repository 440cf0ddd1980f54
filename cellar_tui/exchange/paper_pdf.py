"""A paper as PDF, A4 or letter: black on white, large enough to be read at arm's length."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, date, datetime, time
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from cellar_tui.exchange.paper import Box, Curve, Head, Paper, Part, Say, Table
from cellar_tui.language import days
from cellar_tui.language.clean_text import safe

if TYPE_CHECKING:
    from fpdf import FPDF

Size = Literal["A4", "letter"]

BODY, SMALL, TITLE = 12.0, 10.0, 14.0
"""Sizes of letters [pt]; 12 pt is read at arm's length (common practice)."""
LINE = 5.6
"""Height of a line of the body [mm]."""
MARGIN = 18.0
"""Room at the edges [mm]: a binder's holes take 12."""
CHART = 45.0
"""Height of a curve [mm]."""

OWN_LETTERS = "Helvetica"
"""The font that every PDF reader brings; it has the letters of Western Europe."""

FONTS = (
    "/usr/share/fonts/truetype/dejavu/DejaVuSans.ttf",
    "/usr/share/fonts/TTF/DejaVuSans.ttf",
    "/usr/share/fonts/dejavu-sans-fonts/DejaVuSans.ttf",
    "/usr/share/fonts/truetype/noto/NotoSans-Regular.ttf",
    "/usr/share/fonts/truetype/liberation/LiberationSans-Regular.ttf",
    "/System/Library/Fonts/Supplemental/Arial Unicode.ttf",
)
"""Where systems commonly keep a font with more letters, which is put into the PDF where a text needs them."""


def written(paper: Paper, size: Size) -> bytes:
    """Return a paper as PDF; the same paper gives the same bytes."""
    pdf = _sheet(paper, size)
    pdf.add_page()
    for part in paper.parts:
        _draw(pdf, part)
    return bytes(pdf.output())


def _sheet(paper: Paper, size: Size) -> FPDF:
    from fpdf import FPDF

    font, found = _font(paper)
    head = f"{paper.cellar} · {paper.subject} · {days.echo(paper.day)}"

    class Sheet(FPDF):
        """Pages that each name what they are of."""

        def header(self) -> None:
            self.set_font(font, "B" if found is None else "", TITLE)
            self.multi_cell(0, 7, self.plain(head), new_x="LMARGIN", new_y="NEXT")
            self.line(self.l_margin, self.get_y(), self.w - self.r_margin, self.get_y())
            self.ln(3)

        def footer(self) -> None:
            self.set_y(-MARGIN + 4)
            self.set_font(font, "", SMALL)
            self.cell(0, 5, f"page {self.page_no()} of {{nb}}", align="R")

        def plain(self, text: str) -> str:
            return _shown(text, self.font_family if found is None else "")

    pdf = Sheet(orientation="portrait", unit="mm", format=size.lower())
    pdf.set_margins(MARGIN, MARGIN, MARGIN)
    pdf.set_auto_page_break(True, MARGIN + 4)
    pdf.set_creation_date(datetime.combine(paper.day, time(12), UTC))
    pdf.set_title(safe(head))
    pdf.set_creator("cellar-tui")
    if found is not None:
        pdf.add_font(font, "", found)
        pdf.add_font(font, "B", found)
    pdf.set_font(font, "", BODY)
    pdf.set_line_width(0.3)
    return pdf


def _font(paper: Paper) -> tuple[str, Path | None]:
    """Return the font that has the letters of a paper, and its file where it is not every reader's own."""
    if all(_western(text) for text in _texts(paper)):
        return OWN_LETTERS, None
    found = next((path for path in map(Path, FONTS) if path.is_file()), None)
    return (OWN_LETTERS, None) if found is None else ("Letters", found)


def _western(text: str) -> bool:
    try:
        text.encode("cp1252")
    except UnicodeEncodeError:
        return False
    return True


def _texts(paper: Paper) -> Sequence[str]:
    found = [paper.cellar, paper.subject]
    for part in paper.parts:
        if isinstance(part, Table):
            found += [*part.heads, *(cell for row in part.rows for cell in row)]
        else:
            found.append(part.name if isinstance(part, Curve) else part.text)
    return found


def _shown(text: str, family: str) -> str:
    """Return a text in the letters there are: one that no font here has is shown as a question mark."""
    kept = safe(text)
    return kept.encode("cp1252", "replace").decode("cp1252") if family else kept


def _plain(pdf: FPDF, text: str) -> str:
    return _shown(text, "core" if pdf.font_family.casefold() == OWN_LETTERS.casefold() else "")


def _draw(pdf: FPDF, part: Part) -> None:
    if isinstance(part, Head):
        _room(pdf, 3 * LINE)
        pdf.ln(3)
        pdf.set_font(style="B", size=TITLE)
        pdf.multi_cell(0, 7, _plain(pdf, part.text), new_x="LMARGIN", new_y="NEXT")
        pdf.set_font(style="", size=BODY)
    elif isinstance(part, Say):
        _say(pdf, part.text, 5.0 * part.indent, strong=part.strong)
    elif isinstance(part, Box):
        _box(pdf, part)
    elif isinstance(part, Table):
        _table(pdf, part)
    else:
        _curve(pdf, part)


def _room(pdf: FPDF, height: float) -> None:
    """Go to a new page where less than `height` [mm] is left: what belongs together stays together."""
    if pdf.get_y() + height > pdf.page_break_trigger:
        pdf.add_page()


def _say(pdf: FPDF, text: str, indent: float, *, strong: bool = False) -> None:
    pdf.set_font(style="B" if strong else "", size=BODY)
    pdf.set_x(pdf.l_margin + indent)
    width = pdf.w - pdf.r_margin - pdf.get_x()
    pdf.multi_cell(width, LINE, _plain(pdf, text), align="L", new_x="LMARGIN", new_y="NEXT")
    pdf.set_font(style="", size=BODY)


def _box(pdf: FPDF, part: Box) -> None:
    _room(pdf, 3 * LINE)
    pdf.rect(pdf.l_margin, pdf.get_y() + 0.8, 4, 4)
    _say(pdf, part.text, 7.0)
    pdf.set_x(pdf.l_margin + 7)
    label = _plain(pdf, part.blank)
    pdf.cell(pdf.get_string_width(label) + 3, LINE + 1.5, label)
    y = pdf.get_y() + LINE
    pdf.line(pdf.get_x(), y, pdf.w - pdf.r_margin, y)
    pdf.ln(LINE + 2.5)


def _table(pdf: FPDF, part: Table) -> None:
    width = pdf.w - pdf.l_margin - pdf.r_margin
    shares = [*part.widths, 1 - sum(part.widths)]
    rows = [(part.heads, "B")] if any(part.heads) else []
    for cells, style in (*rows, *((row, "") for row in part.rows)):
        pdf.set_font(style=style, size=SMALL + 1)
        texts = [_plain(pdf, cell) for cell in cells]
        height = LINE * max(_lines(pdf, share * width, text) for share, text in zip(shares, texts, strict=True))
        _room(pdf, min(height, 6 * LINE))
        if pdf.get_y() + height > pdf.page_break_trigger:
            # Longer than a page: the last column alone runs on.
            pdf.multi_cell(0, LINE, " · ".join(filter(None, texts)), align="L", new_x="LMARGIN", new_y="NEXT")
            continue
        top, x = pdf.get_y(), pdf.l_margin
        for share, text in zip(shares, texts, strict=True):
            pdf.set_xy(x, top)
            pdf.multi_cell(share * width, LINE, text or " ", align="L")
            x += share * width
        pdf.set_xy(pdf.l_margin, top + height)
        pdf.set_draw_color(170)
        pdf.line(pdf.l_margin, top + height, pdf.w - pdf.r_margin, top + height)
        pdf.set_draw_color(0)
    pdf.set_font(style="", size=BODY)
    pdf.ln(2)


def _lines(pdf: FPDF, width: float, text: str) -> int:
    """Return how many lines a text takes in a width [mm]."""
    found = pdf.multi_cell(width, LINE, text or " ", dry_run=True, output="LINES", align="L")
    return len(found) if isinstance(found, list) else 1


def _curve(pdf: FPDF, part: Curve) -> None:
    _room(pdf, CHART + 3 * LINE)
    pdf.ln(2)
    target = "" if part.target is None else f"; dashed: target {part.target:.0f}"
    _say(pdf, f"{part.name} {part.unit}{target}".replace(" ;", ";"), 0, strong=True)
    left, top = pdf.l_margin + 18, pdf.get_y() + 3
    width = pdf.w - pdf.r_margin - left
    values = [value for _, value in part.points] + ([] if part.target is None else [part.target])
    low, high = min(values), max(values)
    span = high - low or 1.0
    first, last = part.points[0][0], part.points[-1][0]

    def at(day: date, value: float) -> tuple[float, float]:
        along = (day - first).days / max(1, (last - first).days)
        return left + along * width, top + CHART * (1 - (value - low) / span)

    pdf.rect(left, top, width, CHART)
    pdf.set_font(style="", size=SMALL)
    for value in (low, high):
        pdf.set_xy(pdf.l_margin, at(first, value)[1] - 2.5)
        pdf.cell(16, 5, f"{value:.4g}", align="R")
    if part.target is not None:
        pdf.set_dash_pattern(2, 1.5)
        pdf.line(*at(first, part.target), *at(last, part.target))
        pdf.set_dash_pattern()
    places = [at(*point) for point in part.points]
    if len(places) > 1:
        pdf.polyline(places)
    for x, y in places if len(places) <= 100 else ():
        pdf.circle(x, y, 0.7, style="F")
    pdf.set_xy(left, top + CHART + 1)
    pdf.cell(width / 2, 5, days.echo(first))
    pdf.cell(width / 2, 5, days.echo(last), align="R")
    pdf.set_xy(pdf.l_margin, top + CHART + 7)
    pdf.set_font(style="", size=BODY)
