"""The course of the boat at one second: everything the reckoning carries from row to row."""

from collections.abc import Callable
from dataclasses import dataclass
from math import atan2, degrees, exp, hypot
from typing import NamedTuple

from middlewatch.navigator.reckoning import doubt, overboard
from middlewatch.navigator.reckoning.calibration import Deviation, LogFactor
from middlewatch.navigator.reckoning.card import Card
from middlewatch.navigator.reckoning.casualty import Casualty
from middlewatch.navigator.reckoning.integrals import Integrals, Sideways, untold_leeway
from middlewatch.navigator.reckoning.leeway import Push, leeway_by_wind, leeway_share, turned
from middlewatch.navigator.reckoning.origin import Former, Origin
from middlewatch.navigator.reckoning.track import HELD, MAGNETIC, NONE, Row
from middlewatch.navigator.reckoning.variation import Found, chart_variation, model_variation
from middlewatch.navigator.reckoning.waters import Waters
from middlewatch.navigator.tuning import Tuning
from middlewatch.quantities.angles import direction, unit
from middlewatch.quantities.instants import Instant
from middlewatch.quantities.lengths import METRES_PER_NM, METRES_PER_SECOND_PER_KNOT
from middlewatch.quantities.positions import Position, rhumb_step
from middlewatch.readings.entries import Reference, WayWord

HELD_STILL: tuple[WayWord, ...] = ("anchored", "made_fast", "aground")
ADRIFT: tuple[WayWord, ...] = ("hove_to", "drifting")
_WIND_MEMORY_S = 60.0
# Rows stand a second apart, or ten once they have been thinned; over anything longer nothing is known.
_LONGEST_ROW_S = 10
# Hove-to a small yacht makes about 1.5 kn to leeward; adrift 3 % of the wind (judgement; the design's section
# 7).
_HOVE_TO_DRIFT_KN = 1.5
_ADRIFT_PART_OF_WIND = 0.03


@dataclass(frozen=True, slots=True)
class Basis:
    """What a course is worked with: the settings, the steering card, the waters, the UTC of a second."""

    tuning: Tuning
    steering_card: Card
    waters: Waters
    dated: Callable[[int], Instant]


class Left(NamedTuple):
    """How the boat was going before a gap of unknown length, and how many seconds were unknown until then."""

    second: int
    heading_true_deg: float | None
    speed_kn: float | None
    unknown_s: int


class Circle(NamedTuple):
    """The circle she swings in at anchor, by order: its radius, and the second at which it was ordered."""

    radius_m: float
    second: int


@dataclass(slots=True)
class Course:
    """The state of the reckoning at `second`; runs are sums in metres since the track began, true north.

    Everything is a number or frozen, so a shallow copy is a checkpoint.
    """

    second: int = -1
    origin: Origin | None = None
    dr: tuple[float, float] | None = None
    ep: tuple[float, float] | None = None
    former: Former | None = None
    dr_north_m: float = 0.0
    dr_east_m: float = 0.0
    ep_north_m: float = 0.0
    ep_east_m: float = 0.0
    run_nm: float = 0.0
    unknown_s: int = 0
    row: Row | None = None
    left: Left | None = None
    # What steers.
    heading_true_deg: float | None = None
    speed_kn: float | None = None
    hand_heading_deg: float | None = None
    hand_reference: Reference = "compass"
    hand_speed_kn: float | None = None
    by_log: bool = False
    hand_log_kn: float | None = None
    # What is laid over the sensors: the log's factor, and the deviation their heading still has.
    log_factor: LogFactor | None = None
    deviation: Deviation | None = None
    # Variation, and a place for it until there is a departure.
    place: Position | None = None
    variation: Found | None = None
    # The strongest stream there may be here, looked up each whole minute at the EP.
    strongest_stream_kn: float | None = None
    # What is laid over: leeway (+ pushed to starboard), stream, way.
    leeway_ordered_deg: float | None = None
    leeway_head_deg: float | None = None  # the true heading it was ordered on
    leeway_deg: float = 0.0
    wind_north: float = 0.0
    wind_east: float = 0.0
    stream: Push | None = None
    stream_until_second: int = 0
    stream_ended_ms: int | None = None
    way: WayWord = "under_way"
    way_until_second: int | None = None
    drift: tuple[float, float] | None = None  # (towards deg true, kn) by order
    circle: Circle | None = None
    ordered: tuple[float, Reference] | None = None  # the course ordered
    waiting: bool = False  # after a gap of unknown length
    # What the area needs: the integrals of the track, and where the path it goes by lies from the EP, which
    # an adopted fix moves and the area does not follow.
    integrals: Integrals = Integrals()  # noqa: RUF009 -- a tuple of numbers
    off_north_m: float = 0.0
    off_east_m: float = 0.0
    overboard: tuple[Casualty, ...] = ()  # in the order of their presses

    def run_on(self, row: Row, basis: Basis, *, after_gap: bool = False) -> None:
        """Carry the course over one row; one that ends a gap of unknown length is left to `cross_gap`."""
        before, self.row = self.row, row
        span_s = row.second - self.second if before is not None else 0
        if after_gap:
            self.left = Left(self.second, self.heading_true_deg, self.speed_kn, self.unknown_s)
        self.second = row.second
        self._run_out()
        if self.variation is None or self.second % 60 == 0 or basis.tuning.variation.source == "bus":
            self.find_variation(basis)
        if self.strongest_stream_kn is None or self.second % 60 == 0:
            self.strongest_stream_kn = basis.waters.strongest_kn(self.ep)
        self._steer(row, basis)
        if before is None:
            return
        known = not after_gap and span_s <= _LONGEST_ROW_S
        run = self._run_m(row, before, span_s) if known else None
        if run is None:
            self.unknown_s += span_s
            nothing_mps = doubt.NOTHING_KNOWN_KN * METRES_PER_SECOND_PER_KNOT
            self.integrals = self.integrals.lain(span_s, nothing_mps)
        else:
            self.move(*run, span_s, row, basis)
        if self.overboard:
            if run is None:
                self._find_leeway(row, span_s)
            self.overboard = overboard.led_on(self, before, span_s, basis, known=known)

    def _run_out(self) -> None:
        """End what was ordered for a time that is over."""
        if self.way_until_second is not None and self.second > self.way_until_second:
            self.way = "manoeuvring" if self.overboard else "under_way"
            self.way_until_second = self.drift = None
        if self.stream is not None and self.second > self.stream_until_second:
            self.stream_ended_ms, self.stream = self.stream.until_ms, None

    @property
    def by_hand(self) -> bool:
        """Whether heading or speed comes from the skipper and not from a sensor."""
        return self.hand_heading_deg is not None or self.hand_speed_kn is not None or self.by_log

    @property
    def held_still(self) -> bool:
        """Whether she lies held by order: at anchor, fast, or aground."""
        return self.way in HELD_STILL

    @property
    def adrift(self) -> bool:
        """Whether she lies to by order, and drifts."""
        return self.way in ADRIFT

    # --- heading and speed ----------------------------------------------------------------------------

    def find_variation(self, basis: Basis) -> None:
        """Look up the variation at the reckoned position (never at the satellite position)."""
        choice, when = basis.tuning.variation, basis.dated(self.second)
        if choice.source == "chart":
            self.variation = chart_variation(choice, when)
        elif choice.source == "bus":
            by_bus = None if self.row is None else self.row.variation_deg
            self.variation = None if by_bus is None else Found(by_bus, "the bus")
        else:
            place = Position(*self.dr) if self.dr is not None else self.place
            self.variation = None if place is None else model_variation(place, when)

    @property
    def variation_deg(self) -> float | None:
        """The variation in use, E+, None while unknown."""
        return None if self.variation is None else self.variation.value_deg

    def magnetic_heading_deg(self, basis: Basis) -> float | None:
        """Return the magnetic heading that steers, by hand or by sensor."""
        if self.hand_heading_deg is not None:
            if self.hand_reference == "true":
                return (
                    None
                    if self.variation_deg is None
                    else direction(self.hand_heading_deg - self.variation_deg)
                )
            if self.hand_reference == "compass":
                return basis.steering_card.magnetic(self.hand_heading_deg)
            return self.hand_heading_deg
        row = self.row
        if row is None or row.heading_deg is None or row.reference == NONE:
            return None
        heading_deg = self._heading_heard(row.heading_deg)
        if row.reference == MAGNETIC:
            return heading_deg
        return None if self.variation_deg is None else direction(heading_deg - self.variation_deg)

    def _heading_heard(self, heading_deg: float) -> float:
        """Return the heading as heard with the deviation by order."""
        if self.deviation is None:
            return heading_deg
        # Compass to magnetic: east deviation ADDS.
        return direction(heading_deg + self.deviation.at(heading_deg))

    def _logged(self, shown: float) -> float:
        """Return what the log shows, speed or run, with its factor by order."""
        return shown if self.log_factor is None else shown * self.log_factor.factor

    def _steer(self, row: Row, basis: Basis) -> None:
        variation_deg = self.variation_deg
        if self.hand_heading_deg is None and row.reference != MAGNETIC:
            heard_deg = row.heading_deg
            self.heading_true_deg = None if heard_deg is None else self._heading_heard(heard_deg)
        elif self.hand_heading_deg is not None and self.hand_reference == "true":
            self.heading_true_deg = self.hand_heading_deg
        else:
            magnetic_deg = self.magnetic_heading_deg(basis)
            unknown = magnetic_deg is None or variation_deg is None
            # Magnetic to true: east variation ADDS.
            self.heading_true_deg = (
                None if unknown else direction((magnetic_deg or 0.0) + (variation_deg or 0.0))
            )
        if self.hand_speed_kn is not None:
            self.speed_kn = self.hand_speed_kn
        elif self.by_log:
            self.speed_kn = None if self.hand_log_kn is None else self._logged(self.hand_log_kn)
        else:
            self.speed_kn = None if row.speed_kn is None else self._logged(row.speed_kn)

    def _run_m(self, row: Row, before: Row, span_s: int) -> tuple[float, float] | None:
        """Return the run through the water over a row, (north, east) true metres; None where unknown."""
        if self.waiting:
            return None
        if self.held_still:
            return 0.0, 0.0
        if self.adrift:
            return self.drift_m(row, span_s)
        if self.heading_true_deg is None or self.speed_kn is None:
            return None
        if self.by_hand:
            run_m = self.speed_kn * METRES_PER_SECOND_PER_KNOT * span_s
            north, east = unit(self.heading_true_deg)
            return run_m * north, run_m * east
        north_m, east_m = self.sensed_m(row, before)
        if row.reference != MAGNETIC or self.variation_deg is None:
            return north_m, east_m
        return turned(north_m, east_m, self.variation_deg)

    def sensed_m(self, row: Row, before: Row) -> tuple[float, float]:
        """Return the run of a row by the sensors, calibrated as ordered, in the frame of the row: metres."""
        north_m, east_m = self._logged(row.north_m - before.north_m), self._logged(row.east_m - before.east_m)
        if self.deviation is None or row.heading_deg is None:
            return north_m, east_m
        return turned(north_m, east_m, self.deviation.at(row.heading_deg))

    def drift_m(self, row: Row, span_s: int) -> tuple[float, float]:
        """Return the drift of a boat lying to: as ordered, else downwind where the wind is known."""
        if self.drift is not None:
            towards, kn = self.drift
        elif row.wind_angle_deg is None or row.wind_kn is None or self.heading_true_deg is None:
            return 0.0, 0.0
        else:
            # The wind comes from there; the boat goes the other way.
            towards = direction(self.heading_true_deg + row.wind_angle_deg + 180.0)
            kn = _HOVE_TO_DRIFT_KN if self.way == "hove_to" else _ADRIFT_PART_OF_WIND * row.wind_kn
        north, east = unit(towards)
        run_m = kn * METRES_PER_SECOND_PER_KNOT * span_s
        return run_m * north, run_m * east

    # --- a gap of unknown length ----------------------------------------------------------------------

    def cross_gap(self, run_nm: float | None, lasted_s: int | None, basis: Basis) -> None:
        """Cross the gap that ends at this row, by its run or its length; wait where that tells too little."""
        left, row = self.left, self.row
        if left is None or row is None:
            return
        run = self._gap_run_m(left, row, None if run_nm is None else self._logged(run_nm), lasted_s)
        self.waiting = run is None
        if run is None:
            return
        self.unknown_s = left.unknown_s
        self.move(*run, self._streamed_s(left, lasted_s), row, basis)
        # How the boat went through the gap nobody heard, nor for how long the stream carried her.
        nothing_mps = doubt.NOTHING_KNOWN_KN * METRES_PER_SECOND_PER_KNOT
        sailed_s = _sailed_s(left, run, lasted_s)
        self.integrals = self.integrals.lain(sailed_s, nothing_mps)
        if self.overboard:
            self.overboard = overboard.told_of_gap(self, complex(*run), sailed_s, basis)

    def _gap_run_m(
        self, left: Left, row: Row, run_nm: float | None, lasted_s: int | None
    ) -> tuple[float, float] | None:
        if self.held_still:
            return 0.0, 0.0
        if self.adrift:
            return None if lasted_s is None else self.drift_m(row, lasted_s)
        if run_nm is None and lasted_s is not None and left.speed_kn is not None:
            run_nm = left.speed_kn * lasted_s / 3600
        if run_nm is None or left.heading_true_deg is None:
            return None
        north, east = unit(left.heading_true_deg)
        return run_nm * METRES_PER_NM * north, run_nm * METRES_PER_NM * east

    def _streamed_s(self, left: Left, lasted_s: int | None) -> int:
        """Return for how much of the gap the stream ran on; what was left of it afterwards is shortened."""
        if self.stream is None or lasted_s is None:
            return 0
        left_s = self.stream_until_second - left.second
        self.stream_until_second = self.second + left_s - lasted_s
        return min(left_s, lasted_s)

    # --- moving ---------------------------------------------------------------------------------------

    def move(self, north_m: float, east_m: float, span_s: int, row: Row, basis: Basis) -> None:
        """Move DR and EP by a run through the water, (north, east) true metres, made in `span_s` seconds."""
        dr_before = self.dr
        self.dr_north_m += north_m
        self.dr_east_m += east_m
        self.run_nm += hypot(north_m, east_m) / METRES_PER_NM
        if self.dr is not None and (north_m or east_m):
            self.dr = rhumb_step(*self.dr, north_m, east_m)
        if self.former is not None:
            self.former = self.former.moved(north_m, east_m, self.second)
        water = complex(north_m, east_m)
        north_m, east_m = self._over_ground(north_m, east_m, span_s, row)
        if self.origin is not None:
            # Before a departure there is no area that would need them.
            self._integrate(water, span_s, row, basis)
        self.ep_north_m += north_m
        self.ep_east_m += east_m
        if self.ep is not None and (north_m or east_m):
            # Where nothing is laid over the run, the EP goes with the DR.
            together = self.ep == dr_before and complex(north_m, east_m) == water
            self.ep = self.dr if together else rhumb_step(*self.ep, north_m, east_m)

    def _over_ground(self, north_m: float, east_m: float, span_s: int, row: Row) -> tuple[float, float]:
        """Lay leeway and stream over a run through the water."""
        self._find_leeway(row, span_s)
        if self.leeway_deg and not self.adrift:
            north_m, east_m = turned(north_m, east_m, self.leeway_deg)
        if self.stream is None or self.held_still:
            return north_m, east_m
        north, east = unit(self.stream.towards_deg)
        drift_m = self.stream.kn * METRES_PER_SECOND_PER_KNOT * span_s
        return north_m + drift_m * north, east_m + drift_m * east

    def _integrate(self, water: complex, span_s: int, row: Row, basis: Basis) -> None:
        """Let the integrals grow by a run through the water."""
        doubt_mps = self._doubt_mps(row, basis)
        if self.held_still or self.adrift:
            self.integrals = self.integrals.lain(span_s, doubt_mps)
            return
        by_order = self.leeway_ordered_deg is not None
        wind_heard = row.wind_angle_deg is not None and row.wind_kn is not None
        share = leeway_share(self.wind_angle_deg) if wind_heard else None
        sideways = Sideways(self.leeway_deg, not by_order, untold_leeway(share, by_order=by_order))
        wind_mps = self._wind_mps(row) if wind_heard and self.stream is None else 0j
        self.integrals = self.integrals.sailed(water, span_s, sideways, wind_mps, doubt_mps)

    def _doubt_mps(self, row: Row, basis: Basis) -> float:
        """Return how fast she may be carried where nothing says so, one standard deviation an axis."""
        if self.held_still:
            return doubt.LYING_STILL_KN * METRES_PER_SECOND_PER_KNOT
        strongest_kn = self.strongest_stream_kn or basis.tuning.strongest_stream_kn
        stream_kn = doubt.stream_kn(strongest_kn, None if self.stream is None else self.stream.sd_kn)
        heading_part = doubt.HEADING_HELD if row.heading_state == HELD else 0.0
        speed_part = doubt.SPEED_HELD if row.speed_state == HELD else 0.0
        also_kn = doubt.MANOEUVRING_KN if self.way == "manoeuvring" else 0.0
        if self.adrift:
            also_kn = doubt.ADRIFT_KN
        return doubt.mps(
            stream_kn,
            also_kn=also_kn,
            speed_kn=self.speed_kn or 0.0,
            heading_part=heading_part if self.hand_heading_deg is None else doubt.HEADING_BY_HAND,
            speed_part=doubt.SPEED_BY_HAND if self.hand_speed_kn is not None or self.by_log else speed_part,
        )

    def _wind_mps(self, row: Row) -> complex:
        """Return the velocity of the wind over the water, downwind; true north + east j."""
        if self.heading_true_deg is None:
            return 0j
        return self.wind_mps(row, complex(*unit(self.heading_true_deg)))

    def wind_mps(self, row: Row, head: complex) -> complex:
        """Return the same in the frame that the heading's unit vector is in."""
        if row.wind_angle_deg is None or row.wind_kn is None:
            return 0j
        # The apparent wind comes from there; the boat's own way is no wind.
        felt = -row.wind_kn * head * complex(*unit(row.wind_angle_deg))
        return (felt + (self.speed_kn or 0.0) * head) * METRES_PER_SECOND_PER_KNOT

    @property
    def wind_angle_deg(self) -> float:
        """The apparent wind's angle, clockwise from the bow, steadied over a minute."""
        return degrees(atan2(self.wind_east, self.wind_north))

    def _find_leeway(self, row: Row, span_s: int) -> None:
        if row.wind_angle_deg is not None:
            # The wind's angle is steadied over a minute.
            share = 1.0 - exp(-span_s / _WIND_MEMORY_S)
            ahead, right = unit(row.wind_angle_deg)
            self.wind_north += share * (ahead - self.wind_north)
            self.wind_east += share * (right - self.wind_east)
        if self.leeway_ordered_deg is not None:
            self.leeway_deg = self.leeway_ordered_deg
        elif row.wind_angle_deg is None or row.wind_kn is None or self.speed_kn is None:
            self.leeway_deg = 0.0
        else:
            self.leeway_deg = leeway_by_wind(self.wind_angle_deg, row.wind_kn, self.speed_kn)


def _sailed_s(left: Left, run: tuple[float, float], lasted_s: int | None) -> float:
    """Return how long a gap was sailed through: as told, else as long as the run took at the last speed."""
    if lasted_s is not None:
        return lasted_s
    speed_kn = max(1.0, abs(left.speed_kn or 0.0))
    return hypot(*run) / (speed_kn * METRES_PER_SECOND_PER_KNOT)
