"""The books of a life, kept beside the program's: what existed when, what went in, what was asked and answered.

A law that is broken becomes a fault with its day; nothing here asks the planner whether it is right.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date, timedelta

from cellar_tui.ledger import kinds as k
from cellar_tui.planning.plan import Action, Plan
from tests.lives.wine import YEAST_SO2, Wine

DAILY = {"cap", "gravity_check", "arrest", "warm", "cold_hold_check", "refermentation_watch", "fortify"}
"""What practice asks daily while it lasts: cap, ferment (its gravity, its warmth, its end), hold, watch."""
MONTH, MOST_ASKED = timedelta(days=28), 4
"""A month is four weeks, so that what practice asks weekly is asked 4 times in it."""
UNASKED = 60
"""Days that a finished wine is at most left without a word about its SO2."""
SO2 = {"so2_recheck", "sulfite", "final_so2", "total_so2", "ph_check"}
SO2_IN = {"g": 576.0, "mL": 57.6}
"""SO2 in metabisulfite [mg/g], and in a solution of 10 g in 100 mL [mg/mL]; computed."""
LIMIT = {"red": 150.0, "white": 200.0, "sweet": 300.0}
"""Total SO2 [mg/L] of still wine, dry red, dry white, rose and fruit, and with more than 4 g/L of sugar: OIV code."""
SORBATE_MOST = 267.0
"""Potassium sorbate [mg/L] that carries the 200 mg/L of sorbic acid of the OIV code."""
SUGAR_SWELLS = 0.00062
"""Volume [L] of a gram of dissolved sugar; common practice."""
TO_BE_SWEETENED = 1.02
"""Volume of a wine after the sugar still to come (25 g/L) over its volume now."""
LEAST_GRAMS, LEAST_SULFITE = 0.1, 1.0
"""Least that a balance of 0.1 g shows at all, and least of a strong powder that it weighs in ten steps [g]."""
FULL = 1.002


@dataclass(frozen=True)
class Fault:
    """A law that did not hold."""

    law: str
    on: date
    vessel: int
    told: str

    def __str__(self) -> str:
        """Say it on a line."""
        return f"{self.on}, vessel {self.vessel}: {self.law}: {self.told}"


@dataclass
class Filling:
    """What is known of one vessel."""

    born: date
    so2: float = 0.0
    finished: date | None = None
    malolactic: bool = False
    asked: date | None = None
    listed: set[str] = field(default_factory=set)
    asks: dict[str, list[date]] = field(default_factory=dict)
    changes: list[tuple[date, str]] = field(default_factory=list)
    gravities: list[tuple[date, float]] = field(default_factory=list)


class Account:
    """Books of every vessel of a life, and the faults found."""

    def __init__(self, style: str) -> None:
        self.style = style
        self.encouraged = style in ("dry_red", "dry_white_malolactic")
        self.books: dict[int, Filling] = {}
        self.faults: list[Fault] = []
        self.answers: Counter[str] = Counter()
        self.bottlings: list[tuple[int, date]] = []

    def fault(self, law: str, on: date, vessel: int, told: str) -> None:
        """Note a law that does not hold."""
        self.faults.append(Fault(law, on, vessel, told))

    def started(self, vessel: int, on: date, volume: float, finished: bool) -> None:
        """Open the books of a wine; what yeast leaves counts until total SO2 is measured."""
        self.books[vessel] = Filling(on, so2=YEAST_SO2 * volume, finished=on if finished else None)
        self.books[vessel].malolactic = finished

    def split(self, vessel: int, to: int, on: date) -> None:
        """Open the books of what was split off."""
        old = self.books[vessel]
        half = old.so2 / 3
        self.books[to] = Filling(on, half, old.finished and on, old.malolactic, old.asked and on)
        old.so2 -= half
        self.changed(vessel, on)

    def shrank(self, vessel: int, share: float) -> None:
        """Let what is in a wine go with the part of it that went."""
        self.books[vessel].so2 *= share

    def moved(self, vessel: int, to: int, on: date) -> None:
        """Let the books follow a wine into another vessel."""
        self.books[to] = self.books.pop(vessel)
        self.changed(to, on)

    def bottled(self, vessel: int, store: int, on: date) -> None:
        """Close the books of a wine and open those of its bottles."""
        self.books.pop(vessel)
        self.books[store] = Filling(on)
        self.bottlings.append((store, on))

    def changed(self, vessel: int, on: date, rule: str = "") -> None:
        """Note that a wine is no longer what it was, by the answer to which action."""
        if vessel in self.books:
            self.books[vessel].changes.append((on, rule))

    def put_off(self, vessel: int, rule: str, until: date) -> None:
        """Note that a hand wants not to be asked until a day."""
        book = self.books[vessel]
        if rule in SO2:
            book.asked = max(until, book.asked or until)
        book.listed.discard(rule)

    def looked(self, vessel: int, today: date, plan: Plan, listed: list[Action], wine: Wine | None) -> None:
        """Hold the list of a day."""
        book = self.books[vessel]
        for one in plan.actions:
            if one.due < book.born or one.show < book.born:
                self.fault("nothing due before its wine", today, vessel, f"{one.rule} {one.due}, wine {book.born}")
        rules = {one.rule for one in listed}
        for rule in rules - book.listed - DAILY:
            self._asked(book, vessel, rule, today)
        book.listed = rules
        if rules & SO2:
            book.asked = max(today, book.asked or today)
        if wine is not None and self._keeping(book):
            since = max(book.finished or today, book.asked or book.born)
            if (today - since).days > UNASKED:
                self.fault("SO2 asked within 60 d", today, vessel, f"last word of {since}")
                book.asked = today
        for one in listed:
            if one.dose is not None and wine is not None:
                self._weighable(vessel, today, one)

    def _keeping(self, book: Filling) -> bool:
        return book.finished is not None and (book.malolactic or not self.encouraged)

    def _asked(self, book: Filling, vessel: int, rule: str, today: date) -> None:
        changed = [on for on, by in book.changes if by != rule]
        since = max([today - MONTH, *changed])
        asks = [on for on in book.asks.get(rule, []) if on > since]
        book.asks[rule] = [*asks, today]
        if len(book.asks[rule]) > MOST_ASKED:
            days = ", ".join(map(str, book.asks[rule]))
            self.fault("asked 4 times a month at most", today, vessel, f"{rule}: {days}")
            book.asks[rule] = []

    def _weighable(self, vessel: int, today: date, one: Action) -> None:
        dose = one.dose
        assert dose is not None
        least = LEAST_SULFITE if "sulfite" in dose.material else LEAST_GRAMS
        if dose.unit == "g" and dose.amount < least - 1e-9:
            self.fault("no dose too small to weigh", today, vessel, f"{one.rule}: {dose.amount:.3g} g {dose.material}")

    def dosed(self, vessel: int, today: date, action: Action, body: k.Addition, wine: Wine) -> None:
        """Hold a dose that is about to go in: within the law, and with room for it."""
        book, amount = self.books[vessel], body.amount or 0.0
        brought = 0.0
        if body.material == "potassium_metabisulfite":
            brought = amount * SO2_IN["g"]
        elif body.material == "so2_solution":
            brought = amount * SO2_IN["mL"]
        sweet = (
            wine.sweet
            or self.style in ("arrested_sweet", "fortified")
            or (wine.sg > 0.998 and (wine.finished or wine.chilled))
        )
        most = LIMIT["sweet" if sweet else "red" if "red" in self.style else "white"]
        total = (book.so2 + brought) / wine.volume
        if brought and total > most + 1.0:
            self.fault(
                "no dose over a limit", today, vessel, f"{action.rule}: total SO2 {total:.0f} of {most:.0f} mg/L"
            )
        sorbate = amount * 1000 / (wine.volume * TO_BE_SWEETENED)
        if body.material == "potassium_sorbate" and sorbate > SORBATE_MOST:
            self.fault("no dose over a limit", today, vessel, f"sorbate {sorbate:.0f} mg/L")
        litres = amount if body.material == "spirit" else amount * SUGAR_SWELLS if body.material == "sugar" else 0.0
        if litres and wine.volume + litres > wine.capacity * FULL + (0.02 * litres if body.material == "spirit" else 0):
            told = f"{action.rule}: {litres:.2f} L into {wine.capacity - wine.volume:.2f} L of room"
            self.fault("no dose into a full vessel", today, vessel, told)

    def stopped(self, vessel: int, today: date, action: Action, body: k.Body, stops: list[str]) -> None:
        """Hold that no guard stops what was asked for."""
        if stops:
            said = f"{action.rule} by {body.kind}: {'; '.join(stops)}"
            self.fault("no advice that a guard stops", today, vessel, said)

    def gone(self, vessel: int, today: date, action: Action, listed: Iterable[Action], how: str = "") -> None:
        """Hold that what was answered is gone, unless another step of it follows."""
        for one in listed:
            if one.rule == action.rule and (one.task, one.dose is None) == (action.task, action.dose is None):
                self.fault("answered is gone that day", today, vessel, f"{one.rule}: {one.task}{how}")

    def answered(self, vessel: int, today: date, action: Action, listed: Iterable[Action]) -> None:
        """Hold that what was just answered is gone, and is asked for no longer."""
        self.answers[action.rule] += 1
        self.gone(vessel, today, action, listed)
        if vessel in self.books:
            self.books[vessel].listed.discard(action.rule)

    def happened(self, vessel: int, today: date, body: k.Body, rule: str, wine: Wine | None) -> None:
        """Keep the books of what happened to a wine."""
        book = self.books.get(vessel)
        if book is None or wine is None:
            return
        moves = (k.Addition, k.Racking, k.Press, k.Blend, k.Topping, k.Filter, k.Chill, k.Decide, k.Intent)
        failed = isinstance(body, k.Check) and body.result == "fail"
        if failed or (isinstance(body, moves) and not isinstance(body, k.Decide)):
            book.changes.append((today, rule))
        if isinstance(body, k.Addition):
            self._went_in(book, body, today)
        elif isinstance(body, k.Blend):
            book.so2 = YEAST_SO2 * wine.volume + wine.so2
        elif isinstance(body, k.Reading):
            self._read(book, body, today, wine)

    def _went_in(self, book: Filling, body: k.Addition, today: date) -> None:
        amount = body.amount or 0.0
        book.so2 += amount * {"potassium_metabisulfite": SO2_IN["g"], "so2_solution": SO2_IN["mL"]}.get(
            body.material or "", 0.0
        )
        if body.so2_mg:
            book.asked = max(today, book.asked or today)

    def _read(self, book: Filling, body: k.Reading, today: date, wine: Wine) -> None:
        if body.free_so2 is not None:
            book.asked = max(today, book.asked or today)
        if body.total_so2 is not None:
            book.so2 = body.total_so2 * wine.volume
        if body.malic is not None and body.malic < 0.2:
            book.malolactic = True
        if body.sg is not None:
            book.gravities.append((today, body.sg))
            steady = [on for on, sg in book.gravities if abs(sg - body.sg) <= 0.001 and (today - on).days >= 3]
            if steady and body.sg <= 0.993 and book.finished is None:
                book.finished = today
