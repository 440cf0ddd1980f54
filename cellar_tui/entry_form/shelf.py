"""Where what is typed and not recorded lies: the drafts of one person on one cellar."""

from __future__ import annotations

from cellar_tui.entry_form import drafts
from cellar_tui.entry_form.drafts import Draft
from cellar_tui.service.open import OpenCellar


class Shelf:
    """The drafts of this person on this cellar; there is one a form, and a running program's are its own.

    Attributes:
        path: the file in which they lie.
    """

    def __init__(self, service: OpenCellar) -> None:
        self._service = service
        self.path = drafts.draft_file(service.path, service.by)

    def left(self, own: Draft) -> Draft | None:
        """Return what was once typed into a form, whether it was recorded since or not; `own` says which form."""
        return next((one for one in drafts.free(self.path) if one.form == own.form), None)

    def unrecorded(self, own: Draft) -> Draft | None:
        """Return what was once typed into a form and is still to be recorded; one that was recorded is forgotten."""
        found = self.left(own)
        if found is None or not self._service.recorded(bytes.fromhex(found.key)):
            return found
        self.drop(found)
        return None

    def keep(self, draft: Draft, *, changed: bool) -> bool:
        """Keep a draft where it is `changed` from what the form began with; return whether there is one kept now."""
        if not changed:
            self.drop(draft)
            return False
        return drafts.save(self.path, draft)

    def drop(self, draft: Draft) -> None:
        """Forget the draft of a form."""
        drafts.drop(self.path, draft)

    def claim(self, draft: Draft) -> None:
        """Take a draft up: from now on this program types it."""
        drafts.claim(self.path, draft)
