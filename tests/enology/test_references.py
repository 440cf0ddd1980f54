"""Every constant says where it comes from, and every key it uses stands in the list of sources."""

from __future__ import annotations

import ast
import re

from cellar_tui.enology.calculations import CALCULATIONS
from cellar_tui.enology.references import MARKS, REFERENCES
from tests.enology.mutants import sources

STATED = re.compile(r"\[(?:[^\]]*(?:seen|from memory|computed|common practice|exact|assumed)[^\]]*)\]")
KEYED = re.compile(r"(?:seen|from memory): ([a-z0-9-]+(?:, [a-z0-9-]+)*)")


def test_every_number_stands_beside_its_source() -> None:
    for module, source in sources().items():
        body = ast.parse(source).body
        for statement, following in zip(body, [*body[1:], ast.Pass()], strict=True):
            if not isinstance(statement, ast.Assign) or not _holds_a_number(statement.value):
                continue
            name = ast.unparse(statement.targets[0])
            text = following.value if isinstance(following, ast.Expr) else None
            said = text.value if isinstance(text, ast.Constant) else ""
            if name in ("LIMITS", "REFERENCES") or name.endswith("_INPUT") or "Range(" in ast.unparse(statement.value):
                continue
            assert STATED.search(str(said)), f"{module}.{name} names no source"


def _holds_a_number(value: ast.expr) -> bool:
    return any(isinstance(node, ast.Constant) and type(node.value) in (int, float) for node in ast.walk(value))


def test_every_key_is_in_the_list_of_sources() -> None:
    for module, source in sources().items():
        for keys in KEYED.findall(source):
            for key in keys.split(", "):
                assert key in REFERENCES or key == "common", f"{module}: {key}"


def test_every_calculation_cites_a_source() -> None:
    for calculation in CALCULATIONS.values():
        assert calculation.sources
        assert set(calculation.sources) <= set(REFERENCES), calculation.name


def test_every_source_says_how_it_was_read() -> None:
    for key, reference in REFERENCES.items():
        assert reference.mark in MARKS, key
        assert reference.title, key
