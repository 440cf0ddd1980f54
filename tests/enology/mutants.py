"""Planting a fault of one per cent in one constant of the chemistry, in a fresh copy of the package."""

from __future__ import annotations

import ast
import importlib
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache
from importlib.abc import Loader, MetaPathFinder
from importlib.machinery import ModuleSpec
from importlib.util import spec_from_loader
from pathlib import Path
from types import CodeType, ModuleType

PACKAGE = "cellar_tui.enology"
FACTOR = 1.01


@dataclass(frozen=True)
class Place:
    """A number in the source: module, the name it belongs to, line, column and value."""

    module: str
    name: str
    line: int
    column: int
    value: float

    @property
    def title(self) -> str:
        return f"{self.module.removeprefix(PACKAGE + '.')}.{self.name} {self.value:g} (line {self.line})"


@cache
def sources() -> dict[str, str]:
    """The source of every module of the package, by dotted name."""
    package = importlib.import_module(PACKAGE)
    folder = Path(str(package.__file__)).parent
    found = {}
    for path in sorted(folder.rglob("*.py")):
        parts = path.relative_to(folder).with_suffix("").parts
        name = ".".join((PACKAGE, *(part for part in parts if part != "__init__")))
        found[name] = path.read_text(encoding="utf-8")
    return found


def _numbers(tree: ast.AST) -> Iterator[ast.Constant]:
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and type(node.value) in (int, float) and node.value != 0:
            yield node


def places() -> list[Place]:
    """Every number that stands in a constant, a table cell, a limit or the inputs of a calculation."""
    found = []
    for module, source in sources().items():
        for statement in ast.parse(source).body:
            for name, tree in _declared(statement):
                for node in _numbers(tree):
                    found.append(Place(module, name, node.lineno, node.col_offset, float(str(node.value))))
    return found


def _declared(statement: ast.stmt) -> Iterator[tuple[str, ast.AST]]:
    if isinstance(statement, ast.Assign):
        yield ast.unparse(statement.targets[0]), statement.value
    elif isinstance(statement, ast.FunctionDef):
        for decorator in statement.decorator_list:
            yield statement.name, decorator


@cache
def _sound(module: str) -> CodeType:
    return compile(sources()[module], module, "exec")


def _faulty(place: Place) -> CodeType:
    tree = ast.parse(sources()[place.module])
    for node in _numbers(tree):
        if (node.lineno, node.col_offset) == (place.line, place.column):
            node.value = place.value * FACTOR
    return compile(tree, place.module, "exec")


class _Copy(MetaPathFinder, Loader):
    """Imports the package anew from its source, one module of it with the fault."""

    def __init__(self, place: Place) -> None:
        self._place = place

    def find_spec(
        self, fullname: str, path: Sequence[str] | None, target: ModuleType | None = None
    ) -> ModuleSpec | None:
        if fullname not in sources():
            return None
        return spec_from_loader(fullname, self, is_package=any(name.startswith(fullname + ".") for name in sources()))

    def exec_module(self, module: ModuleType) -> None:
        name = module.__name__
        exec(_faulty(self._place) if name == self._place.module else _sound(name), module.__dict__)  # noqa: S102


@contextmanager
def planted(place: Place) -> Iterator[None]:
    """Within this block the package holds the fault; afterwards the sound one is back."""
    kept = {
        name: sys.modules.pop(name) for name in list(sys.modules) if name == PACKAGE or name.startswith(PACKAGE + ".")
    }
    parent = importlib.import_module("cellar_tui")
    finder = _Copy(place)
    sys.meta_path.insert(0, finder)
    try:
        yield
    finally:
        sys.meta_path.remove(finder)
        for name in [name for name in sys.modules if name == PACKAGE or name.startswith(PACKAGE + ".")]:
            del sys.modules[name]
        sys.modules.update(kept)
        parent.enology = kept[PACKAGE]  # type: ignore[attr-defined]
