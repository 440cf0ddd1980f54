"""What was typed into a form and not yet recorded: one file per person and cellar, kept over a dropped line."""

from __future__ import annotations

import hashlib
import json
import os
from dataclasses import asdict, dataclass, field
from pathlib import Path

from cellar_tui.terminal import state_folder


@dataclass(frozen=True, slots=True)
class Draft:
    """An open form as it was left: its kind and target, the text of its fields, its key (hexadecimal)."""

    kind: str
    target: str
    fields: dict[str, str]
    key: str
    heads: dict[str, int] = field(default_factory=dict)


def place(cellar: Path, by: str) -> Path:
    """Return where the draft of a person on a cellar lies."""
    name = hashlib.blake2b(f"{cellar.resolve()}\0{by}".encode(), digest_size=12).hexdigest()
    return state_folder() / "drafts" / f"{name}.json"


def save(path: Path, draft: Draft) -> bool:
    """Keep a draft: written under another name, then renamed; return whether that could be done."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        scratch = path.with_suffix(f".{os.getpid()}")
        handle = os.open(scratch, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            json.dump(asdict(draft), file, ensure_ascii=False)
            file.flush()
            os.fsync(file.fileno())
        scratch.replace(path)
    except OSError:
        return False
    return True


def load(path: Path) -> Draft | None:
    """Return the draft that lies there, None where there is none or it cannot be read."""
    try:
        said = json.loads(path.read_text(encoding="utf-8"))
        fields = {str(name): str(text) for name, text in said["fields"].items()}
        heads = {str(vessel): int(seq) for vessel, seq in said["heads"].items()}
        bytes.fromhex(said["key"])
        return Draft(str(said["kind"]), str(said["target"]), fields, str(said["key"]), heads)
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        return None


def drop(path: Path) -> None:
    """Forget a draft: it is recorded, or was given up."""
    path.unlink(missing_ok=True)
