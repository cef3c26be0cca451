"""Middlewatch: a watch-mate that keeps the reckoning and says how good it is."""

__version__ = "0.1.0"
