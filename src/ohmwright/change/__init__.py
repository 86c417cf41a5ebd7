"""Two rigs: what changed, and what follows."""
