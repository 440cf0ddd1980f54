"""The only place that turns rows into entries, and plans into rows."""

from __future__ import annotations

import json
from collections.abc import Collection, Iterable
from dataclasses import fields
from datetime import UTC, date, datetime
from typing import TYPE_CHECKING, Any

from cellar_tui.ledger.cellar import Cellar, Problem, VesselInfo
from cellar_tui.ledger.cellar_kinds import KINDS
from cellar_tui.ledger.entry import Entry
from cellar_tui.ledger.fields import specs
from cellar_tui.planning.estimate import Fading
from cellar_tui.planning.plan import STABILITIES as STABILITIES
from cellar_tui.planning.plan import Action, Because, Dose, Fact, Plan
from cellar_tui.planning.summary import summary
from storage.errors import RESTORE, Corrupt
from storage.rows import ActionRow, EntryRow, FillingRow, NewEntry, ProblemRow

if TYPE_CHECKING:
    from cellar_tui.planning.empty import EmptyPlan

UNREADABLE = (ValueError, KeyError, TypeError, AttributeError, IndexError, RecursionError)
"""What reading a row that is damaged, or that a newer program made, may raise."""

Lines = tuple[list[FillingRow], list[ActionRow], list[ProblemRow]]
"""Lines of the board: fillings, due actions, problems."""

COLUMNS = (
    "material",
    "amount",
    "volume",
    "so2_mg",
    "sorbate_g",
    "sugar_g",
    "sg",
    "temperature",
    "ph",
    "free_so2",
    "total_so2",
    "malic",
)
"""Fields that stand in columns of their own; the rest of an entry is JSON."""

LETTERS = {"shown": "+", "in_progress": "~", "not_yet": "-", "lapsed": "!", "waived": "w"}
"""One sign for each state of a verdict."""

_FIELDS = {kind: tuple(field.name for field in fields(body)) for kind, body in KINDS.items()}
_DATES = {kind: tuple(n for n, s in specs(body) if s.sort == "date") for kind, body in KINDS.items()}
_LISTS = {kind: tuple(n for n, s in specs(body) if s.sort in ("list", "words")) for kind, body in KINDS.items()}


def stamp(moment: datetime) -> str:
    """Return a moment as it is stored: UTC to the second."""
    return moment.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


def new_entry(entry: Entry, vessels: Collection[int], joins: Collection[int]) -> NewEntry:
    """Turn an entry into the row that is appended, with the vessels it touches and those it joins."""
    kind = entry.body.kind
    stated = {name: value for name in _FIELDS[kind] if (value := getattr(entry.body, name)) is not None}
    columns = {name: stated.pop(name, None) for name in COLUMNS}
    rest: dict[str, Any] = {
        name: value.isoformat() if isinstance(value, date) else value for name, value in stated.items()
    }
    body: dict[str, Any] = {"says": rest}
    if entry.typed:
        body["typed"] = dict(entry.typed)
    if entry.cautions:
        body["cautions"] = list(entry.cautions)
    if entry.waived is not None:
        body["waived"] = entry.waived
    return NewEntry(
        key=entry.key,
        on_day=entry.on.isoformat(),
        minute=entry.minute,
        recorded_at=stamp(entry.recorded_at),
        by=entry.by,
        kind=kind,
        vessel=entry.vessel,
        supersedes=entry.supersedes,
        batch=entry.batch,
        body=json.dumps(body, ensure_ascii=False, separators=(",", ":")),
        vessels=tuple(sorted(vessels)),
        joins=tuple(sorted(joins)),
        **columns,
    )


def entry_of(row: EntryRow) -> Entry:
    """Turn a stored row into an entry.

    Raises:
        Corrupt: it is none that this program knows.
    """
    try:
        return _entry(row)
    except UNREADABLE as error:
        raise Corrupt(f"Entry {row.seq} cannot be read: update the program, or {RESTORE}.") from error


def _entry(row: EntryRow) -> Entry:
    body = json.loads(row.body)
    says: dict[str, Any] = body["says"]
    names = _FIELDS[row.kind]
    for name in COLUMNS:
        if name in names and (value := getattr(row, name)) is not None:
            says[name] = value
    for name in _DATES[row.kind]:
        if name in says:
            says[name] = date.fromisoformat(says[name])
    for name in _LISTS[row.kind]:
        if name in says:
            says[name] = tuple(says[name])
    return Entry(
        row.seq,
        row.key,
        date.fromisoformat(row.on_day),
        row.minute,
        datetime.fromisoformat(row.recorded_at),
        row.by,
        KINDS[row.kind](**says),
        row.vessel,
        row.supersedes,
        row.batch,
        body.get("typed", {}),
        tuple(body.get("cautions", ())),
        body.get("waived"),
    )


def states(signs: str) -> dict[str, str]:
    """Return the states of the five kinds of stability that five signs stand for."""
    meant = {sign: state for state, sign in LETTERS.items()}
    return {kind: meant[sign] for kind, sign in zip(STABILITIES, signs, strict=True)}


def letters(plan: Plan) -> str:
    """Return the five verdicts as five signs."""
    return "".join(LETTERS[plan.verdicts[kind].state] for kind in STABILITIES)


def _empty_row(info: VesselInfo, head: int) -> FillingRow:
    """Return the line of the board of a vessel with nothing in it."""
    return FillingRow(
        vessel=info.number,
        name=info.name,
        name_key=info.name.casefold(),
        place=info.place,
        capacity=info.capacity,
        material=info.material,
        retired=int(info.retired),
        filling=None,
        wine=None,
        wine_key=None,
        style=None,
        colour=None,
        stage=None,
        volume=None,
        ph=None,
        free_so2=None,
        free_loss=None,
        free_since=None,
        read_on=None,
        free_read=None,
        letters=None,
        air_until=None,
        next_show=None,
        next_action=None,
        summary="empty",
        head=head,
    )


def empty_row(info: VesselInfo, asked: EmptyPlan, head: int) -> FillingRow:
    """Return the line of the board of a vessel without wine of which something is asked."""
    first = asked.actions[0]
    return _empty_row(info, head)._replace(
        next_show=first.show.isoformat(), next_action=first.rule, summary=asked.summary
    )


def filling_row(info: VesselInfo, plan: Plan | None, head: int) -> FillingRow:
    """Return the line of the board of one vessel; `plan` is None where it is empty."""
    empty = _empty_row(info, head)
    if plan is None:
        return empty
    ph, known = plan.readings.get("ph"), plan.so2
    until = plan.verdicts["air"].until
    first = plan.actions[0] if plan.actions else None
    return empty._replace(
        filling=plan.filling,
        wine=plan.wine,
        wine_key=plan.wine.casefold(),
        style=plan.style,
        colour=plan.colour,
        stage=plan.stage,
        volume=plan.volume,
        ph=None if ph is None else ph.value,
        free_so2=None if known is None else known.free,
        free_loss=None if known is None else known.loss,
        free_since=None if known is None else known.since.isoformat(),
        read_on=None if known is None else known.read_on.isoformat(),
        free_read=None if known is None else known.read,
        letters=letters(plan),
        air_until=None if until is None else until.isoformat(),
        next_show=None if first is None else first.show.isoformat(),
        next_action=None if first is None else first.rule,
        summary=summary(plan),
    )


def fading_of(row: FillingRow) -> Fading | None:
    """Return how free SO2 of a vessel fades, from its line of the board."""
    if row.free_so2 is None or row.free_loss is None or row.free_since is None or row.read_on is None:
        return None
    since, read_on = date.fromisoformat(row.free_since), date.fromisoformat(row.read_on)
    return Fading(row.free_so2, row.free_loss, since, read_on, row.ph, row.free_read)


def _because(because: Because) -> dict[str, Any]:
    return {
        "rule": because.rule,
        "reason": because.reason,
        "formula": because.formula,
        "source": because.source,
        "facts": [
            [fact.name, fact.value, fact.unit, list(fact.entries), fact.on.isoformat() if fact.on else None]
            for fact in because.facts
        ],
    }


def _because_of(said: dict[str, Any]) -> Because:
    facts = tuple(
        Fact(name, value, unit, tuple(entries), date.fromisoformat(on) if on else None)
        for name, value, unit, entries, on in said["facts"]
    )
    return Because(said["rule"], said["reason"], facts, said["formula"], said["source"])


def action_row(action: Action) -> ActionRow:
    """Return a due action as a line of the board."""
    from cellar_tui.planning.rules.table import RULE_BY_ID

    dose = action.dose
    said: dict[str, Any] = {"task": action.task, "anchor": action.anchor, "why": _because(action.because)}
    said["ways"] = list(action.ways)
    if action.urgent:
        said["urgent"] = True
    if dose is not None:
        said["dose"] = _because(dose.because)
    return ActionRow(
        key=action.key,
        vessel=action.vessel,
        filling=action.filling,
        rule=action.rule,
        due=action.due.isoformat(),
        window_from=action.due.isoformat(),
        window_to=action.latest.isoformat(),
        show=action.show.isoformat(),
        expires=None if action.expires is None else action.expires.isoformat(),
        hard=int(RULE_BY_ID[action.rule].hard),
        postponed=int(action.postponed),
        dose_material=None if dose is None else dose.material,
        dose_amount=None if dose is None else dose.amount,
        dose_unit=None if dose is None else dose.unit,
        dose_note=None if dose is None else dose.note,
        kit=action.kit,
        because=json.dumps(said, ensure_ascii=False, separators=(",", ":")),
        entries=json.dumps(list(action.because.entries)),
    )


def action_of(row: ActionRow) -> Action:
    """Turn a line of the board back into the due action.

    Raises:
        Corrupt: it is none that this program knows.
    """
    try:
        return _action(row)
    except UNREADABLE as error:
        raise Corrupt("A line of the board cannot be read: run `cellar-tui rebuild`.") from error


def _action(row: ActionRow) -> Action:
    said = json.loads(row.because)
    dose = None
    if row.dose_material is not None and row.dose_amount is not None:
        dose = Dose(
            row.dose_material, row.dose_amount, row.dose_unit or "", row.dose_note or "", _because_of(said["dose"])
        )
    return Action(
        row.rule,
        row.vessel,
        row.filling,
        said["anchor"],
        date.fromisoformat(row.due),
        date.fromisoformat(row.window_to),
        date.fromisoformat(row.show),
        _because_of(said["why"]),
        dose,
        None if row.expires is None else date.fromisoformat(row.expires),
        bool(row.postponed),
        said["task"],
        row.kit,
        tuple(said.get("ways", ())),
        bool(said.get("urgent")),
    )


def problem_rows(problems: Iterable[Problem], vessels: Collection[int]) -> list[ProblemRow]:
    """Return the problems of these vessels as lines of the board."""
    return [
        ProblemRow(problem.vessel, problem.entry, problem.problem) for problem in problems if problem.vessel in vessels
    ]


def board(cellar: Cellar, plans: dict[int, Plan], heads: dict[int, int], vessels: Collection[int]) -> Lines:
    """Return the lines of the board for these vessels: fillings, due actions, problems."""
    from cellar_tui.planning import empty

    asked = empty.plans(cellar)
    fillings = [
        empty_row(info, asked[number], heads.get(number, 0))
        if number in asked
        else filling_row(info, plans.get(number), heads.get(number, 0))
        for number, info in sorted(cellar.vessels.items())
        if number in vessels
    ]
    actions = [action_row(one) for number, plan in sorted(plans.items()) if number in vessels for one in plan.actions]
    actions += [action_row(one) for number, plan in asked.items() if number in vessels for one in plan.actions]
    return fillings, actions, problem_rows(cellar.problems, vessels)
