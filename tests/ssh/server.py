"""A real OpenSSH server on the loopback, with a key and a forced command for each person."""

from __future__ import annotations

import os
import pwd
import shlex
import shutil
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[2]
PEOPLE = ("ida", "jo")
ACCOUNT = "cellar-try"
"""The account that is made, and taken away again, to try the program as a login shell."""
SERVER = Path("/usr/sbin/sshd")


PACKAGES = ("openssh-server", "openssh-client", "tmux", "screen")


def missing() -> str:
    """Say which program is not on this machine; '' where all are."""
    names = [name for name in ("ssh", "sftp", "ssh-keygen", "tmux", "screen") if shutil.which(name) is None]
    return ", ".join([*names, *([] if SERVER.exists() else [str(SERVER)])])


def install() -> None:
    """Install Debian's OpenSSH server and the two programs that keep a line, where this account may."""
    if missing() and os.getuid() == 0 and shutil.which("apt-get"):
        words = ["apt-get", "install", "-y", "-q", "--no-install-recommends", *PACKAGES]
        subprocess.run(words, check=False, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)


@dataclass(frozen=True)
class Line:
    """How a person reaches the server."""

    folder: Path
    port: int
    person: str
    account: str = ""
    """The account on the server; "" for the one that runs this."""

    def words(self, *more: str, program: str = "ssh", terminal: bool = False) -> list[str]:
        """The command line that asks the server for something."""
        user, port = self.account or pwd.getpwuid(os.getuid()).pw_name, "-P" if program == "sftp" else "-p"
        options = ["UserKnownHostsFile=/dev/null", "StrictHostKeyChecking=no", "LogLevel=ERROR", "BatchMode=yes"]
        known = [word for one in options for word in ("-o", one)]
        key = ["-i", str(self.folder / self.person), "-F", "/dev/null"]
        return [program, *(["-tt"] if terminal else []), *key, port, str(self.port), *known, f"{user}@127.0.0.1", *more]

    def ask(self, *words: str) -> subprocess.CompletedProcess[bytes]:
        """Ask for a command without a terminal."""
        line = self.words(*words)
        return subprocess.run(line, check=False, capture_output=True, timeout=60, stdin=subprocess.DEVNULL)


def forced(person: str, cellar: Path, state: Path) -> str:
    """The line of the README that gives a key its forced command, with the paths of this machine."""
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    (line,) = (
        one for one in text.splitlines() if one.startswith('restrict,pty,command="') and "ssh-command ida" in one
    )
    program = f"env PYTHONPATH={ROOT} XDG_STATE_HOME={state} {shlex.quote(sys.executable)} -m cellar_tui"
    line = line.replace("/usr/local/bin/cellar-tui", program).replace("/srv/cellar/cellar.db", str(cellar))
    return line.replace("ssh-command ida", f"ssh-command {person}")


@contextmanager
def login_shell(folder: Path, cellar: Path) -> Iterator[str | None]:
    """Make an account whose login shell is the program, in this account's own right; yield its name.

    None where this account may make none.
    """
    shell = folder / "shell"
    if os.getuid() != 0 or shutil.which("useradd") is None:
        yield None
        return
    state, python = folder / "state", shlex.quote(sys.executable)
    shell.write_text(
        f"#!/bin/sh\nexport PYTHONPATH={ROOT} XDG_STATE_HOME={state} CELLAR_DB={cellar} CELLAR_BY=ida\n"
        f'exec {python} -m cellar_tui "$@"\n'
    )
    shell.chmod(0o755)
    made = ["useradd", "-o", "-u", "0", "-M", "-d", str(folder), "-s", str(shell), "-p", "*", ACCOUNT]
    subprocess.run(made, check=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    try:
        yield ACCOUNT
    finally:
        gone = ["userdel", "-f", ACCOUNT]
        subprocess.run(gone, check=False, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)


@contextmanager
def running(folder: Path, cellar: Path) -> Iterator[dict[str, Line]]:
    """Run a server; yield how each person reaches it."""
    state = folder / "state"
    lines = []
    for name in (*PEOPLE, "host"):
        words = ["ssh-keygen", "-q", "-t", "ed25519", "-N", "", "-f", str(folder / name)]
        subprocess.run(words, check=True)
    for person in PEOPLE:
        command = forced(person, cellar, state).rpartition('"')[0] + '"'
        lines.append(f"{command} {(folder / f'{person}.pub').read_text().strip()}\n")
    (folder / "authorized_keys").write_text("".join(lines))
    (folder / "shell_keys").write_text((folder / "ida.pub").read_text())
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    (folder / "sshd_config").write_text(
        f"ListenAddress 127.0.0.1:{port}\nHostKey {folder}/host\nPidFile {folder}/pid\n"
        f"AuthorizedKeysFile {folder}/authorized_keys\nStrictModes no\nUsePAM no\nPasswordAuthentication no\n"
        "PermitRootLogin prohibit-password\nClientAliveInterval 15\nClientAliveCountMax 3\n"
        f"Subsystem sftp internal-sftp\nMatch User {ACCOUNT}\nAuthorizedKeysFile {folder}/shell_keys\n"
        "AllowTcpForwarding no\n"
    )
    if os.getuid() == 0:
        Path("/run/sshd").mkdir(mode=0o755, exist_ok=True)
    with (folder / "log").open("wb") as log:
        server = subprocess.Popen([str(SERVER), "-D", "-e", "-f", str(folder / "sshd_config")], stderr=log)
        try:
            _until_open(port)
            yield {person: Line(folder, port, person) for person in PEOPLE}
        finally:
            server.terminate()
            server.wait(10)


def _until_open(port: int) -> None:
    for _ in range(100):
        with socket.socket() as line:
            if line.connect_ex(("127.0.0.1", port)) == 0:
                return
        time.sleep(0.1)
    raise RuntimeError("the SSH server did not start")
