"""What an installation pulls: `.ci/requirements.txt` with a hash each, and `.ci/LICENCES.md` with a licence each.

`python -m tests.dependencies` makes both again from what the index offers today, by pip's own report, in the
environment whose Python runs it; `--check` only says whether all that pyproject.toml asks for is in them.
"""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
from importlib.metadata import PackageNotFoundError, distribution, requires
from pathlib import Path
from typing import Any

from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

ROOT = Path(__file__).parents[1]
REQUIREMENTS = ROOT / ".ci" / "requirements.txt"
LICENCES = ROOT / ".ci" / "LICENCES.md"
OWN = "cellar-tui"

HEAD = """\
# Every package that an installation pulls, with the hash of its file: made by `python -m tests.dependencies`.
# python -m pip install --require-hashes --no-deps -r .ci/requirements.txt && python -m pip install --no-deps .
"""


def pulled() -> list[dict[str, Any]]:
    """What pip would install for this project, without installing it."""
    with tempfile.TemporaryDirectory() as folder:
        report = Path(folder) / "report.json"
        words = ["install", "--quiet", "--dry-run", "--ignore-installed", "--report", str(report), str(ROOT)]
        subprocess.run([sys.executable, "-m", "pip", *words], check=True, stderr=subprocess.DEVNULL)
        found: list[dict[str, Any]] = json.loads(report.read_text())["install"]
    others = [one for one in found if canonicalize_name(one["metadata"]["name"]) != OWN]
    return sorted(others, key=lambda one: canonicalize_name(one["metadata"]["name"]))


def requirements(packages: list[dict[str, Any]]) -> str:
    """The pinned list with hashes."""
    lines = []
    for one in packages:
        digest = one["download_info"]["archive_info"]["hashes"]["sha256"]
        name = canonicalize_name(one["metadata"]["name"])
        lines.append(f"{name}=={one['metadata']['version']} --hash=sha256:{digest}\n")
    return HEAD + "".join(lines)


def _licence(metadata: dict[str, Any]) -> str:
    stated = metadata.get("license_expression") or _installed_licence(metadata["name"])
    classified = [one.rpartition(" :: ")[2] for one in metadata.get("classifier", []) if one.startswith("License")]
    free = (metadata.get("license") or "").strip().splitlines()
    return stated or ", ".join(classified) or (free[0][:60] if free else "see its own files")


def _installed_licence(name: str) -> str:
    try:
        return str((distribution(name).metadata.get_all("License-Expression") or [""])[0])
    except PackageNotFoundError:
        return ""


def licences(packages: list[dict[str, Any]]) -> str:
    """The page of licences, as each package states its own."""
    lines = [
        "# Licences of what an installation pulls",
        "",
        "Made by `python -m tests.dependencies`, from what each package states of itself. The program itself: MIT.",
        "",
        "| package | version | licence | asks for |",
        "| --- | --- | --- | --- |",
    ]
    for one in packages:
        metadata = one["metadata"]
        asks = sorted({_name(text) for text in metadata.get("requires_dist", []) if "extra ==" not in text})
        lines.append(
            f"| {metadata['name']} | {metadata['version']} | {_licence(metadata)} | {', '.join(asks) or '-'} |"
        )
    return "\n".join(lines) + "\n"


def _name(text: str) -> str:
    return canonicalize_name(Requirement(text).name)


def unlisted() -> set[str]:
    """The packages that this installation of the project pulls and the list does not pin."""
    listed = {line.partition("==")[0] for line in REQUIREMENTS.read_text().splitlines() if "==" in line}
    wanted, seen = [OWN], set[str]()
    while wanted:
        name = wanted.pop()
        if name in seen:
            continue
        seen.add(name)
        try:
            asked = [Requirement(text) for text in requires(name) or []]
        except PackageNotFoundError:
            continue
        extras = {"extra": ""}
        wanted += [canonicalize_name(one.name) for one in asked if one.marker is None or one.marker.evaluate(extras)]
    return {name for name in seen - {OWN} if name not in listed and _installed(name)}


def _installed(name: str) -> bool:
    try:
        distribution(name)
    except PackageNotFoundError:
        return False
    return True


def main() -> int:
    """Make both files, or check them."""
    if "--check" in sys.argv:
        if missing := unlisted():
            print(f"{REQUIREMENTS.name} lacks {', '.join(sorted(missing))}: run `python -m tests.dependencies`")
        return 1 if missing else 0
    packages = pulled()
    REQUIREMENTS.write_text(requirements(packages))
    LICENCES.write_text(licences(packages))
    return 0


if __name__ == "__main__":
    sys.exit(main())
