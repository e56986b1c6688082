"""Long work: one process at a time, whose end, whatever it is, is told and kept."""
