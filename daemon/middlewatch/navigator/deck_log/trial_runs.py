"""Trial runs: log and compass calibrated from satellites, by order, from the runs of the last three quarters.

The one thing that comes of it is a factor or a deviation. The stream that is found with it is neither kept
nor told: it is not the skipper's to order from satellites.
"""

from itertools import pairwise

from middlewatch.navigator.area.trial import Leg, Trial, directions, headings_span_deg, tried
from middlewatch.navigator.chartroom import Chartroom
from middlewatch.navigator.deck_log.ledger import Logged
from middlewatch.navigator.deck_log.refusing import Refused
from middlewatch.navigator.reckoning import doubt
from middlewatch.navigator.reckoning.calibration import Deviation, LogFactor
from middlewatch.navigator.reckoning.course import ADRIFT, HELD_STILL
from middlewatch.navigator.reckoning.integrals import BY_ORDER, NO_WIND_KNOWN
from middlewatch.navigator.reckoning.leeway import turned
from middlewatch.navigator.reckoning.track import BRIDGED, HEARD, MAGNETIC, Row
from middlewatch.navigator.watch.agreed import Stood
from middlewatch.navigator.watch.amiss import PARTING, amiss
from middlewatch.quantities.angles import unit
from middlewatch.quantities.lengths import METRES_PER_SECOND_PER_KNOT

STANDS_NOW_MS = 5_000
"""So long after its own time an order may take what the satellites say now."""

LEG_S = 120
SHORTEST_S, LONGEST_S = 600, 2_700
SLOWEST_KN = 1.5
"""Below that a log's threshold tells more than its factor (judgement)."""
NARROWEST_DEG = 60.0
"""Over so much of the circle the headings of a trial go at least (judgement)."""
LOG_SD, DEVIATION_SD_DEG = 0.05, 2.0
"""What is known no better than this is no calibration: a log by the mile is known to 5 %, the compass of a
boat without a card to 2 degrees (the design's section 4)."""
MISFIT = 2.0
"""From so large a mean square on, in their own deviations, the runs do not fit together (judgement)."""
SET_IN = 12.0
"""From so much on, squared deviations of two, something set in that neither log nor compass makes: by chance
once in 400 at each leg; how often in a whole trial: `tests/benchmarks/results/calibration.txt`."""
FEWEST_DIRECTIONS = 3
"""On two headings a pull that sets in with the turn looks just like a log and a compass that are off."""

BY_HAND = "a figure by hand: of a measured mile, a transit, the Sun"
WANTED = "ten minutes on one heading and ten on its reciprocal, or eight on each of four, at a steady speed"


def log_factor(room: Chartroom, logged: Logged) -> LogFactor:
    """Return the log's factor as the runs since the satellites were last doubted have it; Refused."""
    found, legs = _found(room, logged)
    if found.factor_sd > LOG_SD:
        raise _poor(f"the log's factor would be known to {100 * found.factor_sd:.0f} % only", legs)
    return LogFactor(round(found.factor, 4), round(found.factor_sd, 4), "satellite", logged.id, logged.second)


def deviation(room: Chartroom, logged: Logged) -> Deviation:
    """Return the deviation as the runs since the satellites were last doubted have it; Refused."""
    found, legs = _found(room, logged)
    sd_deg = found.doubt[0][0] ** 0.5
    if sd_deg > DEVIATION_SD_DEG:
        raise _poor(f"the deviation would be known to {sd_deg:.1f} degrees only", legs)
    course = room.reckoning.course_at(logged.second)
    by_magnetic = course.row is not None and course.row.reference == MAGNETIC
    variation_deg = (course.variation_deg or 0.0) if by_magnetic else 0.0
    # The card is by the heading as the bus gives it, what was found by the true one.
    points = tuple(
        (float(heading), round(found.deviation_deg(complex(*unit(heading + variation_deg))), 2))
        for heading in range(0, 360, 10)
    )
    rounded = [tuple(round(each, 4) for each in row) for row in found.doubt]
    return Deviation(
        points, tuple((row[0], row[1], row[2]) for row in rounded), "satellite", logged.id, logged.second
    )


def _found(room: Chartroom, logged: Logged) -> tuple[Trial, list[Leg]]:
    """Return what the runs tell; Refused where the satellites are not to be trusted, or the runs too few."""
    _trusted(room, logged)
    ends = _ends(room, logged.second)
    legs = [_leg(room, one, other) for one, other in pairwise(ends)]
    if _seconds(legs) < SHORTEST_S:
        raise _poor("so short a trial may be a sea's or a gust's: ten minutes at least", legs)
    if headings_span_deg(legs) < NARROWEST_DEG:
        raise _poor(
            "on one heading a stream looks like a wrong log or a wrong compass: she has to turn", legs
        )
    _parted(room, legs, ends[0].second)
    trial = tried(legs, room.area.priors)
    if trial.set_in is not None and trial.set_in.odds > SET_IN:
        ago_s = sum(leg.seconds for leg in legs[trial.set_in.leg :])
        kn = abs(trial.set_in.mps) / METRES_PER_SECOND_PER_KNOT
        found = f"a change of {kn:.1f} kn that set in about {ago_s // 60} min before"
        reason = (
            "it is fixed to the earth, and so neither the log's nor the compass's: the satellites or a stream"
        )
        raise Refused("from", found, WANTED, reason)
    if trial.misfit > MISFIT:
        found = f"runs off by {trial.misfit**0.5:.1f} times what may be expected"
        reason = "the runs do not fit together: the stream changed, or heading, log or satellites did"
        raise Refused("from", found, WANTED, reason)
    return trial, legs


def _parted(room: Chartroom, legs: list[Leg], began: int) -> None:
    """Refused where the satellites were parting within the runs, and these cannot tell whose doing it was.

    A log or a compass that is far off parts them at each turn, which is what is to be mended.
    """
    parted = room.check.agreed.parted
    if parted is None or parted.until < began:
        return
    if parted.onset <= began:
        reason = "the satellites were parting before these runs began"
    elif directions(legs) < FEWEST_DIRECTIONS:
        reason = "the satellites were parting meanwhile: whether log and compass made it, three headings tell"
    else:
        return
    raise Refused("from", "satellite", BY_HAND, reason)


def _poor(reason: str, legs: list[Leg]) -> Refused:
    found = f"{_seconds(legs) // 60} min in step, on headings over {headings_span_deg(legs):.0f} degrees"
    return Refused("from", found, WANTED, reason)


def _seconds(legs: list[Leg]) -> int:
    """Return how long a trial was, in what of it counts."""
    return sum(leg.seconds for leg in legs if leg.ground is not None)


def _trusted(room: Chartroom, logged: Logged) -> None:
    """Refused where something is amiss with the satellites, or their word is not of now."""
    now_ms, check = max(room.now_ms, logged.heard_ms), room.check
    if now_ms - logged.at_ms > STANDS_NOW_MS:
        at = str(room.scale.utc(logged.at_ms))
        raise Refused("at", at, "now", "log and compass are held against the satellites as they stand now")
    wrong = amiss(check, excused=PARTING)
    if wrong is not None:
        reason = f"the satellites are {wrong}: nothing is calibrated by them until they are in step"
        raise Refused("from", "satellite", BY_HAND, reason)
    if check.fresh(now_ms) is None:
        reason = "no satellite position is heard that is in no doubt of itself"
        raise Refused("from", "satellite", BY_HAND, reason)


# --- the runs --------------------------------------------------------------------------------------------


def _ends(room: Chartroom, until: int) -> list[Stood]:
    """Return where the legs to a second end, back to where the satellites were last doubted or not heard."""
    stood = [each for each in room.check.agreed.undoubted(until) if until - each.second <= LONGEST_S]
    return [each for each in stood if (stood[-1].second - each.second) % LEG_S == 0]


def _leg(room: Chartroom, one: Stood, other: Stood) -> Leg:
    course = room.reckoning.course_at(other.second)
    runs = _runs(room, one.second, other.second, course.variation_deg)
    seconds = other.second - one.second
    strongest_kn = course.strongest_stream_kn or room.tuning.strongest_stream_kn
    ground: complex | None = complex(*one.position.offset_to(other.position))
    if course.way in (*HELD_STILL, *ADRIFT) or not _made_way(runs, seconds):
        ground = None
    return Leg(
        seconds=seconds,
        ground=ground,
        runs=runs or (0j,) * seconds,
        laid=complex(*(room.reckoning.laid_m(one.second, other.second) or (0.0, 0.0))),
        untold=BY_ORDER if course.leeway_ordered_deg is not None else NO_WIND_KNOWN,
        doubt_kn=doubt.stream_kn(strongest_kn, None),
    )


def _made_way(runs: tuple[complex, ...], seconds: int) -> bool:
    return sum(map(abs, runs)) >= SLOWEST_KN * METRES_PER_SECOND_PER_KNOT * seconds


def _runs(room: Chartroom, one: int, other: int, variation_deg: float | None) -> tuple[complex, ...]:
    """Return the run of each second as log and compass show it, true; none where one was not heard."""
    rows = room.track.rows[room.track.index(one) : room.track.index(other) + 1]
    if len(rows) != other - one + 1 or not all(_heard(row, variation_deg) for row in rows):
        return ()
    runs = []
    for before, row in pairwise(rows):
        run = row.north_m - before.north_m, row.east_m - before.east_m
        runs.append(complex(*(turned(*run, variation_deg or 0.0) if row.reference == MAGNETIC else run)))
    return tuple(runs)


def _heard(row: Row, variation_deg: float | None) -> bool:
    known = row.reference != MAGNETIC or variation_deg is not None
    return known and row.heading_state in (HEARD, BRIDGED) and row.speed_state in (HEARD, BRIDGED)
