"""The sentences of the papers, a file per language."""
