"""The help of the library page."""

LIBRARY_HELP = """Finishes, schedules, woods

Three lists. At the right stands everything about the chosen one, each figure with
how good its ground is and where it comes from. Your own come first; one of yours
with the name of the program's is used in its place. Batches begun before keep what
they began with.

Times are drawn on one scale from minutes to months:
  ├  of a hundred coats, five are there by then
  ◆  half of them
  ┤  ninety-five

Keys
  f, s, w       finishes, schedules, woods
  /             type a few letters of a name, another name or a botanical one;
                enter goes to the list, escape clears it
  up, down      choose;  enter: into the text at the right, to scroll it
  y             a copy of your own, under a new name, as a file you can read
  e             change the common figures of one of your own
  o             the whole file of one of your own in your editor (EDITOR); a file
                that doesn't read is not put in place of the old
  x             take away one of your own that nothing uses; its file is kept
  l             type in what the label of a can says: a finish of your own
  + and -       more or fewer pieces, for a schedule's hands' work"""
