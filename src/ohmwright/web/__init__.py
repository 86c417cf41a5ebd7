"""The bench: the sheets of a job as pages, on this machine only."""
