"""The lines that the README writes for a vintage, run as they are written; and what a trace says of it."""

from __future__ import annotations

import re
import shlex

import pytest

from tests.cli.conftest import Desk
from tests.readme import README


def lines() -> list[list[str]]:
    """Return the commands of the README's vintage, as words."""
    (block,) = re.findall(
        r"^```\n(cellar-tui record Vat harvest.*?)^```$", README.read_text("utf-8"), flags=re.S | re.M
    )
    return [shlex.split(line, comments=True)[1:] for line in block.splitlines()]


@pytest.fixture
def vintage(desk: Desk) -> Desk:
    for name in ("Vat", "Tank", "Cask"):
        assert desk("vessel", "add", name, "capacity=500L", "material=steel").status == 0
    must = ("style=dry_white", "volume=430L", "skins=yes", "sg=85Oe")
    assert desk("wine", "start", "Riesling", "vessel=Vat", *must, "--at", "-2d").status == 0
    for words in lines():
        # Only the bottling of a wine that nothing has been shown of must be waived.
        waived = ("--waive", "for this test") if "bottle" in words else ()
        said = desk(*words, *waived) if words[0] != "trace" else None
        assert said is None or said.status == 0, (words, said.err)
        if words[0] == "material":
            dose = ("addition", "material=potassium_metabisulfite", "amount=20g")
            assert desk("record", "Tank", *dose, "--waive", "for this test").status == 0
    return desk


def test_a_store_is_traced_to_its_parcel_with_its_bottles(vintage: Desk) -> None:
    said = vintage("trace", "Riesling bottles")
    assert said.status == 0, said.err
    assert "370 of 750 mL left; 30 given; lot L" in said.out
    assert "100.0 %" in said.out
    assert "Upper Field, Riesling" in said.out
    assert "potassium metabisulfite (lot KM-7)" in said.out


def test_a_lot_of_a_material_is_recalled(vintage: Desk) -> None:
    said = vintage("trace", "KM-7").out
    assert said.startswith("Lot KM-7 was used in entry ")
    assert "Riesling bottles · Riesling" in said
    assert "Cask" not in said


def test_a_trace_is_one_document(vintage: Desk) -> None:
    found = vintage("trace", "Riesling bottles", "--json").json
    (place,) = found["places"]
    assert (found["found"], place["wine"], place["bottles"]["left"]) == ("vessel", "Riesling", {"750": 370})
    assert sum(one["litres"] for one in place["from"]) == pytest.approx(place["volume_l"])
    harvest = next(one for one in place["from"] if one["kind"] == "harvest")
    assert (harvest["litres"], harvest["fields"]["kg"], harvest["fields"]["sg"]) == (0.0, 420.0, 1.085)


def test_what_nothing_is_called_is_said_in_one_sentence(vintage: Desk) -> None:
    said = vintage("trace", "Moonlight")
    assert (said.status, said.out) == (1, "")
    assert "nothing is called Moonlight" in said.err


def test_a_store_shows_its_bottles(vintage: Desk) -> None:
    assert "370 of 750 mL left; 30 given; lot L" in vintage("show", "Riesling bottles").out
    assert "bottles" not in vintage("show", "Cask").out.splitlines()[1]
