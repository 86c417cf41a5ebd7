"""Charging from an engine."""
