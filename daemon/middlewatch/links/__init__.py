"""All I/O with the world outside: bytes in from the bus, messages to and from the broker, files written."""
