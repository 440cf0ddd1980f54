"""A screen in which something is typed."""

from __future__ import annotations

from typing import Protocol, runtime_checkable

from cellar_tui.entry_form.typed_line import Press


@runtime_checkable
class TakesKeys(Protocol):
    """It is asked first what to do with a key, before the commands of its place."""

    def take(self, press: Press) -> bool:
        """Act on a key at once; return whether it was one for what is being typed."""
        ...
