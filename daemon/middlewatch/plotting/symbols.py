"""The signs of the plot, each drawn about a dot; sizes in mm of paper."""

from math import cos, hypot, radians, sin

from middlewatch.plotting.pen import Dot, Pen, Stroke

REACH_MM = 2.2
"""How far a sign reaches from its dot."""

_HEAD_MM, _HEAD_DEG, _HEADS_APART_MM = 1.8, 22.0, 1.3


def polar(centre: Dot, direction_deg: float, mm: float) -> Dot:
    """Return the dot so far from another, in a direction clockwise from the top of the paper."""
    angle = radians(direction_deg)
    return centre[0] + mm * sin(angle), centre[1] - mm * cos(angle)


def bearing_of(one: Dot, other: Dot) -> tuple[float, float]:
    """Return (east, north) of length 1 from one dot towards another; (0, 1) where they are one."""
    east, south = other[0] - one[0], other[1] - one[1]
    length = hypot(east, south)
    return (east / length, -south / length) if length > 0.0 else (0.0, 1.0)


def dot_in_circle(pen: Pen, at: Dot, stroke: Stroke) -> None:
    """Draw a dot in a circle."""
    pen.dot(at, 0.35, stroke.colour)
    pen.ring(at, 1.9, stroke)


def crossed_circle(pen: Pen, at: Dot, stroke: Stroke) -> None:
    """Draw a circle with crossed lines."""
    pen.ring(at, 1.6, stroke)
    pen.shape(
        (((at[0] - 2.2, at[1]), (at[0] + 2.2, at[1])), ((at[0], at[1] - 2.2), (at[0], at[1] + 2.2))), stroke
    )


def dot_in_square(pen: Pen, at: Dot, stroke: Stroke) -> None:
    """Draw a dot in a square."""
    x, y = at
    pen.dot(at, 0.35, stroke.colour)
    pen.line(
        ((x - 1.7, y - 1.7), (x + 1.7, y - 1.7), (x + 1.7, y + 1.7), (x - 1.7, y + 1.7)), stroke, closed=True
    )


def dot_in_triangle(pen: Pen, at: Dot, stroke: Stroke) -> None:
    """Draw a dot in a triangle."""
    pen.dot(at, 0.35, stroke.colour)
    pen.line([polar(at, direction, 2.3) for direction in (0.0, 120.0, 240.0)], stroke, closed=True)


def dot_in_diamond(pen: Pen, at: Dot, stroke: Stroke) -> None:
    """Draw a dot in a diamond."""
    pen.dot(at, 0.35, stroke.colour)
    pen.line([polar(at, direction, 2.2) for direction in (0.0, 90.0, 180.0, 270.0)], stroke, closed=True)


def half_circle(pen: Pen, at: Dot, stroke: Stroke, course_deg: float) -> None:
    """Draw a dot on the course line with half a circle to port of it."""
    pen.dot(at, 0.45, stroke.colour)
    pen.line([polar(at, course_deg - 180.0 + step, 1.6) for step in range(0, 181, 20)], stroke)


def tick(pen: Pen, at: Dot, stroke: Stroke, course_deg: float) -> None:
    """Draw a short stroke across the course line."""
    pen.line((polar(at, course_deg - 90.0, 1.6), polar(at, course_deg + 90.0, 1.6)), stroke)


def arrowheads(pen: Pen, tip: Dot, from_dot: Dot, count: int, stroke: Stroke) -> None:
    """Draw so many arrowheads, one behind the other, at the end of a line that comes from another dot."""
    east, north = bearing_of(from_dot, tip)
    parts = []
    for n in range(count):
        at = tip[0] - east * n * _HEADS_APART_MM, tip[1] + north * n * _HEADS_APART_MM
        wings = []
        for side in (-1, 1):
            angle = radians(_HEAD_DEG * side)
            back_east = -(east * cos(angle) - north * sin(angle))
            back_north = -(east * sin(angle) + north * cos(angle))
            wings.append((at[0] + _HEAD_MM * back_east, at[1] - _HEAD_MM * back_north))
        parts.append((wings[0], at, wings[1]))
    pen.shape(parts, stroke)
