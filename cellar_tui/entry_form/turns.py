"""Where an open form may turn to: another kind of the same work, or every vessel of the wine."""

from __future__ import annotations

from collections.abc import Mapping

from cellar_tui.entry_form.fields import DATE, ORDER, REACH
from cellar_tui.entry_form.work import Work
from cellar_tui.language import describe_entry
from cellar_tui.language.layout import joined
from cellar_tui.service.build_entries import GOVERNING
from cellar_tui.service.records import WINE

FAMILIES: tuple[tuple[str, ...], ...] = (
    ("racking", "split", "blend", "topping", "press", "loss"),
    ("chill", "gas", "filter"),
    ("intent", "decide", "waive"),
    ("bottle", "bottles"),
    ("check", "tasting", "lab_report"),
    ("note", "harvest"),
)
"""Kinds of entry between which a form turns, the usual one first."""
ONE_VESSEL = (*FAMILIES[0], "bottle", "bottles", "harvest", "cleaning", "trial", "postpone", "skip")
"""Kinds that say something of one vessel alone."""
IN_ALL = tuple("dose" if name == REACH else name for name in ORDER["addition"])
"""Fields of an addition to every vessel: what each of them reaches differs, so that a dose is typed instead."""
AMOUNTS = ("amount", REACH, "dose")
ANY_MOVE = ("to", "with", "name", "style", "reason", DATE)
"""Fields that say the same in every kind of a family."""


def beside(kind: str) -> tuple[str, ...]:
    """Return the kinds that a form turns to, the next one first; none where it stands alone."""
    family = next((one for one in FAMILIES if kind in one), ())
    place = family.index(kind) if family else 0
    return (*family[place + 1 :], *family[:place])


def in_all(target: str) -> bool:
    """Return whether a form is for every vessel of a wine."""
    return target.casefold().startswith(WINE)


def vessels(work: Work) -> tuple[str, tuple[str, ...]]:
    """Return the wine of a form, and its vessels where an entry may be made for all of them."""
    held = work.form.base(frozenset(work.form.numbers)).cellar.holds.get(work.form.numbers[0])
    if held is None or work.kind in ONE_VESSEL or work.amending is not None:
        return "", ()
    numbers = work.form.wine_vessels(held.wine)
    if len(numbers) < 2 or held.vessel not in numbers:
        return held.wine, ()
    names = {vessel.number: vessel.name for vessel in work.service.view.vessels()}
    return held.wine, tuple(names[number] for number in numbers)


def names(kind: str, target: str, given: tuple[str, ...] | None) -> tuple[str, ...] | None:
    """Return the fields that a form shows: those given, else the usual ones for one vessel or for all of them."""
    return IN_ALL if given is None and kind == "addition" and in_all(target) else given


def title(work: Work) -> str:
    """Return what stands above a form: the work, where, and the keys with which it turns."""
    if work.kind in GOVERNING:
        return work.title if work.amending is None else joined((work.title, work.target))
    wine, found = vessels(work)
    where, turn = work.target, f"F7 all {len(found)} vessels" if found else ""
    if in_all(work.target):
        where, turn = f"all {len(found)} vessels of {wine}", "F7 one vessel"
    kinds = beside(work.kind) if work.amending is None and not work.fixed else ()
    others = f"Ctrl+O {', '.join(describe_entry.words(kind) for kind in kinds)}" if kinds else ""
    return joined((work.title, where, turn, others))


def carried(texts: Mapping[str, str], *, other_kind: bool) -> dict[str, str]:
    """Return the text that a form takes along when it turns.

    A volume left by one kind of move is none that another takes, and an amount for one vessel is none for all.
    """
    return {
        name: text for name, text in texts.items() if text and (name in ANY_MOVE if other_kind else name not in AMOUNTS)
    }
