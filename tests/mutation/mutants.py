"""Mutants of a module: its syntax tree with one small change in it, of the kinds that a slip of the hand makes.

Words are left alone: they are held by the tests of wording, and a changed word proves nothing about wine.
"""

from __future__ import annotations

import ast
import copy
import itertools
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

BOUND: dict[type[ast.cmpop], tuple[type[ast.cmpop], ...]] = {
    ast.Lt: (ast.LtE, ast.GtE),
    ast.LtE: (ast.Lt, ast.Gt),
    ast.Gt: (ast.GtE, ast.LtE),
    ast.GtE: (ast.Gt, ast.Lt),
    ast.Eq: (ast.NotEq,),
    ast.NotEq: (ast.Eq,),
    ast.Is: (ast.IsNot,),
    ast.IsNot: (ast.Is,),
    ast.In: (ast.NotIn,),
    ast.NotIn: (ast.In,),
}
"""A comparison and what it is taken for: a bound out by one, and its opposite."""

SUM: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.Div: ast.Mult,
    ast.FloorDiv: ast.Mult,
    ast.Mod: ast.Mult,
    ast.Pow: ast.Mult,
}
PAIRS = {"min": "max", "max": "min", "any": "all", "all": "any", "floor": "ceil", "ceil": "floor"}
"""Functions taken for each other."""

MORE = 1.1
"""A figure that is not whole becomes so many times as large."""

UNTOUCHED = ("annotation", "returns", "decorator_list", "type_params", "bases")
"""Parts of a tree in which nothing is changed: they say what things are, not what is done."""


@dataclass(frozen=True, slots=True)
class Mutant:
    """One change.

    Attributes:
        path: file that is changed.
        lines: first and last line of the statement it stands in.
        line: its own line.
        old: what stands there.
        new: what it becomes, "" where it goes.
        place: how many mutants of the file come before it.
    """

    path: Path
    lines: tuple[int, int]
    line: int
    old: str
    new: str
    place: int

    @property
    def change(self) -> str:
        """What is changed, on one line, whatever its place: it names a survivor."""
        return f"{self.old} -> {self.new or 'nothing'}"


def _compared(node: ast.Compare) -> Iterator[ast.AST]:
    for place, op in enumerate(node.ops):
        for other in BOUND.get(type(op), ()):
            changed = copy.deepcopy(node)
            changed.ops[place] = other()
            yield changed


def _constant(node: ast.Constant) -> Iterator[ast.AST]:
    value = node.value
    if isinstance(value, bool):
        yield ast.Constant(not value)
    elif isinstance(value, int):
        yield ast.Constant(value + 1)
    elif isinstance(value, float):
        yield ast.Constant(value * MORE if value else 1.0)


def _called(node: ast.Call) -> Iterator[ast.AST]:
    name = node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")
    if name in PAIRS:
        changed = copy.deepcopy(node)
        if isinstance(changed.func, ast.Attribute):
            changed.func.attr = PAIRS[name]
        else:
            changed.func = ast.Name(PAIRS[name], ast.Load())
        yield changed


def _negated(node: ast.If | ast.IfExp | ast.While) -> Iterator[ast.AST]:
    """Yield it with its condition turned round, unless a mutant of the condition itself does that."""
    if isinstance(node.test, ast.Name | ast.Attribute | ast.Call):
        changed = copy.copy(node)
        changed.test = ast.UnaryOp(ast.Not(), node.test)
        yield changed


def _changed(node: ast.AST) -> Iterator[ast.AST]:
    """Yield what a node becomes."""
    match node:
        case ast.Compare():
            yield from _compared(node)
        case ast.Constant():
            yield from _constant(node)
        case ast.Call():
            yield from _called(node)
        case ast.If() | ast.IfExp() | ast.While():
            yield from _negated(node)
        case ast.BoolOp():
            yield ast.BoolOp(ast.Or() if isinstance(node.op, ast.And) else ast.And(), node.values)
        case ast.UnaryOp(op=ast.Not() | ast.USub()):
            yield node.operand
        case ast.BinOp() | ast.AugAssign() if type(node.op) in SUM and not _of_words(node):
            changed = copy.copy(node)
            changed.op = SUM[type(node.op)]()
            yield changed
        case ast.Continue():
            yield ast.Break()
        case ast.Expr(value=ast.Call() | ast.Yield() | ast.YieldFrom()):
            yield ast.Pass()


def _of_words(node: ast.BinOp | ast.AugAssign) -> bool:
    """Return whether a sum joins texts, as far as its own parts show."""
    parts = (node.left, node.right) if isinstance(node, ast.BinOp) else (node.value,)
    return any(
        isinstance(one, ast.JoinedStr) or (isinstance(one, ast.Constant) and isinstance(one.value, str))
        for one in parts
    )


Place = tuple[ast.AST, str, int | None]
"""A field of a node, and the place in it where it is a list."""


def _places(tree: ast.AST, lines: tuple[int, int] = (0, 0)) -> Iterator[tuple[ast.AST, Place, tuple[int, int]]]:
    """Yield every node that may be changed, where it hangs, and the lines of its statement."""
    for name, value in ast.iter_fields(tree):
        if name in UNTOUCHED or isinstance(tree, ast.Raise | ast.Assert | ast.JoinedStr | ast.Import | ast.ImportFrom):
            continue
        for place, node in enumerate(value) if isinstance(value, list) else [(None, value)]:
            if isinstance(node, ast.AST):
                own = (node.lineno, node.end_lineno or node.lineno) if isinstance(node, ast.stmt) else lines
                if isinstance(node, ast.If | ast.While | ast.For | ast.With | ast.FunctionDef | ast.ClassDef):
                    own = (node.lineno, node.body[0].lineno - 1 or node.lineno)
                yield node, (tree, name, place), own
                yield from _places(node, own)


def _put(where: Place, node: ast.AST) -> None:
    parent, name, place = where
    if place is None:
        setattr(parent, name, node)
    else:
        getattr(parent, name)[place] = node


def _text(node: ast.AST) -> str:
    """Return a node on one line; of a compound statement its head alone."""
    said = "" if isinstance(node, ast.Pass) else ast.unparse(node)
    return " ".join(said.split("\n")[0].split()) if isinstance(node, ast.stmt) else " ".join(said.split())


def _each(tree: ast.Module) -> Iterator[tuple[ast.AST, ast.AST, tuple[int, int]]]:
    """Yield each node, what it becomes, the lines of its statement; while it is yielded the tree holds the change."""
    for node, where, lines in _places(tree):
        for changed in _changed(node):
            _put(where, ast.copy_location(changed, node))
            yield node, changed, lines
            _put(where, node)


def _read(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))


def mutants(path: Path) -> Iterator[Mutant]:
    """Yield every mutant of a file."""
    for place, (node, changed, lines) in enumerate(_each(_read(path))):
        yield Mutant(path, lines, getattr(node, "lineno", lines[0]), _text(node), _text(changed), place)


def changed_tree(mutant: Mutant) -> ast.Module:
    """Return the whole module with the change in it."""
    tree = _read(mutant.path)
    next(itertools.islice(_each(tree), mutant.place, None))
    return ast.fix_missing_locations(tree)
