"""Law 6 of strength: water, sugar, juice and readings in any order give the strength of their masses."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from tests.laws import strength_statements as laws
from tests.laws.examples import IN_MEMORY


@given(st.sampled_from((None, 1.070, 1.099)), st.floats(1.06, 1.11), laws.MUST, laws.FERMENT)
@IN_MEMORY
def test_strength_follows_from_masses(
    stated: float | None, true: float, must: list[tuple[str, float]], work: list[tuple[str, float]]
) -> None:
    laws.strength_follows_from_masses(stated, true, must, work)
