"""Names, units, entries, measured values and their uncertainty."""
