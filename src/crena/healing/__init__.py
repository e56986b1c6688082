"""When to operate, what to check before, and the days after: gate, doses, dates, note."""
