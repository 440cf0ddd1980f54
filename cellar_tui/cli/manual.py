"""The manual page, made from the same words as the help."""

from __future__ import annotations

from argparse import Namespace
from collections.abc import Iterator

from cellar_tui.cli import output
from cellar_tui.cli.arguments import COMMANDS, PROGRAM, help_of, options_of, takes_value
from cellar_tui.cli.examples import EXAMPLES


def _roff(text: str) -> str:
    kept = text.replace("\\", "\\e").replace("-", "\\-")
    return f"\\&{kept}" if kept.startswith((".", "'")) else kept


def manual() -> Iterator[str]:
    """Yield the manual page, made from the same source as the help."""
    yield '.TH CELLAR\\-TUI 1 "" "cellar\\-tui" "User commands"'
    yield ".SH NAME"
    yield "cellar\\-tui \\- cellar dashboard: the record, the doses, what is due today and why"
    yield ".SH SYNOPSIS"
    yield ".B cellar\\-tui"
    yield "[\\fICOMMAND\\fR] [\\fIOPTION\\fR...] [\\fIARGUMENT\\fR...]"
    yield ".SH COMMANDS"
    for command in COMMANDS:
        yield ".TP"
        positional = " ".join(f"\\fI{_roff(name.upper())}\\fR" for name, _, _ in command.positional)
        yield f".B {_roff(f'{PROGRAM} {command.words}'.strip())} {positional}".rstrip()
        yield f"{_roff(command.help)}."
        for option in options_of(command):
            value = " \\fIVALUE\\fR" if takes_value(option) else ""
            yield ".br"
            yield f"\\fB{_roff(option)}\\fR{value}: {_roff(help_of(option))}"
        for typed, said in EXAMPLES[command.words]:
            yield ".IP"
            yield f"{_roff(typed)}" + (f" \\(em {_roff(said)}" if said else "")
    yield ".SH ENVIRONMENT"
    for name, said in ENVIRONMENT:
        yield from (".TP", f".B {name}", _roff(said))
    yield ".SH EXIT STATUS"
    for number, said in STATUS:
        yield from (".TP", f".B {number}", _roff(said))


ENVIRONMENT = (
    ("CELLAR_DB", "the cellar's file, where --db names none."),
    ("CELLAR_BY", "whose entries are made, where --by names nobody; else the login name."),
    ("NO_COLOR", "no colours in the dashboard."),
)

STATUS = (
    ("0", "done; it stays 0 once an entry is durable."),
    ("1", "the input is wrong, check found something to put right, or the clock is behind the ledger."),
    ("2", "the command line is wrong."),
    ("3", "a guard stopped it."),
    ("4", "the file is damaged, or cannot be read or written."),
)


def man(arg: Namespace) -> int:
    """Print the manual page."""
    print("\n".join(manual()))
    return output.DONE
