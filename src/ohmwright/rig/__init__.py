"""File text to checked rig to explicit graph."""
