"""An open form: what it can reach decoded once, so that a letter typed touches neither store nor disk."""

from __future__ import annotations

import uuid
from collections.abc import Mapping

from cellar_tui.enology import sweetening
from cellar_tui.language import quantities
from cellar_tui.ledger.materials import amount_for_dose, material
from cellar_tui.planning import so2
from cellar_tui.planning.consider import CellarState
from cellar_tui.planning.subject import Subject
from cellar_tui.service import build_entries
from cellar_tui.service.open import OpenCellar
from cellar_tui.service.reachable import CELLAR, Reachable
from cellar_tui.service.views import Request, SaveResult


class Form:
    """A form that is being filled in for one vessel or wine.

    Attributes:
        target: vessel name, or `wine:NAME`.
        key: kept for the life of the form, so that a second Enter makes no second entry.
        heads: last entry of each vessel when the form opened.
    """

    pause = 0.0
    """Seconds for which typing must rest before it is weighed."""

    def __init__(
        self,
        service: OpenCellar,
        target: str,
        *,
        key: bytes | None = None,
        bare: Mapping[str, str | None] | None = None,
    ) -> None:
        self.service = service
        self.target = target
        self.key = key or uuid.uuid4().bytes
        self.bare = dict(bare or {})
        self.refresh()

    def refresh(self, *, accept: bool = True) -> None:
        """Read again what the form can reach: another person has recorded something.

        `accept` takes what was recorded meanwhile as seen.
        """
        self._reachable: Reachable = self.service.reachable(self.target)
        self.numbers = self._reachable.numbers
        if accept:
            self.heads = self._reachable.seen

    def fresh(self) -> set[int]:
        """Return the last entries made here since the form saw it, empty where there are none."""
        return {seq for vessel, seq in self._reachable.heads().items() if self.heads.get(vessel) != seq}

    def base(self, vessels: frozenset[int]) -> CellarState:
        """Return what these vessels can reach, decoded once."""
        return self._reachable.standing(vessels)

    def wine_vessels(self, wine: str) -> tuple[int, ...]:
        """Return the vessels in which a wine lies."""
        return self._reachable.wine_of(wine)

    def request(self, kind: str, fields: Mapping[str, str], at: str = "", waive: str | None = None) -> Request:
        """Return what is typed as a request; empty fields are left out."""
        said = {name: text for name, text in fields.items() if text.strip()}
        return Request(self.target, kind, said, at, self.service.by, waive, self.key, self.heads, self.bare)

    def preview(self, kind: str, fields: Mapping[str, str], at: str = "", waive: str | None = None) -> SaveResult:
        """Return what Enter would record, from memory.

        Raises:
            CellarError: what is typed so far cannot be an entry.
        """
        return self._reachable.weigh([(self.request(kind, fields, at, waive), self.numbers)], base=self.fixed_base())

    def amount_for(self, stuff: str, reach: str) -> str:
        """Return the amount that brings the wine to what it should reach, as text to be typed; "" where none does.

        For a sulfite `reach` is free SO2 [mg/L]; for sugar the sugar in the wine [g/L]; else the material [mg/L].

        Raises:
            QuantityError: `reach` is no such value.
        """
        held = self.base(frozenset(self.numbers)).cellar
        contents = held.holds.get(self.numbers[0])
        if contents is None:
            return ""
        s = Subject(contents, held.vessels[contents.vessel], held.house)
        known = material(stuff)
        if known.sort == "so2":
            part, _ = so2.share(s)
            now = None if s.free is None else so2.expected(s, self.service.view.today)
            missing = quantities.parse(reach, "mg/L", field="reach").value - (now or 0.0)
            dose = max(0.0, missing) / part
        elif known.sort == "sugar":
            rise = quantities.parse(reach, "g/L", field="reach").value - s.sugar_held.middle
            return quantities.number(sweetening.sugar_for(s.volume, max(0.0, rise)), "g", figures=0)
        else:
            dose = quantities.parse(reach, "mg/L", field="reach").value
        strength = held.house.stock[stuff].strength if stuff in held.house.stock else None
        amount = amount_for_dose(stuff, dose, s.volume, strength)
        return f"{amount:.2f}" if amount < 100 else f"{amount:.0f}"

    def fixed_base(self) -> CellarState | None:
        """Return what every entry of this form is weighed against; None where each vessel's own entries are."""
        return None

    def record(self, kind: str, fields: Mapping[str, str], at: str = "", waive: str | None = None) -> SaveResult:
        """Record what is typed.

        Raises:
            CellarError: it cannot be an entry, or (code "moved") another entry was made on the vessel meanwhile.
        """
        keep = self.service.recorder.start_wine if kind == "wine" else self.service.recorder.record
        return keep(self.request(kind, fields, at, waive))


class HouseForm(Form):
    """A form for a house rule or a material on hand: it governs every plan, so that it reaches the whole cellar.

    Attributes:
        kind: rule or material.
        target: name of the house rule or material, "" for a material that is still to be named.
        heads: the last entry on it that was seen.
    """

    pause = 0.4

    def __init__(
        self, service: OpenCellar, kind: str, target: str, *, bare: Mapping[str, str | None] | None = None
    ) -> None:
        self.kind = kind
        super().__init__(service, target, bare=bare)

    def refresh(self, *, accept: bool = True) -> None:
        """Read the cellar again: another person has recorded something."""
        self._reachable = self.service.reachable("")
        self.numbers = ()
        self._whole = self._reachable.standing(None)
        if accept:
            self.heads = {CELLAR: self._newest()}

    def _newest(self) -> int:
        return build_entries.newest(self._whole.entries, self.kind, self.target)

    def fresh(self) -> set[int]:
        """Return the last entry on it where it was made since the form saw it."""
        written = self.service.view.house_ledger(self.kind, self.target)
        last = written[0].entry.seq if written else 0
        return {last} - {self.heads[CELLAR]}

    def base(self, vessels: frozenset[int]) -> CellarState:
        """Return the whole cellar."""
        return self._whole

    def fixed_base(self) -> CellarState | None:
        """Return the whole cellar: a house rule governs every plan."""
        return self._whole

    def request(self, kind: str, fields: Mapping[str, str], at: str = "", waive: str | None = None) -> Request:
        """Return what is typed as a request; an empty value puts a house rule back to its default."""
        said = {name: text for name, text in fields.items() if text.strip() or name == "value"}
        return Request("", kind, said, by=self.service.by, key=self.key, bare=self.bare)

    def record(self, kind: str, fields: Mapping[str, str], at: str = "", waive: str | None = None) -> SaveResult:
        """Record what is typed.

        Raises:
            CellarError: it cannot be right, or (code "moved") another entry on it was made meanwhile.
        """
        seen = self.heads[CELLAR] if self.target else None
        return self.service.recorder.govern(self.request(kind, fields), seen=seen)
