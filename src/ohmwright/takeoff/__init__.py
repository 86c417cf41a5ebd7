"""Conductors to cut, parts list, mass, price."""
