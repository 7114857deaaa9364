"""The help of the plan page."""

from __future__ import annotations

PLAN_HELP = """The plan

Every remaining step of every batch, in your working hours, so that they are ready
when wanted. A plan shows at once and is improved until it is proved best, for 20
seconds at most. What is recorded, here or elsewhere, moves as little of it as it must.

Under each day stand its sessions, how full they are, and what is done in them; then
the night, how cold it gets where coats harden, and what stands still in it.
  *  pinned: it stays at that time
  !  a batch that is late

Moving work pins it to its new time, and the rest is planned around it. On a session's
line the keys move all that is in it. With the mouse: drag a work or a session onto
the line before which it is to begin, or onto a day or night for the hours after.

Keys
  up, down      choose a line
  left, right   begin a quarter of an hour sooner, later
  e and l       move it to the hours before (earlier), after (later)
  t             begin at a time you type
  p             pin it where it is, or let go of it
  d             a batch planned in parts, as a coat takes longer than your hours: split off
                the part you are on (on the batch's own pieces, the next part)
  k             keep this plan: later ones move as little of it as they must
  x             go by no kept plan any more
  g             go on: plan again from now, moving as little as it must
  a             plan afresh, whatever was planned before
  s             stop improving
  v             on a narrow screen: dates, reasons and what would help; and back
  enter         open the batch"""
