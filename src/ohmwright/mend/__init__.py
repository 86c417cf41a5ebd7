"""The smallest set of changes that clears what the rules found: tried, read again, and judged by the same rules."""
