"""The help of the compare page."""

from __future__ import annotations

COMPARE_HELP = """Compare

The same pieces under every schedule, the best by your wish first: the hands' work, the
days until they may be packed, what they cost in finish and in your hours, and, where a
date is wanted, how late each may begin. It is asked for pieces that don't exist yet, or
for a batch on the bench. What can be given no date, or misses it, stands last.

The bars are measured against the most of all; the shorter the better.

Below the list stands the chosen one in full: what finishing adds to a piece, how well it
protects, what it asks of its owner, and what must not be done before when.

Keys
  up, down      choose a schedule
  w             another wish: ready soonest, least hands-on, cheapest, toughest
  e             ask for other pieces, woods, size, date or place
  b             ask for a batch on the bench
  p             beside the work already planned, or as if nothing else were"""
