"""The help of the page of a batch."""

BATCH_HELP = """One batch

Above, its coats on a time axis before the air they stand in: the hill is the
temperature, the dots above it the nights, the row of _ the least temperature at
which the chosen coat's finish hardens at all.
  ●            coat on
  ○            coat expected, if every step is taken at its earliest
  ─ ╌          hardens
  ━ ╍          open for the next coat
  ═            may be packed
  ╳            shut: abrade first
  ▿            stands still: too cold
  D K T R H S C  the stages, where each is likely; of the chosen coat also
               where each could be (20 in a hundred such coats are there by
               then), is likely (50), and can be counted on (90)
The line below reads off the air: move with left and right, or click.

Below, at the left, what comes next and why, every step, the stages of the chosen
coat, when the pieces may go out, and what to heed; at the right the whole record,
newest first. What is void stays, and says by which entry.

Keys
  c            record the next coat
  d            record the next step, whatever it is
               (a wipe with solvent once more, if that has gone stale)
  g            pass guide: coat, wipe and turn piece by piece, with a bell
  a            record abrading
  t            touch test: what the finger found
  m            move to another place
  h            on hold, or off it
  s            split: some pieces become a batch of their own, with all that was done to
               them; the finish used is shared out, so that nothing counts twice
  b            change what it is: pieces, size, woods, when it is wanted; its schedule
               while no coat is on
  o            a note
  f            put the chosen entry of the record right: its time, amount, can and so on;
               another takes its place, both stay, and u takes that back
  x            void the chosen entry of the record
  u            undo the newest entry
  r            release: you say it may be handled, packed or used
  e            close: it leaves the bench
  p            print: rack card, care card for the customer, or record
  i            trace: cans, lots, the air it dried in
  tab          to the timeline, the story, the record
  + and -      less or more time
On the timeline: left, right read off; shift with them or page up, page down
look further; up, down choose a coat; home comes back to now."""
