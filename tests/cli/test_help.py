"""The command line explains itself: help with examples everywhere, completion, a manual page, all of one source."""

from __future__ import annotations

import os
import shlex
import subprocess
import sys
from pathlib import Path

import pytest

from cellar_tui.cli import arguments
from cellar_tui.cli.arguments import COMMANDS
from cellar_tui.cli.completion import bash
from cellar_tui.cli.examples import EXAMPLES
from cellar_tui.cli.main import HANDLERS, main
from tests.cli.conftest import Desk

GROUPS = ("vessel", "wine", "paper")


def test_every_command_has_a_handler_and_examples() -> None:
    names = {command.words for command in COMMANDS}
    assert names == set(HANDLERS) == set(EXAMPLES)
    assert all(EXAMPLES.values())


@pytest.mark.parametrize("words", [command.words for command in COMMANDS])
def test_every_command_teaches_by_example(words: str, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        main([*words.split(), "--help"])
    assert ended.value.code == 0
    told = capsys.readouterr().out
    assert "examples:" in told
    assert all(typed in told for typed, _ in EXAMPLES[words])


@pytest.mark.parametrize("words", GROUPS)
def test_a_group_of_commands_has_help_too_and_says_what_it_takes(words: str, desk: Desk) -> None:
    said = desk(words, "--help")
    assert said.status == 0
    own = [command.words for command in COMMANDS if command.words.startswith(f"{words} ")]
    assert all(f"cellar-tui {one}" in said.out for one in own)
    alone = desk(words)
    assert alone.status == 2
    assert all(one.split()[1] in alone.err for one in own)


def test_every_example_is_a_line_that_the_program_takes() -> None:
    typed = [line for lines in EXAMPLES.values() for line, _ in lines]
    for line in typed:
        words = shlex.split(line.removeprefix('eval "$(').removesuffix(')"').split(" | ")[0].split(" > ")[0])
        assert words.pop(0) == "cellar-tui", line
        options, rest = arguments.options_first(words)
        command, given = arguments.find(rest)
        if "--help" not in options:
            arguments.parser(command).parse_args([*options, "--", *given] if given else options)


def test_the_version_is_said(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        main(["--version"])
    assert ended.value.code == 0
    assert capsys.readouterr().out.startswith("cellar-tui ")


def test_the_manual_page_names_every_command_and_option(desk: Desk) -> None:
    page = desk("man").out.replace("\\-", "-")
    for command in COMMANDS:
        assert f".B cellar-tui {command.words}".rstrip() in page
        assert all(option in page for option in command.options)
    assert not [line for line in page.splitlines() if line.startswith("'")]


def completed(words: list[str], path: Path, folder: Path) -> list[str]:
    """Return what bash offers after these words, the last of them begun."""
    program = folder / "cellar-tui"
    program.write_text(f'#!/bin/sh\nexec {sys.executable} -m cellar_tui --db {path} "$@"\n')
    program.chmod(0o755)
    script = "\n".join(
        [
            *bash(),
            f"COMP_WORDS=(cellar-tui {shlex.join(words)}); COMP_CWORD={len(words)}",
            '_cellar_tui; printf "%s\\n" "${COMPREPLY[@]}"',
        ]
    )
    where = {**os.environ, "PATH": f"{folder}:{os.environ['PATH']}", "PYTHONPATH": os.getcwd()}
    run = subprocess.run(["bash", "-c", script], capture_output=True, text=True, check=True, env=where)
    return run.stdout.split("\n")[:-1]


def test_bash_completes_commands_options_kinds_and_names_with_spaces(white: Desk, path: Path, tmp_path: Path) -> None:
    def offered(*words: str) -> list[str]:
        return completed(list(words), path, tmp_path)

    assert offered("ven") == [""]
    assert set(offered("re")) == {"record", "rebuild", "restore"}
    assert set(offered("vessel", "")) >= {"add", "retire"}
    assert "--ics" in offered("due", "--i")
    assert "--out" in offered("paper", "round", "--o")
    assert offered("show", "Demi") == ["Demijohn\\ 1", "Demijohn\\ 2"]
    assert offered("record", "wine:") == ["wine:Terrace"]
    assert offered("record", "Demijohn 1", "rea") == ["reading"]
