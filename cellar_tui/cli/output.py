"""What is printed: plain text for people, or one JSON document; errors in one sentence on standard error."""

from __future__ import annotations

import json
import os
import re
import sys
from contextlib import suppress
from typing import Any

from cellar_tui.language.clean_text import safe

DONE, WRONG, USAGE, STOPPED, DAMAGED = 0, 1, 2, 3, 4
"""Exit status: done; the input is wrong or the clock is; the command line is wrong; a guard stopped it; the file is
damaged or cannot be read or written."""

STATUS = {"damaged": DAMAGED, "storage": DAMAGED, "read_only": DAMAGED, "newer": DAMAGED}
"""Exit status of what the service refuses, by its code; anything else is wrong input."""

_GAPS = re.compile(r"( {2,}|^ )")


def document(data: Any) -> None:
    """Print one JSON document; escaped, so that no stored text can steer a terminal or fail to be encoded."""
    json.dump(data, sys.stdout, ensure_ascii=True, indent=2)
    sys.stdout.write("\n")


def lines(*texts: str) -> None:
    """Print lines for people; stored text cannot steer the terminal."""
    for text in texts:
        # Indents and columns are ours: only the words between them may come from a person.
        sys.stdout.write("".join(part if part.isspace() else safe(part) for part in _GAPS.split(text)) + "\n")


def note(text: str) -> None:
    """Tell something beside the answer, where there is anywhere to tell it."""
    with suppress(OSError, ValueError):
        sys.stderr.write(safe(text) + "\n")


def silence() -> None:
    """Let what is still to be printed go nowhere: whoever read it is gone, or its disk is full."""
    with suppress(OSError, ValueError):
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, sys.stdout.fileno())
        os.close(nowhere)
        sys.stdout.flush()


def failure(message: str, field: str | None, *, as_json: bool) -> None:
    """Report an error: a sentence on standard error, and as JSON where that was asked for."""
    note(message)
    if as_json:
        document({"error": {"message": message, "field": field}})
