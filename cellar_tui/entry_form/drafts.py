"""What was typed into forms and not yet recorded: one file per person and cellar, kept over a dropped line."""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Sequence
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import Any

from cellar_tui.service.state_folder import state_folder

MOST = 20
"""Drafts kept for one person: the oldest go first."""


@dataclass(frozen=True, slots=True)
class Draft:
    """An open form as it was left.

    Attributes:
        kind, target: kind of entry, and vessel or `wine:NAME`.
        fields: text of its fields as typed.
        key: key of the entry, hexadecimal, so that a second Enter makes no second entry.
        heads: last entry seen of each vessel, by its number.
        fixed: what was known beforehand and is not typed.
        amends: the entry that is corrected, None for a new one.
    """

    kind: str
    target: str
    fields: dict[str, str]
    key: str
    heads: dict[str, int] = field(default_factory=dict)
    fixed: dict[str, str] = field(default_factory=dict)
    amends: int | None = None

    @property
    def form(self) -> tuple[str, str, tuple[tuple[str, str], ...], int | None]:
        """Which form it belongs to: there is one draft a form."""
        return self.kind, self.target, tuple(sorted(self.fixed.items())), self.amends


def place(cellar: Path, by: str) -> Path:
    """Return where the drafts of a person on a cellar lie."""
    name = hashlib.blake2b(f"{cellar.resolve()}\0{by}".encode(), digest_size=12).hexdigest()
    return state_folder() / "drafts" / f"{name}.json"


def save(path: Path, draft: Draft) -> bool:
    """Keep a draft in the place of an older one of the same form; return whether that could be done."""
    others = [one for one in kept(path) if one.form != draft.form]
    return _write(path, [*others, draft][-MOST:])


def kept(path: Path) -> list[Draft]:
    """Return the drafts that lie there, the newest last; what cannot be read is left out."""
    try:
        said = json.loads(path.read_text(encoding="utf-8"))
        found = [_draft(one) for one in said["drafts"]]
    except (OSError, ValueError, KeyError, TypeError, RecursionError):
        return []
    return [one for one in found if one is not None]


def load(path: Path) -> Draft | None:
    """Return the newest draft that lies there, None where there is none."""
    found = kept(path)
    return found[-1] if found else None


def drop(path: Path, draft: Draft) -> None:
    """Forget the draft of a form: it is recorded, or nothing is typed there any more."""
    found = kept(path)
    others = [one for one in found if one.form != draft.form and one.key != draft.key]
    if not others:
        path.unlink(missing_ok=True)
    elif len(others) < len(found):
        _write(path, others)


def _draft(said: Any) -> Draft | None:
    try:
        texts, fixed = ({str(name): str(text) for name, text in said[part].items()} for part in ("fields", "fixed"))
        heads = {str(int(vessel)): int(seq) for vessel, seq in said["heads"].items()}
        amends = None if said["amends"] is None else int(said["amends"])
        bytes.fromhex(said["key"])
        json.dumps(said, ensure_ascii=False).encode()  # half a character cannot be kept again
        return Draft(str(said["kind"]), str(said["target"]), texts, said["key"], heads, fixed, amends)
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return None


def _write(path: Path, drafts: Sequence[Draft]) -> bool:
    """Write under another name, then rename: what lies there is always whole."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        scratch = path.with_suffix(f".{os.getpid()}")
        handle = os.open(scratch, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            json.dump({"drafts": [asdict(one) for one in drafts]}, file, ensure_ascii=False)
            file.flush()
            os.fsync(file.fileno())
        scratch.replace(path)
    except OSError:
        return False
    return True
