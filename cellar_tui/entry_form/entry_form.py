"""The form of one entry under way: its fields in order, the cursor, and what each key does to them, at once."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

from cellar_tui.enology.errors import CalcError
from cellar_tui.entry_form import drafts, turns
from cellar_tui.entry_form.field import filled
from cellar_tui.entry_form.field_set import FieldSet
from cellar_tui.entry_form.fields import (
    DATE,
    EVERY_READING,
    PREFILL,
    REACH,
    WAIVE,
    Slot,
    reached,
    slots,
    titration_asked,
    unit_beside,
)
from cellar_tui.entry_form.typed_line import Press
from cellar_tui.entry_form.work import Work, as_typed, typed_wrong
from cellar_tui.language.describe_entry import words
from cellar_tui.language.layout import joined
from cellar_tui.ledger import titrated, trial_doses
from cellar_tui.ledger.entry import Entry
from cellar_tui.ledger.kinds import Trial
from cellar_tui.ledger.materials import named
from cellar_tui.service.open import OpenCellar
from cellar_tui.service.records import WINE
from cellar_tui.service.views import CellarError, SaveResult

FOLLOWING: Mapping[str, tuple[str, ...]] = {
    "addition": ("amount", REACH, "strength"),
    "material": ("amount", "strength"),
    "trial": trial_doses.COUNTED,
}
"""Fields whose unit follows from the material, by kind of entry."""
NAMING = ("material", "name")
"""Fields that name the material, which the units of the others follow."""
AS_LEFT = "As you left it; nothing of it is recorded yet."
_NAME = re.compile(r"\b[a-z][a-z0-9_]*\b")
HOLD_WORDS = ("begin", "measure", "end")
MORE = "Ctrl+O all readings"
WAIVER = Slot(WAIVE, "waive because", "a reason")
State = Literal["open", "closed", "recorded"]


@dataclass(frozen=True, slots=True)
class Beside:
    """One of several entries that a form may turn to: its kind, what is known of it, its fields, and its word."""

    kind: str
    fixed: Mapping[str, str]
    names: tuple[str, ...]
    word: str


@dataclass(slots=True)
class Opening:
    """How a form opens: its fields, what stands in them, what is known beforehand, and what it may turn to."""

    prefill: Mapping[str, str] = field(default_factory=dict)
    fixed: Mapping[str, str] = field(default_factory=dict)
    names: tuple[str, ...] | None = None
    action: str = ""
    draft: drafts.Draft | None = None
    amend: Entry | None = None
    beside: tuple[Beside, ...] = ()


class EntryForm(FieldSet):
    """Fields and cursor of an entry under way; what follows from the text is worked out before the next command acts.

    Attributes:
        work: what weighs and records it.
        told: what is to be said of it, "" where there is nothing.
        stale: what was weighed last is not what stands there now.
        state: whether it is open, was closed, or was recorded.
        kept: on closing, whether a draft stays.
        recorded: what was recorded.
    """

    def __init__(self, service: OpenCellar, target: str, kind: str, opening: Opening) -> None:
        super().__init__()
        self._vessel, self._names, self._beside = target, opening.names, opening.beside
        self._typed: dict[tuple[str, str], dict[str, str]] = {}
        self.state: State = "open"
        self._doubted = ""
        self.kept = False
        self.recorded: SaveResult | None = None
        self._open(service, target, kind, opening, None)

    def _open(
        self, service: OpenCellar, target: str, kind: str, opening: Opening, carried: Mapping[str, str] | None
    ) -> None:
        """Show the fields of a kind; `carried` is what was typed before the form turned to it.

        Raises:
            CellarError: there is no such vessel.
        """
        draft, amend = opening.draft, opening.amend
        if draft is not None and draft.amends is not None:
            amend = service_entry(service, draft.amends)
        fixed, action = (opening.fixed, opening.action) if draft is None else (draft.fixed, draft.action)
        work = Work(service, target, kind, fixed=fixed, action=action, amending=amend)
        opened_with = as_typed(amend) if amend is not None else {**PREFILL.get(kind, {}), **opening.prefill}
        work.opened_with = dict(opened_with)
        draft = work.left() if draft is None else work.still(draft)
        texts = {**opened_with, **(carried or {})}
        if draft is not None:
            work.take_up(draft)
            texts = {**dict.fromkeys(opened_with, ""), **draft.fields}
        self.work, self.told, self.stale, self._dirty, self._last = work, "", False, False, ""
        names = turns.names(kind, target, self._names)
        also = [name for name in texts if texts[name]]
        shown = slots(kind, names, service.view.units, also, work.fixed.get("name", ""))
        self.fields = [filled(slot, texts.get(slot.name, "")) for slot in shown if slot.name not in work.fixed]
        for one in self.fields:
            # What another entry said, or somebody typed, is no offer of the form.
            if amend is None and draft is None and one.name not in (carried or {}):
                one.offered = one.line.text
        if texts.get(WAIVE):
            self.fields.append(filled(WAIVER, texts[WAIVE]))
        self._usual = {slot.name for slot in shown}
        self._units()
        amount = self.find("amount")
        self.go(self.fields.index(amount) if amount is not None and amount.text else self.first_empty())
        if draft is not None and (place := self.find(draft.at)) is not None:
            self.at = self.fields.index(place)
            place.line.put_cursor(draft.cursor)
        self._dirty = True
        self.settle()
        if draft is not None:
            self.told = work.found_recorded or AS_LEFT

    # -- what stands in it

    @property
    def is_changed(self) -> bool:
        """Whether something else stands in it than when it opened."""
        return any(one.text != self.work.opened_with.get(one.name, "") for one in self.fields)

    def put(self, name: str, text: str) -> None:
        """Write into a field as if it were typed."""
        if (place := self.find(name)) is not None:
            place.write(text)
            self._dirty = True
            self.settle()

    def keep(self) -> bool:
        """Keep what is typed in a file; return whether there was anything to keep."""
        if self.state == "open" and not self.work.form.pause:
            self.settle()
        return self.state == "open" and self.work.keep(self.texts(), self.field.name, self.field.line.cursor)

    # -- what follows from it

    def _stuff(self) -> str:
        said = {**self.texts(), **self.work.fixed}
        return named(next((said[name] for name in NAMING if said.get(name)), ""))

    def _units(self) -> None:
        """Show beside each field the unit that follows from the material."""
        kind, amending = self.work.kind, self.work.amending
        counted = amending.body.unit or trial_doses.FINING if amending and isinstance(amending.body, Trial) else ""
        for name in FOLLOWING.get(kind, ()):
            if (place := self.find(name)) is not None:
                place.beside = counted or unit_beside(kind, name, self._stuff(), self.work.service.view.units)

    def settle(self) -> None:
        """Work out what follows from what is typed: it depends on that alone, not on the steps by which it came."""
        if not self._dirty:
            return
        self._dirty, self.stale, self.told = False, False, ""
        reach, amount = self.find(REACH), self.find("amount")
        follows = (reach, amount) if self._last != REACH else (amount, reach)
        wrong: set[str] = set()
        try:
            if reach is not None and self._last == REACH and amount is not None:
                amount.offer("")
                if reach.text:
                    amount.offer(self.work.amount_for(self._stuff(), reach.text))
            self.work.preview(self.texts())
            if reach is not None and self._last != REACH:
                reach.offer(self._reached())
        except (CellarError, CalcError) as error:
            self.stale = True
            if reach is not None and amount is not None and follows[0] is not None:
                follows[0].offer("")
            told, wrong = typed_wrong(
                error if isinstance(error, CellarError) else CellarError(str(error)), self.texts()
            )
            self.told = self._spoken(told)
        for one in self.fields:
            one.wrong = one.name in wrong
        self._ask_waiver(self.work.asks_waiver and not self.stale)
        self._ask_titration()

    def _reached(self) -> str:
        after = None if self.work.answer is None else self.work.answer.outcomes[0].after
        return "" if after is None or not self.texts().get("amount") else reached(self._stuff(), after)

    def _ask_for(self, asked: Sequence[Slot], *, wanted: bool) -> None:
        """Show more fields while they are wanted, or something stands in them."""
        here = self.field
        for slot in asked:
            place = self.find(slot.name)
            if wanted and place is None:
                self.fields.append(filled(slot, ""))
            elif not wanted and place is not None and not place.text and here is not place:
                self.fields.remove(place)
        self.at = self.fields.index(here)

    def _ask_waiver(self, wanted: bool) -> None:
        """Ask for the reason that passes a stop, while there is a stop."""
        self._ask_for([WAIVER], wanted=wanted)

    def _ask_titration(self) -> None:
        """Ask for normality and sample while a reading is by titration or typed in millilitres."""
        if self.work.kind == "reading" and not self._usual.intersection(titrated.WITH):
            asked = slots("reading", titrated.WITH, self.work.service.view.units)[: len(titrated.WITH)]
            self._ask_for(asked, wanted=titration_asked("reading", self.texts()))

    # -- keys

    def press(self, press: Press) -> bool:
        """Act on a key; return whether it is one of a form."""
        if self.edit(press):
            self._edited()
            return True
        keys: dict[str, Callable[[], None]] = {
            "up": lambda: self.step(-1),
            "down": lambda: self.step(1),
            "tab": lambda: self.step(1),
            "shift+tab": lambda: self.step(-1),
            "enter": lambda: self.submit(again=press.again),
            "escape": self._close,
            "f9": self._close,
            "ctrl+y": lambda: self.put(DATE, "yesterday"),
            "ctrl+o": self._turn_kind,
            "f7": self._turn_vessels,
        }
        if press.key not in keys:
            return False
        if press.key in ("tab", "shift+tab", "up", "down", "enter"):
            self.field.complete()
        if press.key != "enter" or not self.work.form.pause:
            self.settle()
        keys[press.key]()
        return True

    def _edited(self) -> None:
        self._last, self._dirty, self.told = self.field.name, True, ""
        if self.field.name in NAMING:
            self._units()

    @property
    def unsettled(self) -> bool:
        """Whether something was typed that is not weighed yet."""
        return self._dirty

    def _close(self) -> None:
        self.kept = self.keep()
        self.state = "closed"

    # -- turning

    def _turn(self, kind: str, target: str) -> None:
        """Turn to another kind or to other vessels; what is typed goes along, and comes back with the way back."""
        old, texts = self.work, self.texts()
        self._typed[old.kind, old.target] = texts
        old.shelf.drop(old.draft({}))
        took = turns.carried(texts, other_kind=kind != old.kind) | self._typed.get((kind, target), {})
        opening = Opening(fixed=old.fixed, names=self._names, action=old.action)
        self._open(old.service, target, kind, opening, took)

    @property
    def title(self) -> str:
        """What stands above it: the work, where, and the keys with which it turns."""
        if not self._beside:
            return joined((turns.title(self.work), MORE if self._rest() else ""))
        now, words = self._beside[0].word, [one.word for one in self._beside]
        row = "  ".join(f"[{word}]" if word == now else word for word in HOLD_WORDS if word in words)
        return joined(("Cold hold", self._vessel, row, "Ctrl+O turns" if len(words) > 1 else "none runs"))

    def _rest(self) -> list[Slot]:
        """Return the readings that are not shown; the form of a due action asks for its own alone."""
        of_its_own = self._names is None or bool(self.work.action) or self.work.amending is not None
        if self.work.kind != "reading" or of_its_own:
            return []
        shown = {one.name for one in self.fields}
        return [
            slot for slot in slots("reading", EVERY_READING, self.work.service.view.units) if slot.name not in shown
        ]

    def _turn_kind(self) -> None:
        if len(self._beside) > 1:
            typed = {name: text for name, text in self.texts().items() if text}
            self._beside = (*self._beside[1:], self._beside[0])
            now = self._beside[0]
            self.work.shelf.drop(self.work.draft({}))
            opening = Opening(fixed=now.fixed, names=now.names, beside=self._beside)
            self._names = now.names
            self._open(self.work.service, self.work.target, now.kind, opening, typed)
        elif rest := self._rest():
            place = next((at for at, one in enumerate(self.fields) if one.name == DATE), len(self.fields))
            self.fields[place:place] = [filled(slot, "") for slot in rest]
            self.go(place)
        elif self.work.amending is None and not self.work.fixed:
            for kind in turns.beside(self.work.kind)[:1]:
                self._turn(kind, self.work.target)

    def _turn_vessels(self) -> None:
        wine, found = turns.vessels(self.work)
        if not found:
            self.told = "This work is of one vessel, or the wine lies in no other."
        elif turns.in_all(self.work.target):
            self._turn(self.work.kind, self._vessel if self._vessel in found else found[0])
        else:
            self._turn(self.work.kind, f"{WINE}{wine}")
            shared = " The amount is for all of them, shared by volume; a dose is what each gets."
            self.told = f"For {', '.join(found)}.{shared if self.work.kind == 'addition' else ''}"

    # -- recording

    def submit(self, *, again: bool = False) -> None:
        """Record what is typed; what is missing is asked for first, and a second Enter records nothing more."""
        if again or self.state != "open":
            return
        if idle := self.work.idle(self.texts()):
            self.told = idle
            self.go(0)
            return
        if (doubt := self._doubt()) and doubt != self._doubted:
            self._doubted = doubt
            self.told = doubt
            return
        try:
            answer = self.work.record(self.texts())
        except (CellarError, CalcError) as error:
            self._refused(as_refusal(error))
            return
        if answer.stopped:
            self._dirty, self.work.answer = False, answer
            self._ask_waiver(self.work.asks_waiver)
            place = self.find(WAIVE)
            self.told = "Nothing was recorded. A reason passes this stop." if place else "Nothing was recorded."
            if place is not None:
                self.go(self.fields.index(place))
            return
        if (entry := self.work.other_than_typed(answer, self.texts())) is not None:
            self._correct(entry)
            return
        self.state, self.recorded = "recorded", answer

    def _doubt(self) -> str:
        """Return what is to be said once before it is recorded, "" where nothing is: a second Enter means it."""
        if twice := self.work.twice():
            return f"{twice} Enter again records it all the same."
        return self.work.unknown_material(self.texts())

    def _correct(self, entry: Entry) -> None:
        """Go on as the correction of an entry that this form has made already, with what stands in it now."""
        old, texts = self.work, self.texts()
        self.work = Work(old.service, old.target, old.kind, fixed=old.fixed, action=old.action, amending=entry)
        self.work.opened_with = as_typed(entry)
        old.shelf.drop(old.draft({}))
        if DATE in texts and not texts[DATE] and (day := self.find(DATE)) is not None:
            day.line.put(self.work.opened_with[DATE])
        self._dirty = True
        self.settle()
        self.told = self.work.already(entry)

    def _refused(self, error: CellarError) -> None:
        told = self._spoken(str(error))
        if error.code == "moved":
            told = f"Nothing was recorded: {self.work.foreign()}. Look, then Enter."
            self.refresh(accept=True)
        self.told = told
        wrong = [name for name, _ in error.details] or [error.field or ""]
        found = next((one for one in map(self.find, wrong) if one is not None), None)
        place = self.fields.index(found) if found is not None else self.first_empty()
        if place != self.at:
            self.go(place)

    def _spoken(self, told: str) -> str:
        """Return a message as a form says it: with the names that stand before the fields."""
        # The name of the day's field, "at", is a word of every sentence.
        return spoken(told, {one.name: one.slot.label for one in self.fields if one.name != DATE})

    def refresh(self, *, accept: bool) -> None:
        """Weigh again: another program has recorded something, which `accept` takes as seen."""
        self.work.refresh(accept=accept)
        self._dirty = True
        self.settle()

    def look_again(self) -> None:
        """Weigh again, and say what another person recorded where it concerns this form."""
        told, foreign = self.told, self.work.foreign()
        self.refresh(accept=False)
        self.told = f"{foreign}. This is the new preview." if foreign else told


def as_refusal(error: CellarError | CalcError) -> CellarError:
    """Return what a calculation refuses as what the cellar refuses."""
    return error if isinstance(error, CellarError) else CellarError(str(error))


def spoken(told: str, labels: Mapping[str, str]) -> str:
    """Return a message with the names of fields as they are shown, and every other name as words.

    >>> spoken("finish_sg 772 cannot be right.", {"finish_sg": "finish SG"})
    'finish SG 772 cannot be right.'
    """
    named = {name: label for name, label in labels.items() if name != label}
    return _NAME.sub(lambda found: named.get(found[0], words(found[0]) if "_" in found[0] else found[0]), told)


def service_entry(service: OpenCellar, seq: int) -> Entry | None:
    """Return an entry of the ledger by its number, None where there is none."""
    return next((line.entry for line in service.view.ledger(None) if line.entry.seq == seq), None)
