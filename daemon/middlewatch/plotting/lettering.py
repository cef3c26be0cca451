"""Lettering: how wide words are, so that labels can be kept apart before anything is drawn."""

TYPEFACE = "Liberation Sans, Arial, Helvetica, sans-serif"
"""Faces of one set of widths; each label is drawn to the width worked out here, whatever face there is."""

# Widths of the characters in thousandths of the size of type: Adobe's Core 14 metrics for Helvetica, the same
# upright and oblique (from memory; a test measures them in a browser).
_WIDTHS = {
    **dict.fromkeys("ijl", 222),
    **dict.fromkeys(" .,:;/!fIt|", 278),
    **dict.fromkeys("-()r", 333),
    **dict.fromkeys("cksvxyzJ", 500),
    **dict.fromkeys("FTZ", 611),
    **dict.fromkeys("ABEKPSVXY&", 667),
    **dict.fromkeys("CDHNRUw", 722),
    **dict.fromkeys("GOQ", 778),
    **dict.fromkeys("Mm", 833),
    **dict.fromkeys("+<>=", 584),
    "'": 191,
    "°": 400,
    "%": 889,
    "W": 944,
}
_ORDINARY = 556
"""Figures, and the letters not named above."""

ASCENT, DESCENT = 0.85, 0.25
"""How far letters reach above and below the line they stand on, as a part of the size of type."""


def width_mm(words: str, size_mm: float) -> float:
    """Return how wide words are in this size of type, in mm."""
    return sum(_WIDTHS.get(letter, _ORDINARY) for letter in words) * size_mm / 1000.0
