"""Boats under way for tests of orders, and how far apart two places are."""

from entries.entering import Aboard
from middlewatch.navigator.tuning import Tuning
from middlewatch.quantities.positions import Position
from middlewatch.reports.answer import Answer

MILLIMETRE = 1e-3
STEERING_CARD = ((0.0, 2.0), (90.0, -4.0), (180.0, -2.0), (270.0, 4.0))
"""Deviation by the heading on the steering compass: at 099 it is 3.8 W."""


def departed(tuning: Tuning | None = None) -> Aboard:
    """Return a boat that departed a minute ago, heading 095 M, 090 T by a rose of 5 W."""
    boat = Aboard(tuning)
    boat.run(10)
    boat.depart()
    boat.run(50)
    return boat


def metres(one: Position, other: Position) -> float:
    """Return how far apart two places are, in metres."""
    return one.to(other)[1] * 1852


def effect(answer: Answer) -> str:
    """Return the sentence of an order taken."""
    assert answer.effect is not None, answer.refusal
    return answer.effect
