"""The bench-trial planner: what goes into each glass, what it showed, the chosen dose scaled, the trial recorded."""

from __future__ import annotations

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Horizontal, VerticalScroll
from textual.screen import Screen
from textual.widgets import Input, Static

from cellar_tui import bench_trial, drafts, quantities
from cellar_tui.cellar import Service
from cellar_tui.forms import Form
from cellar_tui.keys import keys_of
from cellar_tui.ledger.materials import MATERIALS
from cellar_tui.prefill import BENCH_DOSE, BENCH_SAMPLE
from cellar_tui.say import words
from cellar_tui.views import Answer, CellarError, WineView
from cellar_tui.widgets.cells import joined, label
from cellar_tui.widgets.field_row import FieldRow
from cellar_tui.widgets.form_fields import Slot, bare_units
from cellar_tui.widgets.working import Working
from cellar_tui.workbench import Worked
