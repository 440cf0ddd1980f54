"""Random small cellars: three to five vessels, two or three wines, everything a cellar hand may write down."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta
from typing import Any

from hypothesis import strategies as st

from cellar_tui.ledger import bottle_stock
from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.cellar import Cellar
from cellar_tui.ledger.cellar_kinds import OUTSIDE_TIME, HouseRule, MaterialOnHand, Vessel, Void, WineStart
from cellar_tui.ledger.contents import Contents
from cellar_tui.ledger.effects import weighed_out
from cellar_tui.ledger.fold import replay
from cellar_tui.ledger.standing import standing_entries
from cellar_tui.ledger.styles import STYLES
from cellar_tui.planning.rules.table import RULE_BY_ID
from tests.laws.book import START, Book

Draw = Callable[[st.SearchStrategy[Any]], Any]

VESSEL_KINDS = ("glass", "steel", "oak", "plastic")
ADDED: dict[str, tuple[float, ...]] = {
    "potassium_metabisulfite": (0.5, 1, 2),
    "so2_solution": (10, 20),
    "potassium_sorbate": (2, 4),
    "sugar": (100, 500),
    "honey": (200,),
    "juice": (0.5,),
    "yeast": (5,),
    "malolactic_culture": (1,),
    "spirit": (0.5, 4),
    "bentonite": (10,),
    "tartaric_acid": (10,),
    "potassium_bicarbonate": (5,),
    "water": (0.25,),
    "copper_sulfate": (0.01,),
}
READ: dict[str, tuple[float, ...]] = {
    "sg": (1.09, 1.04, 0.996, 0.993, 0.992),
    "ph": (3.0, 3.25, 3.6),
    "free_so2": (5, 25, 32, 40),
    "malic": (2.5, 1.0, 0.1),
    "total_so2": (45, 90),
    "residual_sugar": (1.0, 25.0),
    "alcohol": (12.0, 19.0),
    "temperature": (2.0, 20.0),
    "turbidity": (0.5,),
    "volume": (5.0, 18.0, 22.0),
}
LOOKS = ("clarity", "level", "cold_test", "heat_test", "chromatogram", "smell")
RULES = (
    ("free_floor", "25"),
    ("steady_days", "2"),
    ("dry_sg", "0.998"),
    ("jurisdiction", "eu"),
    ("loss_glass", "0.01"),
)
HOURS = (None, None, None, 480, 720, 1080)

ACTS = (
    *["reading"] * 5,
    *["addition"] * 5,
    *["racking"] * 2,
    *["topping"] * 3,
    *["split"] * 3,
    *["blend"] * 3,
    "press",
    *["free run"] * 2,
    *["harvest"] * 2,
    *["bottles"] * 6,
    "loss",
    *["bottle"] * 3,
    *["check"] * 2,
    *["filter"] * 2,
    "gas",
    "chill",
    "intent",
    "decide",
    "waive",
    "note",
    "tasting",
    *["lab report"] * 2,
    *["cleaning"] * 2,
    "skip",
    "postpone",
    "trial",
    "rule",
    "material",
    "wine",
    *["amend"] * 4,
    *["void"] * 3,
    *["void of a void"] * 3,
)
"""What is drawn, as often as it stands here."""


class Hand:
    """Draws the next thing that is written into a book."""

    def __init__(self, draw: Draw, book: Book) -> None:
        self.draw, self.book, self.day = draw, book, START
        self.vessels: list[int] = []

    def pick(self, options: Any) -> Any:
        """Draw one of several."""
        return self.draw(st.sampled_from(tuple(options)))

    def begin(self) -> None:
        """Enter the vessels and start two or three wines."""
        for number in range(self.draw(st.integers(3, 5))):
            body = Vessel(
                name=f"V{number + 1}", capacity=self.pick((5.0, 23.0, 54.0)), material=self.pick(VESSEL_KINDS)
            )
            self.vessels.append(self.book.make(START, None, body, None))
        for vessel in self.vessels[: self.draw(st.integers(2, 3))]:
            self.book.make(START + timedelta(days=self.draw(st.integers(0, 3))), None, self.wine(), vessel)

    def wine(self) -> WineStart:
        """Draw a wine that begins: must, or brought in finished."""
        style = self.pick(STYLES)
        told: dict[str, Any] = {
            "name": self.pick(("Hill", "Dale", "Moor")),
            "style": style,
            "volume": self.pick((4.0, 20.0, 22.0)),
        }
        if style == "fortified":
            told["colour"] = "red"
        if self.draw(st.booleans()):
            told |= {
                "finished": True,
                "alcohol": 12.0,
                "total_so2": self.pick((None, 60.0)),
                "sorbate": self.pick((None, 150.0)),
            }
            told["malolactic"] = self.pick((None, "done", "running"))
        else:
            told |= {"sg": self.pick((1.085, None)), "source": self.pick((None, "fruit", "juice"))}
        return WineStart(**told)

    def when(self) -> tuple[date, int | None]:
        """Draw a day: mostly the same or a later one, often an earlier one, some with an hour."""
        ahead = self.draw(st.integers(-2, 6))
        if ahead >= 0:
            self.day += timedelta(days=ahead)
            on = self.day
        else:
            on = START + timedelta(days=self.draw(st.integers(0, max(0, (self.day - START).days))))
            self.book.acts["back-dated"] += on < self.day
        minute = self.pick(HOURS)
        self.book.acts["with an hour"] += minute is not None
        return on, minute

    def cellar(self) -> Cellar:
        """Return what the vessels hold now."""
        return replay(standing_entries(self.book.entries))

    def act(self) -> None:
        """Draw one act and write it down, where there is anything it can be done to."""
        name = self.pick(ACTS)
        if name in ("void", "void of a void"):
            self._withdraw(name)
            return
        if name == "amend":
            self._amend()
            return
        if name in ("rule", "material"):
            self._house(name)
            return
        cellar = self.cellar()
        stores = [number for number, contents in cellar.holds.items() if contents.store]
        if name == "bottles" and not stores:
            return
        wines = [number for number in cellar.holds if number not in stores]
        held = stores if name == "bottles" else [*wines, *stores] if name in ("check", "note") else wines
        vessel = self.pick(held or self.vessels)
        body = self.wine() if name == "wine" else self._body(name, vessel, cellar)
        if body is None:
            return
        if name in ("wine", "cleaning"):
            vessel = self.pick([one for one in self.vessels if one not in cellar.holds] or self.vessels)
        on, minute = self.when()
        self.book.make(on, minute, body, vessel)
        self.book.acts[name] += 1

    def _house(self, name: str) -> None:
        body: k.Body = MaterialOnHand(name="potassium_metabisulfite", strength=0.9)
        if name == "rule":
            rule, value = self.pick(RULES)
            body = HouseRule(name=rule, value=value)
        self.book.make(self.day, None, body, None)
        self.book.acts[name] += 1

    def _body(self, name: str, vessel: int, cellar: Cellar) -> k.Body | None:
        """Draw what an entry says; None where the cellar has no room for it."""
        held = cellar.holds.get(vessel)
        volume = held.now.volume if held else 10.0
        others = [one for one in cellar.holds if one != vessel and not cellar.holds[one].store]
        empty = [one for one in self.vessels if one not in cellar.holds]
        part = self.pick((1.0, 0.5, 0.1, 0.01))  # all of it, again and again: the edge is where mistakes are
        if name in ("topping", "blend") and others:
            return self._joined(name, self.pick(others), part, cellar, empty)
        if name == "free run" and empty:
            return k.Press(to=self.pick(empty), volume=volume * part, fraction="free_run")
        if name == "bottles":
            return self._out(held)
        if name == "split" and empty:
            return k.Split(to=self.pick(empty), volume=volume * part, name=self.pick((None, "Twin")))
        simple: dict[str, Callable[[], k.Body]] = {
            "reading": self._reading,
            "addition": self._addition,
            "racking": lambda: k.Racking(to=self.pick((None, *empty)), volume=self.pick((None, volume * 0.95))),
            "harvest": lambda: k.Harvest(
                parcel=self.pick(("Upper", "Lower")),
                kg=100.0,
                sg=self.pick((None, 1.085)),
                volume=self.pick((None, 2.0)),
            ),
            "press": lambda: k.Press(volume=volume * 0.9),
            "topping": lambda: k.Topping(outside=True, wine="Hill", volume=0.5),
            "loss": lambda: k.Loss(volume=volume * part, reason="spilt"),
            "bottle": lambda: k.Bottle(
                count=max(1, int(volume * part / 0.75)),
                size=750,
                left=self.pick((None, volume * (1 - part))),
                filter=self.pick((None, "sterile", "0.45")),
                store=f"store {len(self.book.entries) + 1}",
                into=self.pick((None, *(one for one in cellar.holds if cellar.holds[one].store))),
            ),
            "check": lambda: k.Check(test=self.pick(LOOKS), result=self.pick(("pass", "pass", "fail"))),
            "filter": lambda: k.Filter(pore=0.45, sterile=self.pick((None, True))),
            "gas": k.Gas,
            "chill": lambda: k.Chill(
                **self.pick(({"start": True}, {"end": True})), temperature=self.pick((-1.0, 2.0)), place="fridge"
            ),
            "intent": lambda: k.Intent(
                **self.pick(
                    (
                        {"bottling": date(2027, 4, 1)},
                        {"style": "dry_red"},
                        {"malolactic": "prevented"},
                        {"sweetness": 30.0},
                        {"sterile_filtration": True},
                    )
                )
            ),
            "decide": lambda: self._decision(),
            "note": lambda: k.Note(text="tasted"),
            "tasting": lambda: k.Tasting(
                nose="pears", score=14.0, scale=20.0, faults=self.pick((None, ("vinegar",), ("oxidised", "bitter")))
            ),
            "lab report": self._report,
            "cleaning": lambda: k.Cleaning(how=self.pick(("rinsed", "sulfur_stick", "soaked"))),
            "waive": lambda: k.Waive(stability=self.pick(k.STABILITIES), reason="known wine"),
            "trial": lambda: k.Trial(material="bentonite", doses=(20.0, 40.0), chosen=20.0, results="clear at 20"),
            "skip": lambda: k.Skip(action=self.pick(RULE_BY_ID), reason="looked at"),
            "postpone": lambda: k.Postpone(
                action=self.pick(RULE_BY_ID), until=self.day + timedelta(days=9), reason="away"
            ),
        }
        return simple[name]() if name in simple else None

    def _out(self, held: Contents | None) -> k.Bottles | None:
        """Draw what becomes of bottles: some of those there, all of them, or more than there are."""
        if held is None or not held.store:
            return None
        there = bottle_stock.stock(held).total
        how = self.pick(("drunk", "given", "sold", "broken", "returned", "kept"))
        return k.Bottles(count=float(self.pick((1, max(1, there // 2), max(1, there), there + 1))), how=how)

    def _joined(self, name: str, source: int, part: float, cellar: Cellar, empty: list[int]) -> k.Body:
        volume = cellar.holds[source].now.volume * part
        if name == "topping":
            return k.Topping(source=source, volume=volume)
        return k.Blend(source=source, volume=volume, to=self.pick((None, *empty)), name=self.pick((None, "Cuvee")))

    def _reading(self) -> k.Reading:
        first, second = self.pick(READ), self.pick(READ)
        method = self.pick((None, "aspiration", "strip")) if "free_so2" in (first, second) else None
        values = {name: self.pick(READ[name]) for name in (first, second)}
        return k.Reading(**values, method=method)

    def _report(self) -> k.LabReport:
        first, second = self.pick(READ), self.pick(READ)
        values = {name: self.pick(READ[name]) for name in (first, second)}
        return k.LabReport(**values, laboratory="North Lab", reference="77/3")

    def _addition(self) -> k.Addition:
        material = self.pick(ADDED)
        return weighed_out(k.Addition(material=material), float(self.pick(ADDED[material])), None)

    def _decision(self) -> k.Decide:
        about = self.pick(k.DECISIONS)
        return k.Decide(about=about, choice=self.pick(k.DECISIONS[about]), reason="as tasted")

    def _amend(self) -> None:
        """Correct an entry: what it says, its day, or the vessel it was made on."""
        book = self.book
        sound = [one for one in book.stands if not isinstance(one.body, (*OUTSIDE_TIME, WineStart))]
        if not sound:
            return
        old = self.pick(sound)
        how = self.pick(("another day", "another vessel", "other words"))
        on, minute, vessel, body = old.on, old.minute, old.vessel, old.body
        if how == "another day":
            on = START + timedelta(days=self.draw(st.integers(0, 40)))
        elif how == "another vessel":
            vessel = self.pick(self.vessels)
        else:
            body = self._other_words(body)
        book.make(on, minute, body, vessel, book.tips[old.root])
        book.acts[f"amend: {how}"] += 1

    def _other_words(self, body: k.Body) -> k.Body:
        if isinstance(body, k.LabReport):
            return self._report()
        if isinstance(body, k.Reading):
            return self._reading()
        if isinstance(body, k.Addition):
            return self._addition()
        volume = getattr(body, "volume", None)
        if isinstance(body, k.Racking | k.Topping | k.Split | k.Blend | k.Loss | k.Press) and volume is not None:
            return replace(body, volume=volume / 2)
        return k.Note(text="meant for another book") if isinstance(body, k.Note) else body

    def _withdraw(self, name: str) -> None:
        """Withdraw an entry or a correction of it, or take a withdrawal back."""
        book, found = self.book, []
        for one in book.entries:
            last = book.entries[book.tips[book.chain_of[one.seq]] - 1]
            wine = not isinstance(book.entries[book.chain_of[one.seq] - 1].body, (*OUTSIDE_TIME, WineStart))
            void = isinstance(one.body, Void)
            if wine and book.alive(one.seq) and void == (name == "void of a void") and (not void or one is last):
                found.append(one)
        if not found:
            return
        one = self.pick(found)
        root = book.entries[book.chain_of[one.seq] - 1]
        book.make(root.on, root.minute, Void(one.seq), root.vessel, book.tips[root.seq])
        book.acts[name] += 1


@st.composite
def cellars(draw: Draw, least: int = 6, most: int = 22) -> Book:
    """Draw the book of a small cellar with so many acts after its wines were started."""
    book = Book()
    hand = Hand(draw, book)
    hand.begin()
    for _ in range(draw(st.integers(least, most))):
        hand.act()
    return book
