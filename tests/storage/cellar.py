"""Entries and board lines for the tests of the store."""

from __future__ import annotations

from storage.rows import CELLAR, OWN, ActionRow, EntryRow, FillingRow, NewEntry
from storage.store import Store


def key(number: int) -> bytes:
    return number.to_bytes(16, "big")


def an_entry(number: int, kind: str = "reading", *, vessels: tuple[int, ...] = (1,), **named: object) -> NewEntry:
    """An entry whose key is made from `number`."""
    plain = NewEntry(
        key=key(number),
        on_day="2026-03-14",
        minute=None,
        recorded_at="2026-03-14T18:05:00Z",
        by="anna",
        kind=kind,
        vessel=vessels[0] if vessels and vessels[0] != CELLAR else None,
        supersedes=None,
        batch=None,
        material=None,
        amount=None,
        volume=None,
        so2_mg=None,
        sorbate_g=None,
        sugar_g=None,
        sg=None,
        temperature=None,
        ph=None,
        free_so2=None,
        total_so2=None,
        malic=None,
        body="{}",
        vessels=vessels,
    )
    return plain._replace(**named)  # type: ignore[arg-type]


def a_vessel(number: int) -> NewEntry:
    return an_entry(number, "vessel", vessels=(OWN,))


def record(store: Store, *rows: NewEntry) -> list[EntryRow]:
    with store.write() as tx:
        return tx.append(rows)


def cellar_with(store: Store, *, vessels: int) -> None:
    """So many vessels, numbered from 1, and then a pH reading in each."""
    record(store, *(a_vessel(n) for n in range(1, vessels + 1)))
    record(store, *(an_entry(100 + n, vessels=(n,), ph=3.3) for n in range(1, vessels + 1)))


def a_filling(vessel: int, name: str = "Carboy", /, **named: object) -> FillingRow:
    plain = FillingRow(
        vessel=vessel,
        name=name,
        name_key=name.casefold(),
        place="back wall",
        capacity=23.0,
        material="glass",
        retired=0,
        filling=vessel,
        wine="Plum",
        wine_key="plum",
        style="dry_fruit",
        colour="red",
        stage="ageing",
        volume=22.0,
        ph=3.31,
        free_so2=28.0,
        free_loss=0.004,
        free_since="2026-03-01",
        read_on="2026-03-01",
        free_read=28.0,
        letters="+~-!w",
        air_until="2026-04-01",
        next_show="2026-03-20",
        next_action="so2_recheck",
        summary="SO2 recheck",
        head=vessel,
    )
    return plain._replace(**named)  # type: ignore[arg-type]


def an_action(vessel: int, rule: str = "so2_recheck", show: str = "2026-03-20", /, **named: object) -> ActionRow:
    plain = ActionRow(
        key=f"{rule}:{vessel}",
        vessel=vessel,
        filling=vessel,
        rule=rule,
        due=show,
        window_from=show,
        window_to=show,
        show=show,
        expires=None,
        hard=0,
        postponed=0,
        dose_material=None,
        dose_amount=None,
        dose_unit=None,
        dose_note=None,
        kit="SO2 test",
        because="[]",
        entries="[1]",
    )
    return plain._replace(**named)  # type: ignore[arg-type]
