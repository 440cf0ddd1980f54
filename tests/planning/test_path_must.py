"""The way of a must to its bottle begins with its yeast, and leads by the press and by what is to stop the ferment."""

from __future__ import annotations

import pytest

from cellar_tui.planning.path import path
from tests.planning.stories import Story, dry, fermenting


def steps(story: Story) -> list[str]:
    return [one.action for one in path(story.subject())]


@pytest.mark.parametrize(
    ("story", "first"),
    [
        (Story(sg=1.090), ["yeast", "gravity_check"]),
        (fermenting(), ["gravity_check"]),
        (fermenting("dry_red", skins=True), ["press", "gravity_check"]),
        (Story("fortified", colour="red", skins=True), ["yeast", "press", "fortify", "sulfite"]),
        (fermenting("arrested_sweet"), ["arrest", "sulfite"]),
    ],
)
def test_the_way_begins_in_the_must(story: Story, first: list[str]) -> None:
    assert steps(story)[: len(first)] == first


def test_a_finished_wine_has_left_the_must_behind() -> None:
    assert not {"yeast", "press", "arrest", "fortify"} & set(steps(dry()))
