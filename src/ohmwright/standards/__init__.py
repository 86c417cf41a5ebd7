"""Published figures, each once."""
