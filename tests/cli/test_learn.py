"""Learning the cellar's own losses of free SO2 on the command line."""

from __future__ import annotations

import pytest

from tests.cli.conftest import Desk


@pytest.fixture
def read(white: Desk) -> Desk:
    """A wine in glass that loses 1.1 % a day by three readings."""
    for on, value in (("-32d", "40"), ("-17d", "34"), ("-2d", "29")):
        white("record", "Demijohn 1", "reading", f"free_so2={value}", "method=aspiration", "--at", on)
    white("undo", "5")
    return white


def test_the_figures_are_shown_before_and_after_they_are_learned(read: Desk) -> None:
    tried = read("rule", "learn", "--preview")
    assert "loss_glass: 0.004 -> " in tried.out
    assert "from 1 wine" in tried.out
    assert "dates would move" in tried.out
    kept = read("rule", "learn")
    assert kept.status == 0
    assert tried.out.splitlines()[0] == kept.out.splitlines()[0]
    assert "Entry " in kept.out
    loss = next(one for one in read("rule", "--json").json if one["name"] == "loss_glass")
    assert loss["changed"]
    assert f"-> {loss['value']}" in kept.out


def test_learning_answers_in_json(read: Desk) -> None:
    found = read("rule", "learn", "--preview", "--json").json
    assert set(found) == {"learned", "entries", "calibration"}
    assert set(found["learned"][0]) == {"name", "was", "now", "wines"}
    assert found["calibration"] == {"inside": 2, "tested": 2}


def test_nothing_to_learn_is_one_clear_error(white: Desk) -> None:
    said = white("rule", "learn")
    assert said.status == 1
    assert "no wine has shown its own loss yet: test free SO2 twice or more" in said.err


def test_the_working_of_a_wine_tells_its_forecast_and_how_forecasts_have_done(read: Desk) -> None:
    told = read("show", "Demijohn 1", "--because").out
    assert "5 % risk of being below" in told
    assert "forecasts so far 2 of your last 2 readings fell inside the interval" in told
    assert "house rule loss glass" in told
    facts = read("show", "Demijohn 1", "--because", "--json").json["forecast"]["because"]["facts"]
    assert facts[-1]["name"] == "forecasts so far"
    assert "2 of your last 2 readings fell inside the interval" in read("rule").out
