"""Cells of a sheet: what a spreadsheet must not take for a formula, and the numbers and words that it keeps."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable
from datetime import date
from typing import Any

FORMULA = ("=", "+", "-", "@", "\t", "\r", "＝", "＋", "－", "＠")
"""What a cell begins with that spreadsheets take for a formula (OWASP, "CSV Injection"; CWE-1236)."""

MARK = "'"
"""Put before a text that begins like a formula, and taken off again on the way in."""


def text(value: str) -> str:
    """Return a text as a cell that no spreadsheet takes for a formula.

    >>> text("=1+1"), text("plain"), text("'quoted")
    ("'=1+1", 'plain', "''quoted")
    """
    return MARK + value if value.startswith((*FORMULA, MARK)) else value


def untext(cell: str) -> str:
    """Return the text that a cell stands for: the opposite of `text`, which leaves any other cell as it is.

    >>> untext("'=1+1"), untext("plain"), untext("''quoted"), untext("'74 vintage")
    ('=1+1', 'plain', "'quoted", "'74 vintage")
    """
    return cell[1:] if cell.startswith(MARK) and cell[1:].startswith((*FORMULA, MARK)) else cell


def figure(value: float) -> str:
    """Return a number with a point, as every spreadsheet reads one; a number is never a formula, -5.2 neither.

    >>> figure(3.30), figure(22.0), figure(-5.2)
    ('3.3', '22', '-5.2')
    """
    return f"{value:.12g}"


def cell(value: Any) -> str:
    """Return what a field of an entry holds as a cell; nothing for None."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, int | float):
        return figure(value)
    if isinstance(value, tuple):
        return text("; ".join(one if isinstance(one, str) else figure(one) for one in value))
    return text(str(value))


def line(cells: Iterable[str]) -> str:
    """Return one row as RFC 4180 has it: commas, quotes where needed, CR LF at the end."""
    row = io.StringIO()
    csv.writer(row, lineterminator="\r\n").writerow(cells)
    return row.getvalue()
