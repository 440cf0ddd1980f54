"""Laws of free SO2 over a drawn year of one wine; what is old, asked and shown is kept by a second account here."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from hypothesis import strategies as st

from cellar_tui.ledger import kinds as k
from cellar_tui.planning.estimate import estimate
from cellar_tui.planning.plan import Action, Plan
from cellar_tui.planning.planner import Day, on_day, plan
from cellar_tui.planning.wine_figures import look
from cellar_tui.service import rows
from tests.planning.stories import Story, day, kept

READING_AGE, PH_AGE = 21, 90
"""Days after which no dose may rest on a free SO2 reading or a pH; cellar practice of the house."""
WORTH, LEAST_GRAMS = 5.0, 1.0
"""Least dose that is asked for [mg/L total], and least that a balance of 0.1 g weighs in ten steps [g]."""
UNASKED, SETTLING = 60, 3
"""Days within which free SO2 of a finished wine is asked about, and days that work on it is left to settle."""
ASKING = {"so2_recheck", "sulfite", "ph_check"}
SO2_SHARE = {"g": 576.0, "mL": 57.6}
"""SO2 in metabisulfite [mg/g], and in a solution of 10 g in 100 mL [mg/mL]; computed."""

Deed = tuple[int, str, float]
"""Days since the deed before, what is done, and a share (0 to 1) of how much."""

DEEDS = st.lists(
    st.tuples(
        st.integers(1, 40),
        st.sampled_from(("read", "read", "strip", "sulfite", "rack", "ph", "warmth", "top", "look")),
        st.floats(0, 1, allow_nan=False),
    ),
    min_size=1,
    max_size=8,
)


@dataclass
class Account:
    """When free SO2 and pH were last read and the wine last worked on, by what was done and not by the program."""

    read: date
    ph: date
    work: date


def do(story: Story, on: date, what: str, share: float, account: Account) -> None:  # noqa: C901 (a table of what a hand may do)
    """Let one thing happen to the wine."""
    text = on.isoformat()
    if what == "read":
        story.reading(text, free_so2=round(5 + 45 * share, 1), method="aspiration")
    elif what == "strip":
        story.reading(text, free_so2=5.0 * round(10 * share), method="strip")
    elif what == "sulfite":
        story.sulfite(text, 5 + 30 * share)
    elif what == "rack":
        story.rack(text)
    elif what == "ph":
        story.reading(text, ph=3.2)
    elif what == "warmth":
        story.reading(text, temperature=round(5 + 20 * share))
    elif what == "top":
        story.top(text, 0.05)
    else:
        story.check(text, "level")
    if what in ("read", "strip"):
        account.read = on
    if what == "ph":
        account.ph = on
    if what in ("sulfite", "rack"):
        account.work = on


def _sound_dose(one: Action, volume: float) -> None:
    assert one.dose is not None
    raised = one.dose.amount * SO2_SHARE[one.dose.unit] / volume
    assert raised >= WORTH - 1e-6, f"{raised:.2f} mg/L is asked for"
    assert one.dose.unit == "mL" or one.dose.amount >= LEAST_GRAMS, f"{one.dose.amount:.2f} g cannot be weighed"


def _listed(found: Day, today: date, account: Account, volume: float) -> None:
    """Hold the list of one day."""
    listed = {one.rule: one for one in (*found.late, *found.today)}
    dose = listed.get("sulfite")
    if dose is not None and dose.dose is not None:
        assert (today - account.read).days <= READING_AGE, f"{today}: dosed on a reading of {account.read}"
        assert (today - account.ph).days <= PH_AGE, f"{today}: dosed on a pH of {account.ph}"
        assert "so2_recheck" not in listed, f"{today}: sulfite and a reading of one wine"
        _sound_dose(dose, volume)
    if (today - account.read).days > UNASKED and (today - account.work).days > SETTLING:
        assert ASKING & set(listed), f"{today}: nobody asks about free SO2, read on {account.read}"


def _figures(found: Plan, story: Story, today: date) -> None:
    """Hold that list, page and form show one figure for a day."""
    s = story.subject()
    shown = on_day(found, today).so2
    assert shown is not None
    line = rows.filling_row(s.vessel, found, 0)
    assert estimate(rows.fading_of(line), today) == shown
    form = look(s.c, s.vessel, s.house, today)
    assert (form.free_so2, form.molecular_so2) == (shown.free_so2, shown.molecular_so2)


def free_so2_is_asked_for_and_dosed_soundly_over_a_year(deeds: list[Deed], vessel: str) -> None:
    """No dose on what is old or too little to weigh, none beside a reading, no wine forgotten, one figure for a day."""
    story = kept(vessel=vessel).intent("2026-10-21", bottling="2029-06-01", crystals_accepted=True)
    account, today = Account(day("2026-10-21"), day("2026-10-13"), day("2026-10-18")), day("2026-10-21")
    for gap, what, share in [*deeds, (80, "look", 0.0)]:
        s = story.subject()
        found = plan(s.c, s.vessel, s.house)
        for passed in range(gap):
            on = today + timedelta(days=passed)
            _listed(on_day(found, on), on, account, s.volume)
        _figures(found, story, today)
        _figures(found, story, today + timedelta(days=gap))
        today += timedelta(days=gap)
        do(story, today, what, share, account)


def a_reading_on_its_own_day_is_what_is_shown(free: float) -> None:
    """The reading itself stands with its date; from the next day on the estimate does."""
    story = kept().reading("2026-11-20", free_so2=free, method="aspiration")
    s = story.subject()
    found = plan(s.c, s.vessel, s.house)
    shown, next_day = (on_day(found, day(on)).so2 for on in ("2026-11-20", "2026-11-21"))
    assert shown is not None
    assert next_day is not None
    assert (shown.free_so2, shown.age_days) == (free, 0)
    assert next_day.age_days == 1
    assert isinstance(s.c.log[-1].body, k.Reading)
