"""The sheet: what an engine of one type should be, written by hand from its manual."""
