"""Energy years: array, bank, loads, sources, balanced at every step."""
