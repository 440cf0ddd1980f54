"""Faults planted on purpose, each against one law; a law that no planted fault breaks may hold of nothing."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from cellar_tui.entry_form.open_form import Form
from cellar_tui.language import clean_text
from cellar_tui.ledger import effects, ferment, history, pour, sugar
from cellar_tui.ledger import standing as chains
from cellar_tui.ledger.beginnings import Places
from cellar_tui.ledger.cellar_kinds import Void
from cellar_tui.ledger.contents import Amounts, Contents, Sugar, exactly
from cellar_tui.ledger.entry import Entry
from cellar_tui.planning import consider, planner
from cellar_tui.planning.verdicts import bacteria, crystals, haze, yeast
from cellar_tui.planning.verdicts import base as verdicts
from cellar_tui.service import build_entries
from cellar_tui.service.views import Outcome
from storage.tx import Tx
from tests.laws import moments
from tests.laws import service_statements as kept
from tests.laws import statements as core
from tests.laws import strength_statements as strong
from tests.laws import sugar_statements as sweet
from tests.laws.book import Book
from tests.laws.examples import BOOKS, ON_DISK, ORDERS, SHORT_BOOKS
from tests.planning import stories

Plant = Callable[[pytest.MonkeyPatch], None]
HOSTILE = ("\x1b[31mred", "a\x00b", "c\x9bd")
LATER = date(2027, 2, 1)


def tried(statement: Callable[..., None], *drawn: st.SearchStrategy[Any], examples: int = 200) -> Callable[[], None]:
    """Return a law as a function that tries it on so many examples and stops at the first that breaks it."""
    quick = settings(
        ON_DISK, max_examples=examples, phases=(Phase.generate,), database=None, report_multiple_bugs=False
    )

    def law() -> None:
        quick(given(*drawn)(statement))()

    return law


def _clocked(patch: pytest.MonkeyPatch) -> None:
    ticks = itertools.cycle(("must", "ageing"))
    patch.setattr(planner, "stage", lambda s, ready: next(ticks))


def _never_late(patch: pytest.MonkeyPatch) -> None:
    patch.setattr(planner, "status", lambda show, latest, today: "ahead" if today < show else "today")


def _never_joined(patch: pytest.MonkeyPatch) -> None:
    whole = build_entries.touched
    patch.setattr(build_entries, "touched", lambda entry, own: (whole(entry, own)[0], set()))


def _stale_plans(patch: pytest.MonkeyPatch) -> None:
    whole = planner.plans

    def plans(cellar: Any, known: Mapping[int, Any] | None = None) -> dict[int, Any]:
        return {one: known[one][3] if known and one in known else made for one, made in whole(cellar).items()}

    patch.setattr(consider, "plans", plans)


def _half_a_board(patch: pytest.MonkeyPatch) -> None:
    whole = Tx.replace

    def written(self: Tx, vessels: Any, *lines: Any) -> None:
        one = min(vessels)
        whole(self, {one}, *([line for line in group if line.vessel == one] for group in lines))

    patch.setattr(Tx, "replace", written)


def _corrections_outlive(patch: pytest.MonkeyPatch) -> None:
    def in_force(links: Sequence[Entry]) -> Entry | None:
        gone = {one.body.of for one in links if isinstance(one.body, Void)}
        alive = [one for one in links if one.seq not in gone and not isinstance(one.body, Void)]
        return alive[-1] if alive else None

    patch.setattr(chains, "_in_force", in_force)


def _void_for_good(patch: pytest.MonkeyPatch) -> None:
    whole = chains._in_force

    def in_force(links: Sequence[Entry]) -> Entry | None:
        return (
            None if any(isinstance(one.body, Void) and one.body.of == links[0].seq for one in links) else whole(links)
        )

    patch.setattr(chains, "_in_force", in_force)


def _own_place(patch: pytest.MonkeyPatch) -> None:
    at = property(lambda self: (self.on, 720 if self.minute is None else self.minute, self.seq))
    patch.setattr(Entry, "place", at)


def _by_number(patch: pytest.MonkeyPatch) -> None:
    whole = chains.standing_entries
    patch.setattr(consider, "standing_entries", lambda entries: sorted(whole(entries), key=lambda one: one.root))


def _last_written(patch: pytest.MonkeyPatch) -> None:
    def last(contents: Any, name: str) -> Any:
        found = history.readings(contents, name)
        return max(found, key=lambda one: one.entry, default=None)

    patch.setattr(history, "last_reading", last)


def _stops_ignored(patch: pytest.MonkeyPatch) -> None:
    patch.setattr(Outcome, "stops", property(lambda self: ()))


def _heads_ignored(patch: pytest.MonkeyPatch) -> None:
    patch.setattr(Tx, "expect", lambda self, heads: None)


def _so2_poured_away(patch: pytest.MonkeyPatch) -> None:
    whole = Amounts.plus
    patch.setattr(Amounts, "plus", lambda self, other: replace(whole(self, other), so2_total=self.so2_total))


def _sorbate_replaced(patch: pytest.MonkeyPatch) -> None:
    whole = effects.added

    def added(body: Any, *rest: Any) -> Any:
        after, raised = whole(body, *rest)
        return replace(after, sorbate=body.sorbate_g or after.sorbate / 2), raised

    patch.setattr("cellar_tui.ledger.fold.added", added)


def _sugar_split_whole(patch: pytest.MonkeyPatch) -> None:
    whole = Amounts.share
    patch.setattr(Amounts, "share", lambda self, part: replace(whole(self, part), fed=self.fed, sugar=self.sugar))


def _nothing_poured_in(patch: pytest.MonkeyPatch) -> None:
    patch.setattr(sugar, "brings", lambda contents, source, house: 0.0)


def _unread_is_none(patch: pytest.MonkeyPatch) -> None:
    patch.setattr(sugar, "from_gravity", lambda sg, strength, colour: exactly(0.0))
    patch.setattr(sugar, "may_be_sweet", lambda contents, house: False)


def _sugar_lost_on_reading_gravity(patch: pytest.MonkeyPatch) -> None:
    whole = sugar.seen_in

    def seen_in(values: Any, newest: Any, contents: Any, now: Amounts, house: Any) -> Amounts:
        found = whole(values, newest, contents, now, house)
        return found if newest is None else replace(found, sugar=Sugar(0.0, 0.0, found.sugar.high))

    patch.setattr(sugar, "seen_in", seen_in)


def _water_weighs_nothing(patch: pytest.MonkeyPatch) -> None:
    whole = effects._brought_weight
    patch.setattr(effects, "_brought_weight", lambda body: 0.0 if body.material == "water" else whole(body))


def _stated_gravity_stays(patch: pytest.MonkeyPatch) -> None:
    whole = ferment.of_must

    def of_must(contents: Any, *rest: Any) -> bool:
        return contents.now.original is None and whole(contents, *rest)

    patch.setattr(ferment, "of_must", of_must)


def _sugar_counted_twice(patch: pytest.MonkeyPatch) -> None:
    whole = effects.of_must
    patch.setattr(effects, "of_must", lambda now, sg: replace(whole(now, sg), original=sg * now.volume + now.fed / 998))


def _strength_of_the_first_must(patch: pytest.MonkeyPatch) -> None:
    whole = ferment.strength_made
    patch.setattr(ferment, "strength_made", lambda original, sg: whole(None if original is None else 1.080, sg))


def _either_through_malolactic(patch: pytest.MonkeyPatch) -> None:
    whole = pour._malolactic
    patch.setattr(pour, "_malolactic", lambda first, second, house: (whole(first, second, house)[0], False))


def _oldest_age(patch: pytest.MonkeyPatch) -> None:
    whole = pour.blend
    patch.setattr(pour, "blend", lambda n, v, a, b, *rest: replace(whole(n, v, a, b, *rest), started=a.started))


def _one_parent(patch: pytest.MonkeyPatch) -> None:
    whole = pour.blend
    patch.setattr(pour, "blend", lambda n, v, a, *rest: replace(whole(n, v, a, *rest), parents=(a.filling,)))


def _nothing_undone(patch: pytest.MonkeyPatch) -> None:
    whole = pour.blend
    patch.setattr(pour, "blend", lambda n, v, a, *rest: replace(whole(n, v, a, *rest), log=a.log))
    for module in (bacteria, crystals, haze, yeast):
        patch.setattr(module, "blends", lambda s: iter(()))


def _any_wine_tops(patch: pytest.MonkeyPatch) -> None:
    patch.setattr(verdicts, "_toppings", lambda s, index: None)


def _bare_verdicts(patch: pytest.MonkeyPatch) -> None:
    whole = verdicts._verdict
    patch.setattr(
        verdicts, "_verdict", lambda kind, state, reason, facts, until=None: whole(kind, state, reason, (), until)
    )


def _bare_actions(patch: pytest.MonkeyPatch) -> None:
    whole = planner._merged

    def merged(dues: Any) -> Any:
        due = whole(dues)
        return replace(due, because=replace(due.because, facts=()))

    patch.setattr(planner, "_merged", merged)


def _bare_doses(patch: pytest.MonkeyPatch) -> None:
    whole = planner._merged

    def merged(dues: Any) -> Any:
        due = whole(dues)
        dose = None if due.dose is None else replace(due.dose, because=replace(due.dose.because, formula=""))
        return replace(due, dose=dose)

    patch.setattr(planner, "_merged", merged)


def _text_as_it_came(patch: pytest.MonkeyPatch) -> None:
    patch.setattr(clean_text, "clean", lambda said, *, limit, lines=False: said)


def _gallons_on_the_form(patch: pytest.MonkeyPatch) -> None:
    whole = Form.request

    def request(self: Form, *said: Any, **more: Any) -> Any:
        return replace(whole(self, *said, **more), bare={"L": "gal"})

    patch.setattr(Form, "request", request)


def _amounts_overlooked(patch: pytest.MonkeyPatch) -> None:
    patch.setattr(Places, "looked_at_amounts", lambda self, size: None)


def _looks_overlooked(patch: pytest.MonkeyPatch) -> None:
    patch.setattr(Contents, "among", lambda self, places, after=-1: [one for one in places if after < one < self.size])


@dataclass(frozen=True)
class Fault:
    """One planted fault: the law it is against, what goes wrong, and the statement that must notice."""

    law: int
    name: str
    plant: Plant
    notice: Callable[[], None]


def _story(statement: Callable[..., None], told: Callable[[], stories.Story], *more: Any) -> Callable[[], None]:
    return lambda: statement(told().entries, told().vessel, LATER, *more)


def _sweet_book(statement: Callable[..., None]) -> Callable[[], None]:
    """Return a law tried on a sweetened wine whose sugar, then gravity was read."""

    def law() -> None:
        story, book = stories.sweetened().reading("2026-11-06", residual_sugar=30.0), Book()
        for one in story.reading("2026-11-07", sg=1.004).entries:
            book.make(one.on, one.minute, one.body, one.vessel)
        statement(book)

    return law


BOARD = tried(kept.the_board_is_what_a_rebuild_gives, SHORT_BOOKS, examples=60)
ORDER = tried(core.late_entries_change_nothing, BOOKS, ORDERS)


def _book_of(story: stories.Story) -> Book:
    """Return the entries of a story as a book."""
    book = Book()
    for one in story.entries:
        book.make(one.on, one.minute, one.body, one.vessel)
    return book


def _ph_written_late() -> None:
    """A dry wine whose older pH was written down after the newer one."""
    story = stories.dry().reading("2026-10-20", ph=3.1).reading("2026-10-24", ph=3.6)
    core.late_entries_change_nothing(_book_of(story), range(99, 0, -1))


RIGHTLY = tried(core.a_correction_is_as_if_made_rightly, BOOKS)
POURED = tried(core.a_blend_takes_the_cautious_side, BOOKS)
STRENGTH = tried(
    strong.strength_follows_from_masses,
    st.sampled_from((None, 1.070, 1.099)),
    st.floats(1.06, 1.11),
    strong.MUST,
    strong.FERMENT,
)
REASONS = tried(lambda book: core.everything_has_its_reason(book.entries), BOOKS)
REFUSED = tried(kept.a_refusal_leaves_no_trace, st.permutations(sorted(kept.REFUSED)), examples=3)
MOMENTS = tried(lambda book: moments.an_answer_holds_for_its_span(book.entries), BOOKS, examples=800)

FAULTS = (
    Fault(
        1, "the plan looks at something that ticks", _clocked, tried(core.the_same_ledger_gives_the_same_plan, BOOKS)
    ),
    Fault(
        1, "nothing is ever late", _never_late, tried(core.today_moves_nothing_but_the_list, BOOKS, st.integers(0, 400))
    ),
    Fault(2, "joined vessels are not found from each other", _never_joined, BOARD),
    Fault(2, "a filling keeps its old plan", _stale_plans, BOARD),
    Fault(2, "only one vessel's lines are written", _half_a_board, BOARD),
    Fault(3, "a withdrawal leaves the corrections standing", _corrections_outlive, RIGHTLY),
    Fault(3, "a withdrawal cannot be taken back", _void_for_good, tried(core.what_stands_is_what_was_meant, BOOKS)),
    Fault(4, "entries happen in the order they were written", _by_number, ORDER),
    Fault(4, "the last pH is the one written last", _last_written, _ph_written_late),
    Fault(5, "a stop is told and not obeyed", _stops_ignored, REFUSED),
    Fault(5, "a form overtaken by others is kept", _heads_ignored, REFUSED),
    Fault(6, "SO2 is lost on pouring", _so2_poured_away, tried(core.moving_wine_conserves_it, BOOKS)),
    Fault(
        6,
        "a second dose of sorbate replaces the first",
        _sorbate_replaced,
        tried(core.no_addition_lowers_a_mass, BOOKS),
    ),
    Fault(6, "a part takes all the sugar along", _sugar_split_whole, tried(core.moving_wine_conserves_it, BOOKS)),
    Fault(
        6,
        "wine poured in brings no sugar",
        _nothing_poured_in,
        tried(
            sweet.no_sugar_comes_onto_live_yeast_without_a_stop,
            SHORT_BOOKS,
            st.just("arrested and unknown"),
            st.just(0.5),
        ),
    ),
    Fault(
        6,
        "sugar never read counts as none",
        _unread_is_none,
        tried(
            sweet.no_sugar_comes_onto_live_yeast_without_a_stop,
            SHORT_BOOKS,
            st.just("arrested and unknown"),
            st.just(0.5),
        ),
    ),
    Fault(
        6,
        "a gravity wipes out the sugar that was read",
        _sugar_lost_on_reading_gravity,
        _sweet_book(sweet.sugar_is_never_shown_lower_than_what_went_in),
    ),
    Fault(6, "water weighs nothing", _water_weighs_nothing, STRENGTH),
    Fault(6, "a stated gravity outlives the one that was read", _stated_gravity_stays, STRENGTH),
    Fault(6, "sugar older than the gravity is added to it", _sugar_counted_twice, STRENGTH),
    Fault(6, "strength is read off another must", _strength_of_the_first_must, STRENGTH),
    Fault(6, "one part through malolactic is enough", _either_through_malolactic, POURED),
    Fault(6, "a blend is as old as its first part", _oldest_age, POURED),
    Fault(6, "a blend forgets a parent", _one_parent, POURED),
    Fault(
        7,
        "a blend keeps what its first part had shown",
        _nothing_undone,
        _story(core.a_blend_leaves_no_verdict_shown, stories.all_but_air),
    ),
    Fault(
        7,
        "any wine may be topped in",
        _any_wine_tops,
        _story(core.another_wine_topped_in_lets_verdicts_lapse, stories.clear, 0.1),
    ),
    Fault(7, "verdicts name no evidence", _bare_verdicts, tried(core.no_verdict_without_evidence, BOOKS)),
    Fault(8, "actions name no inputs", _bare_actions, REASONS),
    Fault(8, "doses hide their formula", _bare_doses, REASONS),
    Fault(
        9,
        "text is kept as it came",
        _text_as_it_came,
        tried(kept.text_stays_text, st.sampled_from(HOSTILE), examples=3),
    ),
    Fault(
        10,
        "a form reads bare numbers as gallons",
        _gallons_on_the_form,
        lambda: kept.an_amount_means_the_same_everywhere("reading", "volume", "22.7", {}, 22.7),
    ),
    Fault(11, "an answer outlives the amounts it was read from", _amounts_overlooked, MOMENTS),
    Fault(11, "an answer outlives the entries it was read from", _looks_overlooked, MOMENTS),
)
