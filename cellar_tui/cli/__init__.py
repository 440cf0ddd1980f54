"""The command line: the same cellar for scripts, cron, other programs and screen readers. Never imports Textual."""
