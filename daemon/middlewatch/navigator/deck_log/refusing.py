"""Refusals: why an entry cannot be taken, in the words the skipper gets."""


class Refused(Exception):  # noqa: N818 - it is the answer's name, not an error of ours
    """An entry that cannot be taken: which field, what was found, what is wanted, and why in a sentence."""

    def __init__(self, field: str, found: str, wanted: str, reason: str) -> None:
        super().__init__(reason)
        self.field, self.found, self.wanted, self.reason = field, found, wanted, reason
