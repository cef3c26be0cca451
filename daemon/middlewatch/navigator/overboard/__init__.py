"""Somebody overboard: the way back by heading and log, second by second."""
