"""A drawn life: one or two hands keep a wine for so many days, and write down what they do, fail to do and get wrong.

The number of a life decides everything in it, so that a life that breaks a law can be lived again.
"""

from __future__ import annotations

import random
import re
from collections import Counter
from dataclasses import asdict, dataclass, replace
from datetime import UTC, date, datetime, timedelta
from typing import Any

from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.cellar import Cellar
from cellar_tui.ledger.cellar_kinds import Vessel, Void, WineStart
from cellar_tui.ledger.contents import Contents
from cellar_tui.ledger.effects import weighed_out
from cellar_tui.ledger.entry import Entry
from cellar_tui.ledger.fold import apply, replay
from cellar_tui.ledger.standing import standing_entries
from cellar_tui.ledger.styles import STYLES
from cellar_tui.planning.guards.base import Act
from cellar_tui.planning.guards.table import judge
from cellar_tui.planning.plan import Action, Plan
from cellar_tui.planning.planner import on_day, plan
from cellar_tui.planning.rules.base import ResponseForm
from cellar_tui.planning.rules.table import RULE_BY_ID
from cellar_tui.planning.subject import Subject
from tests.lives.account import Account
from tests.lives.wine import PRESSED, Wine

BEGUN = date(2026, 9, 20)
WRITTEN = datetime(2030, 1, 1, tzinfo=UTC)
NAMES = tuple(STYLES)
HANDS = ("Ada", "Ben")
FINISH = {"arrested_sweet": 1.015, "fortified": 1.020}
WALK = list(RULE_BY_ID)
TRIED = 3
"""Times in a life that each way to answer the same task is tried beside the one that is taken."""
STRONG = ("sulfite", "sorbate", "sweeten", "nutrient", "fortify")
"""Actions whose addition is made by the dose alone: without one there is nothing to weigh out."""
BUSY = 25
"""Actions that a hand does on one day before it is clear that the list does not end."""


@dataclass(frozen=True)
class Manner:
    """How a hand works: the chance that it does so, each day or each time."""

    away: float = 0.0
    ignores: float = 0.0
    skips: float = 0.0
    postpones: float = 0.0
    mistypes: float = 0.0
    twice: float = 0.0
    moves: float = 0.0
    fails: float = 0.04
    strips: bool = False

    @property
    def attentive(self) -> bool:
        """It does what falls due on the day it does."""
        return not (self.away or self.ignores or self.skips)


ATTENTIVE = Manner()


def manner(number: int, dice: random.Random) -> Manner:
    """Draw how the hand of a life works: every second block of ten lives, one of each style, has an attentive one."""
    if number // len(NAMES) % 2 == 0:
        return replace(ATTENTIVE, strips=dice.random() < 0.2)
    return Manner(
        away=dice.uniform(0.0, 0.06),
        ignores=dice.uniform(0.0, 0.5),
        skips=dice.uniform(0.0, 0.08),
        postpones=dice.uniform(0.0, 0.10),
        mistypes=dice.uniform(0.0, 0.06),
        twice=dice.uniform(0.0, 0.03),
        moves=dice.uniform(0.0, 0.01),
        fails=dice.uniform(0.02, 0.25),
        strips=dice.random() < 0.4,
    )


class Life:
    """One cellar: a wine, an empty vessel or two, and a few litres of another finished wine to blend."""

    def __init__(self, number: int) -> None:
        self.number, self.dice = number, random.Random(number)
        self.style = NAMES[number % len(NAMES)]
        self.manner = manner(number, self.dice)
        self.account = Account(self.style)
        self.entries: list[Entry] = []
        self.today, self.back = BEGUN, BEGUN
        self.wines: dict[int, Wine] = {}
        self.later: list[tuple[date, Entry, k.Body]] = []
        self._plans: dict[int, tuple[Contents, Plan]] = {}
        self._tried: Counter[tuple[str, str, int]] = Counter()
        self.cellar = Cellar(replay(()).house)
        self._begin()

    def _begin(self) -> None:
        dice = self.dice
        material = dice.choice(("glass", "glass", "steel", "oak" if "red" in self.style else "glass"))
        vessels = [self._vessel(material, 25.0), self._vessel("glass", 25.0), self._vessel("glass", 25.0)]
        self.cellar = replay(self.entries)
        finished = dice.random() < 0.15 and self.style not in FINISH
        start: dict[str, Any] = {"name": "Hill", "style": self.style, "volume": 24.0 if finished else 21.0}
        sg = dice.choice((1.078, 1.086, 1.094))
        must = {"sg": sg, "skins": self.style in ("dry_red", "fortified", "dry_fruit") and dice.random() < 0.7}
        start |= {"finished": True, "alcohol": 12.0, "malolactic": "none"} if finished else must
        if self.style == "fortified":
            start["colour"] = "red"
        red = "red" in self.style or self.style == "fortified"
        self.wines[vessels[0]] = Wine(
            vessels[0],
            material,
            25.0,
            start["volume"],
            0.992 if finished else sg,
            0.992,
            dice.choice((3.4, 3.5, 3.6)) if red else dice.choice((3.1, 3.2, 3.35)),
            dice.choice((20.0, 20.0, 16.0)),
            len(self.entries) + 1,
            sticks_at=1.012 if dice.random() < 0.1 else None,
            skins=bool(start.get("skins")),
            finished=finished,
            yeast=False,
        )
        self.account.started(vessels[0], BEGUN, self.wines[vessels[0]].volume, finished)
        self.write(vessels[0], WineStart(**start))
        self.spare = vessels[1:]
        wanted: dict[str, Any] = {}
        if self.style in FINISH:
            wanted["finish_sg"] = FINISH[self.style]
        if STYLES[self.style].sweet:
            wanted["sweetness"] = 25.0
        if wanted:
            self.write(vessels[0], k.Intent(**wanted))

    def _vessel(self, material: str, capacity: float) -> int:
        seq = len(self.entries) + 1
        body = Vessel(name=f"V{seq}", capacity=capacity, material=material)
        self.entries.append(Entry(seq, seq.to_bytes(16, "big"), BEGUN, None, WRITTEN, "Ada", body, None, root=seq))
        return seq

    def entry(self, vessel: int | None, body: k.Body, of: Entry | None = None) -> Entry:
        """Make an entry of today, or one that supersedes another and keeps its day."""
        seq = len(self.entries) + 1
        on = of.on if of else self.today
        by = HANDS[self.dice.random() < 0.3]
        return Entry(
            seq, seq.to_bytes(16, "big"), on, None, WRITTEN, by, body, vessel, of.seq if of else None, root=seq
        )

    def write(self, vessel: int, body: k.Body) -> Entry:
        """Write down what is new."""
        made = self.entry(vessel, body)
        self.entries.append(made)
        apply(made, self.cellar)
        return made

    def correct(self, of: Entry, body: k.Body) -> None:
        """Correct or withdraw an entry; everything is folded again."""
        self.entries.append(self.entry(of.vessel, body, of))
        self.cellar = replay(standing_entries(self.entries))
        self.account.changed(of.vessel or 0, self.today)

    def plan(self, vessel: int) -> Plan:
        """Return the plan of a vessel as it is."""
        held = self.cellar.holds[vessel]
        known = self._plans.get(vessel)
        if known is None or known[0] != held:
            known = held, plan(held, self.cellar.vessels[vessel], self.cellar.house)
            self._plans[vessel] = known
        return known[1]

    def listed(self, vessel: int) -> list[Action]:
        """Return what is late or for today, in walking order."""
        found = on_day(self.plan(vessel), self.today)
        return sorted((*found.late, *found.today), key=lambda one: WALK.index(one.rule))

    def subject(self, vessel: int) -> Subject:
        """Return a wine as the rules see it."""
        return Subject(self.cellar.holds[vessel], self.cellar.vessels[vessel], self.cellar.house)

    def live(self, days: int) -> Account:
        """Keep the cellar for so many days, and return what was noted of it."""
        for _ in range(days):
            self._put_right()
            there = self.today >= self.back
            if there and self.dice.random() < self.manner.away:
                self.back, there = self.today + timedelta(days=self.dice.randint(2, 18)), False
            for vessel in list(self.cellar.holds):
                self._look(vessel)
                if there:
                    self._visit(vessel)
            for one in self.wines.values():
                one.sleep()
            self.today += timedelta(days=1)
        return self.account

    def _put_right(self) -> None:
        for due, wrong, right in [one for one in self.later if one[0] <= self.today]:
            self.later.remove((due, wrong, right))
            self.correct(wrong, right)

    def _look(self, vessel: int) -> list[Action]:
        found = self.listed(vessel)
        wine = self.wines.get(vessel)
        self.account.looked(vessel, self.today, self.plan(vessel), found, wine)
        return found

    def _visit(self, vessel: int) -> None:
        passed: set[str] = set()
        for _ in range(BUSY):
            if vessel not in self.cellar.holds:
                return
            todo = [one for one in self._look(vessel) if one.rule not in passed]
            if not todo:
                break
            passed |= self._one(vessel, todo[0])
        else:
            self.account.fault("the list of a day ends", self.today, vessel, f"last {todo[0].rule}")
        if vessel in self.wines and self.dice.random() < self.manner.moves:
            self._move(vessel)

    def _one(self, vessel: int, action: Action) -> set[str]:
        """Do one action, or not; return what is passed over for today."""
        dice, how = self.dice, self.manner
        chance = dice.random()
        if chance < how.ignores:
            return {action.rule}
        if dice.random() < how.skips and not RULE_BY_ID[action.rule].hard:
            until = self.today + timedelta(days=dice.randint(3, 25))
            self._said(vessel, k.Skip(action=action.rule, until=until, reason="seen to"), action, until)
            return {action.rule}
        if dice.random() < how.postpones:
            until = self.today + timedelta(days=dice.randint(2, 15))
            self._said(vessel, k.Postpone(action=action.rule, until=until, reason="no time"), action, until)
            return {action.rule}
        self._do(vessel, action)
        return set()

    def _said(self, vessel: int, body: k.Body, action: Action, until: date) -> None:
        self.write(vessel, body)
        self.account.put_off(vessel, action.rule, until)

    def _do(self, vessel: int, action: Action) -> None:
        if action.rule == "sorbate" and "not enough" in action.task:
            # What is left, and what the list names: filter it sterile.
            self._record(vessel, k.Intent(sterile_filtration=True), "sorbate")
            return
        self._every_way(vessel, action)
        answer = self._way(vessel, action)
        wine = self.wines.get(vessel)
        if wine is not None:
            self._draw_off(vessel, action, wine)
        body = self._body(vessel, action, answer)
        if action.rule == "top_up" and isinstance(body, k.Racking):
            # It is moved to a vessel that it fills, bought for it.
            litres = round(self.subject(vessel).volume, 3)
            body = replace(body, to=self._vessel("glass", litres), volume=litres)
            self.cellar = replay(standing_entries(self.entries))
        self._advised(vessel, body, action)
        if wine is not None and isinstance(body, k.Addition):
            self.account.dosed(vessel, self.today, action, body, wine)
        self._record(vessel, body, action.rule)
        if vessel in self.cellar.holds and not isinstance(body, k.Press):
            self.account.answered(vessel, self.today, action, self.listed(vessel))
        if action.rule == "arrest" and action.dose is not None and isinstance(body, k.Chill):
            more = weighed_out(k.Addition(material=action.dose.material), action.dose.amount, None)
            self._record(vessel, more, "arrest")
        if isinstance(body, k.Reading):
            self._slip(vessel, body)

    def _every_way(self, vessel: int, action: Action) -> None:
        """Hold of each way to answer an action that its plain result takes the action off the list of that day."""
        life = (self.dice, self.manner)
        self.dice, self.manner = random.Random(self.number), replace(self.manner, fails=0.0)
        rule = RULE_BY_ID[action.rule]
        for place in rule.ways(self.subject(vessel), action.dose):
            key, answer = (rule.id, re.sub(r"[0-9.]+", "", action.task), place), rule.answers[place]
            body = self._plain(vessel, action, answer)
            if self._no_answer(action, answer, body) or self._tried[key] >= TRIED:
                continue
            self._tried[key] += 1
            after = Cellar(self.cellar.house, dict(self.cellar.vessels), dict(self.cellar.holds))
            if isinstance(body, k.Racking) and "to" in answer.fields:
                body = replace(body, to=self._fitting(vessel, after))
            apply(self.entry(vessel, body), after)
            if vessel in after.holds:
                found = on_day(plan(after.holds[vessel], after.vessels[vessel], after.house), self.today)
                said = {name: value for name, value in asdict(body).items() if value is not None}
                self.account.gone(vessel, self.today, action, (*found.late, *found.today), f" by {body.kind} {said}")
        self.dice, self.manner = life

    def _no_answer(self, action: Action, answer: ResponseForm, body: k.Body) -> bool:
        """Return whether there is nothing to weigh out or read, or a reading only repeats what a dose rests on."""
        if "amount" in answer.fields:
            return action.dose is None and action.rule in STRONG
        values = [value for name, value in asdict(body).items() if name != "method" and value is not None]
        return answer.kind == "reading" and (action.dose is not None or not values)

    def _plain(self, vessel: int, action: Action, answer: ResponseForm) -> k.Body:
        body = self._body(vessel, action, answer)
        if isinstance(body, k.Check):
            return replace(body, result="pass", fault=None)
        if isinstance(body, k.Reading) and body.method == "strip":
            return replace(body, second_strip=body.free_so2)
        return body

    def _fitting(self, vessel: int, cellar: Cellar) -> int:
        """Return an empty vessel that the wine fills to its neck."""
        to = max(cellar.vessels) + 1000
        cellar.vessels[to] = replace(cellar.vessels[vessel], number=to, capacity=self.subject(vessel).volume)
        return to

    def _draw_off(self, vessel: int, action: Action, wine: Wine) -> None:
        told = re.search(r"draw off ([0-9.]+) L", f"{action.task} {action.dose.note if action.dose else ''}")
        if told and action.dose is not None:
            litres = min(float(told[1]), wine.volume - 0.5)
            self.write(vessel, k.Loss(volume=litres, reason="drawn off to make room"))
            self.account.shrank(vessel, 1 - litres / wine.volume)
            wine.drawn_off(litres)

    def _slip(self, vessel: int, body: k.Reading) -> None:
        """Mistype what was just read and see it some days later, or write it down a second time and withdraw that."""
        dice, last = self.dice, self.entries[-1]
        if dice.random() < self.manner.mistypes and last.body is body:
            wrong = next((name for name in ("sg", "ph", "free_so2", "malic", "temperature") if getattr(body, name)), "")
            if wrong:
                shifted = {"sg": 0.02, "ph": 0.4, "free_so2": 20.0, "malic": 1.0, "temperature": 9.0}[wrong]
                bad = replace(body, **{wrong: round(getattr(body, wrong) + shifted, 4)})
                self.correct(last, bad)
                when = self.today + timedelta(days=dice.randint(0, 5))
                self.later.append((when, self.entries[-1], body))
        elif dice.random() < self.manner.twice:
            again = self.write(vessel, body)
            self.account.changed(vessel, self.today)
            self.later.append((self.today + timedelta(days=dice.randint(1, 4)), again, Void(again.seq)))

    def _advised(self, vessel: int, body: k.Body, action: Action) -> None:
        """Hold that no guard would stop what the list asked for."""
        before = Cellar(self.cellar.house, dict(self.cellar.vessels), dict(self.cellar.holds))
        after = Cellar(before.house, dict(before.vessels), dict(before.holds))
        made = self.entry(vessel, body)
        apply(made, after)
        stops = [one for one in judge(Act(made, before, after, after.problems)) if one.stops]
        self.account.stopped(vessel, self.today, action, body, [f"{one.guard}: {one.why}" for one in stops])

    def _record(self, vessel: int, body: k.Body, rule: str) -> None:
        """Write it down and let it happen to the wine."""
        made = self.write(vessel, body)
        wine = self.wines.get(vessel)
        if wine is not None:
            before = wine.volume
            if isinstance(body, k.Reading):
                wine.sampled(body)
            self._happens(wine, body, made)
            if wine.volume < before and wine.vessel in self.account.books:
                self.account.shrank(wine.vessel, wine.volume / before)
        self.account.happened(vessel, self.today, body, rule, wine)

    def _happens(self, wine: Wine, body: k.Body, made: Entry) -> None:
        if isinstance(body, k.Addition):
            wine.takes(body)
            if self.style == "fortified" and body.material == "spirit":
                wine.finished = True
        elif isinstance(body, k.Chill):
            wine.chilled = bool(body.start)
            wine.warmth = 1.0 if wine.chilled else wine.cellar
            wine.finished = wine.finished or (self.style == "arrested_sweet" and wine.chilled)
        elif isinstance(body, k.Decide):
            if body.choice in ("warm", "restart"):
                wine.sticks_at = None if self.dice.random() < 0.5 else wine.sticks_at
            wine.bacteria = wine.bacteria or body.choice in ("by_itself", "new_culture", "warm_and_feed")
        elif isinstance(body, k.Racking | k.Press):
            self._moved(wine, body)
        elif isinstance(body, k.Topping):
            wine.so2 += 60 * (body.volume or 0.0)
            wine.volume += body.volume or 0.0
        elif isinstance(body, k.Bottle):
            self.wines.pop(wine.vessel)
            self.account.bottled(wine.vessel, made.seq, self.today)
            self._free(wine.vessel)
        if wine.sg <= wine.dry + 0.0005 and self.style not in FINISH:
            wine.finished = True

    def _moved(self, wine: Wine, body: k.Racking | k.Press) -> None:
        if body.volume is not None:
            wine.drawn_off(max(0.0, wine.volume - body.volume))
        wine.skins = wine.skins and not isinstance(body, k.Press)
        if body.to is not None and body.to != wine.vessel:
            self.spare = [one for one in self.spare if one != body.to]
            self._free(wine.vessel)
            self.wines[body.to] = self.wines.pop(wine.vessel)
            self.account.moved(wine.vessel, body.to, self.today)
            told = self.cellar.vessels[body.to]
            wine.vessel, wine.material, wine.capacity = body.to, told.material, told.capacity or wine.capacity

    def _free(self, vessel: int) -> None:
        if vessel not in self.cellar.holds:
            self.spare.append(vessel)

    def _move(self, vessel: int) -> None:
        """Split some of a wine off, or blend what was split back in or another finished wine."""
        wine = self.wines[vessel]
        others = [one for one in self.wines.values() if one is not wine and one.volume > 2]
        if others and wine.finished and others[0].finished and wine.volume < wine.capacity - 1.0:
            litres = round(min(wine.capacity - wine.volume, others[0].volume - 1.0) / 2, 2)
            self.write(vessel, k.Blend(source=others[0].vessel, volume=litres))
            wine.joined(others[0], litres)
            for one in (wine, others[0]):
                self.account.happened(one.vessel, self.today, k.Blend(), "", one)
        elif self.spare and wine.volume > 12 and not wine.skins and not wine.chilled:
            to, litres = self.spare.pop(), round(wine.volume / 3, 2)
            made = self.write(vessel, k.Split(to=to, volume=litres, name="Dale"))
            self.wines[to] = wine.parted(to, litres, made.seq, ("glass", 25.0))
            self.account.split(vessel, to, self.today)

    def _way(self, vessel: int, action: Action) -> ResponseForm:
        """Choose the way in which an action is answered."""
        rule, s = RULE_BY_ID[action.rule], self.subject(vessel)
        ways = rule.open_answers(s, action.dose)
        asked = [one for one in ways if "amount" in one.fields]
        told = [one for one in ways if "amount" not in one.fields]
        if action.dose is not None and asked and rule.id != "fine":
            return asked[0]
        if action.dose is None and told and rule.id in STRONG:
            return told[0]
        if rule.id == "fine" and action.dose is not None:
            return next((one for one in asked if dict(one.fixed).get("material") == action.dose.material), asked[-1])
        if rule.id in ("so2_recheck", "final_so2"):
            by = [one for one in told if (dict(one.fixed).get("method") == "strip") == self.manner.strips]
            return (by or told)[0]
        if rule.id == "ferment_decision":
            tried = len(s.events(k.Decide))
            return ways[min(tried, len(ways) - 1)]
        if rule.id == "malolactic_overdue":
            return ways[0] if len(s.events(k.Decide)) < 2 else ways[-1]
        if rule.id == "refermentation_watch" and "sample" in action.task and "open" not in action.task:
            return ways[-1]
        if rule.id == "haze_test" and "pectin" in action.task:
            return ways[-1]
        return ways[0]

    def _body(self, vessel: int, action: Action, answer: ResponseForm) -> k.Body:
        fixed = dict(answer.fixed)
        if answer.kind == "addition":
            dose = action.dose
            strength = fixed.get("strength")
            material = fixed.get("material") or (dose.material if dose else "bentonite")
            made = k.Addition(material=material, strength=float(strength) if strength else None)
            if material == "spirit":
                made = replace(made, strength=96.0)
            return weighed_out(made, dose.amount if dose else 5.0, made.strength)
        words = {"yes": True, "no": False}
        fields: dict[str, Any] = {name: words.get(value, value) for name, value in fixed.items()}
        wine = self.wines.get(vessel)
        if answer.kind == "check":
            return k.Check(**(fields | self._found(wine, fixed["test"])))
        fields |= {name: value for name in answer.fields if (value := self._value(name, action, wine)) is not None}
        if answer.kind == "bottle":
            sterile = self.subject(vessel).intents.sterile_filtration
            fields |= {"filter": "sterile"} if sterile else {}
            fields["store"] = f"store {len(self.entries) + 1}"
        if answer.kind == "topping":
            vol = 18.5 if self.style == "fortified" else 12.0
            fields = {"outside": True, "wine": "Hill", "volume": fields["volume"], "sugar": 1.0, "alcohol": vol}
        kinds: dict[str, type[k.Body]] = {
            "reading": k.Reading,
            "racking": k.Racking,
            "chill": k.Chill,
            "intent": k.Intent,
            "decide": k.Decide,
            "gas": k.Gas,
            "bottle": k.Bottle,
            "topping": k.Topping,
            "press": k.Press,
            "note": k.Note,
            "trial": k.Trial,
        }
        return kinds[answer.kind](**fields)

    def _found(self, wine: Wine | None, test: str) -> dict[str, Any]:
        """Return what a look or a test finds."""
        good = self.dice.random() >= self.manner.fails
        if wine is not None:
            good &= not (test == "clarity" and wine.cloudy > 0)
            good &= not (test == "heat_test" and not wine.fined and self.number % 3 == 0)
            good &= not (test == "cold_test" and wine.cold < 5 and self.number % 2 == 0)
        faults = {"smell": "rotten_egg", "kept_bottle": "haze", "clarity": "haze", "chromatogram": "lactic_spot"}
        if test in ("level", "gas", "warm_bottle", "cap", "pectin_test"):
            good = True
        return {"result": "pass"} if good else {"result": "fail", "fault": faults.get(test)}

    def _value(self, name: str, action: Action, wine: Wine | None) -> Any:
        told: dict[str, Any] = {
            "reason": "as tasted",
            "text": "looked after",
            "sweetness": 25.0,
            "finish_sg": FINISH.get(self.style),
            "place": "chiller",
            "material": "tartaric_acid" if "tartaric" in action.task else "bentonite",
            "doses": (25.0, 50.0),
            "chosen": 100.0 if "tartaric" in action.task else 50.0,
            "size": 750,
        }
        if name in told or wine is None:
            return told.get(name)
        strips = self.manner.strips
        if name == "method":
            return "hydrometer" if action.rule == "gravity_check" else "strip" if strips else "aspiration"
        if name == "second_strip":
            return wine.reads("free_so2", self.dice, by_strip=True)
        if name == "volume":
            return self._volume(action, wine)
        if name == "count":
            return int(wine.volume / 0.75)
        if name == "temperature" and action.rule in ("cold_hold_start", "arrest"):
            return 1.0
        readable = ("sg", "ph", "ta", "yan", "free_so2", "total_so2", "malic", "residual_sugar", "va", "alcohol")
        if name in (*readable, "brix", "turbidity", "conductivity_drop", "temperature"):
            by_strip = strips and name == "free_so2" and action.rule != "malolactic_conditions"
            return wine.reads(name, self.dice, by_strip)
        return None

    def _volume(self, action: Action, wine: Wine) -> float | None:
        if action.rule == "top_up":
            return round(max(0.05, wine.capacity - wine.volume), 3)
        if action.rule == "press":
            return round(wine.volume * PRESSED, 2)
        return round(wine.volume * 0.985, 2) if self.dice.random() < 0.5 else None
