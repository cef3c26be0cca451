"""Adopting by itself: with `adopt = "redundant"` a fix that checks itself moves the DR's origin unasked.

It is entered as an order like the skipper's own, under an id that says where it comes from: it is answered,
kept, and can be withdrawn.
"""

import json

from middlewatch.navigator.chartroom import Chartroom
from middlewatch.navigator.deck_log.ledger import Logged
from middlewatch.navigator.position.plot import RunTo
from middlewatch.navigator.position.redundant import redundant
from middlewatch.quantities.instants import MS_PER_SECOND
from middlewatch.readings.entries import Entry
from middlewatch.reports.fix import FixReport

OPEN_WITHIN_S = 30 * 60
"""An entry in doubt so near in time keeps a fix from being adopted unasked."""


def adoption(room: Chartroom, logged: Logged, fixes: list[FixReport]) -> Entry | None:
    """Return the order to adopt the fix that a sighting of this moment has made, None where it must ask.

    A sighting heard late never adopts: what has been published since stands.
    """
    if room.tuning.adopt != "redundant" or logged.second < room.reckoning.now.second:
        return None
    if any(_in_doubt(each, logged) for each in room.ledger.entries.values()) or logged.open:
        return None
    made = next((fix for fix in fixes if fix.id == f"f-{logged.id}" and not fix.withdrawn), None)
    if made is None:
        return None
    lines = [room.plot.lines[id_] for id_ in made.sightings]
    if not redundant(made, lines, RunTo(room.reckoning, logged.second)):
        return None
    text = json.dumps({"id": f"adopt-{logged.id}"[:64], "kind": "adopt", "fix": made.id})
    # At the next second: the fix itself is one against the origin before it.
    return Entry((logged.second + 1) * MS_PER_SECOND, "order", text)


def _in_doubt(entry: Logged, logged: Logged) -> bool:
    return entry.open and not entry.withdrawn and abs(entry.second - logged.second) <= OPEN_WITHIN_S
