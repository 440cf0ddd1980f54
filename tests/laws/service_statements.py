"""The laws of the kept cellar as statements about any book; each raises AssertionError where it does not hold."""

from __future__ import annotations

import math
import unicodedata
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager

from cellar_tui.entry_form.open_form import Form
from cellar_tui.language import clean_text, parse_entry
from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.standing import chains
from cellar_tui.service.open import OpenCellar, open_cellar
from cellar_tui.service.rows import entry_of
from cellar_tui.service.views import CellarError, Request, SaveResult
from tests.laws.book import WRITTEN, Book
from tests.laws.keeping import Keeper, a_cellar, board_faults, trace
from tests.opened import number_of, rebuild_quietly, store_of


def the_board_is_what_a_rebuild_gives(book: Book) -> None:
    """After every entry, and then a rebuild changes nothing; another program that opens the file sees the same."""
    with a_cellar() as service:
        keeper = Keeper(service)
        for entry in book.entries:
            if keeper.write(entry, book):
                assert board_faults(service) == [], f"after entry {entry.seq}"
        before = trace(store_of(service))
        assert board_faults(service) == []
        _meet(service)
        rebuild_quietly(service)
        assert trace(store_of(service)) == before
        other = open_cellar(service.path, lambda: WRITTEN, by="Bo", read_only=True)
        assert other.view.board() == service.view.board()
        other.close()


def _meet(service: OpenCellar) -> None:
    """Hold that vessels ever joined by a transfer, also by a withdrawn one, are found from each other."""
    for chain in chains([entry_of(row) for row in store_of(service).entries()]).values():
        for link in chain.links:
            others = (getattr(link.body, "to", None), getattr(link.body, "source", None))
            named = {one for one in (link.vessel, *others) if isinstance(one, int)}
            for vessel in named:
                assert named <= set(store_of(service).component([vessel])), f"entry {link.seq} joins {named}"


REFUSED: dict[str, Callable[[OpenCellar], object]] = {
    "a pH that cannot be": lambda s: s.recorder.record(Request("V1", "reading", {"ph": "9"})),
    "a volume in kilograms": lambda s: s.recorder.record(Request("V1", "reading", {"volume": "3 kg"})),
    "a vessel that is not there": lambda s: s.recorder.record(Request("V9", "note", {"text": "x"})),
    "a kind that is not there": lambda s: s.recorder.record(Request("V1", "stirring", {})),
    "a day far ahead": lambda s: s.recorder.record(Request("V1", "note", {"text": "x"}, "+30d")),
    "a form that others overtook": lambda s: s.recorder.record(Request("V1", "note", {"text": "x"}, heads={2: 1})),
    "more wine than there is": lambda s: s.recorder.record(
        Request("V1", "racking", {"volume": "500"}, waive="because")
    ),
    "sugar before sorbate": lambda s: s.recorder.record(
        Request("V1", "addition", {"material": "sugar", "amount": "900 g"})
    ),
    "a wine in a full vessel": lambda s: s.recorder.start_wine(
        Request("V1", "wine", {"name": "Moor", "style": "dry_red", "volume": "3"}, waive="because")
    ),
    "a vessel of a name in use": lambda s: s.recorder.add_vessel({"name": "v1", "capacity": "3", "material": "glass"}),
    "a house rule that is not there": lambda s: s.recorder.set_rule("moon", "3"),
    "a house rule out of range": lambda s: s.recorder.set_rule("steady_days", "400"),
    "an undo of nothing": lambda s: s.recorder.undo(999),
    "a correction of nothing": lambda s: s.recorder.amend(999, {"ph": "3.3"}),
    "the loss of a vessel that holds wine": lambda s: s.recorder.retire_vessel("V1"),
    "a preview": lambda s: s.recorder.record(Request("V1", "reading", {"ph": "3.3"}), preview=True),
}
"""What must leave the file as it was, though a reason is given for some of it."""


def a_refusal_leaves_no_trace(names: Sequence[str]) -> None:
    """Entry, hash, board and names stay as they were, however many refusals follow each other."""
    with a_cellar() as service:
        for name in ("V1", "V2"):
            service.recorder.add_vessel({"name": name, "capacity": "23", "material": "glass"})
        wine = {"name": "Hill", "style": "dry_white", "volume": "22", "finished": "yes", "total_so2": "60"}
        assert service.recorder.start_wine(Request("V1", "wine", wine, "2026-09-01")).saved
        before = trace(store_of(service))
        for name in names:
            try:
                answer = REFUSED[name](service)
            except CellarError:
                answer = None
            assert not (isinstance(answer, SaveResult) and answer.saved), name
            assert trace(store_of(service)) == before, name
        assert board_faults(service) == []


# -- 9: text is text


def text_stays_text(said: str) -> None:
    """What a person or a file says is kept letter for letter, without what could steer a terminal."""
    wanted = clean_text.clean(said, limit=80)
    with a_cellar() as service:
        service.recorder.add_vessel({"name": "V1", "capacity": "23", "material": "glass", "place": f"by {said}"})
        wine = {"name": f"wine {wanted.replace(':', ' ')}".strip(), "style": "dry_white", "volume": "22"}
        service.recorder.start_wine(Request("V1", "wine", wine, "2026-09-01"))
        service.recorder.record(Request("V1", "note", {"text": f"n {said}"}, "2026-09-02", by=f"b {said}"))
        (line,) = service.view.board().lines
        (body,) = [one.entry.body for one in service.view.ledger("V1") if isinstance(one.entry.body, k.Note)]
        shown = (line.place, line.wine or "", body.text or "")
        for one in shown:
            assert not any(unicodedata.category(sign) in ("Cc", "Cs") and sign != "\n" for sign in one), repr(one)
            assert clean_text.safe(one, lines=True) == one
        assert line.place == clean_text.clean(f"by {said}", limit=80)
        assert service.view.wine("V1").plan is not None
        assert board_faults(service) == []


@contextmanager
def a_finished_wine() -> Iterator[OpenCellar]:
    """Open a cellar of one finished wine in V1."""
    with a_cellar() as service:
        service.recorder.add_vessel({"name": "V1", "capacity": "100", "material": "glass"})
        wine = {"name": "Hill", "style": "dry_white", "volume": "50", "finished": "yes"}
        service.recorder.start_wine(Request("V1", "wine", wine, "2026-09-01"))
        yield service


# -- 10: an amount means the same wherever it is typed


def an_amount_means_the_same_everywhere(
    kind: str, field: str, amount: str, more: Mapping[str, str], value: float
) -> None:
    """In a form, on the command line's road, in a correction and in a preview alike."""
    with a_finished_wine() as service:
        said, form = {**more, field: amount}, Form(service, "V1")
        found = [
            form.preview(kind, said, waive="because").outcomes[0].entry.body,
            service.recorder.record(Request("V1", kind, said, waive="because"), preview=True).outcomes[0].entry.body,
            parse_entry.read(kind, said, parse_entry.Typist(WRITTEN.date(), lambda name: number_of(service, name), {})),
            form.record(kind, said, waive="because").outcomes[0].entry.body,
        ]
        seq = service.entries()
        found.append(service.recorder.amend(seq, said, waive="because").outcomes[0].entry.body)
        for body in found:
            assert math.isclose(getattr(body, field), value, rel_tol=1e-6, abs_tol=1e-9), f"{amount}: {body}"


def a_unit_that_does_not_fit_is_refused(
    kind: str, field: str, amount: str, more: Mapping[str, str], fitting: str
) -> None:
    """At every door, with the units that would fit."""
    with a_finished_wine() as service:
        said, form = {**more, field: amount}, Form(service, "V1")
        doors: list[Callable[[], object]] = [
            lambda: form.preview(kind, said),
            lambda: form.record(kind, said),
            lambda: service.recorder.record(Request("V1", kind, said)),
        ]
        for door in doors:
            try:
                door()
            except CellarError as error:
                assert fitting in str(error), str(error)
                assert error.field == field
            else:
                raise AssertionError(f"{amount} was taken for {field}")
