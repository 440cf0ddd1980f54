"""The console script: find the command, run it, turn errors into one sentence and an exit status."""

from __future__ import annotations

import io
import os
import sys
from argparse import Namespace
from collections.abc import Callable, Sequence
from importlib import import_module

from cellar_tui.cli import arguments, output
from cellar_tui.cli.arguments import UsageError
from cellar_tui.cli.where import Kept
from cellar_tui.service.views import CellarError

HANDLERS: dict[str, str] = {
    "": "dashboard.dashboard",
    "demo": "dashboard.demo",
    "due": "due.due",
    "show": "look.show",
    "trace": "trace.trace",
    "check": "keep.check",
    "rebuild": "keep.rebuild",
    "backup": "keep.backup",
    "restore": "keep.restore",
    "ssh-command": "over_ssh.ssh_command",
    "export": "export.export",
    "import": "take_in.take_in",
    "paper round": "paper.paper_round",
    "paper wine": "paper.paper_wine",
    "paper bottling": "paper.paper_bottling",
    "completion": "completion.completion",
    "man": "manual.man",
    "vessel add": "write.vessel_add",
    "vessel retire": "write.vessel_retire",
    "wine start": "write.wine_start",
    "record": "write.record",
    "undo": "write.undo",
    "amend": "write.amend",
    "rule": "settings.rules",
    "rule set": "settings.rule_set",
    "rule learn": "settings.rule_learn",
    "material": "settings.materials",
    "material set": "settings.material_set",
    "calc": "calc.calc",
}
"""The function of each command, by its module in this package: only that of the command asked for is loaded."""


def handler(words: str) -> Callable[[Namespace], int]:
    """Load the function of a command."""
    module, _, name = HANDLERS[words].partition(".")
    found: Callable[[Namespace], int] = getattr(import_module(f"{__package__}.{module}"), name)
    return found


def main(argv: Sequence[str]) -> int:
    """Run one command and return its exit status: 0 once an entry is durable, whatever becomes of the output."""
    as_json = "--json" in argv
    if list(argv[:1]) == ["-c"]:
        output.note("This account opens the cellar's dashboard and no shell: connect with `ssh -t` and no command.")
        return output.USAGE
    kept = Kept()
    try:
        options, words = arguments.options_first(argv)
        asked = bool({"--help", "-h"} & set(options))
        if asked and len(words) == 1 and (told := arguments.group(words[0])):
            output.lines(*told.splitlines())
            return output.DONE
        command, rest = arguments.find(words)
        if command.words == "calc" and rest and asked:
            from cellar_tui.cli import calc

            output.lines(*calc.told(rest[0]))
            return output.DONE
        found = arguments.parser(command).parse_args([*options, "--", *rest] if rest else options, Namespace(kept=kept))
        status = handler(command.words)(found)
        sys.stdout.flush()
        return status
    except UsageError as error:
        output.failure(str(error), None, as_json=as_json)
        return output.USAGE
    except CellarError as error:
        if kept:
            output.note(f"It is recorded; what follows from it could not be shown: {error}")
            return output.DONE
        output.failure(str(error), error.field, as_json=as_json)
        return output.STATUS.get(error.code, output.WRONG)
    except OSError as error:
        output.silence()
        if kept:
            return output.DONE
        if not isinstance(error, BrokenPipeError):
            output.note(f"The answer could not be written ({error.strerror}); nothing was recorded.")
        return output.WRONG


def run() -> None:
    """Run the program and end the process with its status."""
    for name in ("stdout", "stderr"):
        if getattr(sys, name) is None:  # it was closed by whoever started the program
            setattr(sys, name, open(os.devnull, "w", encoding="utf-8"))  # noqa: SIM115 - open to the end
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            # A terminal of few letters shows a mark for the others.
            stream.reconfigure(errors="replace")
    sys.exit(main(sys.argv[1:]))
