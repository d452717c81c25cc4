"""Independent programs that recalculate our workbooks, to hold the engine against."""
