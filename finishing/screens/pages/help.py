"""What the keys and marks of the bench mean."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Static

HELP = """The bench

Batches stand under what your hands can do now, later today, or later; what only
rests; and what is ready to go out. Within a group the one that shuts or opens
first stands first.

The bar is time, the night dotted:
  ─  the last coat hardens: wait
  █  the next step is open: do it
  ╳  the recoat window has shut: abrade first, then coat
  ┄  the last coat is on and rests
  ▒  it may be packed and go out
  ┃  now

Keys
  up, down      choose a batch
  c             record its next coat;  enter again puts it on record
  d or enter    record its next step, whatever it is
  n             add a batch
  u             undo its newest entry (the entry stays, marked void)
  + and -       show less or more time along the bars
  q             leave

Times are when a step can be counted on at your level of certainty (80 % unless
you changed it). "Could be", "likely" and "count on" are 20, 50 and 90 in a
hundred. A finger on the film always knows better: record what it found.

escape closes this page."""


class HelpScreen(ModalScreen[None]):
    """The help page."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape,q,question_mark", "dismiss", "Close")]

    def compose(self) -> ComposeResult:
        """One page of text."""
        with VerticalScroll(id="card"):
            yield Static(HELP, markup=False)
