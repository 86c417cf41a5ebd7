"""Batteries and banks."""
