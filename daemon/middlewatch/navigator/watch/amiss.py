"""Whether something is amiss with the satellites, so that nothing is calibrated by them.

A gap past the limit that is ordinary still is not: with everything well it is passed within the hour.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from middlewatch.reports.satellite import SatelliteState

if TYPE_CHECKING:  # the check asks this of itself
    from middlewatch.navigator.watch.satellites import Check

BLAMED = 0.5
"""From so much weight on, the satellites are kept in quarantine when they agree again (judgement)."""


PLAINLY = 0.9
"""From so much weight on, a cause is told of a gap that a stream may make (judgement)."""

NOTHING: frozenset[SatelliteState] = frozenset({"none", "in_step", "wide"})
PARTING: frozenset[SatelliteState] = frozenset({"parting"})
"""What a trial judges for itself: a log or a compass that is far off parts at each turn."""


def amiss(check: Check, *, excused: frozenset[SatelliteState] = frozenset()) -> str | None:
    """Return what is amiss with the satellites, in words that end "the satellites are"; None: nothing.

    `excused`: states that are not to count.
    """
    for state in (check.state, *check.also):
        if state not in NOTHING and state not in excused:
            return state
    if check.pull.unended is not None:
        return "parting"
    if check.gap.parted.on or check.gap.growing:
        return "further off than is ordinary"
    if check.causes and check.causes[0].cause == "satellite" and check.causes[0].weight > BLAMED:
        return "likely to be what is wrong"
    return None if check.quarantine.why is None else "in quarantine"


def plainly_no_stream(check: Check) -> bool:
    """Tell whether something other than a stream is plainly to blame."""
    return bool(check.causes) and check.causes[0].cause != "stream" and check.causes[0].weight > PLAINLY
