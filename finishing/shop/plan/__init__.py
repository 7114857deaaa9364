"""Planning the shop: the question built from the record, the answer by day, what it rests on and what would help."""
