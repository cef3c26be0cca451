"""How fast the boat may be carried where nothing says so: one standard deviation of stream and other drift.

All judgement, started from the design's section 4; a hand-steered heading and a speed by eye are common
practice, no source.
"""

from math import hypot

from middlewatch.quantities.lengths import METRES_PER_SECOND_PER_KNOT

STREAM_PART = 0.45
"""An unknown stream on each axis, as a part of the strongest there is."""
LYING_STILL_KN = 0.02
"""At anchor a boat swings and her anchor may walk."""
ADRIFT_KN = 0.7
MANOEUVRING_KN = 0.5
NOTHING_KNOWN_KN = 5.0
"""While neither heading nor speed is known, or not for how long."""

# Parts of the speed, by what steers.
HEADING_HELD = 0.17
HEADING_BY_HAND = 0.05
SPEED_HELD = 0.20
SPEED_BY_HAND = 0.10


def stream_kn(strongest_kn: float, ordered_sd_kn: float | None) -> float:
    """Return one standard deviation of the stream on an axis, knots: by order, else what the waters allow."""
    return STREAM_PART * strongest_kn if ordered_sd_kn is None else ordered_sd_kn


def mps(stream: float, *, also_kn: float, speed_kn: float, heading_part: float, speed_part: float) -> float:
    """Return the doubt of stream, other drift and steering together, in m/s on an axis."""
    if not (also_kn or heading_part or speed_part):
        return stream * METRES_PER_SECOND_PER_KNOT
    whole_kn = hypot(stream, also_kn, heading_part * speed_kn, speed_part * speed_kn)
    return whole_kn * METRES_PER_SECOND_PER_KNOT
