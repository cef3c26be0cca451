"""The practice boat's instruments: what the bus says while she sails, error and all."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from itertools import pairwise
from math import hypot

from middlewatch.navigator.reckoning.card import Card
from middlewatch.practice.chance import Wander, chance
from middlewatch.practice.satellites import Receiver, receive
from middlewatch.practice.sentences import direction_field, sentence, stamped
from middlewatch.practice.truth import Truth
from middlewatch.quantities.angles import direction, direction_of, turn, unit
from middlewatch.quantities.instants import MS_PER_HOUR, MS_PER_SECOND
from middlewatch.quantities.positions import Position


@dataclass(frozen=True, slots=True)
class BusLine:
    """A line as the bus carried it, TAG block and CR LF included, and when its last byte came."""

    at_ms: int
    text: bytes


@dataclass(frozen=True, slots=True)
class Compass:
    """A magnetic heading sensor: its own deviation, a constant error beyond any card, and noise (1 sigma)."""

    deviation: Card
    constant_error_deg: float = 0.0
    noise_deg: float = 0.3

    def reads(self, magnetic_deg: float) -> float:
        """Return what the sensor reads when her head is on this magnetic heading, without noise."""
        return direction(self.deviation.compass(magnetic_deg) + self.constant_error_deg)


@dataclass(frozen=True, slots=True)
class Log:
    """A log: it shows `factor` times the true speed, with noise (1 sigma); its total starts at `total_nm`."""

    factor: float = 1.0
    noise_kn: float = 0.05
    total_nm: float = 0.0


@dataclass(frozen=True, slots=True)
class Wind:
    """The wind over the ground: where from and how strong; gusts and shifts (1 sigma) that last some 40 s."""

    from_true_deg: float
    speed_kn: float
    gust_kn: float = 1.0
    shift_deg: float = 3.0


@dataclass(frozen=True, slots=True)
class Instruments:
    """All that talks on the boat's bus.

    `depth_m` gives the depth of water below the transducer anywhere; `offset_m` is + to the waterline.
    """

    compass: Compass
    log: Log
    wind: Wind
    depth_m: Callable[[Position], float]
    input_name: str = "bow"
    offset_m: float = 0.4
    receiver: Receiver = field(default_factory=Receiver)


# When in its second each sentence ends, in ms.
_HEADING_MS, _SPEED_MS, _WIND_MS, _RMC_MS, _GGA_MS, _SECOND_HEADING_MS = 80, 210, 330, 440, 520, 580
_TOTAL_MS, _DEPTH_MS = 710, 830
_TOTAL_EVERY_S, _DEPTH_EVERY_S = 5, 10


def bus_lines(
    truths: tuple[Truth, ...], instruments: Instruments, variation_deg: float, seed: int
) -> tuple[BusLine, ...]:
    """Return every line of the passage in order of arrival; variation E+."""
    talk = zip(
        truths,
        _headings(truths, instruments.compass, variation_deg, seed),
        _log_lines(truths, instruments.log, seed),
        _winds(truths, instruments.wind, seed),
        receive(truths, instruments.receiver, seed),
        _depths(truths, instruments, seed),
        strict=True,
    )
    lines: list[BusLine] = []
    for truth, (heading, later_heading), (speed, total), wind, (rmc, gga), depth in talk:
        spoken = (
            (_HEADING_MS, heading),
            (_SPEED_MS, speed),
            (_WIND_MS, wind),
            (_RMC_MS, rmc),
            (_GGA_MS, gga),
            (_SECOND_HEADING_MS, later_heading),
            (_TOTAL_MS, total),
            (_DEPTH_MS, depth),
        )
        for after_ms, text in spoken:
            if text is not None:
                at_ms = truth.at_ms + after_ms
                since_start_ms = at_ms - truths[0].at_ms
                lines.append(BusLine(at_ms, stamped(instruments.input_name, at_ms, since_start_ms, text)))
    return tuple(lines)


def _headings(
    truths: tuple[Truth, ...], compass: Compass, variation_deg: float, seed: int
) -> Iterator[tuple[str, str]]:
    """Yield the two HDG of each second; the deviation and variation fields stay empty."""
    noise = chance(seed, "heading sensor")

    def hdg(heading_true_deg: float) -> str:
        # True to magnetic: east variation is SUBTRACTED.
        reading_deg = compass.reads(heading_true_deg - variation_deg) + noise.gauss(0.0, compass.noise_deg)
        return sentence("HCHDG", direction_field(reading_deg), "", "", "", "")

    for truth, following in pairwise((*truths, truths[-1])):
        half_turn_deg = turn(truth.heading_true_deg, following.heading_true_deg) / 2
        yield hdg(truth.heading_true_deg), hdg(truth.heading_true_deg + half_turn_deg)


def _log_lines(truths: tuple[Truth, ...], log: Log, seed: int) -> Iterator[tuple[str, str | None]]:
    """Yield VHW each second and, every fifth, VLW with its total and the trip since the start."""
    noise = chance(seed, "log")
    trip_nm = 0.0
    for second, truth in enumerate(truths):
        shown_kn = max(0.0, truth.speed_water_kn * log.factor + noise.gauss(0.0, log.noise_kn))
        vhw = sentence("VWVHW", "", "T", "", "M", f"{shown_kn:.2f}", "N", f"{shown_kn * 1.852:.2f}", "K")
        vlw = None
        if second % _TOTAL_EVERY_S == 0:
            vlw = sentence("VWVLW", f"{log.total_nm + trip_nm:.2f}", "N", f"{trip_nm:.2f}", "N")
        yield vhw, vlw
        trip_nm += shown_kn * MS_PER_SECOND / MS_PER_HOUR


def _winds(truths: tuple[Truth, ...], wind: Wind, seed: int) -> Iterator[str]:
    """Yield MWV-R each second: the wind as felt, from the bow clockwise."""
    gusts = Wander(chance(seed, "gusts"), wind.gust_kn, 40.0)
    shifts = Wander(chance(seed, "wind shifts"), wind.shift_deg, 40.0)
    for truth in truths:
        blows_kn = max(0.0, wind.speed_kn + gusts.next_second())
        from_north, from_east = unit(wind.from_true_deg + shifts.next_second())
        # Felt from = true wind from + the headwind that the boat makes by moving.
        felt_north = blows_kn * from_north + truth.over_ground_kn[0]
        felt_east = blows_kn * from_east + truth.over_ground_kn[1]
        angle_deg = turn(truth.heading_true_deg, direction_of(felt_north, felt_east))
        felt_kn = hypot(felt_north, felt_east)
        yield sentence("WIMWV", direction_field(angle_deg), "R", f"{felt_kn:.1f}", "N", "A")


def _depths(truths: tuple[Truth, ...], instruments: Instruments, seed: int) -> Iterator[str | None]:
    """Yield DPT every tenth second."""
    noise = chance(seed, "depth sounder")
    for second, truth in enumerate(truths):
        if second % _DEPTH_EVERY_S == 0:
            depth_m = max(0.0, instruments.depth_m(truth.position) + noise.gauss(0.0, 0.1))
            yield sentence("SDDPT", f"{depth_m:.1f}", f"{instruments.offset_m:.1f}", "200")
        else:
            yield None
