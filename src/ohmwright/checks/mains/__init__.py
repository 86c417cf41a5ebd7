"""Alternating current, shore and generator."""
