"""Codecs without I/O: sentences of the bus, topics and payloads of the broker, messages of the page."""
