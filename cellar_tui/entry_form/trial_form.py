"""A bench trial under way: what is tried, a field for what each glass showed, and the dose chosen."""

from __future__ import annotations

from cellar_tui.enology.errors import CalcError
from cellar_tui.entry_form import glasses
from cellar_tui.entry_form.entry_form import AS_LEFT, as_refusal, spoken
from cellar_tui.entry_form.field import Field, filled
from cellar_tui.entry_form.field_set import FieldSet
from cellar_tui.entry_form.fields import DATE, Slot
from cellar_tui.entry_form.glasses import Glass, Glasses, Trial
from cellar_tui.entry_form.typed_line import Press
from cellar_tui.entry_form.work import Work
from cellar_tui.language.quantities import QuantityError
from cellar_tui.ledger.materials import named
from cellar_tui.service.open import OpenCellar
from cellar_tui.service.views import CellarError, SaveResult

KIND = "trial"
GLASS = "glass "
NOT_CHOSEN = "No dose is chosen. Enter once more records the trial without one."


class TrialForm(FieldSet):
    """The fields of a trial: those above the glasses, one a glass, and the dose chosen.

    Attributes:
        work: what records it.
        said: what each glass showed, by its dose: it stays while the doses are changed.
        tried: the glasses as they were last worked out.
        faults: what is wrong, by field; a field that is empty is not wrong yet.
        told: what is to be said, "" where there is nothing.
        recorded: what was recorded, None while it is not, or something was changed since.
    """

    def __init__(self, service: OpenCellar, target: str, sample: str) -> None:
        super().__init__()
        self._service, self._target = service, target
        self.work = Work(service, target, KIND)
        self.said: dict[str, str] = {}
        self.tried: tuple[Glass, ...] = ()
        self.faults: dict[str, str] = {}
        self.told = ""
        self.recorded: SaveResult | None = None
        self._doubted: set[str] = set()
        self._written: dict[str, str] = {}
        self._offered_for: str | None = None
        self._above = [
            filled(Slot("material", "material", "", glasses.STUFF, materials=True), ""),
            filled(Slot("doses", "doses", ""), ""),
            filled(Slot("sample", "in a glass", "mL"), ""),
            filled(Slot("stock", "stock", "% w/v"), ""),
            filled(Slot(DATE, "day", "today, -3d"), ""),
        ]
        self._glasses: dict[str, Field] = {}
        self._chosen = filled(Slot("chosen", "chosen", ""), "")
        self._above[2].offer(sample)
        self._begin()

    def _begin(self) -> None:
        """Take up what was typed before and not recorded."""
        draft = self.work.left()
        self.fields = [*self._above, self._chosen]
        if draft is not None:
            self.work.take_up(draft)
            self.said = glasses.said_of(draft.fields.get("results", ""))
            for field in self.fields:
                if field.name in draft.fields:
                    field.write(draft.fields[field.name])
            self.told = AS_LEFT
        self._follow()
        self.go(0)
        here = None if draft is None else self.find(draft.at)
        if draft is not None and here is not None:
            self.go(self.fields.index(here))
            here.line.put_cursor(draft.cursor)

    # -- what stands in it

    @property
    def trial(self) -> Trial:
        """What is tried."""
        wine, stuff = self.work.wine(), named(self._above[0].text)
        if wine is None:
            return Trial(stuff)
        return Trial(stuff, wine.sugar_held.middle, wine.intents.sweetness)

    def entry_texts(self) -> dict[str, str]:
        """Return the fields of the entry as typed."""
        texts = self.texts()
        said = {glass.dose: self.said.get(glass.dose, "") for glass in self.tried}
        typed = {name: texts[name] for name in ("material", "doses", "chosen", DATE)}
        return {**typed, "results": glasses.results(said)}

    @property
    def chosen(self) -> float | None:
        """The dose chosen, in the unit of the trial; None while none is, or it cannot be."""
        try:
            return glasses.chosen(self.trial, self._chosen.text)
        except (QuantityError, CalcError):
            return None

    # -- what follows from it

    def _follow(self) -> None:
        """Work out units, glasses and faults: they depend on what is typed alone."""
        here, trial = self.fields[self.at], self.trial
        doses, stock = self._above[1], self._above[3]
        if trial.stuff != self._offered_for:
            self._offered_for = trial.stuff
            for one, usual in zip((doses, stock), trial.usual, strict=True):
                if not one.line.text or one.is_offered:
                    one.offer(usual)
        doses.beside = self._chosen.beside = trial.shown_unit
        found = self._found(trial)
        if not found.faults:
            self.tried = found.glasses
        self.fields = [*self._above, *(self._glass(one, trial) for one in self.tried), self._chosen]
        self.at = self.fields.index(here) if here in self.fields else len(self.fields) - 1
        faults = dict(found.faults)
        try:
            glasses.chosen(trial, self._chosen.text)
        except (QuantityError, CalcError) as error:
            faults["chosen"] = str(error)
        labels = {field.name: field.slot.label for field in self.fields}
        self.faults = {
            field.name: spoken(faults[field.name], labels) for field in self.fields if self._is_wrong(field, faults)
        }
        for one in self.fields:
            one.wrong = one.name in self.faults

    def _is_wrong(self, field: Field, faults: dict[str, str]) -> bool:
        return bool(field.line.text) and field.name in faults

    def _found(self, trial: Trial) -> Glasses:
        doses, sample, stock = (self._above[place].line.text for place in (1, 2, 3))
        return glasses.glasses(trial, doses, sample, stock, system=self._service.view.units)

    def _glass(self, glass: Glass, trial: Trial) -> Field:
        """Return the field of a glass, the one that it had before where it had one."""
        slot = Slot(f"{GLASS}{glass.dose}", f"{glass.dose} {trial.unit}", glass.stock)
        found = self._glasses.get(glass.dose) or self._glasses.setdefault(glass.dose, filled(slot, ""))
        found.slot, found.beside = slot, glass.stock
        if found.line.text != self.said.get(glass.dose, ""):
            found.write(self.said.get(glass.dose, ""))
        return found

    @property
    def cautions(self) -> list[str]:
        """What to know about the stock before it is poured."""
        return list(dict.fromkeys(one.caution for one in self.tried if one.caution))

    # -- keys

    def press(self, press: Press) -> bool:
        """Type in a field, go to another one, at the chosen dose record; return whether the key is one of these."""
        if self.edit(press):
            self._typed()
            return True
        steps = {"enter": 1, "down": 1, "tab": 1, "up": -1, "shift+tab": -1}
        if press.key not in steps:
            return False
        self.field.complete()
        self._follow()
        if press.key == "enter" and self.field is self._chosen:
            self.record(again=press.again)
        else:
            self.step(steps[press.key])
        return True

    def _typed(self) -> None:
        """Keep what is typed; a trial that was recorded and is changed is another one."""
        name, text = self.field.name, self.field.line.text
        if name.startswith(GLASS):
            self.said[name.removeprefix(GLASS)] = text
        self.told = "" if self.recorded is None else self.told
        self._follow()
        if self.entry_texts() != self._written:
            self._doubted.clear()
            if self.recorded is not None:
                self.recorded, self.told = None, ""
                self.work = Work(self._service, self._target, KIND)

    # -- recording

    def record(self, *, again: bool = False) -> None:
        """Record the trial; an unknown material, or no dose chosen, takes a second Enter."""
        if self.recorded is not None or again:
            return
        if self._service.read_only:
            self.told = "This cellar is open for reading only: nothing can be recorded."
            return
        if self.faults:
            self.told = f"Nothing was recorded: {next(iter(self.faults.values()))}"
            return
        texts = self._written = self.entry_texts()
        doubts = (self.work.unknown_material(texts), "" if texts["chosen"] else NOT_CHOSEN)
        doubt = next((doubt for doubt in doubts if doubt and doubt not in self._doubted), "")
        if doubt:
            self._doubted.add(doubt)
            self.told = doubt
            return
        self._save({name: text for name, text in texts.items() if text})

    def _save(self, texts: dict[str, str]) -> None:
        labels = {field.name: field.slot.label for field in self.fields}
        try:
            found = self.work.record(texts)
        except (CellarError, CalcError) as error:
            refusal = as_refusal(error)
            self.told = f"Nothing was recorded: {spoken(str(refusal), labels)}"
            if refusal.code == "moved":
                self.work.refresh(accept=True)
            return
        if found.stopped:
            self.told = "Nothing was recorded: " + " ".join(stop.why for stop in found.outcomes[0].stops)
            return
        self.recorded = found

    def keep(self) -> bool:
        """Keep what is typed in a file; return whether there was anything to keep."""
        texts = self.entry_texts()
        if self.recorded is not None or not (texts["material"] or texts["chosen"] or texts["results"]):
            self.work.shelf.drop(self.work.draft({}))
            return False
        return self.work.keep(texts, self.field.name, self.field.line.cursor)
