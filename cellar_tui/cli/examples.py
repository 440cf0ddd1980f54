"""What each command looks like when it is used: shown by `--help` and in the man page, and tried by a test."""

from __future__ import annotations

from collections.abc import Mapping

EXAMPLES: Mapping[str, tuple[tuple[str, str], ...]] = {
    "": (
        ("cellar-tui", "open the dashboard; a new cellar says how to begin"),
        ("cellar-tui --read-only", "look without recording anything"),
        ("cellar-tui --wall", "the display for a wall"),
    ),
    "demo": (("cellar-tui demo", "an invented cellar, to try everything on"),),
    "due": (
        ("cellar-tui due", "late, today and the next 7 days, with reasons"),
        ("cellar-tui due --within 30", "a month ahead"),
        ("cellar-tui due --short", "2 late, 3 today: for a prompt or tmux"),
        ("cellar-tui due --quiet --why", "for mail: nothing where nothing is late or for today"),
        ("cellar-tui due --ics cellar.ics", "a calendar that phones subscribe to"),
    ),
    "show": (
        ('cellar-tui show "Demijohn 1"', "readings, verdicts, what is due, the way to bottling"),
        ('cellar-tui show "Demijohn 1" --because', "with the working behind every figure"),
        ('cellar-tui show "Demijohn 1" --on 2026-12-24', "as it will stand on that day"),
    ),
    "trace": (('cellar-tui trace "Demijohn 1"', "a store or lot of bottles, or the lot of a material, too"),),
    "vessel add": (('cellar-tui vessel add "Demijohn 1" capacity=23L material=glass place="back wall"', ""),),
    "vessel retire": (('cellar-tui vessel retire "Demijohn 1"', "once it is empty"),),
    "wine start": (
        ('cellar-tui wine start "Hill red 26" vessel="Demijohn 1" style=dry_red volume=20L sg=1.092 skins=yes', ""),
        (
            'cellar-tui wine start Terrace vessel="Demijohn 2" style=dry_white volume=22L finished=yes total_so2=40',
            "a wine that came finished",
        ),
    ),
    "record": (
        ('cellar-tui record "Demijohn 1" reading ph=3.4 free_so2=28 method=titration', "what was measured"),
        ('cellar-tui record "Demijohn 1" addition material=potassium_metabisulfite amount=1.5g --preview', "try it"),
        ('cellar-tui record "wine:Hill red 26" racking --at -1d', "every vessel of a wine, yesterday"),
    ),
    "undo": (("cellar-tui undo 41", "entry 41 and its corrections; undo of the undo brings it back"),),
    "amend": (("cellar-tui amend 41 ph=3.45", "what is not named stays"),),
    "rule": (("cellar-tui rule", "every house rule with its value and default"),),
    "rule set": (
        ("cellar-tui rule set units=us", ""),
        ("cellar-tui rule set skip_holds=", "back to its default"),
    ),
    "rule learn": (("cellar-tui rule learn --preview", "what the readings of this cellar show"),),
    "material": (("cellar-tui material --within 60", "what to get for two months"),),
    "material set": (("cellar-tui material set potassium_metabisulfite amount=250g opened=2026-10-01", ""),),
    "calc": (
        ("cellar-tui calc", "the list"),
        ("cellar-tui calc molecular_so2 ph=3.4 free_so2=28", ""),
        ("cellar-tui calc molecular_so2 --help", "what it takes"),
    ),
    "check": (
        ("cellar-tui check", "file, chain of entries and board"),
        ("cellar-tui check --known 41:9f0c46e2d07b3f5a8c1d2e3f40516273", "does it still go on from that backup?"),
    ),
    "rebuild": (("cellar-tui rebuild", "work everything out again from the ledger"),),
    "backup": (
        ("cellar-tui backup cellar-2026-11-26.db", "a checked copy, while the program is in use"),
        ("cellar-tui backup - > copy.db", "to standard output, as over SSH"),
    ),
    "restore": (("cellar-tui restore cellar-2026-11-26.db", "the file that was there is kept aside"),),
    "ssh-command": (
        ("cellar-tui --db /srv/cellar/cellar.db ssh-command ida", "in authorized_keys, as the command of ida's key"),
    ),
    "export": (("cellar-tui export out", "ledger.jsonl and a CSV a kind, in a folder of its own"),),
    "import": (
        ("cellar-tui import out/ledger.jsonl --db new.db", "a whole ledger into an empty cellar"),
        ("cellar-tui import readings.csv --dates DMY --preview", "what each row would record"),
        ('cellar-tui import readings.csv --map "Acidity=ph" --map "Colour=-"', "remembered with the cellar"),
        ('cellar-tui import logger.csv --series "Demijohn 1"', "a temperature logger's file as one entry"),
    ),
    "paper round": (
        ("cellar-tui paper round --out round.pdf", "late and for today"),
        ("cellar-tui paper round --within 7 --size letter --out week.pdf", "the week"),
    ),
    "paper wine": (('cellar-tui paper wine "Demijohn 1" --out wine.pdf', "for the binder"),),
    "paper bottling": (('cellar-tui paper bottling "Demijohn 1" --out bottling.txt', "plain text"),),
    "completion": (
        ('eval "$(cellar-tui completion bash)"', "in ~/.bashrc"),
        ('eval "$(cellar-tui completion zsh)"', "in ~/.zshrc, after compinit"),
        ("cellar-tui completion fish > ~/.config/fish/completions/cellar-tui.fish", ""),
    ),
    "man": (("cellar-tui man | man -l -", "show the manual page"),),
}
"""Command -> lines to type, each with what it is for."""
