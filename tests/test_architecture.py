"""How the parts may lean on each other: a bare start, a core without clock or chance, a docstring for every rule."""

from __future__ import annotations

import ast
import os
import subprocess
import sys
from collections.abc import Iterator
from graphlib import TopologicalSorter
from pathlib import Path

import pytest

import cellar_tui
from tests import one_wine

ROOT = Path(cellar_tui.__file__).parent
CORE = ("enology", "ledger", "planning")
HEAVY = {"textual", "rich", "pint", "numpy", "sqlite_utils", "click", "dateutil.parser", "icalendar", "fpdf", "PIL"}
CLOCKS = {"time", "random", "secrets", "os", "sys", "io", "pathlib", "socket", "subprocess", "logging", "threading"}
TICKS = {"now", "utcnow", "today", "uuid4", "open", "input", "print", "getenv", "urandom"}

OPENED = """
import sys
from datetime import UTC, datetime
from cellar_tui.service.open import open_cellar
service = open_cellar(sys.argv[1], lambda: datetime(2026, 11, 20, 12, tzinfo=UTC), by="ida")
assert service.view.board().lines
print(" ".join(sorted(sys.modules)))
"""
DRAWN = """
import asyncio, sys
from datetime import UTC, datetime
from cellar_tui.service.open import open_cellar
from cellar_tui.tui.app import CellarApp

async def drawn():
    service = open_cellar(sys.argv[1], lambda: datetime(2026, 11, 20, 12, tzinfo=UTC), by="ida")
    async with CellarApp(service, title="cellar").run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        print(" ".join(sorted(sys.modules)))

asyncio.run(drawn())
"""
IMPORTED = """
import sys
import cellar_tui.cli.main
print(" ".join(sorted(sys.modules)))
"""


def modules_after(program: str, *arguments: str) -> set[str]:
    """Return what a program of its own has imported at its end."""
    run = subprocess.run(
        [sys.executable, "-c", program, *arguments],
        capture_output=True,
        text=True,
        check=True,
        env={**os.environ, "PYTHONPATH": os.pathsep.join(filter(None, sys.path))},
    )
    return set(run.stdout.split())


def core_files() -> Iterator[Path]:
    """Yield the files of the core."""
    for part in CORE:
        yield from sorted((ROOT / part).rglob("*.py"))


def imports(file: Path) -> set[str]:
    """Return the modules of the program that a file imports, also those only its types need."""
    found: set[str] = set()
    for node in ast.walk(ast.parse(file.read_text())):
        if isinstance(node, ast.ImportFrom) and node.module and node.module.startswith("cellar_tui."):
            found |= {node.module, *(f"{node.module}.{one.name}" for one in node.names)}
    return found


def test_no_module_of_the_core_imports_itself_by_way_of_others() -> None:
    names = {".".join(("cellar_tui", *file.relative_to(ROOT).with_suffix("").parts)): file for file in core_files()}
    graph = {name: {one for one in imports(file) if one in names} for name, file in names.items()}
    assert list(TopologicalSorter(graph).static_order())


def test_the_command_line_starts_bare() -> None:
    assert HEAVY & modules_after(IMPORTED) == set()


def test_opening_a_cellar_and_looking_at_its_board_loads_nothing_heavy(tmp_path: Path) -> None:
    one_wine.cellar(tmp_path).close()
    found = modules_after(OPENED, str(tmp_path / "cellar.db"))
    assert "cellar_tui.service.board" in found
    assert (HEAVY | {"cellar_tui.planning.planner", "cellar_tui.ledger.fold"}) & found == set()


def test_the_first_frame_needs_no_planner_no_form_and_no_units(tmp_path: Path) -> None:
    one_wine.cellar(tmp_path).close()
    found = modules_after(DRAWN, str(tmp_path / "cellar.db"))
    assert "cellar_tui.tui.screens.home" in found
    later = {"pint", "cellar_tui.planning.planner", "cellar_tui.planning.rules.table", "cellar_tui.entry_form.work"}
    assert not found & (later | {"cellar_tui.tui.screens.wine", "cellar_tui.tui.screens.round"})


def test_the_core_is_there_to_be_looked_at() -> None:
    assert len(list(core_files())) > 60


@pytest.mark.parametrize("path", list(core_files()), ids=lambda path: str(path.relative_to(ROOT)))
def test_the_core_knows_no_clock_no_chance_and_no_file(path: Path) -> None:
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            assert not {one.name.split(".")[0] for one in node.names} & CLOCKS
        elif isinstance(node, ast.ImportFrom):
            assert (node.module or "").split(".")[0] not in CLOCKS
        elif isinstance(node, ast.Call):
            called = node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")
            assert called not in TICKS, f"line {node.lineno} calls {called}"


@pytest.mark.parametrize("part", ["rules", "verdicts", "guards"])
def test_every_rule_verdict_and_guard_says_what_it_is_for(part: str) -> None:
    files = [path for path in sorted((ROOT / "planning" / part).glob("*.py")) if path.name != "__init__.py"]
    assert len(files) > 4
    for path in files:
        tree = ast.parse(path.read_text(encoding="utf-8"))
        assert ast.get_docstring(tree), path.name
        for node in tree.body:
            if isinstance(node, ast.FunctionDef | ast.ClassDef) and not node.name.startswith("_"):
                assert ast.get_docstring(node), f"{path.name}: {node.name}"


# -- sizes

MANY_METHODS = {
    "tui/screens/list_screen.py:ListScreen": "the keys that every list shares; the framework wants them on the screen",
    "tui/screens/home.py:HomeScreen": "a key an action; the framework wants them on the screen",
    "tui/screens/workbench.py:WorkbenchScreen": "a key an action; the framework wants them on the screen",
}
"""What is larger than the house likes, each with its reason; a new one needs a reason as good."""

FUNCTION, METHODS = 50, 30


def definitions() -> Iterator[tuple[str, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef]]:
    """Yield every function and class of the product, with the name by which the tables above know it."""
    for path in sorted(ROOT.rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef):
                yield f"{path.relative_to(ROOT)}:{node.name}", node


def test_no_function_is_longer_than_a_screen() -> None:
    long = {
        name
        for name, node in definitions()
        if not isinstance(node, ast.ClassDef) and (node.end_lineno or 0) - node.lineno + 1 > FUNCTION
    }
    assert long == set()


def test_no_class_has_more_methods_than_a_mind_holds_without_a_reason() -> None:
    many = {
        name
        for name, node in definitions()
        if isinstance(node, ast.ClassDef)
        and sum(isinstance(one, ast.FunctionDef | ast.AsyncFunctionDef) for one in node.body) > METHODS
    }
    assert many == set(MANY_METHODS)


def test_the_top_of_the_project_holds_what_it_should_and_nothing_else() -> None:
    wanted = {"README.md", "DEVELOPERS.md", "pyproject.toml", "cellar_tui", "storage", "tests", "demo_cellar.db"}
    made = (".egg-info", "-journal", "build", "dist")
    there = {path.name for path in ROOT.parent.iterdir() if not path.name.startswith(".")}
    assert {name for name in there if not name.endswith(made)} == wanted
