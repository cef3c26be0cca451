"""The bulletin: what one output says each second, and what it says only now and then.

Before a departure there is nothing to tell but the heading, and that no reckoning runs. While the reckoning
waits, its last point is not sent on: on a display it would pass for where the boat is now.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from math import ceil
from typing import Literal

from middlewatch.quantities.instants import Instant
from middlewatch.wire import nmea_out
from middlewatch.wire.nmea_out import Place

SentenceName = Literal["RMC", "GLL", "VTG", "VDR", "HDT", "THS", "NSR", "TXT", "ALERTS"]
"""What an output can be asked for; ALERTS are whatever sentences an alert is told in."""

Source = Literal["sensor", "hand", "held", "none"]
"""Where heading or speed comes from: heard, by order, the last one run on, nowhere."""

Doubted = frozenset[Literal["heading", "log", "position", "satellite"]]
"""Of which subjects a warning or an alarm stands."""

TEXTS_EVERY = 10
INTEGRITY_EVERY = 30
"""In seconds: a NSR is due at least each 30 s, and before each change (IEC 61162-1 edition 6)."""

_IDENTIFIERS = {"no departure": 41, "waits": 42, "runs": 43}
_AREA, _AID, _BY_SATELLITE = 44, 45, 46
_NEVER = -INTEGRITY_EVERY


@dataclass(frozen=True, slots=True)
class Reckoned:
    """What the reckoning has to tell at one second; None where it is not known.

    `at`: None while the clock is doubtful. `place`: DR or EP, as the output has it, None unless it `runs`.
    Course and speed are made good, `stream` is (set true towards, drift kn) as the reckoning holds it.
    `since`: when the DR began; `by_satellite`: from a position a satellite gave. `within_nm`: the farthest
    edge of the 95 % area from the place.
    """

    at: Instant | None
    state: Literal["no departure", "waits", "runs"]
    kind: Literal["dr", "ep"]
    place: Place | None
    course_true_deg: float | None
    speed_kn: float | None
    variation_deg: float | None
    heading_true_deg: float | None
    heading_by: Source
    speed_by: Source
    stream: tuple[float, float] | None
    since: Instant | None
    within_nm: float | None
    by_satellite: bool = False
    doubted: Doubted = frozenset()


class Bulletin:
    """One output's words; called once each second. `source`: of the TAG block, empty for none."""

    def __init__(self, sentences: frozenset[SentenceName], source: str) -> None:
        self._sentences = sentences
        self._source = source
        self._second = 0
        self._letters: tuple[str, ...] = ()
        self._letters_told = _NEVER
        self._state = ""
        self._texts_told = _NEVER

    def second(self, reckoned: Reckoned) -> tuple[bytes, ...]:
        """Return the lines of this second."""
        self._second += 1
        lines = [*self._integrity(reckoned), *self._texts(reckoned), *self._headings(reckoned)]
        if reckoned.state != "no departure":
            lines += self._position(reckoned)
        return self.tagged(lines, reckoned.at)

    def tagged(self, lines: Iterable[bytes], at: Instant | None) -> tuple[bytes, ...]:
        """Return the lines with TAG blocks, where this output has them."""
        if not self._source:
            return tuple(lines)
        return tuple(nmea_out.tagged(line, self._source, at) for line in lines)

    def _position(self, told: Reckoned) -> list[bytes]:
        lines = []
        if "RMC" in self._sentences:
            course = told.course_true_deg, told.speed_kn
            lines.append(nmea_out.rmc(told.place, told.at, *course, told.variation_deg))
        if "GLL" in self._sentences:
            lines.append(nmea_out.gll(told.place, told.at))
        if "VTG" in self._sentences:
            lines.append(nmea_out.vtg(told.course_true_deg, told.speed_kn, told.variation_deg))
        if "VDR" in self._sentences and told.stream is not None:
            lines.append(nmea_out.vdr(*told.stream, told.variation_deg))
        return lines

    def _headings(self, told: Reckoned) -> list[bytes]:
        lines = []
        # HDT cannot say that it is not measured: a pilot would steer by a heading that stands still.
        if "HDT" in self._sentences and told.heading_true_deg is not None and told.heading_by == "sensor":
            lines.append(nmea_out.hdt(told.heading_true_deg))
        if "THS" in self._sentences:
            lines.append(nmea_out.ths(told.heading_true_deg, _heading_mode(told)))
        return lines

    def _integrity(self, told: Reckoned) -> list[bytes]:
        if "NSR" not in self._sentences or told.state == "no departure":
            return []
        letters = integrity(told)
        if letters == self._letters and self._second - self._letters_told < INTEGRITY_EVERY:
            return []
        self._letters, self._letters_told = letters, self._second
        return [nmea_out.nsr(letters)]

    def _texts(self, told: Reckoned) -> list[bytes]:
        due = told.state != self._state or self._second - self._texts_told >= TEXTS_EVERY
        if "TXT" not in self._sentences or not due:
            return []
        self._state, self._texts_told = told.state, self._second
        lines = [nmea_out.txt(_IDENTIFIERS[told.state], _what_it_is(told))]
        if told.state == "runs" and told.within_nm is not None:
            lines.append(nmea_out.txt(_AREA, _how_far(told.within_nm, told.kind)))
        if told.by_satellite:
            lines.append(nmea_out.txt(_BY_SATELLITE, "THE RECKONING BEGAN AT A POSITION BY SATELLITE"))
        return [*lines, nmea_out.txt(_AID, "AN AID ONLY - CHART AND LOOKOUT COME FIRST")]


def integrity(told: Reckoned) -> tuple[str, ...]:
    """Return the letters of NSR; which letter for which situation is our choice (judgement).

    Integrity is never P: no second source of its own kind is held against any of them. D doubtful, F failed,
    N none; then plausibility: A plausible, V not, N not known. Heading, position, speed through the water,
    speed and course over the ground, depth, how the speed is measured (W through the water, E held, M by
    hand, N not at all), and time.
    """
    runs = told.state == "runs"
    doubted = bool(told.doubted & {"position", "satellite"})
    heading_by = told.heading_by if told.heading_true_deg is not None else "none"
    course = ("D", "A") if runs and told.speed_kn is not None else ("F", "V")
    time = ("D", "A") if told.at is not None else ("F", "V")
    return (
        *_trust(heading_by, doubted="heading" in told.doubted),
        *_trust("sensor" if runs else "none", doubted=doubted),
        *_trust(told.speed_by, doubted="log" in told.doubted),
        *course,
        "N", "N",
        {"sensor": "W", "held": "E", "hand": "M", "none": "N"}[told.speed_by],
        *time,
    )  # fmt: skip


def _trust(source: Source, *, doubted: bool) -> tuple[str, str]:
    if source == "none":
        return "F", "V"
    return "D", "V" if doubted or source == "held" else "A"


def _heading_mode(told: Reckoned) -> nmea_out.HeadingMode:
    if told.heading_true_deg is None:
        return "V"
    modes: dict[Source, nmea_out.HeadingMode] = {"sensor": "A", "held": "E", "hand": "M", "none": "V"}
    return modes[told.heading_by]


def _what_it_is(told: Reckoned) -> str:
    if told.state == "no departure":
        return "NO RECKONING: NO DEPARTURE HAS BEEN ORDERED"
    since = "" if told.since is None else f" SINCE {told.since.clock}"
    if told.state == "waits":
        return f"THE RECKONING{since} WAITS: NO POSITION IS SENT"
    return f"{told.kind.upper()} BY HEADING AND LOG{since} - NOT A SATELLITE POSITION"


def _how_far(within_nm: float, kind: str) -> str:
    # Rounded up: an area is never told smaller than it is.
    return f"95 TIMES IN 100 THE BOAT IS WITHIN {ceil(within_nm * 10) / 10:.1f} NM OF THIS {kind.upper()}"
