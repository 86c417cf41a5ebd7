"""Part records."""
