"""Log readings by hand: one that no boat could have sailed to since the reading before it is refused.

A digit too many would carry the DR off by hundreds of miles, and nothing after it would look wrong.
"""

from middlewatch.navigator.chartroom import Chartroom
from middlewatch.navigator.deck_log.ledger import Logged
from middlewatch.navigator.deck_log.refusing import Refused
from middlewatch.navigator.reckoning.instruments import COUNTS_AT_MOST_KN
from middlewatch.quantities.instants import MS_PER_HOUR
from middlewatch.readings.entries import ByHand

READ_TO_NM = 0.1
"""A log is read to a tenth of a mile: of two readings close together that is no speed."""


def read_as_a_boat_sails(room: Chartroom, logged: Logged, order: object) -> None:
    """Refuse a log reading that makes a speed with the one before or after it that no small craft makes."""
    if not isinstance(order, ByHand) or order.log_nm is None:
        return
    here = logged.acts_ms, order.log_nm
    before, after = room.reckoning.log_readings_about(logged.acts_ms, logged.id)
    for other in (before, after):
        if other is None:
            continue
        (began_ms, began_nm), (ended_ms, ended_nm) = sorted((here, other))
        hours, run_nm = (ended_ms - began_ms) / MS_PER_HOUR, ended_nm - began_nm
        if run_nm - READ_TO_NM > COUNTS_AT_MOST_KN * hours:
            read = f"{other[1]:.2f} at {room.scale.utc(other[0]).clock}"
            wanted = f"a reading that goes with {read}; a log set on or changed is given back first (null)"
            reason = f"{run_nm:.1f} nm in {hours * 60.0:.0f} min is more than a small craft sails"
            raise Refused("log_nm", f"{order.log_nm:g}", wanted, reason)
