"""Every guard speaks where it should and is silent where it should be, and each of them is tried by some test."""

from __future__ import annotations

import ast
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.materials import active
from cellar_tui.planning import guards
from cellar_tui.planning.consider import CellarState, consider
from tests.planning.stories import (
    Story,
    arrested,
    came_finished,
    clear,
    dry,
    fermenting,
    kept,
    ready_to_sweeten,
    red,
)

Tale = Callable[[], Story]
ON = "2026-12-01"


def added(material: str, amount: float) -> k.Addition:
    """Return an addition with what it brings."""
    brought = active(material, amount, None)
    return k.Addition(
        material=material,
        amount=amount,
        so2_mg=brought.so2_mg,
        sorbate_g=brought.sorbate_g,
        sugar_g=brought.sugar_g,
        litres=brought.litres,
    )


def bottled(filter: str | None = None) -> k.Bottle:
    """Return the bottling of most of a vessel."""
    return k.Bottle(count=25, size=750, filter=filter)


def tried() -> Story:
    """The kept white, copper tried in glasses."""
    return kept().trial("2026-11-01", "copper_sulfate", 0.1)


def long_red() -> Story:
    """A red through malolactic fermentation, clear, its free SO2 on target from 24 October to 28 November: 35 days."""
    story = red().rack("2026-10-25").reading("2026-10-28", free_so2=32, method="aspiration")
    return story.check("2026-11-10", "clarity").reading("2026-11-28", free_so2=32, method="aspiration")


def working() -> Story:
    """A red whose malolactic fermentation runs, its malic acid and pH read."""
    return dry("dry_red", sg=0.994).add("2026-10-13", "malolactic_culture", 2).reading("2026-10-20", ph=3.5)


def to_bottle(on: str) -> Story:
    """The kept white, to be bottled on a day."""
    return kept().intent("2026-11-02", bottling=on)


SORBATE = added("potassium_sorbate", 3.0)  # 131 mg/L in 22.95 L
# In 22.95 L: the limit of 200 mg/L sorbic acid, half a per cent forgiven, is 6.18 g of its salt; 0.5 mg/L copper is
# 0.0451 g of copper sulfate.
CASES: tuple[tuple[str, Tale, k.Body, str, str], ...] = (
    ("an arrested wine without sorbate", arrested, bottled(), "bottle_arrested", "stop"),
    ("with a sterile filter", arrested, bottled("sterile"), "bottle_arrested", ""),
    ("a wine fermented dry", kept, bottled(), "bottle_arrested", ""),
    (
        "left to a sterile filter, and none",
        lambda: kept().intent("2026-11-02", sterile_filtration=True),
        bottled(),
        "bottle_filter",
        "stop",
    ),
    (
        "a coarse one",
        lambda: kept().intent("2026-11-02", sterile_filtration=True),
        bottled("0.45"),
        "bottle_filter",
        "stop",
    ),
    (
        "a sterile one",
        lambda: kept().intent("2026-11-02", sterile_filtration=True),
        bottled("sterile"),
        "bottle_filter",
        "",
    ),
    ("none was planned", kept, bottled(), "bottle_filter", ""),
    (
        "free SO2 read 6 d before",
        lambda: kept().reading("2026-11-25", free_so2=35),
        bottled(),
        "bottle_reading",
        "caution",
    ),
    ("5 d before", lambda: kept().reading("2026-11-26", free_so2=35), bottled(), "bottle_reading", ""),
    ("never read", dry, bottled(), "bottle_reading", "caution"),
    ("copper without a trial", kept, added("copper_sulfate", 0.02), "copper_trial", "stop"),
    ("with one", tried, added("copper_sulfate", 0.02), "copper_trial", ""),
    (
        "a trial of something else",
        lambda: kept().trial("2026-11-01", "gelatin", 2),
        added("copper_sulfate", 0.02),
        "copper_trial",
        "stop",
    ),
    ("0.51 mg/L copper", tried, added("copper_sulfate", 0.046), "copper", "stop"),
    ("0.49 mg/L copper", tried, added("copper_sulfate", 0.044), "copper", ""),
    (
        "0.25 and 0.30 mg/L together",
        lambda: tried().add("2026-11-02", "copper_sulfate", 0.0225),
        added("copper_sulfate", 0.027),
        "copper",
        "stop",
    ),
    ("202 mg/L sorbic acid at home", clear, added("potassium_sorbate", 6.22), "legal_sorbic", "caution"),
    (
        "where it is sold",
        lambda: clear().house(jurisdiction="eu"),
        added("potassium_sorbate", 6.22),
        "legal_sorbic",
        "stop",
    ),
    ("200 mg/L sorbic acid", clear, added("potassium_sorbate", 6.14), "legal_sorbic", ""),
    ("a red that has been through it, 4 d on target", red, SORBATE, "sorbate_after_malolactic", "stop"),
    ("35 d on target and clear", long_red, SORBATE, "sorbate_after_malolactic", ""),
    (
        "35 d on target and cloudy",
        lambda: long_red().check("2026-11-29", "clarity", "fail"),
        SORBATE,
        "sorbate_after_malolactic",
        "stop",
    ),
    ("a white that has not", clear, SORBATE, "sorbate_after_malolactic", ""),
    ("a wine whose past is not known", ready_to_sweeten, SORBATE, "malolactic_unknown", "caution"),
    ("a wine made here", clear, SORBATE, "malolactic_unknown", ""),
    ("12 % at pH 3.9", lambda: came_finished().reading("2026-10-20", ph=3.9), SORBATE, "sorbate_not_enough", "stop"),
    ("12 % at pH 3.3", came_finished, SORBATE, "sorbate_not_enough", ""),
    ("sorbate into a ferment", fermenting, SORBATE, "sorbate_ferment", "caution"),
    ("into a wine", clear, SORBATE, "sorbate_ferment", ""),
    (
        "cold on working bacteria",
        lambda: working().reading("2026-11-10", malic=1.2),
        k.Chill(start=True, temperature=4),
        "chill_malolactic",
        "caution",
    ),
    (
        "through",
        lambda: working().reading("2026-11-10", malic=0.1),
        k.Chill(start=True, temperature=4),
        "chill_malolactic",
        "",
    ),
    (
        "cold that ends",
        lambda: working().reading("2026-11-10", malic=1.2),
        k.Chill(end=True, temperature=4),
        "chill_malolactic",
        "",
    ),
    ("12 % vol at -7 C", came_finished, k.Chill(start=True, temperature=-7), "freezing", "caution"),
    ("12 % vol at -3 C", came_finished, k.Chill(start=True, temperature=-3), "freezing", ""),
    ("strength not known", lambda: came_finished(alcohol=None), k.Chill(start=True, temperature=-7), "freezing", ""),
    ("207 mg/L total SO2 at home", kept, added("potassium_metabisulfite", 4.46), "legal_total_so2", "caution"),
    (
        "where it is sold",
        lambda: kept().house(jurisdiction="eu"),
        added("potassium_metabisulfite", 4.46),
        "legal_total_so2",
        "stop",
    ),
    ("199 mg/L", kept, added("potassium_metabisulfite", 4.14), "legal_total_so2", ""),
    ("sorbate on working bacteria", working, SORBATE, "sorbate_live_malolactic", "stop"),
    ("none at work", clear, SORBATE, "sorbate_live_malolactic", ""),
    # pH 3.20: 20.4 free at 0.67 staying is 30.5 mg/L, three times that 91.5: 3.65 g.
    ("3.1 times the charted sulfite", kept, added("potassium_metabisulfite", 3.75), "threefold_dose", "stop"),
    ("2.9 times", kept, added("potassium_metabisulfite", 3.5), "threefold_dose", ""),
    # 250 mg/L is the usual most of gelatin, three times that 750: 17.2 g.
    ("3.1 times the most of gelatin", kept, added("gelatin", 17.8), "threefold_dose", "stop"),
    ("2.9 times", kept, added("gelatin", 16.6), "threefold_dose", ""),
    ("a material of the cellar's own", kept, added("gum arabic", 2), "own_material", "caution"),
    ("one that is known", kept, added("gelatin", 0.2), "own_material", ""),
    ("racked on the eve of bottling", lambda: to_bottle("2026-12-02"), k.Racking(), "racking_late", "caution"),
    ("and on the day", lambda: to_bottle("2026-12-01"), k.Racking(), "racking_late", "caution"),
    ("two days before", lambda: to_bottle("2026-12-03"), k.Racking(), "racking_late", ""),
    ("bottling not wished for a day", kept, k.Racking(), "racking_late", ""),
)


@pytest.mark.parametrize(
    ("story", "body", "guard", "says"), [pytest.param(*case[1:], id=f"{case[3]}: {case[0]}") for case in CASES]
)
def test_a_guard_speaks_where_it_should(story: Tale, body: k.Body, guard: str, says: str) -> None:
    found = [one for one in story().findings(ON, body) if one.guard == guard]
    assert ["stop" if one.stops else "caution" for one in found] == ([says] if says else [])
    assert all(one.waivable is not False for one in found), "a written reason passes it"


@pytest.mark.parametrize(("typed", "said"), [("1/4 tsp", True), ("2 g", False)])
def test_a_teaspoon_is_to_be_weighed(typed: str, said: bool) -> None:
    story = kept()
    body = added("potassium_metabisulfite", 1.5)
    entry = replace(story._entry(ON, body, story.vessel), typed={"amount": typed})
    found = consider(CellarState(story.entries), [entry]).weighed[0].findings
    assert ("teaspoon" in {one.guard for one in found}) == said


def spoken() -> set[str]:
    """Return the names under which guards speak, as they stand in the sources."""
    names: set[str] = set()
    for file in Path(guards.__file__).parent.glob("*.py"):
        for node in ast.walk(ast.parse(file.read_text())):
            if isinstance(node, ast.Call) and getattr(node.func, "id", "") in ("Finding", "_far") and node.args:
                names |= {str(one.value) for one in node.args[:1] if isinstance(one, ast.Constant)}
    return names


def test_every_guard_is_named_by_a_test() -> None:
    text = "".join(file.read_text() for file in Path(__file__).parents[1].rglob("test_*.py"))
    assert len(spoken()) > 35
    assert sorted(name for name in spoken() if f'"{name}"' not in text) == []
