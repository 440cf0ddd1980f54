"""A reading typed as the millilitres of its titration is the reading that they come to."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cellar_tui.enology.calculations import run
from cellar_tui.language import describe_entry, parse_entry
from cellar_tui.ledger.kinds import Body, Reading


def no_vessel(name: str) -> int:
    raise LookupError(name)


TYPIST = parse_entry.Typist(date(2026, 11, 27), no_vessel, {})


def typed(base: Body | None = None, /, **fields: str) -> Reading:
    body = parse_entry.read("reading", fields, TYPIST, base)
    assert isinstance(body, Reading)
    return body


def fault(base: Body | None = None, /, **fields: str) -> tuple[str | None, str]:
    with pytest.raises(parse_entry.InputError) as caught:
        parse_entry.read("reading", fields, TYPIST, base)
    return caught.value.field, str(caught.value)


def test_millilitres_become_free_so2() -> None:
    """2.3 mL of 0.01 N on 20 mL are 36.8 mg/L (worked example of a trade magazine, 2021)."""
    body = typed(free_so2="2.3 mL", normality="0.01", sample="20")
    assert body.free_so2 == pytest.approx(36.8, abs=0.1)
    assert body.method == "titration"
    assert describe_entry.reading("free_so2", body.free_so2 or 0.0, "mg/L") == "free SO2 37 mg/L"


def test_the_method_that_is_named_stays() -> None:
    assert typed(free_so2="2.3mL", normality="0.01 N", sample="20mL", method="aspiration").method == "aspiration"
    assert typed(ta="12 mL", normality="0.1", sample="15").method is None


@given(name=st.sampled_from(["ta", "va", "yan", "total_so2"]), titrant=st.floats(0.5, 5.0))
def test_a_reading_in_millilitres_agrees_with_the_calculation(name: str, titrant: float) -> None:
    calculation = {"ta": "ta_titration", "va": "va_titration", "yan": "formol_yan", "total_so2": "so2_titration"}[name]
    given = {"titrant": round(titrant, 2), "normality": 0.02, "sample": 25.0, "blank": 0.1}
    expected = next(iter(run(calculation, **given).values.values())).number
    body = typed(**{name: f"{titrant:.2f} mL", "normality": "0.02", "sample": "25", "blank": "0.1"})
    assert getattr(body, name) == pytest.approx(expected, abs=0.0051)


def test_millilitres_without_normality_or_sample_are_asked_for_them() -> None:
    assert fault(free_so2="2.3 mL")[0] == "normality"
    field, says = fault(free_so2="2.3 mL", normality="0.01")
    assert field == "sample"
    assert "such as 0.01 N and 20 mL" in says


def test_a_blank_over_the_titrant_is_refused_by_name() -> None:
    assert fault(ta="1 mL", normality="0.1", sample="10", blank="2")[0] == "blank"


def test_a_result_that_no_wine_has_is_refused_like_one_typed() -> None:
    field, says = fault(free_so2="50 mL", normality="0.1", sample="10")
    assert field == "free_so2"
    assert "must lie between 0 and 300" in says


def test_normality_alone_is_no_reading() -> None:
    assert "type at least one value" in fault(normality="0.1", sample="10")[1]


def test_a_corrected_sample_works_the_reading_out_again() -> None:
    first = typed(free_so2="2.3 mL", normality="0.01", sample="20")
    assert typed(first, sample="40").free_so2 == pytest.approx((first.free_so2 or 0.0) / 2, abs=0.01)


def test_a_value_typed_over_the_millilitres_takes_their_place() -> None:
    first = typed(free_so2="2.3 mL", normality="0.01", sample="20")
    after = typed(first, free_so2="31")
    assert (after.free_so2, after.free_so2_ml) == (31.0, None)
    assert typed(after, sample="40").free_so2 == 31.0


def test_a_must_weight_is_typed_on_its_own_scale() -> None:
    assert typed(sg="85 Oe").sg == 1.085
    assert typed(sg="-4 Oe").sg == 0.996
    assert typed(brix="1.085 SG").brix == pytest.approx(20.45, abs=0.01)
