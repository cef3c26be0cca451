"""Readings: everything that comes in, each with the time it came."""
