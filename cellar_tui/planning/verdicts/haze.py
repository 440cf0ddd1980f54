"""Haze: no protein, pectin or metal haze in the bottle."""

from __future__ import annotations

from collections.abc import Iterator

from cellar_tui.ledger.history import additions, checks, readings
from cellar_tui.ledger.materials import PROTEIN_FININGS, material
from cellar_tui.planning import handling
from cellar_tui.planning.plan import Fact
from cellar_tui.planning.subject import Subject, clear_rule
from cellar_tui.planning.verdicts.base import Kind, Shown, Undone, blends

HAZY_SWEETENERS = ("juice", "honey", "concentrate")
"""Sweeteners that bring protein or pectin; common practice."""


def needs_heat(s: Subject) -> bool:
    """Return whether protein can haze it: whites, roses and fruit wines; tannin throws it in reds."""
    return not s.intents.red and s.intents.finish != "fortified"


def tests(s: Subject) -> tuple[str, ...]:
    """Return the haze tests this wine has to pass."""
    return ("heat_test", "pectin_test") if s.intents.colour == "fruit" else ("heat_test",)


def _stirs(name: str) -> bool:
    """Return whether a material can bring haze to a wine that was proven."""
    return name in PROTEIN_FININGS or name in HAZY_SWEETENERS or material(name).sort in ("acid", "carbonate")


def _undoings(s: Subject) -> Iterator[Undone]:
    yield from blends(s)
    if not needs_heat(s):
        for index, event in handling.finings(s, s.end_index):
            yield Undone(index, event, "fined")
        return
    for index, event, name in additions(s.c, _stirs, after=s.end_index):
        if name in PROTEIN_FININGS:
            yield Undone(index, event, "fined with protein or tannin")
        elif material(name).sort in ("acid", "carbonate"):
            yield Undone(index, event, "acid changed")
        elif name in HAZY_SWEETENERS:
            yield Undone(index, event, f"{name} added")
    yield from _ph_moved(s)
    yield from _failed_again(s)
    if s.ml.state == "done" and s.ml.index > s.end_index:
        yield Undone(s.ml.index, s.c.log[s.ml.index], "malolactic fermentation")


def _failed_again(s: Subject) -> Iterator[Undone]:
    """Yield the haze tests that failed after one of their kind had passed."""
    for name in tests(s):
        passed = False
        for evidence, check in checks(s.c, name):
            if passed and check.result != "pass":
                yield Undone(evidence.index, s.c.log[evidence.index], f"{name.replace('_', ' ')} failed")
            passed = check.result == "pass"


def _ph_moved(s: Subject) -> Iterator[Undone]:
    """Yield the pH readings that moved by 0.1 from the pH at the last passed heat test."""
    seen = readings(s.c, "ph")
    limit = round(s.house.number("ph_undoes") * 100)
    for test, check in checks(s.c, "heat_test"):
        base = [one for one in seen if one.index <= test.index]
        if check.result != "pass" or not base:
            continue
        for one in seen:
            if one.index > test.index and abs(round((one.value - base[-1].value) * 100)) >= limit:
                yield Undone(one.index, s.c.log[one.index], "pH moved", "ph_undoes")
                break


def _shown(s: Subject, after: int) -> Shown | None:
    if s.end is None or s.clear is None or s.clear.index <= after:
        return None
    look = Fact("clear", "yes", "", s.clear.entries, s.clear.on)
    if not needs_heat(s):
        disturbed = handling.latest(handling.finings(s), handling.blends(s))
        if disturbed is not None and s.clear.on - disturbed[1].on < s.days("haze_quiet"):
            return None
        return Shown((look,), f"clear, and left alone for {s.house.days('haze_quiet')} days before", s.clear.index)
    facts = [look]
    index = s.clear.index
    for name in tests(s):
        seen = checks(s.c, name, after=after)
        if not seen or seen[-1][1].result != "pass":
            return None
        evidence = seen[-1][0]
        facts.append(Fact(name.replace("_", " ") + " passed", "yes", "", evidence.entries, evidence.on))
        index = max(index, evidence.index)
    return Shown(tuple(facts), "heat stable and clear", index)


def _begun(s: Subject, after: int) -> Fact | None:
    for evidence, check in reversed(checks(s.c, "heat_test", "pectin_test", after=after)):
        if check.result == "pass":
            return Fact("haze test", "passed", "", evidence.entries, evidence.on)
    for index, event, name in additions(s.c, lambda name: name == "bentonite", after=s.end_index):
        if index >= after:
            return Fact(f"{name} in", event.on.isoformat(), "", (event.entry,), event.on)
    return None


def _wants(s: Subject) -> str:
    if s.end is None:
        return "the ferment to finish"
    if not needs_heat(s):
        return f"a clarity check passed, {s.house.days('haze_quiet')} days after the last fining or blend"
    return f"{' and '.join(tests(s)).replace('_', ' ')} passed and the wine clear"


def _rests_on(s: Subject) -> Iterator[Fact]:
    if readings(s.c, "turbidity"):
        yield s.fact(clear_rule(s.intents))
    yield from map(s.fact, ("heat_rise", "ph_undoes") if needs_heat(s) else ("haze_quiet",))


HAZE = Kind(
    "haze",
    _undoings,
    _shown,
    _begun,
    _wants,
    ("haze",),
    frozenset({"heat_test", "pectin_test", "clarity", "turbidity"}),
    _rests_on,
)
