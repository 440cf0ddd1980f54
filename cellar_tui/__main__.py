"""`python -m cellar_tui` is the console script."""

from cellar_tui.cli.main import run

if __name__ == "__main__":
    run()
