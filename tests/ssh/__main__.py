"""`python -m tests.ssh`: the program as a key's forced command on a real OpenSSH server on the loopback.

Exit status 0 where all holds, 1 where anything does not, 3 where there is no server and none could be installed.
"""

from __future__ import annotations

import json
import os
import shlex
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from contextlib import closing
from dataclasses import replace
from pathlib import Path

from cellar_tui.service import clock
from cellar_tui.service.open import open_cellar
from tests.reliability import cellar
from tests.ssh import server
from tests.ssh.server import Line
from tests.terminal.desk import Desk

Lines = dict[str, Line]


def _desk(line: Line) -> Desk:
    """A terminal in which a person has connected."""
    words = line.words(terminal=True)
    return Desk("-c", f"import os; os.execvp({words[0]!r}, {words!r})", HOME=os.environ.get("HOME", "/"))


def looks(lines: Lines, path: Path) -> None:
    """A look and a backup come over the line."""
    found = json.loads(lines["ida"].ask("due --within 365 --json").stdout)
    assert {one["vessel"] for one in found} == {"B1", "B2", "B3"}
    assert b"Terrace" in lines["jo"].ask("show B1").stdout
    copy = path.with_name("copy.db")
    copy.write_bytes(lines["ida"].ask("backup -").stdout)
    assert cellar.wrong(copy, []) is None


def no_way_out(lines: Lines, path: Path) -> None:
    """No shell, no file, no forwarding: what is asked for beside is refused."""
    before = path.read_bytes()
    for asked in (
        "sh",
        "cat /etc/passwd",
        "backup /srv/out.db",
        "due --db /etc/passwd",
        "record B1 gas",
        "scp -t /srv",
        "mosh-server new -s",
    ):
        done = lines["ida"].ask(asked)
        assert done.returncode == 2, (asked, done)
        assert done.stdout == b"", asked
    sftp = lines["ida"].words(program="sftp")
    done = subprocess.run(sftp, input=b"ls /\n", capture_output=True, timeout=60, check=False)
    assert done.returncode != 0
    assert b"etc" not in done.stdout
    forward = lines["ida"].words("-N", "-o", "ExitOnForwardFailure=yes", "-R", "0:127.0.0.1:22")
    forward = [*forward[:-5], *forward[-4:], forward[-5]]  # the host comes last
    done = subprocess.run(forward, capture_output=True, timeout=60, check=False, stdin=subprocess.DEVNULL)
    assert done.returncode != 0, "a port was forwarded"
    assert path.read_bytes() == before


def no_terminal(lines: Lines, path: Path) -> None:
    """Without a terminal it names the option that gives one."""
    assert b"ssh -t" in lines["ida"].ask().stderr


def suspend(lines: Lines, path: Path) -> None:
    """Ctrl+Z, Ctrl+C and Ctrl+backslash stop nothing and open nothing."""
    with _desk(lines["ida"]) as desk:
        desk.until("Vessel")
        desk.settle()
        desk.type("\x1a\x03\x1c")
        desk.settle()
        desk.type("\r")
        desk.until("Terrace")
        desk.type("\x1bq")
        desk.ended()


def dropped(lines: Lines, path: Path) -> None:
    """A line dropped in a form: the program is gone in two seconds, and the draft is found again."""
    with _desk(lines["ida"]) as desk:
        desk.until("Vessel")
        desk.settle()
        desk.type("a")
        desk.until("Addition")
        desk.type("1.75")
        desk.until(r"1\.75")
        desk.process.kill()
    time.sleep(2)
    left = subprocess.run(["pgrep", "-f", f"{path} ssh-command"], capture_output=True, check=False)
    assert left.stdout == b"", "it goes on after its line was dropped"
    with _desk(lines["ida"]) as desk:
        desk.until(r"1\.75")
        desk.hang_up()


def together(lines: Lines, path: Path) -> None:
    """Two people at once: each sees what the other records, under the name of the key."""
    with _desk(lines["jo"]) as one, _desk(lines["ida"]) as other:
        for desk in (one, other):
            desk.until("Vessel")
            desk.settle()
        one.type("n")
        one.until("Note")
        one.type("rises slowly\r")
        one.until("Recorded as entry")
        one.type("q")
        one.ended()
    with closing(open_cellar(path, clock.system, by="x")) as service:
        newest = service.view.ledger(limit=1)[0].entry
        assert (newest.by, newest.body.kind) == ("jo", "note")


def shell(lines: Lines, path: Path) -> None:
    """As a login shell: the dashboard without a command, and no command is run."""
    with server.login_shell(lines["ida"].folder, path) as account:
        if account is None:
            print("    (not tried: this account may make no other)")
            return
        line = replace(lines["ida"], account=account)
        for asked in ("sh", "cat /etc/passwd", "due; id"):
            done = line.ask(asked)
            assert (done.returncode, done.stdout) == (2, b""), (asked, done)
        with _desk(line) as desk:
            desk.until("Vessel")
            desk.settle()
            desk.type("\x1bq")
            desk.ended()


def kept_lines(lines: Lines, path: Path) -> None:
    """Inside `tmux -u` and screen, on one's own machine: the cellar is drawn, and the old screen comes back."""
    connect = shlex.join(lines["ida"].words(terminal=True))
    folder = lines["ida"].folder
    tmux, screen = ["tmux", "-u", "-L", "cellar-try"], folder / "screenrc"
    screen.write_text("altscreen on\nstartup_message off\ndefutf8 on\n")
    started = f"tmux -u -L cellar-try new-session -x 80 -y 24 '{connect}; sleep 30'"
    try:
        with Desk("-c", _as_shell(started), HOME=os.environ.get("HOME", "/")) as desk:
            desk.until("Vessel")
            desk.until("·")
            desk.type("\x1bq")
            desk.settle()
            desk.hang_up()
    finally:
        subprocess.run([*tmux, "kill-server"], check=False, capture_output=True)
    started = f"screen -U -c {screen} sh -c 'echo before; {connect}; sleep 30'"
    with Desk("-c", _as_shell(started), HOME=os.environ.get("HOME", "/"), SCREENDIR=str(folder)) as desk:
        desk.until("Vessel")
        desk.settle()
        desk.type("\x1bq")
        desk.until("before")
        desk.settle()
        assert "Vessel" not in desk.text, f"the old screen did not come back:\n{desk.text}"
        desk.hang_up()


def _as_shell(command: str) -> str:
    """A line of Python that becomes a shell with a command."""
    return f"import os; os.execvp('sh', ['sh', '-c', {command!r}])"


PARTS: tuple[Callable[[Lines, Path], None], ...] = (
    looks,
    no_way_out,
    no_terminal,
    suspend,
    dropped,
    together,
    shell,
    kept_lines,
)


def main() -> int:
    """Run every part on one server and print what came of each."""
    server.install()
    if gone := server.missing():
        print(f"not run: {gone} is not on this machine and cannot be installed here")
        return 3
    with tempfile.TemporaryDirectory(prefix="cellar-ssh-") as name:
        folder = Path(name)
        path = cellar.make(folder / "cellar.db")
        with server.running(folder, path) as lines:
            return max([_part(one, lines, path) for one in PARTS])


def _part(part: Callable[[Lines, Path], None], lines: Lines, path: Path) -> int:
    said = (part.__doc__ or "").strip()
    try:
        part(lines, path)
    except Exception as error:  # noqa: BLE001 - told, and the next part is run
        print(f"NOT {said} {type(error).__name__}: {error}", flush=True)
        return 1
    print(f"ok  {said}", flush=True)
    return 0


if __name__ == "__main__":
    sys.exit(main())
