"""What an open form does, without its fields: it weighs, records, remembers a draft and follows what is aimed at."""

from __future__ import annotations

import re
import uuid
from collections.abc import Mapping
from dataclasses import replace

from cellar_tui.enology import so2 as chemistry
from cellar_tui.entry_form import drafts
from cellar_tui.entry_form.fields import DATE, REACH, WAIVE, bare_units
from cellar_tui.entry_form.hold_lines import hold_lines
from cellar_tui.entry_form.open_form import Form, HouseForm
from cellar_tui.entry_form.preview import Line, lines, with_care
from cellar_tui.entry_form.shelf import Shelf
from cellar_tui.language import describe_entry, quantities
from cellar_tui.language.cautions import care, in_glass
from cellar_tui.language.describe_setting import about_lines
from cellar_tui.language.layout import joined, wrapped
from cellar_tui.language.material_names import unknown
from cellar_tui.language.parse_entry import shown_name
from cellar_tui.ledger import titrated
from cellar_tui.ledger.entry import Entry
from cellar_tui.ledger.fields import specs
from cellar_tui.ledger.materials import material
from cellar_tui.planning import so2
from cellar_tui.planning.rules import cautions
from cellar_tui.planning.subject import Subject
from cellar_tui.planning.wine_figures import WineFigures
from cellar_tui.service.build_entries import GOVERNING
from cellar_tui.service.open import OpenCellar
from cellar_tui.service.views import CellarError, Outcome, SaveResult

_GOVERNING = {"rule": "House rule", "material": "On hand"}
_MOLECULAR = re.compile(r"(.*?)\s*(?:mol|molecular)", re.IGNORECASE)
"""An aim of molecular SO2, such as "0.8 mol"."""


class Work:
    """One entry on its way: new, or the correction of one that stands.

    Attributes:
        form: what the form can reach, decoded once.
        kind, fixed: kind of entry, and the fields that are known beforehand.
        action: key of the due action that it answers, "" where it is none's.
        opened_with: the text of the fields when the form opened.
        amending: the entry that is corrected.
        answer: what Enter would do with what was last typed in full.
        found_recorded: what is to be said of a draft whose entry was recorded already, "" for any other.
        shelf: where its draft lies.
        lies_in: the filling that it is for, so that a draft for one wine never comes back with another.
    """

    def __init__(
        self,
        service: OpenCellar,
        target: str,
        kind: str,
        *,
        fixed: Mapping[str, str] | None = None,
        action: str = "",
        amending: Entry | None = None,
    ) -> None:
        bare = bare_units(service.view.units)
        governs = kind in GOVERNING and amending is None
        self.form = HouseForm(service, kind, target, bare=bare) if governs else Form(service, target, bare=bare)
        self.kind, self.fixed, self.action, self.amending = kind, dict(fixed or {}), action, amending
        self.opened_with: dict[str, str] = {}
        self.answer: SaveResult | None = None
        self.found_recorded = ""
        self.shelf = Shelf(service)
        self.lies_in = self._filling()

    @property
    def service(self) -> OpenCellar:
        """The cellar."""
        return self.form.service

    @property
    def target(self) -> str:
        """Vessel, or `wine:NAME`."""
        return self.form.target

    @property
    def title(self) -> str:
        """What is being recorded, and on what; where it lies is said by whoever shows the form."""
        if self.amending is not None:
            verb = f"Correct entry {self.amending.seq}"
        elif self.kind in GOVERNING:
            return joined((_GOVERNING[self.kind], describe_entry.words(self.target) or "new"))
        else:
            verb = describe_entry.words(self.kind).capitalize()
        known = [
            describe_entry.words(value) for name, value in self.fixed.items() if name in ("material", "test", "action")
        ]
        return joined((verb, *known))

    def unknown_material(self, texts: Mapping[str, str]) -> str:
        """Return what is to be said of a material that neither the program nor this cellar knows, "" of any other."""
        name = {"addition": "material", "trial": "material", "material": "name"}.get(self.kind, "")
        said = unknown({**texts, **self.fixed}.get(name, ""), self.service.view.house.stock)
        weighed = "" if self.kind == "trial" else ", weighed in grams"
        return said and f"{said} Enter again records it as it stands{weighed}."

    # -- the draft

    def draft(self, texts: Mapping[str, str], at: str = "", cursor: int = 0) -> drafts.Draft:
        """Return what is typed as a draft, with the field and the place of the cursor."""
        typed = {name: text for name, text in texts.items() if text}
        heads = {str(vessel): seq for vessel, seq in self.form.heads.items()}
        amends = None if self.amending is None else self.amending.seq
        return drafts.Draft(
            self.kind,
            self.target,
            typed,
            self.form.key.hex(),
            heads,
            self.fixed,
            amends,
            action=self.action,
            wine=self.lies_in,
            at=at,
            cursor=cursor,
        )

    def _filling(self) -> str:
        if len(self.form.numbers) != 1:
            return ""
        held = self.form.base(frozenset(self.form.numbers)).cellar.holds.get(self.form.numbers[0])
        return "" if held is None else str(held.filling)

    def left(self) -> drafts.Draft | None:
        """Return what was once typed into this form and not recorded."""
        found = self.shelf.left(self.draft({}))
        return None if found is None else self.still(found)

    def still(self, draft: drafts.Draft) -> drafts.Draft | None:
        """Return a draft where it is still to be recorded.

        One whose entry was made already, with other text, goes on as the correction of that entry.
        """
        if not self.service.recorded(bytes.fromhex(draft.key)):
            return draft
        self.shelf.drop(draft)
        lines = self.service.view.ledger(None)
        entry = next((line.entry for line in lines if line.entry.key.hex() == draft.key), None)
        if entry is None or self.amending is not None or not _differs(draft.fields, entry):
            return None
        self.amending, self.opened_with = entry, as_typed(entry)
        self.found_recorded = self.already(entry)
        return replace(
            draft, key=uuid.uuid4().hex, fields={DATE: self.opened_with[DATE], **draft.fields}, amends=entry.seq
        )

    def already(self, entry: Entry) -> str:
        """Return what is to be said where this form has made an entry before, with other text."""
        names = {vessel.number: vessel.name for vessel in self.service.view.vessels()}
        said = describe_entry.entry(entry, names, self.service.view.units)
        return f"Recorded already as entry {entry.seq}: {said}. Enter corrects it to what stands here; Esc leaves it."

    def other_than_typed(self, answer: SaveResult, texts: Mapping[str, str]) -> Entry | None:
        """Return the entry that was made from this form before, where what is typed now says something else."""
        first = answer.outcomes[0]
        if not first.already or len(answer.outcomes) > 1 or self.kind in GOVERNING:
            return None
        typed = {name: text for name, text in {**texts, **self.fixed}.items() if text}
        return first.entry if _differs(typed, first.entry) else None

    def take_up(self, draft: drafts.Draft) -> None:
        """Go on with a draft: its key, and the last entries it saw; from now on it is this program's."""
        self.form.key = bytes.fromhex(draft.key)
        self.form.heads |= {int(vessel): seq for vessel, seq in draft.heads.items() if int(vessel) in self.form.heads}
        self.shelf.claim(draft)

    def keep(self, texts: Mapping[str, str], at: str = "", cursor: int = 0) -> bool:
        """Keep what is typed in a file; return whether there was anything to keep and it could be kept."""
        draft = self.draft(texts, at, cursor)
        return self.shelf.keep(
            draft, changed=draft.fields != {name: text for name, text in self.opened_with.items() if text}
        )

    # -- weighing and recording

    def idle(self, texts: Mapping[str, str]) -> str:
        """Return why what is typed records nothing, "" where it records something."""
        typed = {name: text for name, text in texts.items() if name not in (DATE, WAIVE)}
        if self.kind in GOVERNING and typed == {name: self.opened_with.get(name, "") for name in typed}:
            return "It has this value already: nothing to record."
        if self.kind != "rule" and typed and not any(typed.values()):
            return "Type at least one value; an empty form records nothing."
        return ""

    def typed(self, texts: Mapping[str, str]) -> tuple[dict[str, str], str, str]:
        """Return the fields of the entry, its day and the reason of a waiver."""
        fields = {**texts, **self.fixed}
        at, waive = fields.pop(DATE, ""), fields.pop(WAIVE, "")
        fields.pop(REACH, None)
        return fields, at, waive

    def preview(self, texts: Mapping[str, str]) -> None:
        """Weigh what Enter would do, and remember it; the whole cellar is not weighed for what would change nothing.

        Raises:
            CellarError: what is typed so far cannot be an entry.
        """
        self.answer = None if self.form.pause and self.idle(texts) else self._weigh(texts, preview=True)

    def record(self, texts: Mapping[str, str]) -> SaveResult:
        """Record what is typed, and forget its draft.

        Raises:
            CellarError: it cannot be an entry, or (code "moved") another entry was made meanwhile.
        """
        answer = self._weigh(texts, preview=False)
        if not answer.stopped:
            self.shelf.drop(self.draft({}))
        return answer

    def _weigh(self, texts: Mapping[str, str], *, preview: bool) -> SaveResult:
        fields, at, waive = self.typed(texts)
        if self.amending is None:
            weigh = self.form.preview if preview else self.form.record
            return weigh(self.kind, fields, at, waive or None)
        changed = {name: text for name, text in fields.items() if text != self.opened_with.get(name, "")}
        moved = at if at != self.opened_with.get(DATE, "") else ""
        return self.service.recorder.amend(
            self.amending.seq,
            changed,
            at=moved,
            waive=waive or None,
            preview=preview,
            key=None if preview else self.form.key,
            bare=self.form.bare,
        )

    def twice(self) -> str:
        """Return what another person has just done like it, "" where nobody has: it takes a second Enter."""
        outcomes = self.answer.outcomes if self.answer else ()
        said = (one.why for outcome in outcomes for one in outcome.cautions if one.guard == "second_hand")
        return next(said, "")

    @property
    def asks_waiver(self) -> bool:
        """Whether something stops the entry, and a reason would pass it."""
        stops = [stop for outcome in (self.answer.outcomes if self.answer else ()) for stop in outcome.stops]
        return bool(stops) and all(stop.waivable for stop in stops)

    def foreign(self) -> str:
        """Return what another person has recorded here since the form opened, "" where nobody has."""
        fresh = self.form.fresh()
        for line in self.service.view.ledger(None) if fresh else ():
            if line.entry.seq in fresh:
                names = {vessel.number: vessel.name for vessel in self.service.view.vessels()}
                said = describe_entry.entry(line.entry, names, self.service.view.units)
                return f"{line.entry.by} recorded on {line.vessel or 'the cellar'}: {said}"
        return ""

    def refresh(self, *, accept: bool) -> None:
        """Read again what the form can reach; `accept` takes what another person recorded as seen."""
        self.form.refresh(accept=accept)

    def told(self, texts: Mapping[str, str], width: int, *, stale: bool, careful: bool, brief: bool) -> list[Line]:
        """Return what is to be known before Enter; `stale` marks what was last typed in full, not what stands there.

        `careful` adds the cautions of the work, `brief` leaves out figures that stay as they are.
        """
        outcomes = () if self.answer is None else self.answer.outcomes
        found = about_lines(self.kind, self.target, self.service.view.units, width)
        hold = self.kind == "chill" or (self.kind == "reading" and not set(texts) - {"temperature", DATE})
        found += self._hold(width) if hold else []
        found += [("as last typed in full:", "quiet")] if stale and outcomes else []
        many = len(outcomes) > 1
        for outcome in outcomes if many else ():
            found += [(text, "plain") for text in wrapped(self._said(outcome), width)]
        for outcome in sorted(outcomes, key=lambda outcome: not outcome.stops):
            found += [(outcome.vessel, "head")] if many else []
            found += lines(
                outcome,
                self.service.view.units,
                width,
                waived=bool(texts.get(WAIVE)),
                limit=self.limit(outcome.after),
                brief=brief or hold or self.kind == "check",
            )
        return with_care(found, self._care({**texts, **self.fixed}), width) if careful else found

    def _hold(self, width: int) -> list[Line]:
        """Return what is served of the cold hold of the wine, or what one would take."""
        wine = self.wine()
        return [] if wine is None else hold_lines(wine, self.service.view.today, width)

    def _care(self, fields: Mapping[str, str]) -> list[str]:
        """Return the cautions of the work behind what is typed, in these vessels."""
        found = care(self.kind, fields)
        lifted = cautions.LIFTING in found and not in_glass(self.service.view.vessels(), self.target, fields.get("to"))
        return care(self.kind, fields, glass=False) if lifted else found

    def _said(self, outcome: Outcome) -> str:
        """Return what an entry for every vessel says of one of them."""
        names = {vessel.number: vessel.name for vessel in self.service.view.vessels()}
        return f"{outcome.vessel}: {describe_entry.entry(outcome.entry, names, self.service.view.units)}"

    # -- what is aimed at

    def amount_for(self, stuff: str, reach: str) -> str:
        """Return the amount that brings the wine to what it should reach; "0.8 mol" aims at molecular SO2 [mg/L].

        Raises:
            CellarError: no such aim, or the wine is there already.
        """
        try:
            molecular = _MOLECULAR.fullmatch(reach) if material(stuff).sort == "so2" else None
            wanted = reach if molecular is None else self._free_for(molecular[1])
            amount = self.form.amount_for(stuff, wanted)
        except ValueError as error:
            raise CellarError(str(error), field=REACH) from error
        if amount and float(amount) <= 0:
            raise CellarError("The wine is there already.", field=REACH)
        return amount

    def _free_for(self, molecular: str) -> str:
        wanted = quantities.parse(molecular, "mg/L", field="reach").value
        wine = self.wine()
        if wine is None or wine.ph is None:
            raise CellarError("Test the pH first: molecular SO2 depends on it.", field=REACH)
        return f"{chemistry.free_needed(wanted, wine.ph.value):.2f}"

    def wine(self) -> Subject | None:
        """Return the wine of a form for one vessel, None where it holds none."""
        if not self.form.numbers:
            return None
        held = self.form.base(frozenset(self.form.numbers)).cellar
        contents = held.holds.get(self.form.numbers[0])
        return None if contents is None else Subject(contents, held.vessels[contents.vessel], held.house)

    def limit(self, after: WineFigures | None) -> float | None:
        """Return the legal limit of total SO2 [mg/L] of the wine as it would be, None where there is no wine."""
        wine = self.wine()
        if after is None or wine is None:
            return None
        return so2.limit_at(wine, after.sugar or 0.0).value


def typed_wrong(error: CellarError, texts: Mapping[str, str]) -> tuple[str, set[str]]:
    """Return what is wrong with what is typed, and where; an empty field is not wrong yet, Enter asks for it."""
    details = error.details or ((error.field or "", str(error)),)
    found = [(name, said) for name, said in details if texts.get(name) or name not in texts]
    return " ".join(said for _, said in found), {name for name, _ in found}


def as_typed(entry: Entry) -> dict[str, str]:
    """Return an entry's fields as they were typed, else as plain values."""
    found = {DATE: entry.on.isoformat()}
    for name, spec in specs(type(entry.body)):
        value = getattr(entry.body, name)
        if value is None or spec.sort == "vessel" or name.endswith(titrated.SUFFIX):
            continue
        plain = f"{value:g}" if isinstance(value, float) else {True: "yes", False: "no"}.get(value, str(value))
        plain = f"{plain} SG" if spec.unit == "SG" else plain
        found[shown_name(name)] = entry.typed.get(shown_name(name), plain)
    return found


def _differs(typed: Mapping[str, str], entry: Entry) -> bool:
    """Return whether what is typed says something else than an entry; a day left open and an aim say nothing."""
    was = as_typed(entry)
    names = {name for name in (*typed, *was) if name not in (DATE, REACH, WAIVE)}
    return any(typed.get(name, "").strip() != was.get(name, "").strip() for name in names)
