"""Conductors, protection and joints."""
