"""One design rule per file."""
