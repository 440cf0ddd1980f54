"""The console script, and `python -m cellar_tui`; Ctrl+C while the program is still being loaded ends it quietly."""

import sys

INTERRUPTED = 130
"""Exit status after Ctrl+C, as shells have it."""


def run() -> None:
    """Load the program and run it."""
    try:
        from cellar_tui.cli.main import run as command_line

        command_line()
    except KeyboardInterrupt:
        sys.exit(INTERRUPTED)


if __name__ == "__main__":
    run()
