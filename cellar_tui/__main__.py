"""The console script, and `python -m cellar_tui`; Ctrl+C while the program is still being loaded ends it quietly."""

import os
import sys

INTERRUPTED = 130
"""Exit status after Ctrl+C, as shells have it."""


def run() -> None:
    """Load the program and run it; where the machine's locale knows no letter beyond ASCII, in UTF-8 all the same."""
    try:
        if sys.getfilesystemencoding() != "utf-8" and not sys.flags.utf8_mode:
            os.execv(sys.executable, [sys.executable, "-X", "utf8", *sys.orig_argv[1:]])
        from cellar_tui.cli.main import run as command_line

        command_line()
    except KeyboardInterrupt:
        sys.exit(INTERRUPTED)


if __name__ == "__main__":
    run()
