"""The view ahead: the moments of the coming hour, where the boat may be then, and what could be seen."""

from dataclasses import dataclass
from itertools import pairwise

from middlewatch.navigator.advice.advised import LOOKED_EVERY_MS
from middlewatch.navigator.advice.daylight import by_day
from middlewatch.navigator.advice.next_sight import Sight
from middlewatch.navigator.advice.prospect import Prospect
from middlewatch.navigator.advice.reach import Ahead, first_bearings, sights
from middlewatch.navigator.advice.running_fix import begun_on
from middlewatch.navigator.area.ahead import Onward, onward
from middlewatch.navigator.chartroom import Chartroom
from middlewatch.navigator.position.lines import PositionLine, Ray
from middlewatch.quantities.instants import MS_PER_SECOND
from middlewatch.quantities.positions import Position

EVERY_S = LOOKED_EVERY_MS // MS_PER_SECOND
HOUR_S = 3600


@dataclass(frozen=True, slots=True)
class View:
    """What lies ahead: how she goes on, the moments looked at, where she may be then, what could be seen.

    `firsts`: by mark, the bearings a running fix on it could begin with, in order of time.
    """

    onward: Onward
    moments: tuple[Ahead, ...]
    prospect: Prospect
    sights: tuple[Sight, ...]
    firsts: dict[str, list[PositionLine]]

    def bearings_of(self, mark: str) -> list[float]:
        """Return the bearings a running fix on a mark could begin with: true, degrees, in order of time."""
        shapes = [line.shape for line in self.firsts.get(mark, ())]
        return [shape.bearing_true_deg for shape in shapes if isinstance(shape, Ray)]

    @property
    def running(self) -> str | None:
        """The mark that a running fix is begun on, where one is."""
        return begun_on({mark: self.bearings_of(mark) for mark in self.firsts})


def look(room: Chartroom) -> View | None:
    """Look ahead; None where there is no area, or where she goes is not known."""
    course, cloud = room.reckoning.now, room.area.now()
    steered = course.heading_true_deg is not None and course.speed_kn is not None
    if cloud is None or course.ep is None or course.row is None or course.waiting or not steered:
        return None
    going = onward(course, room.reckoning.basis)
    seconds = moments(course.second)
    ahead = tuple(
        Ahead(second, going.run_m(second - course.second), _by_day(room, second, Position(*course.ep)))
        for second in seconds
    )
    motions = [going.motion(begin - course.second, end - course.second) for begin, end in pairwise(seconds)]
    prospect = Prospect(cloud, motions, seconds, room.tuning.seed)
    firsts = first_bearings(room)
    could_be = sights(room, ahead, prospect.spell, frozenset(firsts))
    return View(going, ahead, prospect, tuple(could_be), firsts)


def _by_day(room: Chartroom, second: int, place: Position) -> bool | None:
    """Say whether the Sun is up; None while the clock is in doubt. An hour's run changes nothing in it."""
    return None if room.scale.doubtful else by_day(room.scale.utc(second * MS_PER_SECOND), place)


def moments(now: int) -> list[int]:
    """Return now, and the multiples of five minutes of the coming hour that are five minutes ahead or more.

    They stay where they are while time goes on, and so does advice that waits for one of them.
    """
    first = -(-(now + EVERY_S) // EVERY_S) * EVERY_S
    return [now, *range(first, now + HOUR_S + 1, EVERY_S)]
