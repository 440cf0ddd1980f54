"""The bottling gate at the keyboard: evidence, legal sums, label, bottles, what is missing, and the filling."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from textual.pilot import Pilot

from cellar_tui.ledger import kinds as k
from cellar_tui.service.open import OpenCellar, open_cellar
from cellar_tui.service.views import Request
from cellar_tui.tui.screens.home import HomeScreen
from cellar_tui.tui.screens.release import ReleaseScreen
from cellar_tui.tui.screens.why import WhyScreen
from cellar_tui.tui.widgets.form_panel import FormPanel
from tests.opened import clock_of
from tests.tui.seen import cellar, choose, flat, lines, opened, text

KINDS = ("yeast", "bacteria", "air", "crystals", "haze")


@pytest.fixture
def service(tmp_path: Path) -> Iterator[OpenCellar]:
    found = cellar(tmp_path)
    yield found
    found.close()


async def gate(pilot: Pilot[int], vessel: str = "Demijohn 1") -> ReleaseScreen:
    """Open the gate of a wine."""
    choose(pilot, vessel)
    await pilot.press("l")
    await pilot.pause(0.2)
    screen = pilot.app.screen
    assert isinstance(screen, ReleaseScreen)
    return screen


def told(screen: ReleaseScreen) -> list[str]:
    """Return every line of the page, also those that are cut on the screen."""
    return [f"{one.head}{one.text}" for one in screen.items]


def select(screen: ReleaseScreen, part: str) -> None:
    """Put the cursor on the first line that holds a text."""
    screen.select_line(part)


def waive_everything(service: OpenCellar) -> None:
    """Settle all five verdicts by a written reason."""
    for kind in KINDS:
        fields = {"stability": kind, "reason": "own table only"}
        assert service.recorder.record(Request("Demijohn 1", "waive", fields)).saved


async def test_five_verdicts_stand_first_and_a_wine_that_lacks_them_is_shut(service: OpenCellar) -> None:
    async with opened(service) as pilot:
        screen = await gate(pilot)
        assert sorted(one.head.split()[1] for one in screen.sections[0].items) == sorted(KINDS)
        assert "NOT YET" in lines(pilot)[0]
        assert "at the earliest" in lines(pilot)[0]


async def test_the_legal_sums_are_those_of_the_jurisdiction_chosen(service: OpenCellar) -> None:
    async with opened(service, (140, 45)) as pilot:
        screen = await gate(pilot)
        # 40 mg/L stated; a dry white: OIV 200 mg/L (source not verified), EU 200, US 350.
        assert any("40 of 200 mg/L" in one and "OIV" in one for one in told(screen))
        service.recorder.set_rule("jurisdiction", "us")
        screen.refresh_from_service()
        assert any("40 of 350 mg/L" in one and "27 CFR" in one for one in told(screen))


async def test_a_total_over_the_limit_stands_out(service: OpenCellar) -> None:
    service.recorder.record(Request("Demijohn 1", "reading", {"total_so2": "230"}))
    async with opened(service) as pilot:
        screen = await gate(pilot)
        (row,) = [one for one in screen.items if "total SO2" in one.head]
        assert "230 of 200 mg/L OVER" in row.text
        assert row.tone == "stop"


async def test_sulfites_are_named_from_the_threshold_on(service: OpenCellar) -> None:
    async with opened(service) as pilot:
        screen = await gate(pilot)
        assert any("contains sulfites" in one for one in told(screen))
        service.recorder.record(
            Request("Demijohn 1", "reading", {"total_so2": "9", "free_so2": "4", "method": "aspiration"})
        )
        screen.refresh_from_service()
        assert any("no word on sulfites" in one for one in told(screen))


@pytest.mark.parametrize(
    ("material", "origin"), [("isinglass", "fish"), ("lysozyme", "egg"), ("skim milk", "milk"), ("egg white", "egg")]
)
async def test_a_fining_names_the_animal_it_is_from(service: OpenCellar, material: str, origin: str) -> None:
    assert service.recorder.record(Request("Demijohn 1", "addition", {"material": material, "amount": "0.5"})).saved
    async with opened(service) as pilot:
        screen = await gate(pilot)
        assert any(f"{origin}: fined with {material}" in one for one in told(screen))


async def test_bentonite_is_no_word_for_the_label(service: OpenCellar) -> None:
    assert service.recorder.record(Request("Demijohn 1", "addition", {"material": "bentonite", "amount": "10"})).saved
    async with opened(service) as pilot:
        assert not [one for one in told(await gate(pilot)) if "fined with" in one]


async def test_a_fining_of_a_wine_that_was_poured_in_is_asked_about(service: OpenCellar) -> None:
    service.recorder.add_vessel({"name": "Jar", "capacity": "5L", "material": "glass"})
    fields = {"name": "Other", "style": "dry_white", "volume": "5", "finished": "yes", "alcohol": "12"}
    service.recorder.start_wine(Request("Jar", "wine", fields, "2026-11-01"))
    service.recorder.record(Request("Jar", "addition", {"material": "isinglass", "amount": "0.1"}, "2026-11-02"))
    drawn = service.recorder.record(Request("Demijohn 1", "loss", {"volume": "1", "reason": "tasting"}, "2026-11-21"))
    assert drawn.saved
    blended = service.recorder.record(Request("Demijohn 1", "blend", {"with": "Jar", "volume": "1"}, "2026-11-22"))
    assert blended.saved, blended
    async with opened(service) as pilot:
        assert any("did it come in here?" in one for one in told(await gate(pilot)))


async def test_bottles_and_corks_follow_the_size_chosen(service: OpenCellar) -> None:
    async with opened(service) as pilot:
        screen = await gate(pilot)
        # 22.7 L: 30 of 750 mL take 22.5 L; at 97 % 22.019 L fill 29.
        assert any("30 bottles of 750 mL" in one and "29 where 3 % is lost" in one for one in told(screen))
        await pilot.press("s")
        await pilot.pause()
        assert any("22 bottles of 1000 mL" in one for one in told(screen))


async def test_the_way_to_bottling_is_dated(service: OpenCellar) -> None:
    async with opened(service) as pilot:
        screen = await gate(pilot)
        view = service.view.wine("Demijohn 1")
        assert view.day is not None
        steps = [one.action for one in view.day.path]
        (missing,) = [one for one in screen.sections if one.name == "STILL TO WAIT FOR"]
        assert len(missing.items) >= len(steps)
        assert "bottle: all five kinds of stability proven" in missing.items[-1].text


async def test_w_opens_the_working_of_a_line_and_l_works_from_the_wine_too(service: OpenCellar) -> None:
    async with opened(service) as pilot:
        choose(pilot, "Demijohn 1")
        await pilot.press("enter")
        await pilot.pause(0.1)
        await pilot.press("l")
        await pilot.pause(0.2)
        screen = pilot.app.screen
        assert isinstance(screen, ReleaseScreen)
        select(screen, "total SO2")
        await pilot.press("w")
        await pilot.pause(0.1)
        assert isinstance(pilot.app.screen, WhyScreen)
        assert "OIV-MA-C1-01" in flat(pilot)
        assert "jurisdiction" in flat(pilot)


async def test_what_was_let_pass_by_a_reason_is_told(service: OpenCellar) -> None:
    waive_everything(service)
    async with opened(service) as pilot:
        found = "\n".join(told(await gate(pilot)))
        assert "yeast waived: own table only" in found


async def test_crystals_that_were_accepted_are_told_to_whoever_pours(service: OpenCellar) -> None:
    service.recorder.record(Request("Demijohn 1", "intent", {"crystals_accepted": "yes"}))
    async with opened(service) as pilot:
        assert any("crystals may fall" in one for one in told(await gate(pilot)))


async def test_f_opens_the_bottling_with_what_was_reckoned_and_the_store_is_in_the_ledger(service: OpenCellar) -> None:
    waive_everything(service)
    async with opened(service) as pilot:
        await gate(pilot)
        await pilot.press("f")
        await pilot.pause(0.2)
        panel = pilot.app.screen.query_one(FormPanel)
        assert panel.is_open
        assert (panel.texts()["count"], panel.texts()["size"]) == ("30", "750")
        await pilot.press("enter")
        await pilot.pause(0.3)
        assert "Recorded as entry" in flat(pilot)
        await pilot.press("escape")
        await pilot.pause(0.1)
        assert isinstance(pilot.app.screen, HomeScreen)
    entry = service.last_by("ida")
    assert entry is not None
    assert isinstance(entry.body, k.Bottle)
    assert (entry.body.count, entry.body.size, entry.body.store) == (30, 750, "Terrace bottles")


async def test_a_wine_left_to_the_sterile_filter_is_filled_through_it(service: OpenCellar) -> None:
    service.recorder.record(Request("Demijohn 1", "intent", {"sterile_filtration": "yes"}))
    async with opened(service) as pilot:
        screen = await gate(pilot)
        await pilot.press("f")
        await pilot.pause(0.2)
        assert screen.query_one(FormPanel).texts()["filter"] == "sterile"


async def test_an_empty_vessel_has_nothing_to_release(service: OpenCellar) -> None:
    async with opened(service) as pilot:
        choose(pilot, "Demijohn 9")
        await pilot.press("l")
        await pilot.pause()
        assert "nothing to bottle" in lines(pilot)[-1]


async def test_where_nothing_may_be_written_the_gate_is_shown_and_nothing_filled(
    service: OpenCellar, tmp_path: Path
) -> None:
    service.close()
    looked_at = open_cellar(tmp_path / "cellar.db", clock_of(service), by="ida", read_only=True)
    async with opened(looked_at) as pilot:
        screen = await gate(pilot)
        await pilot.press("f")
        await pilot.pause()
        assert not screen.query_one(FormPanel).is_open
        assert "f fill" not in lines(pilot)[-1]
    looked_at.close()


@pytest.mark.parametrize("name", ["[/]", "[@click=app.quit]x[/]", "milk [b"])
async def test_what_a_person_wrote_is_shown_as_text(service: OpenCellar, name: str) -> None:
    service.recorder.record(Request("Demijohn 1", "waive", {"stability": "haze", "reason": name}))
    service.recorder.record(Request("Demijohn 1", "addition", {"material": f"egg {name}", "amount": "1"}))
    async with opened(service, (140, 45)) as pilot:
        await gate(pilot)
        assert f"haze waived: {name}" in text(pilot)
        assert f"fined with egg {name}" in text(pilot)
