"""A boat that sails east at 5 kn past one light, for tests of advice."""

from entries.entering import FIVE_WEST, START, Aboard
from middlewatch.navigator.navigator import Navigator
from middlewatch.navigator.tuning import Tuning
from middlewatch.quantities.angles import direction_of
from middlewatch.quantities.lengths import METRES_PER_NM
from middlewatch.quantities.positions import Position
from middlewatch.readings.marks import Mark
from middlewatch.reports.advice import AdviceReport
from middlewatch.wire import entries

LIGHT = Mark("Inner Light", START.moved(3.0 * METRES_PER_NM, 3.0 * METRES_PER_NM), range_nm=20.0)
"""Three miles ahead and three to port: 45 on the bow at the start, abeam after 36 minutes."""
HEADING_MAGNETIC_DEG = 95.0
FULL_SPEED_KN = 5.0


def by_one_light(*marks: Mark, tuning: Tuning | None = None) -> Aboard:
    """Return a boat that has just departed, known to a mile, with these marks or the one light about."""
    boat = Aboard()
    known = {mark.name: mark for mark in marks or (LIGHT,)}
    boat.navigator = Navigator(tuning or Tuning(variation=FIVE_WEST), known, entries)
    boat.heading_magnetic_deg, boat.speed_kn = HEADING_MAGNETIC_DEG, FULL_SPEED_KN
    boat.run(1)
    boat.depart(sd_nm=1.0)
    return boat


def see_light(boat: Aboard, mark: Mark = LIGHT) -> None:
    """Take a bearing of the light from where the EP is: magnetic, whole degrees, 5 W."""
    ep = boat.ep_at(boat.seconds)
    north_m, east_m = ep.offset_to(mark.position)
    bearing_deg = round(direction_of(north_m, east_m) + 5.0) % 360
    answer = boat.sighting(kind="bearing", mark=mark.name, bearing_deg=bearing_deg)
    assert answer.used


def advice(boat: Aboard) -> list[AdviceReport]:
    """Return the advice given so far."""
    return [report for report in boat.said if isinstance(report, AdviceReport)]


def along(minutes: float) -> Position:
    """Return where the boat is reckoned after so many minutes at full speed."""
    return START.moved(0.0, FULL_SPEED_KN * minutes / 60.0 * METRES_PER_NM)
