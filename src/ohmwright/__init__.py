"""ohmwright: a rig is a graph of parts and runs, in one text file, for its whole life."""

__version__ = "0.1.0"
