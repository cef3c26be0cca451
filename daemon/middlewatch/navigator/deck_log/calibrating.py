"""Calibrations ordered: what each does to log or compass, and the sentence that says so."""

from math import radians
from typing import Literal

from middlewatch.navigator.area.unknowns import Unknown
from middlewatch.navigator.chartroom import Chartroom
from middlewatch.navigator.deck_log import trial_runs
from middlewatch.navigator.deck_log.ledger import Logged
from middlewatch.navigator.deck_log.refusing import Refused
from middlewatch.navigator.reckoning.calibration import (
    BY_HAND_SD,
    DEVIATION_SD_DEG,
    Deviation,
    Found,
    LogFactor,
    found_all_round,
    found_on_one_heading,
)
from middlewatch.navigator.reckoning.card import Card
from middlewatch.navigator.reckoning.orders import CalibrateCompass, CalibrateLog
from middlewatch.navigator.reckoning.track import MAGNETIC
from middlewatch.navigator.tuning import CardPoints
from middlewatch.quantities.angles import direction, three_figures, unit
from middlewatch.readings.entries import DeviationOrder, LogFactorOrder


def calibrate(
    room: Chartroom, logged: Logged, order: LogFactorOrder | DeviationOrder
) -> tuple[CalibrateLog | CalibrateCompass, str]:
    """Return a calibration, and its effect in words; Refused for a card that no compass has."""
    if isinstance(order, LogFactorOrder):
        return _calibrate_log(room, logged, order)
    return _calibrate_compass(room, logged, order)


def _calibrate_log(room: Chartroom, logged: Logged, order: LogFactorOrder) -> tuple[CalibrateLog, str]:
    """Return the log's calibration, and its effect in words."""
    if order.factor is None:
        return CalibrateLog(None), "the log counts as it shows; its factor by order is ended"
    found = logged.calibration
    if not isinstance(found, LogFactor):
        found = _log_factor(room, logged, order.factor, order.sd or BY_HAND_SD)
    logged.calibration = found
    words = f"log factor {found.factor:.3f}{_by(found)}, 1 sigma {100 * found.sd:.1f} %"
    words += "; the run is what the log shows times that, until changed"
    return CalibrateLog(found), words + _no_stream(found)


def _calibrate_compass(
    room: Chartroom, logged: Logged, order: DeviationOrder
) -> tuple[CalibrateCompass, str]:
    """Return the compass's calibration, and its effect in words; Refused for a card that no compass has."""
    if order.deviation is None:
        ended = "the heading counts as the bus gives it; the deviation by order is ended"
        return CalibrateCompass(None), ended
    found = logged.calibration
    if not isinstance(found, Deviation):
        found = _deviation(room, logged, order.deviation, order.sd_deg or DEVIATION_SD_DEG)
    logged.calibration = found
    words = f"deviation {_in_words(room, logged, found)}{_by(found)}"
    ahead = _ahead(room, logged)
    if ahead is not None:
        words += f", 1 sigma {found.sd_deg(ahead):.1f} degrees on this heading"
    words += "; beside the deviation that the heading has already, until changed"
    return CalibrateCompass(found), words + _no_stream(found)


def _log_factor(room: Chartroom, logged: Logged, said: float | Literal["satellite"], sd: float) -> LogFactor:
    if said == "satellite":
        return trial_runs.log_factor(room, logged)
    return LogFactor(said, sd, "order", logged.id, logged.second)


def _deviation(
    room: Chartroom, logged: Logged, said: float | CardPoints | Literal["satellite"], sd_deg: float
) -> Deviation:
    if said == "satellite":
        return trial_runs.deviation(room, logged)
    if isinstance(said, tuple):
        try:
            Card(said)
        except ValueError as error:
            raise Refused("card", str(said), "a card that a compass can have", str(error)) from None
        return Deviation(said, found_all_round(sd_deg), "order", logged.id, logged.second)
    before = room.area.priors.covariance(0.0).diagonal() / radians(1.0) ** 2
    found = Found(said, sd_deg, _ahead(room, logged))
    doubt = found_on_one_heading(found, float(before[Unknown.COMPASS]), float(before[Unknown.SINE]))
    return Deviation(((0.0, said),), doubt, "order", logged.id, logged.second)


def _ahead(room: Chartroom, logged: Logged) -> complex | None:
    """Return where the bus had the bow, true: cosine + sine j; None where it did not say."""
    course = room.reckoning.course_at(logged.second)
    row = course.row
    if row is None or row.heading_deg is None:
        return None
    return complex(
        *unit(row.heading_deg + ((course.variation_deg or 0.0) if row.reference == MAGNETIC else 0.0))
    )


def _in_words(room: Chartroom, logged: Logged, found: Deviation) -> str:
    """Say the deviation: a constant, or what it is on the heading of the moment and at the most."""
    deviations = [deviation for _, deviation in found.points]
    if len(deviations) == 1:
        return f"{_east(deviations[0])} on all headings"
    row = room.reckoning.course_at(logged.second).row
    between = f"from {_east(min(deviations))} to {_east(max(deviations))}"
    if row is None or row.heading_deg is None:
        return between
    head_deg = row.heading_deg
    made = three_figures(direction(head_deg + found.at(head_deg)))
    return f"{_east(found.at(head_deg))} on {three_figures(head_deg)}, which is {made} then, {between}"


def _east(deviation_deg: float) -> str:
    size = f"{abs(deviation_deg):.1f}".removesuffix(".0")
    return "nil" if size == "0" else f"{size} {'E' if deviation_deg > 0.0 else 'W'}"


def _by(found: LogFactor | Deviation) -> str:
    return ", found from satellites by order" if found.by == "satellite" else ""


def _no_stream(found: LogFactor | Deviation) -> str:
    return "; the stream of those runs is not used" if found.by == "satellite" else ""
