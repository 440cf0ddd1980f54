"""The one forced command of a key: what a person may ask for over SSH, and nothing else."""

from __future__ import annotations

import os
import shlex
from argparse import Namespace
from collections.abc import Sequence

from cellar_tui.cli.arguments import UsageError, options_first

ASKED_FOR = "SSH_ORIGINAL_COMMAND"
"""Where the SSH server leaves what was asked for beside a forced command (sshd(8), "AUTHORIZED_KEYS FILE FORMAT")."""

LOOKS: dict[str, frozenset[str]] = {
    "due": frozenset(("--on", "--as-of", "--within", "--json", "--short", "--quiet", "--why")),
    "show": frozenset(("--on", "--as-of", "--because", "--json")),
}
"""Commands that may be asked for, with their options: none that names a file, another cellar or another person."""

MAY = "over this key there are: the dashboard (no command, `ssh -t`), due, show VESSEL, wall, backup -"


def ssh_command(arg: Namespace) -> int:
    """Do what was asked for over SSH, as the person whose key it is."""
    from cellar_tui.cli.main import main

    own = [] if arg.db is None else ["--db", arg.db]
    return main([*own, "--by", arg.name, *permitted(os.environ.get(ASKED_FOR, ""))])


def permitted(text: str) -> Sequence[str]:
    """Return the words of a command line that may be asked for.

    Raises:
        UsageError: it asks for anything else.
    """
    try:
        words = shlex.split(text)
    except ValueError as error:
        raise UsageError(f"{MAY}.") from error
    if words[:1] == ["cellar-tui"]:
        words = words[1:]
    match words:
        case []:
            return []
        case ["wall"]:
            return ["--wall"]
        case ["backup", "-"]:
            return words
        case ["due" | "show" as command, *rest]:
            return [command, *_looked(command, rest)]
    raise UsageError(f"{MAY}.")


def _looked(command: str, words: Sequence[str]) -> list[str]:
    options, rest = options_first(words)
    names = {option.partition("=")[0] for option in options}
    strange = sorted(names - LOOKS[command])
    if strange or len(rest) != (command == "show"):
        raise UsageError(f"{' '.join(strange) or command} cannot be asked for so; {MAY}.")
    return [*options, *(["--", *rest] if rest else [])]
