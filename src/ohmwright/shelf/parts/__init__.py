"""Our own part files."""
