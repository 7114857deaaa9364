"""In how many passes a coat goes on, where wiping off or mixed finish hurries."""

from __future__ import annotations

from finishing.cure.passes import Pass, pass_size
from finishing.cure.terms import StepKind
from finishing.cure.work import Batch
from finishing.units import counted, show_duration


def pass_of(batch: Batch, position: int) -> Pass | None:
    """How many pieces to coat before wiping the first, or while mixed finish keeps; None where nothing hurries."""
    steps, step = batch.schedule.steps, batch.schedule.steps[position]
    finish = batch.finishes[step.finish or ""]
    wipe = next((s for s in steps[position + 1 : position + 2] if s.kind is StepKind.WIPE), None)
    if (wipe is None or finish.wipe is None) and finish.pot_life_hours is None:
        return None
    wiping = 0.0 if wipe is None else wipe.minutes_per_piece
    window = None if wipe is None else finish.wipe
    return pass_size(batch.pieces, step.minutes_per_piece, wiping, window, pot_life_hours=finish.pot_life_hours)


def pass_words(batch: Batch, position: int) -> str:
    """The passes of a coat, and when to wipe, in words; "" where nothing hurries."""
    one = pass_of(batch, position)
    if one is None:
        return ""
    step = batch.schedule.steps[position]
    finish = batch.finishes[step.finish or ""]
    passes = -(-batch.pieces // one.pieces)
    said = (
        f"{counted(passes, 'pass', 'passes')} of up to {counted(one.pieces, 'piece')}, about {one.minutes:.0f} min each"
    )
    wiped = any(s.kind is StepKind.WIPE for s in batch.schedule.steps[position + 1 : position + 2])
    if finish.wipe is not None and wiped:
        said += f"; wipe each off {finish.wipe.from_minutes:g} to {finish.wipe.to_minutes:g} min after coating it"
    if finish.pot_life_hours is not None:
        said += f"; mixed finish keeps {show_duration(finish.pot_life_hours)}"
    return said
