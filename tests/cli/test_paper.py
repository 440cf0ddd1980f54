"""Paper for a wall, a binder and the day of bottling: every dose on it, every page named, both sizes."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import pytest
from pypdf import PdfReader

from cellar_tui.exchange import paper_pdf, paper_text
from cellar_tui.exchange.paper import Box, Curve, Head, Paper, Say, Table
from tests.cli.conftest import Desk

MM = 72 / 25.4
"""Points in a millimetre; PDF measures in points of 1/72 inch."""


def pages(path: Path) -> list[str]:
    """Return the text of each page, gaps made one space."""
    return [" ".join(page.extract_text().split()) for page in PdfReader(path).pages]


@pytest.mark.parametrize(("size", "wide", "high"), [("A4", 210.0, 297.0), ("letter", 215.9, 279.4)])
def test_the_round_has_every_dose_and_a_box_for_every_action_in_both_sizes(
    white: Desk, tmp_path: Path, size: str, wide: float, high: float
) -> None:
    path = tmp_path / "round.pdf"
    assert white("paper", "round", "--size", size, "--within", "60", "--out", str(path)).status == 0
    box = PdfReader(path).pages[0].mediabox
    assert (float(box.width), float(box.height)) == pytest.approx((wide * MM, high * MM), abs=1)
    text = " ".join(pages(path))
    due = [one for one in white("due", "--json").json if one["dose"]]
    assert due
    assert all(" ".join(one["dose"]["note"].split()) in text for one in due)
    assert "Weigh out" in text
    assert "Care" in text


def test_every_page_names_cellar_wine_day_and_which_it_is_of_how_many(tmp_path: Path) -> None:
    """A wine of 500 readings runs over many pages."""
    day = date(2026, 1, 1)
    rows = tuple(((day + timedelta(days=i)).isoformat(), str(i), f"free SO2 {20 + i % 9} mg/L") for i in range(500))
    points = tuple((day + timedelta(days=i), 20.0 + i % 9) for i in range(500))
    parts = (Head("Readings"), Curve("free SO2", "mg/L", points, 24.0), Table(("day", "entry", ""), rows, (0.2, 0.1)))
    for size in ("A4", "letter"):
        path = tmp_path / "wine.pdf"
        path.write_bytes(paper_pdf.written(Paper("north", "Terrace in Demijohn 1", day, parts), size))
        found = pages(path)
        assert len(found) > 8
        for number, text in enumerate(found, 1):
            assert text.startswith("north · Terrace in Demijohn 1 · Thu 1 Jan 2026")
            assert text.endswith(f"page {number} of {len(found)}")
        assert all(f" {i} free SO2" in " ".join(found) for i in range(500))


def test_a_wine_of_one_entry_fits_one_page_and_an_empty_vessel_says_so(desk: Desk, tmp_path: Path) -> None:
    desk("vessel", "add", "Demijohn 1", "capacity=24L", "material=glass")
    assert desk("paper", "wine", "Demijohn 1", "--out", str(tmp_path / "empty.pdf")).status == 0
    assert "This vessel is empty" in pages(tmp_path / "empty.pdf")[0]
    assert desk("wine", "start", "Young", "vessel=Demijohn 1", "style=dry_red", "volume=20L", "sg=1.09").status == 0
    assert desk("paper", "wine", "Demijohn 1", "--out", str(tmp_path / "wine.pdf")).status == 0
    (first, *rest) = pages(tmp_path / "wine.pdf")
    assert len(rest) <= 1
    assert "Young in Demijohn 1" in first


def test_a_wines_file_holds_additions_readings_verdicts_and_what_was_withdrawn(white: Desk, tmp_path: Path) -> None:
    white("record", "Demijohn 1", "addition", "material=potassium_metabisulfite", "amount=1.3g")
    wrong = white("record", "Demijohn 1", "reading", "ph=3.9", "--json").json["entry"]["id"]
    white("undo", str(wrong))
    path = tmp_path / "wine.txt"
    assert white("paper", "wine", "Demijohn 1", "--out", str(path)).status == 0
    text = path.read_text(encoding="utf-8")
    assert max(map(len, text.splitlines())) <= 80
    assert "1.3 g potassium metabisulfite" in text
    assert "[withdrawn]" in text
    for kind in ("yeast", "bacteria", "air", "crystals", "haze"):
        assert f"\n{kind} " in text


def test_a_bottling_sheet_has_sums_with_their_law_bottles_corks_and_what_was_waived(
    white: Desk, tmp_path: Path
) -> None:
    """22.7 L fill 30 bottles of 750 mL and leave 0.2 L."""
    white("record", "Demijohn 1", "waive", "stability=crystals", "reason=drunk at home")
    path = tmp_path / "sheet.pdf"
    assert white("paper", "bottling", "Demijohn 1", "--out", str(path)).status == 0
    text = " ".join(pages(path))
    assert "crystals waived: drunk at home" in text
    assert "750 mL 30 30 29 0.2 L" in text
    assert "total SO2 40 mg/L within" in text
    assert "contains sulfites" in text
    assert "lot number" in text


def test_paper_is_the_same_for_the_same_day_and_shows_letters_of_any_script_it_can(tmp_path: Path) -> None:
    parts = (Say("Škoda Θ 酒 \x1b[2J"), Box("look"))
    made = Paper("Weinkeller Öl", "Kékfrankos 25", date(2026, 11, 26), parts)
    assert paper_pdf.written(made, "A4") == paper_pdf.written(made, "A4")
    text = paper_text.written(made)
    assert "\x1b" not in text
    assert "Škoda Θ 酒" in text
    path = tmp_path / "paper.pdf"
    path.write_bytes(paper_pdf.written(made, "A4"))
    assert "Kékfrankos 25" in pages(path)[0]


def test_paper_asks_where_to_and_knows_two_sizes(white: Desk, tmp_path: Path) -> None:
    assert white("paper", "round").status == 2
    assert white("paper", "round", "--size", "A5", "--out", str(tmp_path / "r.pdf")).status == 2
    assert white("paper", "wine", "Cask 9", "--out", str(tmp_path / "r.pdf")).status == 1
    assert not (tmp_path / "r.pdf").exists()
