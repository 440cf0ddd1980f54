"""The forecast of free SO2 tried on wines of known truth: its intervals, and a year in the cellar by each policy."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import count as naturals
from itertools import islice, pairwise

from cellar_tui.planning.forecast.belief import Belief
from cellar_tui.planning.forecast.crossing import days_until
from tests.bench import policies
from tests.bench.policies import Maker, Seen
from tests.bench.truth import KEPT_A_MONTH, Wine, World

YEAR = 365
MATERIALS = tuple(sorted(KEPT_A_MONTH))
GAP = 30
"""Days between the readings of a wine whose interval is tried [d]."""


@dataclass(frozen=True)
class Year:
    """What a policy came to, for one wine and year; `late` is the share of its tests that found the wine under."""

    tests: float
    under: float
    late: float
    added: float
    doses: float


def _lying_in(world: World, materials: Sequence[str]) -> Iterator[Wine]:
    return (wine for seed in naturals() if (wine := Wine(world, seed)).material in materials)


def a_year(world: World, maker: Maker, wines: int, materials: Sequence[str] = MATERIALS) -> Year:
    """Keep so many wines for a year by one policy, in vessels of these materials."""
    tests = under = late = doses = 0
    added = 0.0
    for wine in islice(_lying_in(world, materials), wines):
        policy = maker(Seen(wine.material, wine.target, world.method))
        due = 0
        while wine.day < YEAR:
            while wine.day == due:
                tests += 1
                late += wine.true < wine.target
                raised, due = policy.read(wine.day, wine.read(), wine.warmth if world.thermometer else None)
                if raised > 0:
                    wine.sulfite(raised)
                    doses, added = doses + 1, added + raised
            under += wine.true < wine.target
            if wine.sleep():
                due = max(wine.day, policy.racked(wine.day, due))
    # The first reading of a wine is nobody's forecast; it counts as a test and can not be too late.
    return Year(tests / wines, under / wines, late / max(1, tests - wines), added / wines, doses / wines)


def at_tests(world: World, made: Sequence[Maker], tests: float, wines: int) -> float:
    """Return the days under target of a family of policies at so many tests a year, read off between its members."""
    found = sorted((one.tests, one.under) for one in (a_year(world, maker, wines) for maker in made))
    for (few, worse), (many, better) in pairwise(found):
        if few <= tests <= many:
            return worse + (better - worse) * (tests - few) / (many - few)
    raise ValueError(f"no policy of this family comes to {tests} tests a year: {found}")


def covered(world: World, readings: int, wines: int, unread: Callable[[str], Belief]) -> float:
    """Return how often a wine left alone after so many readings slips under its target within the 90 % interval."""
    inside = 0
    for seed in range(wines):
        wine = Wine(world, seed)
        belief = kept(wine, readings, unread(wine.material))
        first, last = (days_until(belief, wine.target, chance) for chance in (0.05, 0.95))
        inside += first <= wine.left_alone() <= last + 1
    return inside / wines


def kept(wine: Wine, readings: int, belief: Belief) -> Belief:
    """Keep a wine by monthly readings and return what the filter believes of it after the last."""
    for count in range(readings):
        while wine.day < count * GAP:
            racked = wine.sleep()
            belief = belief.aged(1)
            belief = belief.racked() if racked else belief
        value = wine.read()
        belief = belief.corrected(value, wine.world.method)
        raised = policies.dose(value, wine.target, 6.0)
        if raised > 0:
            wine.sulfite(raised)
            belief = belief.dosed(raised, policies.STAYS)
    return belief


def unread(material: str) -> Belief:
    """Return what the program believes of a wine before its first reading."""
    return Belief.unread(policies.usual(material))
