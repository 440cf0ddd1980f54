"""Whole lives: whoever does what falls due, and nothing else, ends with a bottled, stable wine of every style."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta

import pytest

from cellar_tui.planning.plan import STABILITIES, Due
from cellar_tui.planning.planner import plan
from cellar_tui.planning.rules.table import RULE_BY_ID, RULES
from cellar_tui.planning.subject import Subject
from cellar_tui.planning.verdicts.table import settled
from tests.planning.round import Hand
from tests.planning.stories import Story, arrested, clear, dry, fermenting, fortified

Life = Callable[[], Hand]


def _ml(hand: Hand) -> Hand:
    hand.malic = 0.1
    return hand


LIVES: dict[str, Life] = {
    "dry white, from its ferment": lambda: Hand(fermenting(), "2026-09-23", ph=3.3),
    "rose": lambda: Hand(dry("rose"), "2026-10-13", ph=3.3),
    "white through malolactic fermentation": lambda: _ml(Hand(dry("dry_white_malolactic"), "2026-10-13", ph=3.4)),
    "dry red in oak": lambda: _ml(Hand(dry("dry_red", sg=0.994, vessel="oak"), "2026-10-13", sg=0.994, ph=3.5)),
    "small lot": lambda: Hand(dry(capacity=4.6, volume=4.55), "2026-10-13", ph=3.3),
    "sweet red": lambda: Hand(dry("sweet_red"), "2026-10-13", ph=3.3),
    "sweet white": lambda: Hand(dry("sweet_white"), "2026-10-13", ph=3.3),
    "sweet white, filtered sterile": lambda: Hand(
        dry("sweet_white").intent("2026-10-14", sterile_filtration=True, sweetness=20), "2026-10-14", ph=3.3
    ),
    "dry fruit": lambda: Hand(dry("dry_fruit"), "2026-10-13", ph=3.3),
    "sweet fruit": lambda: Hand(dry("sweet_fruit"), "2026-10-13", ph=3.3),
    "arrested": lambda: Hand(arrested(), "2026-09-29", sg=1.015, ph=3.3),
    "fortified": lambda: Hand(fortified(), "2026-09-25", sg=1.008, ph=3.5),
    "came finished": lambda: Hand(Story(started="2026-10-13", finished=True, alcohol=12), "2026-10-13", free=25),
    "came finished, total SO2 stated": lambda: Hand(
        Story(started="2026-10-13", finished=True, alcohol=12, total_so2=80), "2026-10-13", free=25
    ),
    "dry red, from must on its skins": lambda: _ml(
        Hand(
            Story("dry_red", sg=1.092, volume=18, skins=True).sulfite("2026-09-20", 40),
            "2026-09-20",
            sg=1.092,
            dry=0.994,
            ph=3.5,
        )
    ),
    "fortified, from must on its skins": lambda: Hand(
        Story("fortified", sg=1.095, volume=18, skins=True, colour="red").intent("2026-09-20", finish_sg=1.035),
        "2026-09-20",
        sg=1.095,
        dry=0.994,
        ph=3.5,
    ),
    "fortified at dryness": lambda: Hand(
        Story("fortified", sg=1.080, volume=18, colour="white"), "2026-09-20", sg=1.080, dry=0.994, ph=3.4
    ),
    "arrested, from must": lambda: Hand(
        Story("arrested_sweet", sg=1.100, volume=18).intent("2026-09-20", finish_sg=1.020),
        "2026-09-20",
        sg=1.100,
        dry=0.994,
    ),
    "dry fruit, from must on its pulp": lambda: Hand(
        Story("dry_fruit", sg=1.085, volume=18, skins=True).sulfite("2026-09-20", 40),
        "2026-09-20",
        sg=1.085,
        dry=0.992,
        ph=3.3,
    ),
    "sweet white, from must short of nitrogen": lambda: Hand(
        Story("sweet_white", sg=1.095, volume=18).reading("2026-09-20", yan=120),
        "2026-09-20",
        sg=1.095,
        dry=0.992,
        ph=3.3,
    ),
    "blended": lambda: Hand(clear().blend_in("2026-11-05", 0.05, total_so2=80), "2026-11-05", free=25),
}


@pytest.mark.parametrize("name", LIVES)
def test_the_list_leads_to_a_stable_bottle(name: str) -> None:
    hand = LIVES[name]()
    assert hand.walk(420), f"not bottled; the last work was {hand.done[-5:]}"
    cellar = hand.story.cellar()
    number, bottles = next((number, held) for number, held in cellar.holds.items() if held.store)
    s = Subject(bottles, cellar.vessels[number], cellar.house)
    left = ("yeast", "bacteria") if s.intents.sterile_filtration else ()
    assert [kind for kind in STABILITIES if not settled(s, kind) and kind not in left] == []
    asked = [rule.id for rule in RULES if list(rule.due(s))]
    assert asked == ["kept_bottle_check"], "bottles ask for nothing that is done to bulk wine"
    assert bottles.now.mg_l(bottles.now.so2_total) <= 300


@pytest.mark.parametrize(
    ("name", "looks"),
    [
        ("dry white, from its ferment", [14, 90, 365]),
        ("sweet white", [14, 28, 60, 90, 365]),
        ("arrested", [14, 28, 60, 90, 365]),
        ("fortified", [14, 90, 365]),
    ],
)
def test_a_life_goes_on_in_the_bottle_for_a_year(name: str, looks: list[int]) -> None:
    hand = LIVES[name]()
    assert hand.walk(420)
    bottled, before = hand.today, len(hand.done)
    hand.story.vessel = next(number for number, held in hand.story.cellar().holds.items() if held.store)
    hand.walk(400)
    assert hand.done[before:] == [(bottled + timedelta(days=days), "kept_bottle_check") for days in looks]
    assert [rule.id for rule in RULES if list(rule.due(hand.story.subject()))] == []


def _inoculated() -> Story:
    return dry("dry_red", sg=0.994).add("2026-10-13", "malolactic_culture", 2)


def _bottled() -> Story:
    story = clear().then("bottle", {"count": 20, "size": 750}, "2026-12-01")
    story.vessel = story.last()
    return story


STORIES: dict[str, Callable[[], Story]] = {
    "must on its pulp": lambda: Story("dry_fruit", sg=1.09, skins=True).sulfite("2026-09-20", 40),
    "ferment on its skins": lambda: fermenting("dry_red", skins=True).reading("2026-09-27", sg=1.009, temperature=33.5),
    "hungry and still": lambda: fermenting().reading("2026-09-22", yan=60).reading("2026-09-26", sg=1.088),
    "at its stopping gravity": lambda: (
        fermenting("arrested_sweet").intent("2026-09-21", finish_sg=1.02).reading("2026-09-27", sg=1.022)
    ),
    "without a stopping gravity": lambda: fermenting("arrested_sweet"),
    "to be fortified": lambda: (
        fermenting("fortified", colour="red").intent("2026-09-21", finish_sg=1.03).reading("2026-09-25", sg=1.03)
    ),
    "pectin left": lambda: clear("dry_fruit").check("2026-11-02", "pectin_test", "fail"),
    "must": lambda: Story(sg=1.090),
    "ferment": fermenting,
    "dry": dry,
    "dry red": lambda: dry("dry_red", sg=0.994),
    "arrested": arrested,
    "fortified": fortified,
    "clear": clear,
    "sweet": lambda: clear("sweet_white"),
    "above its mark": lambda: dry(sg=0.9955),
    "gap": lambda: dry(volume=22.0),
    "hindered": lambda: _inoculated().reading("2026-10-20", temperature=15),
    "fined": lambda: clear().check("2026-11-02", "heat_test", "fail").trial("2026-11-03", "bentonite", 50),
    "stinking": lambda: clear().check("2026-11-02", "smell", "fail", "rotten_egg"),
    "oaked": lambda: clear().add("2026-11-05", "oak", 40),
    "small": lambda: clear(capacity=4.6, volume=4.55),
    "bottled": lambda: _bottled().check("2026-12-15", "kept_bottle", "fail", "film"),
    "holding": lambda: clear().check("2026-11-02", "heat_test").chill("2026-11-03", 2),
}


def _asked(story: Story) -> list[tuple[str, Due]]:
    return [(rule.id, due) for rule in RULES for due in rule.due(story.subject())]


@pytest.mark.parametrize("name", STORIES)
def test_every_due_action_explains_itself(name: str) -> None:
    story = STORIES[name]()
    numbers = {entry.seq for entry in story.entries}
    for rule, due in _asked(story):
        assert due.because.rule == rule
        assert due.because.reason
        assert due.earliest <= due.latest
        assert due.anchor in numbers, "the cycle was opened by an entry of the ledger"
        assert set(due.because.entries) <= numbers
        assert due.because.facts, "a date without inputs cannot be checked"


@pytest.mark.parametrize("name", STORIES)
def test_a_rule_looks_only_at_what_has_happened(name: str) -> None:
    """Told afresh it asks the same; and what the wine asked after its first entries is what a shorter story asks."""
    story = STORIES[name]()
    assert _asked(story) == _asked(STORIES[name]())
    tried = 0
    for count, event in enumerate(story.subject().c.log):
        shorter = STORIES[name]()
        shorter.entries = [one for one in shorter.entries if one.seq < event.entry]
        if shorter.vessel in shorter.cellar().holds:
            then = [(rule.id, due) for rule in RULES for due in rule.due(story.subject().as_of(count))]
            assert [_said(*one) for one in then] == [_said(*one) for one in _asked(shorter)], f"after {count} entries"
            tried += 1
    assert tried or name in ("bottled", "must"), "a story of a wine and nothing more has no past"


def _said(rule: str, due: Due) -> tuple[object, ...]:
    """Return what a person sees of a due action, without how it is explained."""
    return rule, due.earliest, due.latest, due.anchor, due.expires, due.task, due.dose and round(due.dose.amount, 6)


ASKED: dict[str, tuple[Callable[[], Story], str]] = {
    "malolactic_conditions": (lambda: _inoculated().reading("2026-10-20", temperature=15, ph=3.0), "2026-10-20"),
    "malolactic_overdue": (_inoculated, "2026-11-27"),
    "malolactic_unwanted": (lambda: clear().check("2026-11-05", "gas", "fail"), "2026-11-05"),
    "total_so2": (lambda: clear().sulfite("2026-11-05", 60), "2026-11-05"),
    "smell_check": (lambda: clear().check("2026-11-05", "smell", "fail", "vinegar"), "2026-11-07"),
    "fining_trial": (lambda: clear().check("2026-11-05", "heat_test", "fail"), "2026-11-05"),
    "fine": (
        lambda: clear().check("2026-11-05", "heat_test", "fail").trial("2026-11-05", "bentonite", 50),
        "2026-11-05",
    ),
    "oak_taste": (lambda: clear().add("2026-11-05", "oak", 40), "2026-11-19"),
    "kept_bottle_check": (_bottled, "2026-12-15"),
    "bottle_fault": (lambda: _bottled().check("2026-12-15", "kept_bottle", "fail", "film"), "2026-12-15"),
    "so2_recheck": (lambda: clear(capacity=4.6, volume=4.55), "2026-12-20"),
}
"""A wine that asks for each action, and the day on which it does."""


@pytest.mark.parametrize("rule", ASKED)
def test_every_way_to_answer_an_action_takes_it_off_the_list(rule: str) -> None:
    told, on = ASKED[rule]
    s = told().subject()
    action = next(one for one in plan(s.c, s.vessel, s.house).actions if one.rule == rule)
    assert action.due.isoformat() <= on
    for answer in RULE_BY_ID[rule].open_answers(s):
        Hand(told(), on).answer(action, answer)


def test_every_rule_teaches_cites_and_can_be_answered() -> None:
    assert len(RULE_BY_ID) == len(RULES)
    for rule in RULES:
        assert rule.teaches.endswith(".")
        assert rule.source
        assert rule.kit
        assert rule.answers
        assert all(text.endswith(".") for text in rule.cautions)
