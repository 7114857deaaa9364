"""The help of the pass guide."""

GUIDE_HELP = """The pass guide

It goes with you through one coat of one batch. A pass is as many pieces as you
can coat before the first must be wiped off: coat them all, wipe them in the same
order, then the next pass. What you tell it is kept at once: leave the page, close
the program or lose the power, and it is where it was.

Keys
  s             start: the first piece is in your hand
  space         this piece is coated
  a             all pieces of this pass are coated
  w             a piece is wiped, the one coated first
  e             every wet piece of this pass is wiped
  n             begin the next pass
  p             pause, and go on. Your own time stands still; wet finish does not
  m             fresh finish is mixed (two-part): its pot life begins
  u             take back the last thing told
  f             end: amount and can, then it goes on record
  x             give the guide up: no coat goes on record, only a note
  b             to another running guide

Marks
  ○             bare
  ▸             in your hand
  ◐             coated, wet
  ●             done
  ✕             left unwiped

The bell rings when wiping may begin, shortly before it must, when it is late,
and before mixed finish is past its pot life.

Where rags can catch fire by themselves, the session does not end before you say
that they are safe. Nothing puts that off.

The coat's time on record is when its last piece was coated."""
