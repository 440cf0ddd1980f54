"""Completion for bash, zsh and fish, made from the words of the command line."""

from __future__ import annotations

from argparse import Namespace
from collections.abc import Iterator

from cellar_tui.cli import output
from cellar_tui.cli.arguments import COMMANDS, PROGRAM, Command, UsageError, help_of, options_of, takes_value
from cellar_tui.cli.where import looked_at
from cellar_tui.ledger.cellar_kinds import RECORDED
from cellar_tui.service.views import CellarError

NAMED = {
    "show": "vessel",
    "paper wine": "vessel",
    "paper bottling": "vessel",
    "vessel retire": "vessel",
    "record": "target",
}
"""Commands whose first word is the name of a vessel, or of a wine too."""


def names(arg: Namespace) -> list[str]:
    """Return the vessels of the cellar and its wines as `wine:NAME`; none where it cannot be opened."""
    try:
        cellar = looked_at(arg)
    except CellarError:
        return []
    try:
        lines = cellar.view.board().lines
    finally:
        cellar.close()
    wines = dict.fromkeys(f"wine:{line.wine}" for line in lines if line.wine)
    return [*(line.name for line in lines), *wines]


def completion(arg: Namespace) -> int:
    """Print what a shell needs to complete commands, options, kinds, and names of vessels and wines."""
    if arg.shell == "names":
        output.lines(*names(arg))
        return output.DONE
    scripts = {"bash": bash, "zsh": zsh, "fish": fish}
    if arg.shell not in scripts:
        raise UsageError("completion is for bash, zsh or fish.")
    print("\n".join(scripts[arg.shell]()))
    return output.DONE


def _choices(command: Command) -> list[str]:
    return sorted(options_of(command))


def _branches() -> Iterator[tuple[str, str]]:
    """Yield what a line begins with and the words that may follow it."""
    heads: dict[str, list[str]] = {}
    for command in COMMANDS:
        first, _, second = command.words.partition(" ")
        if first:
            heads.setdefault("", []).append(first)
        if second:
            heads.setdefault(first, []).append(second)
    for command in COMMANDS:
        heads.setdefault(command.words, []).extend(_choices(command))
    for head, words in heads.items():
        yield head, " ".join(dict.fromkeys(words))


def bash() -> Iterator[str]:
    """Yield the completion for bash; zsh takes it too, through bashcompinit."""
    yield f"# completion of {PROGRAM} for bash, made by `{PROGRAM} completion bash`"
    yield "_cellar_tui() {"
    yield '  local word="${COMP_WORDS[COMP_CWORD]}" one="${COMP_WORDS[1]}" two="${COMP_WORDS[2]}" words="" names=""'
    yield '  local line="$one"; [ "$COMP_CWORD" -le 1 ] && line=""'
    yield '  case "$one $two" in'
    for command in COMMANDS:
        if " " in command.words:
            yield f'    "{command.words}") [ "$COMP_CWORD" -gt 2 ] && line="{command.words}" ;;'
    yield "  esac"
    yield '  case "$line" in'
    for head, words in _branches():
        yield f'    "{head}") words="{words}" ;;'
    yield "  esac"
    yield '  case "$line:$COMP_CWORD" in'
    for name in NAMED:
        yield f'    "{name}:{len(name.split()) + 1}") names=1 ;;'
    yield f'    "record:3") words="{" ".join(RECORDED)}" ;;'
    yield "  esac"
    yield "  COMPREPLY=()"
    yield '  if [ -n "$names" ] && [ "${word#-}" = "$word" ]; then'
    yield '    local plain="${word//\\\\/}" name; plain="${plain#[\\"\\\']}"'
    yield "    while IFS= read -r name; do"
    yield '      [ "${name#"$plain"}" != "$name" ] && COMPREPLY+=("$(printf %q "$name")")'
    yield f"    done < <({PROGRAM} completion names 2>/dev/null)"
    yield "  else"
    yield '    COMPREPLY=($(compgen -W "$words" -- "$word"))'
    yield "  fi"
    yield "}"
    yield f"complete -o default -F _cellar_tui {PROGRAM}"


def zsh() -> Iterator[str]:
    """Yield the completion for zsh."""
    yield f"# completion of {PROGRAM} for zsh, made by `{PROGRAM} completion zsh`; load it after compinit"
    yield "_cellar_tui() {"
    yield '  local line="" one="${(Q)words[2]}" two="${(Q)words[3]}"; local -a found'
    yield '  (( CURRENT > 2 )) && line="$one"'
    yield '  case "$one $two" in'
    for command in COMMANDS:
        if " " in command.words:
            yield f'    "{command.words}") (( CURRENT > 3 )) && line="{command.words}" ;;'
    yield "  esac"
    yield '  case "$line" in'
    for head, words in _branches():
        yield f'    "{head}") found=({words}) ;;'
    yield "  esac"
    yield '  case "$line:$CURRENT" in'
    for name in NAMED:
        yield f'    "{name}:{len(name.split()) + 2}") found=("${{(@f)$({PROGRAM} completion names 2>/dev/null)}}") ;;'
    yield f'    "record:4") found=({" ".join(RECORDED)}) ;;'
    yield "  esac"
    yield "  compadd -a found || _files"
    yield "}"
    yield f"compdef _cellar_tui {PROGRAM}"


def fish() -> Iterator[str]:
    """Yield the completion for fish."""
    yield f"# completion of {PROGRAM} for fish, made by `{PROGRAM} completion fish`"
    firsts = dict.fromkeys(command.words.split()[0] for command in COMMANDS if command.words)
    begin = f"complete -c {PROGRAM}"
    yield f"{begin} -n __fish_use_subcommand -a '{' '.join(firsts)}' -f"
    for first in firsts:
        seconds = [command.words.split()[1] for command in COMMANDS if command.words.startswith(f"{first} ")]
        if seconds:
            yield f"{begin} -n '__fish_seen_subcommand_from {first}' -a '{' '.join(seconds)}' -f"
    for command in COMMANDS:
        when = " ".join(f"; and __fish_seen_subcommand_from {word}" for word in command.words.split()).removeprefix(
            "; and "
        )
        where = f"-n '{when}'" if when else "-n __fish_use_subcommand"
        for option in _choices(command):
            value = " -r" if takes_value(option) else ""
            said = help_of(option).replace("'", "\\'")
            yield f"{begin} {where} -l {option.removeprefix('--')}{value} -d '{said}'"
        if command.words in NAMED:
            yield f"{begin} {where} -a '({PROGRAM} completion names 2>/dev/null)' -f"
    yield f"{begin} -n '__fish_seen_subcommand_from record' -a '{' '.join(RECORDED)}' -f"
