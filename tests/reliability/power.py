"""The plug pulled: what a save wrote and synced is traced, and the disk rebuilt as it may look at any moment.

A write is durable once its file was synced after it. At the cut, writes that are not survive as none of them, all of
them, a beginning of them, or a torn part, cut at sectors of 512 bytes. A name is durable after a sync of its folder;
in the milder model, that of file systems with a journal, after any later sync. What is left out: disks that lie about
syncs. The rules follow what the Linux manual pages fsync(2) and open(2) promise.
"""

from __future__ import annotations

import ast
import random
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from tests.reliability import cellar
from tests.reliability.kills import ROOT

CALLS = "openat,write,pwrite64,ftruncate,fsync,fdatasync,unlink,rename,link"
SECTOR = 512
HOWS = ("none", "all", "beginning", "torn")
_CALL = re.compile(r"^(?:\d+ +)?(\w+)\((.*)\) += (\d+)(?:<(.*)>)?$")
_FILE = re.compile(r"^\d+<(.*?)>")


@dataclass(frozen=True)
class Step:
    """Something done to a file: write (with place and bytes), cut, sync, make; or an acknowledgement."""

    does: str
    name: str = ""
    at: int = 0
    content: bytes = b""


def traced(folder: Path, records: int) -> tuple[dict[str, bytes], list[Step]]:
    """Record entries under a trace of the system; return the files before it, and what was done to them."""
    path = cellar.make(folder / "cellar.db")
    for side in folder.glob("*-journal"):
        side.unlink()
    before = {file.name: file.read_bytes() for file in folder.iterdir()}
    log = folder.parent / "trace"
    words = [sys.executable, "-m", "tests.reliability.cellar", str(path), "1000", str(records)]
    trace = ["strace", "-f", "-y", "-xx", "-s", "2000000", "-e", f"trace={CALLS}", "-o", str(log)]
    subprocess.run([*trace, *words], cwd=ROOT, check=True, stdout=subprocess.DEVNULL)
    with log.open(errors="replace") as lines:
        return before, list(_steps(lines, str(folder)))


def _steps(lines: Iterator[str], folder: str) -> Iterator[Step]:
    places: dict[str, int] = {}
    for line in lines:
        found = _CALL.match(line.strip())
        if found is None:
            continue
        call, words, result, opened = found.groups()
        file = _FILE.match(words)
        whole = _text(opened if call == "openat" and opened else file[1] if file else "")
        name = whole.removeprefix(folder).lstrip("/") if whole.startswith(folder) else None
        if call == "write" and words.startswith("1<"):
            acks = re.findall(rb"ACK (\d+)", _bytes(words))
            yield from (Step("ack", at=int(number)) for number in acks)
        elif name is not None:
            yield from _step(call, words, name, int(result), places)


def _step(call: str, words: str, name: str, result: int, places: dict[str, int]) -> Iterator[Step]:
    if call == "openat" and "O_CREAT" in words:
        yield Step("make", name)
    elif call == "pwrite64":
        yield Step("write", name, int(words.rsplit(", ", 1)[1]), _bytes(words)[:result])
    elif call == "write":
        yield Step("write", name, places.get(name, 0), _bytes(words)[:result])
        places[name] = places.get(name, 0) + result
    elif call == "ftruncate":
        yield Step("cut", name, int(words.rsplit(", ", 1)[1]))
    elif call in ("fsync", "fdatasync"):
        yield Step("sync", name)


def _bytes(words: str) -> bytes:
    found = re.search(r'"((?:\\x[0-9a-f]{2})*)"', words)
    return b"" if found is None else ast.literal_eval(f'b"{found[1]}"')


def _text(said: str) -> str:
    return ast.literal_eval(f'b"{said}"').decode() if "\\x" in said else said


@dataclass
class Disk:
    """What of each file is durable, what is still on its way, and which names are durable."""

    strict: bool
    kept: dict[str, bytearray]
    flying: dict[str, list[Step]] = field(default_factory=dict)
    unnamed: set[str] = field(default_factory=set)

    def do(self, step: Step) -> None:
        """Take a step."""
        if step.does == "make" and step.name not in self.kept:
            self.kept[step.name] = bytearray()
            self.unnamed.add(step.name)
        elif step.does in ("write", "cut"):
            self.flying.setdefault(step.name, []).append(step)
        elif step.does == "sync" and step.name:
            for one in self.flying.pop(step.name, []):
                _apply(self.kept[step.name], one)
            if not self.strict:
                self.unnamed.clear()
        elif step.does == "sync":  # of the folder
            self.unnamed.clear()

    def cut(self, how: str, chance: random.Random) -> dict[str, bytes]:
        """The files as they may be found when the power is back."""
        found = {}
        for name, content in self.kept.items():
            if name in self.unnamed and (how == "none" or (how != "all" and chance.random() < 0.5)):
                continue
            left = bytearray(content)
            for one in _surviving(self.flying.get(name, []), how, chance):
                _apply(left, one)
            found[name] = bytes(left)
        return found


def _surviving(steps: list[Step], how: str, chance: random.Random) -> Iterator[Step]:
    if how == "none":
        return
    upto = chance.randint(0, len(steps)) if how == "beginning" else len(steps)
    for one in steps[:upto]:
        if how != "torn" or chance.random() < 0.4:
            yield one
        elif one.does == "write":
            for at in range(0, len(one.content), SECTOR):
                if chance.random() < 0.5:
                    yield Step("write", one.name, one.at + at, one.content[at : at + SECTOR])


def _apply(content: bytearray, step: Step) -> None:
    if step.does == "cut":
        del content[step.at :]
        content.extend(bytes(step.at - len(content)))
        return
    content.extend(bytes(max(0, step.at - len(content))))
    content[step.at : step.at + len(step.content)] = step.content


def pulled(folder: Path, disks: int, seed: int = 1) -> tuple[int, int, list[str]]:
    """Pull the plug at random moments of a run.

    Returns:
        How many disks were tried, how many entries the run acknowledged, and what was wrong with a disk, each once.
    """
    (folder / "run").mkdir()
    before, steps = traced(folder / "run", records=40)
    chance, tried, bad = random.Random(seed), 0, []
    for strict in (False, True):
        disk, said = Disk(strict, {name: bytearray(content) for name, content in before.items()}), []
        moments = sorted(chance.sample(range(1, len(steps) + 1), min(len(steps), disks // (2 * len(HOWS)))))
        done = 0
        for moment in moments:
            for step in steps[done:moment]:
                if step.does == "ack":
                    said.append(step.at)
                disk.do(step)
            done = moment
            for how in HOWS:
                tried += 1
                told = _tried(folder / "disk", disk.cut(how, chance), said)
                bad += [] if told is None else [f"{how}, {'strict' if strict else 'journaled'}, step {moment}: {told}"]
    return tried, sum(step.does == "ack" for step in steps), bad


def _tried(box: Path, files: dict[str, bytes], said: list[int]) -> str | None:
    shutil.rmtree(box, ignore_errors=True)
    box.mkdir()
    for name, content in files.items():
        (box / name).write_bytes(content)
    return cellar.wrong(box / "cellar.db", said)
