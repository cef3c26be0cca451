"""Log readings by hand: one that no boat could have sailed to since the reading before it makes no speed.

A digit too many would carry the DR off by hundreds of miles, and nothing after it would look wrong. Which of
the two is wrong nobody can tell: both stay, and it is said.
"""

from middlewatch.navigator.chartroom import Chartroom
from middlewatch.navigator.deck_log.ledger import Logged
from middlewatch.navigator.reckoning.orders import no_boat_sails
from middlewatch.quantities.instants import MS_PER_MINUTE
from middlewatch.readings.entries import ByHand


def not_sailed(room: Chartroom, logged: Logged, order: ByHand) -> str:
    """Return, in words, that a reading and the one before or after it make no speed; empty where they do."""
    if order.log_nm is None:
        return ""
    here = logged.acts_ms, order.log_nm
    for other in room.reckoning.log_readings_about(logged.acts_ms, logged.id):
        if other is None:
            continue
        began, ended = sorted((here, other))
        if no_boat_sails(began, ended):
            minutes = (ended[0] - began[0]) / MS_PER_MINUTE
            return (
                f"; with the {other[1]:.2f} of {room.scale.utc(other[0]).clock} it makes"
                f" {ended[1] - began[1]:.1f} nm in {minutes:.0f} min, more than a small craft sails: no speed"
                " is made of that; amend or withdraw the wrong one"
            )
    return ""
