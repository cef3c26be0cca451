"""Lengths: the international nautical mile, and what a second at a knot makes."""

METRES_PER_NM = 1852.0
"""One nautical mile, in metres (exact: International Hydrographic Conference, 1929; from memory)."""

METRES_PER_SECOND_PER_KNOT = METRES_PER_NM / 3600.0
"""One knot, in metres a second."""
