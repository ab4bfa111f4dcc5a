"""Sections of a report, each a function of what was gathered."""
