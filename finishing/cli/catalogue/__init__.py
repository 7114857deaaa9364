"""`finishing finishes`, `schedules` and `species`: the reference library. None of them opens the record."""
