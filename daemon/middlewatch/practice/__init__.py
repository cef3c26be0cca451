"""Practice: passages that never happened, with a truth to mark the navigator's work against."""
