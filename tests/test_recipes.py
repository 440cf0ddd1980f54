"""The recipe "A rule" of DEVELOPERS.md, followed word for word in a copy of the program, makes a rule that works."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

import cellar_tui

ROOT = Path(cellar_tui.__file__).parent.parent
NEW = "tannin_taste"
CHANGED = (
    ('ID = "oak_taste"', f'ID = "{NEW}"'),
    ('name == "oak"', 'name == "tannin"'),
    ("oak added", "tannin added"),
    ('"taste the oak"', '"taste the tannin"'),
)
"""What is changed in the copy: its id, what it asks of a wine, and its words."""

CASES = """
from cellar_tui.planning.plan import Action
from cellar_tui.planning.planner import on_day, plan
from cellar_tui.planning.rules.table import RULE_BY_ID, RULES
from tests.planning.stories import kept
import datetime

def asked(story, day):
    s = story.subject()
    found = on_day(plan(s.c, s.vessel, s.house), datetime.date.fromisoformat(day))
    return {one.rule for one in found.actions if one.due <= datetime.date.fromisoformat(day)}

fires = kept().add("2026-11-01", "tannin", 2)
assert fires.due("tannin_taste") == ("2026-11-15", "2026-11-15"), fires.due("tannin_taste")
assert "tannin_taste" in asked(fires, "2026-11-15")
answered = fires.check("2026-11-15", "taste")
assert "tannin_taste" not in asked(answered, "2026-11-15")
plain = kept().add("2026-11-01", "oak", 40)
assert plain.due("tannin_taste") is None
assert "oak_taste" in asked(plain, "2026-11-15")
assert [one.id for one in RULES].index("tannin_taste") == [one.id for one in RULES].index("oak_taste") + 1
assert RULE_BY_ID["tannin_taste"].open_answers(plain.subject())
print("followed")
"""


def recipe() -> str:
    """Return the recipe as it stands, on one line."""
    said = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    found = re.search(r"\*\*A rule\.\*\*(.*?)\n\n", said, flags=re.DOTALL)
    assert found is not None
    return " ".join(found[1].split())


def step(pattern: str) -> str:
    """Return what the recipe names at a step; the step must stand in it in these words."""
    found = re.search(pattern, recipe())
    assert found is not None, f"the recipe no longer says: {pattern}"
    return found[1]


def followed(copy: Path) -> None:
    """Follow the recipe in a copy of the program."""
    rules = copy / "cellar_tui" / step(r"Copy a short file of `([a-z/]+)`")
    model = rules / step(r"Copy a short file of `[a-z/]+` \(`([a-z_]+\.py)`\)")
    assert step(r"name it as its action, and change ([^.]+)\.") == "`ID`, `due` and `RULE`"
    text = model.read_text(encoding="utf-8")
    for old, new in CHANGED:
        assert old in text, f"{model.name} has no {old} to change"
        text = text.replace(old, new)
    (rules / f"{NEW}.py").write_text(text, encoding="utf-8")
    table = rules.parent / step(r"Enter the module in `([a-z/]+\.py)`, in the order of a wine's life")
    listed = table.read_text(encoding="utf-8")
    # In the list of what is imported, and in the list of the rules.
    line = re.compile(rf"^( +){model.stem},$", flags=re.MULTILINE)
    assert len(line.findall(listed)) == 2
    table.write_text(line.sub(rf"\1{model.stem},\n\1{NEW},", listed), encoding="utf-8")
    plan = copy / "cellar_tui" / step(r"Raise `PLAN_VERSION` in `([a-z/]+\.py)`")
    version = re.compile(r"^PLAN_VERSION = (\d+)$", flags=re.MULTILINE)
    text, raised = version.subn(lambda old: f"PLAN_VERSION = {int(old[1]) + 1}", plan.read_text(encoding="utf-8"))
    assert raised == 1
    plan.write_text(text, encoding="utf-8")


def run(copy: Path, program: str) -> subprocess.CompletedProcess[str]:
    """Run a program in the copy, which sees no other."""
    path = {**os.environ, "PYTHONPATH": str(copy), "PYTHONDONTWRITEBYTECODE": "1"}
    return subprocess.run([sys.executable, "-c", program], cwd=copy, capture_output=True, text=True, env=path)


@pytest.fixture
def copy(tmp_path: Path) -> Path:
    """A copy of the program with the stories that its rules are tried on."""
    unwanted = shutil.ignore_patterns("__pycache__")
    for name in ("cellar_tui", "storage", "tests/planning"):
        shutil.copytree(ROOT / name, tmp_path / name, ignore=unwanted)
    return tmp_path


def test_a_rule_made_by_the_recipe_fires_is_answered_and_leaves_other_wines_alone(copy: Path) -> None:
    followed(copy)
    done = run(copy, CASES)
    assert done.stdout == "followed\n", done.stderr


def test_the_cases_fail_where_a_step_of_the_recipe_is_left_out(copy: Path) -> None:
    assert "tannin_taste" in run(copy, CASES).stderr


def test_the_recipe_asks_for_its_three_cases_and_its_line_in_the_readme() -> None:
    cases = (
        "Give it a case where it fires, one where its answer takes it off the list, and one where it does not apply."
    )
    assert cases in recipe()
    assert step(r"its name in `README.md` by `([^`]+)`") == "python -m tests.readme"
