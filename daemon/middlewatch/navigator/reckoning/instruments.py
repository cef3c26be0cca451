"""The instruments: what steers the reckoning second by second, out of all that is heard.

Between two readings the last one runs on: the run of a second is summed reading by reading, in the frame
(magnetic or true) in which the compass speaks, and closed into a row of the water track at each tick.
"""

from dataclasses import dataclass, field
from functools import lru_cache
from typing import NamedTuple

from middlewatch.navigator.reckoning.card import Card
from middlewatch.navigator.reckoning.compass import sensor_magnetic
from middlewatch.navigator.reckoning.sources import BRIDGE_MS, TAKE_OVER_MS, Choice
from middlewatch.navigator.reckoning.track import ABSENT, BRIDGED, HEARD, HELD, MAGNETIC, NONE, TRUE, Row
from middlewatch.quantities.angles import unit
from middlewatch.quantities.lengths import METRES_PER_NM, METRES_PER_SECOND_PER_KNOT
from middlewatch.readings.sentences import ApparentWind, Heading, HeadingKind, LogTotal, WaterSpeed

_MS = 1000
_GYRO_TALKERS = ("HE", "HN")
_LOG_TALKERS = ("VW", "VM", "VD")
_WIND_FRESH_MS = 10_000
_VLW_SPEED_OVER_MS = 60_000
"""A log that only counts gives its speed as the total's growth over at least a minute."""
COUNTS_AT_MOST_KN = 30.0
"""A total that grows faster has been set on, as by a log that wakes at nought and then reads its memory: that
is twice what a small craft makes through the water (judgement)."""


@lru_cache(maxsize=64)
def heading_rank(source: str) -> tuple[int, str]:
    """Order heading sources: a gyro's true heading, then magnetic by HDG, HDM, VHW, then anybody's true.

    A true heading from what is no gyro is a magnetic one with somebody else's variation in it.
    """
    talker, formatter = source[:2], source[2:5]
    if formatter in ("THS", "HDT"):
        place = 0 if talker in _GYRO_TALKERS else 8
    else:
        place = {"HDG": 1, "HDM": 3, "VHW": 5}.get(formatter, 9)
    # A compass's own word before a repeater's.
    return place + (0 if talker[:1] in ("H", "A") else 1), source


@lru_cache(maxsize=64)
def speed_rank(source: str) -> tuple[int, str]:
    """Order speed sources: the log's own VHW, VBW, a repeater's, and last the growth of a total."""
    talker, formatter = source[:2], source[2:5]
    place = {"VHW": 0, "VBW": 1, "VLW": 6}.get(formatter, 9)
    return place + (0 if talker in _LOG_TALKERS else 2), source


class Beside(NamedTuple):
    """A heading that does not steer: by which source, when, degrees as it was sent."""

    source: str
    at_ms: int
    heading_deg: float


@dataclass(slots=True)
class Instruments:
    """Heading, speed, log and wind as they stand, and the run of the second that is open."""

    heading: Choice = field(default_factory=lambda: Choice("heading"))
    speed: Choice = field(default_factory=lambda: Choice("speed"))
    summed_ms: int = 0
    reference: int = NONE
    heading_deg: float | None = None
    sent_deg: float | None = None  # the steering heading as it was sent
    beside: Beside | None = None
    north: float = 0.0
    east: float = 0.0
    speed_kn: float | None = None
    log_nm: float | None = None
    log_source: str | None = None
    log_ms: int = 0
    log_since: tuple[int, float] | None = None  # (ms, nm): where the growing total's speed is counted from
    log_kn: float | None = None  # what the total's growth makes
    variation_deg: float | None = None  # by the bus
    variation_source: str | None = None
    wind_angle_deg: float | None = None
    wind_kn: float | None = None
    wind_ms: int = 0
    run_north_m: float = 0.0
    run_east_m: float = 0.0
    logged_nm: float = 0.0  # the speed summed, whatever the heading

    # --- readings -------------------------------------------------------------------------------------

    def hear_heading(self, reading: Heading, card: Card, *, hdm_corrected: bool) -> None:
        """Take a heading; only the steering source's is used."""
        steers = self.heading.hear(reading.source, reading.at_ms)
        self._hear_variation(reading, steers=steers)
        if not (steers or self.heading.chosen is None):
            self._hear_beside(reading)
            return
        self.sent_deg = reading.heading_deg
        degrees = (
            reading.heading_deg
            if reading.kind is HeadingKind.TRUE
            else sensor_magnetic(reading, card, hdm_corrected=hdm_corrected)
        )
        self._run_on(reading.at_ms)
        self.heading_deg = degrees
        self.north, self.east = unit(degrees)
        self.reference = TRUE if reading.kind is HeadingKind.TRUE else MAGNETIC

    def _hear_beside(self, reading: Heading) -> None:
        """Keep the best heading beside the steering one, of another instrument."""
        if _instrument(reading.source) == _instrument(self.heading.chosen or ""):
            return
        heard = Beside(reading.source, reading.at_ms, reading.heading_deg)
        kept = self.beside or heard
        gone = reading.at_ms - kept.at_ms > TAKE_OVER_MS or kept.source == self.heading.chosen
        if gone or heading_rank(reading.source) <= heading_rank(kept.source):
            self.beside = heard

    def _hear_variation(self, reading: Heading, *, steers: bool) -> None:
        """Take the bus's variation: the steering source's where it gives one, else the first giver's."""
        if reading.variation_deg is None:
            return
        if steers or self.variation_source in (None, reading.source):
            self.variation_deg, self.variation_source = reading.variation_deg, reading.source

    def hear_speed(self, reading: WaterSpeed) -> None:
        """Take a speed through the water; only the steering source's is used."""
        if self.speed.hear(reading.source, reading.at_ms) or self.speed.chosen is None:
            self._run_on(reading.at_ms)
            self.speed_kn = reading.speed_kn

    def hear_log(self, reading: LogTotal) -> None:
        """Take the log's total; once it has grown for a minute its growth is a source of speed too.

        A total that falls is a log that lost power: counting starts afresh. One that grows as no boat sails
        makes no speed. Of two logs the first is taken, until it falls silent: their totals have nothing to do
        with each other.
        """
        if reading.source != self.log_source:
            if self.log_source is not None and reading.at_ms - self.log_ms < TAKE_OVER_MS:
                return
            self.log_source, self.log_since = reading.source, None
        self.log_nm, self.log_ms = reading.total_nm, reading.at_ms
        self._count(reading)
        if self.log_kn is not None and self.speed.hear(reading.source, reading.at_ms):
            self._run_on(reading.at_ms)
            self.speed_kn = self.log_kn

    def _count(self, reading: LogTotal) -> None:
        if self.log_since is None or reading.total_nm < self.log_since[1]:
            self.log_since = (reading.at_ms, reading.total_nm)
            return
        over_ms = reading.at_ms - self.log_since[0]
        if over_ms >= _VLW_SPEED_OVER_MS:
            counted_kn = (reading.total_nm - self.log_since[1]) * 3_600_000 / over_ms
            # What it made meanwhile is not known: the last speed is held, and that is said.
            self.log_kn = counted_kn if counted_kn <= COUNTS_AT_MOST_KN else None
            self.log_since = (reading.at_ms, reading.total_nm)

    def hear_wind(self, reading: ApparentWind) -> None:
        """Take the apparent wind."""
        self.wind_angle_deg, self.wind_kn, self.wind_ms = reading.angle_deg, reading.speed_kn, reading.at_ms

    # --- ticks ----------------------------------------------------------------------------------------

    def reconsider(self, now_ms: int) -> tuple[str | None, str | None]:
        """Choose the sources afresh; return what changed for heading and for speed, in words."""
        return self.heading.reconsider(now_ms, heading_rank), self.speed.reconsider(now_ms, speed_rank)

    def close_second(self, now_ms: int) -> Row:
        """Close the second that ends now into a row of the water track."""
        self._run_on(now_ms)
        wind = now_ms - self.wind_ms <= _WIND_FRESH_MS
        return Row(
            second=now_ms // _MS,
            north_m=self.run_north_m,
            east_m=self.run_east_m,
            reference=self.reference,
            heading_deg=self.heading_deg,
            speed_kn=self.speed_kn,
            log_nm=self.log_nm,
            variation_deg=self.variation_deg,
            wind_angle_deg=self.wind_angle_deg if wind else None,
            wind_kn=self.wind_kn if wind else None,
            heading_state=_state(self.heading, now_ms, known=self.heading_deg is not None),
            speed_state=_state(self.speed, now_ms, known=self.speed_kn is not None),
        )

    def wait(self, until_ms: int) -> None:
        """Let a time pass of which nothing is known: nothing is summed over it."""
        self.summed_ms = until_ms

    def forget_log(self) -> None:
        """Forget the log's total, so that the next one heard is known to be new."""
        self.log_nm = self.log_since = self.log_source = None

    def _run_on(self, to_ms: int) -> None:
        if self.speed_kn is not None:
            run_m = self.speed_kn * METRES_PER_SECOND_PER_KNOT * (to_ms - self.summed_ms) / _MS
            self.logged_nm += run_m / METRES_PER_NM
            # Before a heading is heard the unit vector is nothing, and so is the run.
            self.run_north_m += run_m * self.north
            self.run_east_m += run_m * self.east
        self.summed_ms = to_ms


def _instrument(source: str) -> tuple[str, str]:
    """Return talker and input of a source: one instrument sends its heading in several sentences."""
    return source[:2], source.partition("@")[2]


def _state(choice: Choice, now_ms: int, *, known: bool) -> int:
    age_ms = choice.age_ms(now_ms)
    if age_ms is None or choice.chosen is None or not known:
        return ABSENT
    if choice.fresh(choice.chosen, now_ms):
        return HEARD
    return BRIDGED if age_ms <= BRIDGE_MS else HELD
