"""The words of the command line: which commands there are and what each takes."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NoReturn

from cellar_tui.cli.examples import EXAMPLES

PROGRAM = "cellar-tui"

VALUED = ("--db", "--by", "--at", "--waive", "--key", "--on", "--as-of", "--within", "--known")
"""Options that take a value; it may begin with a minus, as in `--at -3d`."""

EXCHANGED = ("--map", "--dates", "--series", "--ics", "--size", "--out")
"""Options of what goes into a file or comes from one, each with its value."""

REPEATED = ("--map",)
"""Options that may be given more than once."""

FLAGS = ("--json", "--preview", "--because", "--read-only", "--wall", "--why", "--short", "--quiet")


class UsageError(Exception):
    """The command line is wrong; exit status 2."""


class Parser(argparse.ArgumentParser):
    """A parser that raises where the library would exit."""

    def error(self, message: str) -> NoReturn:
        """Raise what is wrong, with where to find help."""
        raise UsageError(f"{message}; `{self.prog} --help` shows how.")


@dataclass(frozen=True, slots=True)
class Command:
    """One command: its words, the options it takes beside --db, --by and --json, and its positional arguments.

    `positional` holds (name, how many, help), in argparse's terms.
    """

    words: str
    help: str
    options: tuple[str, ...] = ()
    positional: tuple[tuple[str, str | None, str], ...] = ()


PAPER = ("--size", "--out")
FIELDS = ("fields", "*", "field=value, as many as needed")

COMMANDS: tuple[Command, ...] = (
    Command("", "open the dashboard", ("--read-only", "--wall")),
    Command("demo", "open a scratch copy of the demo cellar"),
    Command(
        "due",
        "what is late, for today and due in the next days",
        ("--on", "--as-of", "--within", "--why", "--short", "--quiet", "--ics"),
    ),
    Command("show", "one vessel, whole", ("--as-of", "--on", "--because"), (("vessel", None, "name of the vessel"),)),
    Command(
        "trace",
        "what a wine or lot is made of; where the lot of a material went",
        (),
        (("name", None, "vessel, store of bottles, lot of bottles, or lot of a material"),),
    ),
    Command("vessel add", "enter a vessel", ("--key", "--waive"), (("name", None, "name of the vessel"), FIELDS)),
    Command("vessel retire", "take an empty vessel out of use", ("--waive",), (("name", None, "name of the vessel"),)),
    Command(
        "wine start",
        "start a wine in an empty vessel",
        ("--at", "--waive", "--key", "--preview"),
        (("name", None, "name of the wine"), FIELDS),
    ),
    Command(
        "record",
        "make an entry",
        ("--at", "--waive", "--key", "--preview"),
        (("target", None, "vessel, or wine:NAME for every vessel of a wine"), ("kind", None, "kind of entry"), FIELDS),
    ),
    Command("undo", "withdraw an entry", ("--key", "--waive"), (("entry", None, "number of the entry"),)),
    Command(
        "amend",
        "correct an entry",
        ("--at", "--waive", "--key", "--preview"),
        (("entry", None, "number of the entry"), FIELDS),
    ),
    Command("rule", "list the house rules"),
    Command("rule set", "change a house rule; NAME= puts back its default", ("--preview", "--waive"), (FIELDS,)),
    Command(
        "rule learn", "set the daily losses of free SO2 to what this cellar's readings show", ("--preview", "--waive")
    ),
    Command("material", "what is on hand, what the wines will need of it, what to get", ("--within",)),
    Command("material set", "say what is on hand", ("--waive",), (("name", None, "name of the material"), FIELDS)),
    Command(
        "calc", "one calculation; without a name, the list", (), (("name", "?", "name of the calculation"), FIELDS)
    ),
    Command("check", "check file, chain and board, and say what to do", ("--known",)),
    Command("rebuild", "work out the board again from the ledger"),
    Command("backup", "copy the cellar, checked", (), (("destination", None, "file to make; - is standard output"),)),
    Command(
        "ssh-command",
        "the forced command of a key: does what was asked for over SSH, and little else",
        (),
        (("name", None, "whose key it is"),),
    ),
    Command(
        "restore", "put a backup in the cellar's place; the old file is kept", (), (("backup", None, "the backup"),)
    ),
    Command("export", "write everything into files: the ledger, a sheet a kind", (), (("folder", None, "folder"),)),
    Command(
        "import",
        "take in a ledger, a sheet or a logger's file",
        ("--map", "--dates", "--preview", "--series", "--waive"),
        (("file", None, "ledger.jsonl, or a sheet saved as CSV"),),
    ),
    Command("paper round", "the round on paper, with boxes and what to weigh out", ("--on", "--within", *PAPER)),
    Command("paper wine", "a wine's file on paper", ("--on", *PAPER), (("vessel", None, "name of the vessel"),)),
    Command("paper bottling", "a bottling sheet", ("--on", *PAPER), (("vessel", None, "name of the vessel"),)),
    Command("completion", "print the completion for a shell", (), (("shell", None, "bash, zsh or fish"),)),
    Command("man", "print the manual page"),
)

_HELP = {
    "--db": "the cellar's file",
    "--by": "whose entry it is",
    "--at": "when: 2026-11-26, with THH:MM, today, -3d",
    "--waive": "reason to pass waivable guards, or a clock that is behind the ledger",
    "--key": "makes a retry safe",
    "--on": "day to call today",
    "--as-of": "leave out what was recorded after that day",
    "--within": "days ahead",
    "--json": "print JSON",
    "--preview": "do everything but keep it",
    "--because": "with the working",
    "--read-only": "record nothing",
    "--wall": "show the wall display, record nothing",
    "--known": "SEQ:HASH that a backup or a check printed: does the ledger still go on from it?",
    "--help": "show how a command is used",
    "--version": "show the version",
    "--why": "with the reasons, in mail too",
    "--short": "one line for a prompt: 2 late, 3 today",
    "--quiet": "for mail: nothing where nothing is late or for today",
    "--ics": "write all that is due into a calendar file that phones can subscribe to",
    "--size": "size of the paper: A4 or letter",
    "--out": "file to write: PDF, or text where its name ends in .txt",
    "--map": "COLUMN=FIELD: what a column of the sheet means; COLUMN=- leaves it out",
    "--dates": "order of day, month and year in the sheet: DMY, MDY or YMD",
    "--series": "vessel whose temperatures a logger's file holds",
}


def options_first(argv: Sequence[str]) -> tuple[list[str], list[str]]:
    """Part options (with their values) from positional words, wherever they stand.

    Raises:
        UsageError: an option lacks its value.
    """
    options, words = [], []
    rest = list(argv)
    while rest:
        word = rest.pop(0)
        if word == "--":
            words += rest
            break
        if word in VALUED + EXCHANGED:
            if not rest or rest[0] == "--":
                raise UsageError(f"{word} needs a value.")
            options.append(f"{word}={rest.pop(0)}")
        elif word.startswith("--") or word == "-h":
            options.append(word)
        else:
            words.append(word)
    return options, words


def find(words: Sequence[str]) -> tuple[Command, list[str]]:
    """Return the command that the words begin with, and the words after it.

    Raises:
        UsageError: there is no such command.
    """
    for count in (2, 1, 0):
        name = " ".join(words[:count])
        for command in COMMANDS:
            if command.words == name and len(words) >= count and (name or not words):
                return command, list(words[count:])
    if seconds := [one.words.split()[1] for one in COMMANDS if one.words.startswith(f"{words[0]} ")]:
        raise UsageError(f"{words[0]} takes one of: {', '.join(seconds)}; `{PROGRAM} {words[0]} --help` shows them.")
    names = sorted({command.words for command in COMMANDS if command.words})
    raise UsageError(f"there is no command {words[0]}; there are: {', '.join(names)}.")


def options_of(command: Command) -> tuple[str, ...]:
    """Return every option that a command takes."""
    return ("--db", "--by", "--json", *command.options, "--help", *(() if command.words else ("--version",)))


def takes_value(option: str) -> bool:
    """Return whether an option is followed by its value."""
    return option in VALUED + EXCHANGED


def help_of(option: str) -> str:
    """Return what an option is for."""
    return _HELP[option]


def group(word: str) -> str:
    """Return the help of the commands that begin with a word, "" where the word is a command itself or none."""
    found = [one for one in COMMANDS if one.words.startswith(f"{word} ")]
    if not found or any(one.words == word for one in COMMANDS):
        return ""
    lines = [f"  {PROGRAM} {one.words:<16} {one.help}" for one in found]
    return "\n".join(
        [f"{PROGRAM} {word}: which of these?", "", *lines, "", f"`{PROGRAM} {word} NAME --help` shows how."]
    )


def examples(command: Command) -> str:
    """Return what the command looks like when it is used."""
    lines = [f"  {typed}" + (f"\n      {said}" if said else "") for typed, said in EXAMPLES[command.words]]
    return "examples:\n" + "\n".join(lines)


def parser(command: Command) -> Parser:
    """Return the parser of one command."""
    made = Parser(prog=f"{PROGRAM} {command.words}".strip(), description=f"{command.help}.", allow_abbrev=False)
    made.formatter_class = argparse.RawDescriptionHelpFormatter
    made.epilog = examples(command)
    for option in [one for one in options_of(command) if one not in ("--help", "--version")]:
        if option in FLAGS:
            made.add_argument(option, action="store_true", help=_HELP[option])
        elif option in REPEATED:
            made.add_argument(option, action="append", help=_HELP[option])
        else:
            made.add_argument(option, help=_HELP[option])
    for name, count, told in command.positional:
        made.add_argument(name, nargs=count, help=told)
    if not command.words:
        made.add_argument("--version", action="version", version=version(), help=_HELP["--version"])
        listed = "\n".join(f"  {one.words:<15} {one.help}" for one in COMMANDS if one.words)
        made.epilog = f"commands:\n{listed}\n\n{made.epilog}\n\n`{PROGRAM} COMMAND --help` shows how each is used."
    return made


def version() -> str:
    """Return the program's name and version; of a checkout that is not installed, that there is none."""
    from importlib import metadata

    try:
        return f"{PROGRAM} {metadata.version(PROGRAM)}"
    except metadata.PackageNotFoundError:
        return f"{PROGRAM} (not installed)"


def days_ahead(text: str | None, usual: int) -> int:
    """Read the days of `--within`; `usual` where nothing is said.

    Raises:
        UsageError: it is no whole number of days.
    """
    if text is None:
        return usual
    if not text.isascii() or not text.isdigit() or len(text) > 5:
        raise UsageError("--within takes a whole number of days, such as 14.")
    return int(text)


def pairs(words: Sequence[str], **said: str) -> dict[str, str]:
    """Read `field=value` words; `said` are fields that stand elsewhere on the line.

    Raises:
        UsageError: a word is no such pair, or a field is named twice.
    """
    found = dict(said)
    for word in words:
        name, mark, value = word.partition("=")
        if not mark or not name:
            raise UsageError(f"write {word} as field=value.")
        if name in found:
            raise UsageError(f"{name} is given twice.")
        found[name] = value
    return found
