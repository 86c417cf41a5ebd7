"""Place, weight, heat and people."""
