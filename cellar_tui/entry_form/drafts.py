"""What was typed into forms and not yet recorded: one file per person and cellar, kept over a dropped line."""

from __future__ import annotations

import atexit
import fcntl
import hashlib
import json
import os
import uuid
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import asdict, dataclass, field, replace
from functools import cache
from pathlib import Path
from typing import Any

from cellar_tui.service.state_folder import state_folder

MOST = 20
"""Drafts kept for one person: the oldest go first."""
_NAME = uuid.uuid4().hex
"""Name of this run of the program."""


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
        action: key of the due action that it answers, "" where it is none's.
        wine: the filling it is for, "" where it is for several or none.
        at, cursor: the field in which the cursor was, and its place there.
        program: the run of the program that is typing it, "" for one that nobody is typing.
    """

    kind: str
    target: str
    fields: dict[str, str]
    key: str
    heads: dict[str, int] = field(default_factory=dict)
    fixed: dict[str, str] = field(default_factory=dict)
    amends: int | None = None
    action: str = ""
    wine: str = ""
    at: str = ""
    cursor: int = 0
    program: str = field(default="", compare=False)

    @property
    def form(self) -> tuple[object, ...]:
        """Which form it belongs to: there is one draft a form."""
        return self.kind, self.target, tuple(sorted(self.fixed.items())), self.amends, self.action, self.wine


def draft_file(cellar: Path, by: str) -> Path:
    """Return where the drafts of a person on a cellar lie."""
    name = hashlib.blake2b(f"{cellar.resolve()}\0{by}".encode(), digest_size=12).hexdigest()
    return state_folder() / "drafts" / f"{name}.json"


def save(path: Path, draft: Draft) -> bool:
    """Keep a draft as this program's, in the place of an older one of the same form; return whether it could be done.

    What another program is typing stays beside it, though it be the same form.
    """
    own = replace(draft, program=_own())
    with _alone(path):
        others = [one for one in kept(path) if one.form != own.form or _is_typed_elsewhere(one)]
        return _write(path, [*others, own][-MOST:])


def claim(path: Path, draft: Draft) -> None:
    """Take a draft over as this program's; where another was quicker, both go on with it."""
    with _alone(path):
        found = kept(path)
        if draft in found:
            _write(path, [replace(one, program=_own()) if one == draft else one for one in found])


def kept(path: Path) -> list[Draft]:
    """Return the drafts that lie there, the newest last; what cannot be read is left out."""
    try:
        said = json.loads(path.read_text(encoding="utf-8"))
        found = [_draft(one) for one in said["drafts"]]
    except (OSError, ValueError, KeyError, TypeError, RecursionError):
        return []
    return [one for one in found if one is not None]


def free(path: Path) -> list[Draft]:
    """Return the drafts that no other running program is typing: they are its own until it ends."""
    return [one for one in kept(path) if not _is_typed_elsewhere(one)]


def load(path: Path) -> Draft | None:
    """Return the newest draft that may be taken up, None where there is none."""
    found = free(path)
    return found[-1] if found else None


def drop(path: Path, draft: Draft) -> None:
    """Forget the draft of a form: it is recorded, or nothing is typed there any more."""
    with _alone(path):
        found = kept(path)
        others = [one for one in found if _is_typed_elsewhere(one) or (one.form != draft.form and one.key != draft.key)]
        if not others:
            path.unlink(missing_ok=True)
        elif len(others) < len(found):
            _write(path, others)


# -- programs that run


def _running() -> Path:
    folder = state_folder() / "running"
    folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    return folder


@cache
def _hold(name: str, folder: Path) -> int:
    """Hold the lock that says that this program runs; the system lets go of it however the program ends."""
    handle = os.open(folder / name, os.O_WRONLY | os.O_CREAT, 0o600)
    fcntl.flock(handle, fcntl.LOCK_EX)
    atexit.register((folder / name).unlink, missing_ok=True)
    return handle


def _own() -> str:
    """Return the name of this run of the program, and hold it; where nothing can be written it is nobody's."""
    try:
        _hold(_NAME, _running())
    except OSError:
        return ""
    return _NAME


def _is_typed_elsewhere(draft: Draft) -> bool:
    """Return whether another program that still runs is typing it."""
    if draft.program in ("", _NAME):
        return False
    try:
        handle = os.open(_running() / draft.program, os.O_WRONLY)
    except OSError:
        return False
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return True
    finally:
        os.close(handle)
    (_running() / draft.program).unlink(missing_ok=True)
    return False


@contextmanager
def _alone(path: Path) -> Iterator[None]:
    """Let no other program change the drafts meanwhile; where that cannot be locked, go on without."""
    handle = -1
    try:
        handle = os.open(_running() / f"{path.stem}.lock", os.O_WRONLY | os.O_CREAT, 0o600)
        fcntl.flock(handle, fcntl.LOCK_EX)
    except OSError:
        pass
    try:
        yield
    finally:
        if handle >= 0:
            os.close(handle)


def _draft(said: Any) -> Draft | None:
    try:
        texts, fixed = ({str(name): str(text) for name, text in said[part].items()} for part in ("fields", "fixed"))
        heads = {str(int(vessel)): int(seq) for vessel, seq in said["heads"].items()}
        amends = None if said["amends"] is None else int(said["amends"])
        bytes.fromhex(said["key"])
        later = {name: str(said.get(name, "")) for name in ("action", "wine", "at", "program")}
        if not later["program"].isalnum():
            later["program"] = ""
        cursor = int(said.get("cursor", 0))
        json.dumps([said, later], ensure_ascii=False).encode()  # half a character cannot be kept again
        return Draft(
            str(said["kind"]), str(said["target"]), texts, said["key"], heads, fixed, amends, cursor=cursor, **later
        )
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return None


def _write(path: Path, drafts: Sequence[Draft]) -> bool:
    """Write under another name, then rename: what lies there is always whole."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        scratch = path.with_suffix(f".{os.getpid()}")
        handle = os.open(scratch, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            json.dump({"drafts": [asdict(draft) for draft in drafts]}, file, ensure_ascii=False)
            file.flush()
            os.fsync(file.fileno())
        scratch.replace(path)
    except OSError:
        return False
    return True
