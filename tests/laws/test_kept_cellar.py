"""Laws 2, 5, 9 and 10 on a cellar in a file: the board, refusals, text and amounts."""

from __future__ import annotations

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from cellar_tui.service.views import CellarError, Request
from tests.laws import service_statements as laws
from tests.laws.book import Book
from tests.laws.examples import ON_DISK, SHORT_BOOKS
from tests.laws.keeping import a_cellar, trace
from tests.opened import store_of

KMS = {"material": "potassium_metabisulfite"}
OZ, LB, GAL = 28.349523125, 453.59237, 3.785411784  # g, g, L: exact by international definition


@given(SHORT_BOOKS)
@ON_DISK
def test_the_board_after_each_entry_is_what_a_rebuild_gives(book: Book) -> None:
    laws.the_board_is_what_a_rebuild_gives(book)


@given(st.permutations(sorted(laws.REFUSED)))
@ON_DISK
def test_what_is_refused_leaves_no_trace(names: list[str]) -> None:
    laws.a_refusal_leaves_no_trace(names)


@given(st.text(st.characters(exclude_categories=["Cs"]), max_size=60))
@example("[bold red]x[/] [@click=quit]y[/]")
@example("\x1b[31mred\x1b]0;title\x07")
@example("Hill\u202e wine \u2066x")
@example("Robert'); DROP TABLE entry; --")
@example("a\r\nb\x00c\x9bd")
@example("日本酒 e\u0301 %s {0}")
@ON_DISK
def test_hostile_text_is_kept_as_text(said: str) -> None:
    laws.text_stays_text(said)


def test_text_that_no_file_can_hold_is_refused_and_leaves_no_trace() -> None:
    with a_cellar() as service:
        service.recorder.add_vessel({"name": "V1", "capacity": "23", "material": "glass"})
        before = trace(store_of(service))
        with pytest.raises(CellarError, match="cannot be stored"):
            service.recorder.add_vessel({"name": "V\ud800", "capacity": "23", "material": "glass"})
        assert trace(store_of(service)) == before
        with pytest.raises(CellarError):
            service.recorder.start_wine(Request("V\ud800", "wine", {"name": "Hill", "style": "dry_red", "volume": "3"}))


@pytest.mark.parametrize(
    ("kind", "field", "amount", "more", "value"),
    [
        ("reading", "volume", "22.7 L", {}, 22.7),
        ("reading", "volume", "22,7", {}, 22.7),
        ("reading", "volume", "6 US gal", {}, 6 * GAL),
        ("loss", "volume", "750 mL", {}, 0.75),
        ("reading", "temperature", "68 F", {}, 20.0),
        ("reading", "free_so2", "28 ppm", {}, 28.0),
        ("reading", "ta", "0.65 g/100mL", {}, 6.5),
        ("addition", "amount", "2000 mg", KMS, 2.0),
        ("addition", "amount", "1/2 oz", KMS, OZ / 2),
        ("addition", "amount", "1 lb", {"material": "sugar"}, LB),
        ("addition", "dose", "5 g/hL", {"material": "bentonite"}, 50.0),
        ("addition", "dose", "50 mg/L", KMS, 50.0),
        ("bottle", "size", "0.75 L", {"count": "10"}, 750.0),
    ],
)
def test_an_amount_means_the_same_at_every_door(
    kind: str, field: str, amount: str, more: dict[str, str], value: float
) -> None:
    laws.an_amount_means_the_same_everywhere(kind, field, amount, more, value)


@pytest.mark.parametrize(
    ("kind", "field", "amount", "more", "fitting"),
    [
        ("reading", "volume", "3 kg", {}, "use L, mL"),
        ("loss", "volume", "3 g/L", {}, "use L, mL"),
        ("reading", "free_so2", "5 C", {}, "use mg/L, ppm"),
        ("reading", "ta", "6 L", {}, "g/L"),
        ("reading", "temperature", "3 L", {}, "use C or F"),
        ("addition", "amount", "2 L", KMS, "use g, mg, kg, oz or lb"),
        ("addition", "amount", "5 g", {"material": "spirit"}, "use L, mL"),
    ],
)
def test_a_unit_that_does_not_fit_is_refused_with_those_that_do(
    kind: str, field: str, amount: str, more: dict[str, str], fitting: str
) -> None:
    laws.a_unit_that_does_not_fit_is_refused(kind, field, amount, more, fitting)
