"""One batch: its coats against the air, its steps, and its whole record."""
