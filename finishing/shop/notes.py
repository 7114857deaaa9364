"""Notes: something worth keeping about a batch, in words, among its entries."""

from __future__ import annotations

from finishing.errors import BadInput
from finishing.shop.allowed import as_kept
from finishing.shop.record import LONGEST_NOTE
from finishing.shop.shop import Shop
from finishing.store import entries
from finishing.store.kinds import NoteEntry
from finishing.units import show_duration


def add_note(shop: Shop, code: str, text: str, now: float, at: float | None = None) -> str:
    """Put a note on a batch's record, also on a closed one. at: the hour it is about, now without.

    BadInput for an empty or overlong note, or an hour ahead.
    """
    said = text.strip()
    if not said:
        raise BadInput("note", text, "a few words")
    if len(said) > LONGEST_NOTE:
        raise BadInput("note", f"{len(said):,} characters", f"no more than {LONGEST_NOTE:,} characters")
    hour = now if at is None else as_kept(at)
    if hour > now:
        raise BadInput("time", f"{show_duration(hour - now)} ahead", "a time that has passed")
    row = shop.standing(code, now).row
    with shop.store.write() as w:
        entries.add(w, row.id, NoteEntry(0, hour, said), recorded_at=now, maker=shop.settings.maker)
        w.commit()
    shop.forget()
    return f"{code}: noted, on record"
