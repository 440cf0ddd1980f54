"""Requests made into entries: names found, text read, amounts worked out, corrections and withdrawals traced."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import Any

from cellar_tui.enology.errors import CalcError
from cellar_tui.language import clean_text, days, parse_entry
from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.cellar import Cellar, VesselInfo
from cellar_tui.ledger.cellar_kinds import RECORDED, HouseRule, Void, WineStart
from cellar_tui.ledger.effects import weighed_out
from cellar_tui.ledger.entry import Entry
from cellar_tui.ledger.gauged import volume_by
from cellar_tui.ledger.house import House
from cellar_tui.ledger.materials import amount_for_dose
from cellar_tui.ledger.standing import Chain, chains
from cellar_tui.planning import empty
from cellar_tui.planning.consider import CellarState, moment
from cellar_tui.planning.rules.base import Rule
from cellar_tui.planning.rules.table import RULE_BY_ID
from cellar_tui.planning.subject import Subject
from cellar_tui.service import clock
from cellar_tui.service.views import CellarError, Request, RowsError
from storage.rows import FillingRow

Aimed = tuple[Request, Sequence[int]]
"""A request with the vessels that it is for."""

LOT_DAYS = 7
"""Days over which the bottling of one wine is one lot; contract of the program's stores."""

GOVERNING = ("rule", "material")
"""Kinds that govern every plan at once: house rules and what is on hand."""


@dataclass(frozen=True, slots=True)
class Stamp:
    """When, by whom and under which key an entry is made."""

    on: date
    minute: int | None
    recorded_at: datetime
    by: str
    key: bytes

    def entry(self, seq: int, body: k.Body, vessel: int | None, **more: Any) -> Entry:
        """Make an entry with this stamp."""
        return Entry(seq, self.key, self.on, self.minute, self.recorded_at, self.by, body, vessel, **more)


def place_of(at: str, today: date, zone: str) -> tuple[date, int | None]:
    """Read the day and hour of an entry, in the cellar's zone.

    Raises:
        CellarError: it cannot be read, lies more than a day ahead, or is an hour that the clocks skipped.
    """
    try:
        found = days.parse_when(at, today) if at.strip() else days.When(today, None)
    except days.WhenError as error:
        raise CellarError(str(error), field="at") from error
    if found.day > today + timedelta(days=1):
        raise CellarError(f"{days.echo(found)} is more than a day ahead: record it when it is done.", field="at")
    if found.minute is not None and clock.skipped(found.day, found.minute, zone):
        skipped = f"{days.echo(found)} was skipped in {zone}, where the clocks went forward"
        raise CellarError(f"{skipped}: type an hour that there was.", field="at")
    return found.day, found.minute


def numbered_key(key: bytes, number: int) -> bytes:
    """Return the key of one entry of a batch; the first keeps the batch's own."""
    if number == 0:
        return key
    return hashlib.blake2b(key + number.to_bytes(4, "big"), digest_size=16).digest()


def ruled(stamp: Stamp, seq: int, rules: Sequence[HouseRule]) -> list[Entry]:
    """Return house rules set together as entries from `seq` on, which are undone together."""
    together = seq if len(rules) > 1 else None
    return [
        replace(stamp.entry(seq + i, rule, None, batch=together), key=numbered_key(stamp.key, i))
        for i, rule in enumerate(rules)
    ]


def read_body(kind: str, fields: Mapping[str, str], typist: parse_entry.Typist, base: k.Body | None = None) -> k.Body:
    """Read typed fields, with one error that names every fault.

    Raises:
        CellarError: something typed cannot be right.
    """
    try:
        return parse_entry.read(kind, fields, typist, base)
    except parse_entry.InputError as error:
        details = tuple((fault.field, fault.message) for fault in error.faults)
        raise CellarError(str(error), field=error.field, details=details) from error


def recordable(requests: Sequence[Request]) -> Sequence[Request]:
    """Return the requests; refuse a kind that `record` does not take, and a sheet in which nothing is typed.

    Raises:
        CellarError: naming those it takes.
    """
    if not requests:
        raise CellarError("Nothing is typed yet: an empty sheet records nothing.")
    for request in requests:
        if request.kind not in RECORDED:
            known = ", ".join(RECORDED)
            raise CellarError(f"there is no kind of entry {request.kind}; there are: {known}.", field="kind")
    return requests


def apart(aimed: Sequence[Aimed]) -> list[int]:
    """Return the vessels of all requests.

    Raises:
        CellarError: a vessel is in two of them: what the one works out would not know of the other.
    """
    found: list[int] = []
    for request, targets in aimed:
        if set(targets) & set(found):
            raise CellarError(f"{request.target} is in the sheet twice: give each vessel one row.", field="vessel")
        found += targets
    return found


def wrong_rows(names: Sequence[str], wrong: Mapping[int, CellarError]) -> CellarError:
    """Return what is wrong with the rows of a sheet as one error; a row that stands alone has its own."""
    if len(names) == 1:
        return wrong[0]
    return RowsError(" ".join(f"{names[index]}: {error}" for index, error in wrong.items()), wrong)


def governs(body: k.Body, house: House) -> None:
    """Refuse to put back to its default what stands there already, or what has none.

    Raises:
        CellarError: saying so.
    """
    if not isinstance(body, HouseRule) or body.value is not None:
        return
    name = body.name or ""
    if name == "zone":
        raise CellarError("the zone has no default of its own: write one like Europe/Berlin.", field="value")
    if name not in house.values:
        raise CellarError(f"{name} stands at its default already: write another value.", field="value")


def newest(entries: Iterable[Entry], kind: str, name: str) -> int:
    """Return the last entry, correction or withdrawal on a house rule or material; 0 where there is none."""
    found = [
        chain.tip.seq
        for chain in chains(entries).values()
        if chain.root.body.kind == kind and getattr(chain.root.body, "name", None) == name
    ]
    return max(found, default=0)


def unmoved(base: CellarState, request: Request, seen: int) -> None:
    """Refuse what was typed before another entry on the same house rule or material was made.

    Raises:
        CellarError: with code "moved", naming that entry.
    """
    last = newest(base.entries, request.kind, request.fields.get("name", ""))
    if last != seen:
        raise CellarError(f"entry {last} was made meanwhile: look at it first.", code="moved", field=str(last))


def completed(body: k.Body, entry: Entry, base: CellarState, typed_dose: bool, *, on_shelf: bool = True) -> k.Body:
    """Work out what depends on the wine at the entry's place: the amount of a dose, the strength, what it brings.

    `on_shelf` takes a strength that is not stated from the bag on hand; a correction keeps that of its own time.
    """
    if isinstance(body, WineStart) and body.count and body.size:
        return replace(body, volume=body.count * body.size / 1000)
    if isinstance(body, k.Reading):
        return gauged(body, base.cellar.vessels.get(entry.vessel or 0))
    if isinstance(body, k.Tasting) and body.score is not None:
        return scored(body, base.cellar.house)
    if not isinstance(body, k.Addition) or body.material is None:
        return body
    strength, shelf = body.strength, base.cellar.house.stock.get(body.material) if on_shelf else None
    if shelf is not None:
        strength = shelf.strength if strength is None else strength
        body = replace(body, lot=shelf.lot if body.lot is None else body.lot)
    amount = body.amount
    if body.dose is not None and (amount is None or typed_dose):
        held = moment(base.ordered, entry, base.cellar.house).holds.get(entry.vessel or 0)
        amount = amount_for_dose(body.material or "", body.dose, held.now.volume if held else 0.0, strength)
    return weighed_out(body, amount or 0.0, strength)


def scored(body: k.Tasting, house: House) -> k.Tasting:
    """Return a tasting note with the scale of its score fixed: the one typed, else the house's.

    Raises:
        CellarError: the score is over it.
    """
    scale = house.number("tasting_scale") if body.scale is None else body.scale
    if body.score is not None and body.score > scale:
        told = (
            f"score {body.score:g} is over the scale of {scale:g}: give its scale, or set the house rule tasting_scale."
        )
        raise CellarError(told, field="score")
    return replace(body, scale=scale)


def gauged(body: k.Reading, info: VesselInfo | None) -> k.Reading:
    """Return a reading with the volume [L] that a dip or an ullage [cm] makes by the vessel's own measures.

    Raises:
        CellarError: the vessel has no such measures, or they do not fit.
    """
    if info is None or (body.dip is None and body.ullage is None):
        return body
    name = "dip" if body.ullage is None else "ullage"
    wanted = ("shape", "diameter") if name == "dip" else ("bung_diameter", "head_diameter", "length")
    missing = [one for one in wanted if one not in info.gauge]
    if not missing and info.gauge.get("shape") == "lying" and "length" not in info.gauge and name == "dip":
        missing = ["length"]
    if missing:
        told = f"{info.name} has no {', '.join(missing)}: `cellar-tui amend {info.number} {missing[0]}=` gives it one."
        raise CellarError(told, field=name)
    try:
        return replace(body, volume=round(volume_by(name, getattr(body, name), info), 1))
    except CalcError as error:
        raise CellarError(f"{error}.", field=name) from error


def shared(body: k.Body, part: float) -> k.Body:
    """Return the part of an addition that goes into one filling of a wine, shared by volume."""
    if isinstance(body, k.Addition) and body.amount is not None:
        return replace(body, amount=body.amount * part)
    return body


def store_name(wine: str, taken: Callable[[str], bool]) -> str:
    """Return the name of the store that a bottling opens; `taken` tells whether a name, without case, is in use."""
    name = free = f"{wine} bottles"
    number = 1
    while taken(free.casefold()):
        number += 1
        free = f"{name} {number}"
    return free


def open_lot(wine: str, on: date, named: Callable[[str], FillingRow | None], base: CellarState) -> FillingRow | None:
    """Return the store of a wine that was bottled within the days of a lot of `on`, None where a new one is opened.

    A store that lies beyond what `base` reaches is returned unread: the bottling is then built again with it in reach.
    """
    last, number = None, 1
    while (row := named(f"{wine} bottles{f' {number}' if number > 1 else ''}".casefold())) is not None:
        last, number = row, number + 1
    if last is None or last.vessel not in base.cellar.vessels:
        return last
    held = base.cellar.holds.get(last.vessel)
    if held is None or not held.store or held.wine.casefold() != wine.casefold():
        return None
    days = [event.on for event in held.log if isinstance(event.body, k.Bottle) and not event.passive]
    return last if days and abs((on - days[-1]).days) <= LOT_DAYS else None


def lot_number(pattern: str, on: date, seq: int) -> str:
    """Return the lot number of a bottling by the cellar's pattern.

    >>> lot_number("L{yy}{ddd}-{n}", date(2027, 4, 3), 57)
    'L27093-57'
    """
    parts = {
        "{yyyy}": f"{on:%Y}",
        "{yy}": f"{on:%y}",
        "{ddd}": f"{on:%j}",
        "{mm}": f"{on:%m}",
        "{dd}": f"{on:%d}",
        "{n}": str(seq),
    }
    for mark, text in parts.items():
        pattern = pattern.replace(mark, text)
    return pattern


def checked(body: k.Body, vessel: int, base: CellarState) -> None:
    """Refuse an override of an action that is not there.

    Raises:
        CellarError: naming the actions there are.
    """
    if not isinstance(body, k.Postpone | k.Skip):
        return
    plan = base.plans.get(vessel) or empty.plans(base.cellar).get(vessel)
    asked = [] if plan is None else [action.rule for action in plan.actions]
    if body.action not in asked:
        names = ", ".join(asked) or "none"
        raise CellarError(f"no action {body.action} is asked of this vessel; there are: {names}.", field="action")
    if isinstance(body, k.Skip):
        _skippable(body, RULE_BY_ID[body.action or ""], vessel, base.cellar)


def _skippable(body: k.Skip, rule: Rule, vessel: int, cellar: Cellar) -> None:
    """Refuse to skip what may not be skipped, or not without a day until which it may wait.

    Raises:
        CellarError: saying what to do instead.
    """
    if rule.hard:
        raise CellarError(f"{rule.id} cannot be skipped: postpone it, or waive its verdict.", field="action")
    held = cellar.holds.get(vessel)
    if held is None or body.until is not None:
        return
    if rule.guards(Subject(held, cellar.vessels[vessel], cellar.house)):
        told = f"{rule.title} guards this wine: a skip of it needs the day until which it may wait."
        raise CellarError(told, field="until")


def touched(entry: Entry, own: int) -> tuple[set[int], set[int]]:
    """Return the vessels an entry touches and those it joins; `own` stands for a store that a bottling opens."""
    body = entry.body
    here = set() if entry.vessel is None else {entry.vessel}
    others = {one for name in ("to", "source", "into") if isinstance(one := getattr(body, name, None), int)}
    if isinstance(body, k.Bottle):
        others.add(own)
    joins = here | others if others else set()
    return here | others, joins


def reason(waive: str | None) -> str | None:
    """Return the reason that passes a guard, cleaned; None where nothing was written.

    Raises:
        CellarError: it is too long.
    """
    if waive is None:
        return None
    try:
        return clean_text.clean(waive, limit=clean_text.NOTE_LIMIT) or None
    except clean_text.TextError as error:
        raise CellarError(str(error), field="waive") from error


def withdrawal(found: dict[int, Chain], seq: int) -> list[tuple[Chain, int]]:
    """Return the chains that the withdrawal of an entry touches, each with the link it withdraws.

    The withdrawal of one entry of a batch withdraws the batch.

    Raises:
        CellarError: there is no such entry, or it is withdrawn already.
    """
    chain = next((one for one in found.values() if any(link.seq == seq for link in one.links)), None)
    if chain is None:
        raise CellarError(f"there is no entry {seq} here; the ledger of a vessel lists them.", field="entry")
    link = next(link for link in chain.links if link.seq == seq)
    if link.batch is None:
        pairs = [(chain, seq)]
    else:
        pairs = [(one, a.seq) for one in found.values() for a in one.links if a.batch == link.batch]
    for one, target in pairs:
        if not _alive(one, target):
            raise CellarError(
                f"entry {target} is already withdrawn by entry {one.tip.seq}; undo {one.tip.seq} brings it back.",
                field="entry",
            )
    return pairs


def _alive(chain: Chain, seq: int) -> bool:
    """Return whether a link of a chain still has effect."""
    position = {link.seq: index for index, link in enumerate(chain.links)}
    dead: set[int] = set()
    for index in range(len(chain.links) - 1, -1, -1):
        body = chain.links[index].body
        if index not in dead and isinstance(body, Void):
            dead.update(range(position[body.of], index))
    return position[seq] not in dead


def bare_units(request: Request, cellar: Cellar) -> dict[str, str | None]:
    """Return the units of bare numbers: as printed by the front end, else canonical (no bare degrees if not metric)."""
    if request.bare:
        return dict(request.bare)
    return {} if cellar.house.word("units") == "metric" else {"C": None}


def to_be_corrected(old: Entry, fields: Mapping[str, str]) -> k.Body:
    """Return the body that a correction starts from: an addition keeps the amount or the dose, as it was typed."""
    body = old.body
    if not isinstance(body, k.Addition):
        return body
    by_dose = "dose" in {**old.typed, **fields} and "amount" not in fields
    return replace(body, amount=None) if by_dose else replace(body, dose=None)
