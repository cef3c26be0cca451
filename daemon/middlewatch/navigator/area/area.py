"""The area at a tick: the cloud's ellipse, and its outline as it was drawn last, carried on to now.

Mean and covariance of the cloud are exact at each second, for between two sightings everything is linear.
The outline, its shape and the factor by which the ellipse holds 95 in 100 are worked from the samples after
each sighting and every ten minutes.
"""

from dataclasses import dataclass
from math import atan2, degrees, sqrt

import numpy as np

from middlewatch.navigator.area.cloud import Cloud, shaken
from middlewatch.navigator.area.outline import Drawn, draw
from middlewatch.navigator.area.passage import Motion, Stretch, product, sandwich
from middlewatch.navigator.area.polygons import cells_in
from middlewatch.navigator.area.seen import Places
from middlewatch.navigator.area.unknowns import Unknown
from middlewatch.navigator.chance import Chance, Floats, Purpose
from middlewatch.navigator.reckoning.integrals import Integrals
from middlewatch.quantities.angles import direction
from middlewatch.quantities.lengths import METRES_PER_NM
from middlewatch.quantities.positions import rhumb_step
from middlewatch.quantities.spreads import RADIUS_95
from middlewatch.reports.area import AreaReport, Corners, HeapReport, Outline, StreamReport
from middlewatch.reports.place import PlaceReport

REDRAWN_EVERY_S = 600


@dataclass(frozen=True, slots=True)
class Spread:
    """Mean, complex metres, north + east j from the EP, and covariance in square metres."""

    mean: complex
    north: float
    shared: float
    east: float

    def axes(self) -> tuple[float, float, float]:
        """Return the standard deviations along and across the longer axis (m), and its direction [0, 180)."""
        half, lean = (self.north + self.east) / 2, (self.north - self.east) / 2
        reach = sqrt(lean * lean + self.shared * self.shared)
        along_deg = degrees(atan2(self.shared, lean)) / 2 % 180.0 % 180.0
        return sqrt(half + reach), sqrt(max(half - reach, 0.0)), along_deg

    def triangle(self) -> tuple[float, float, float]:
        """Return the lower triangle (a, b, c) with which standard normal pairs get this covariance."""
        a = sqrt(max(self.north, 1e-6))
        b = self.shared / a
        return a, b, sqrt(max(self.east - b * b, 1e-6))


@dataclass(frozen=True, slots=True)
class Moments:
    """Mean and covariance at one second, from which those of every second until the next sighting follow.

    `table`: the covariance of all unknowns, and as one more row their mean; `integrals`: of the track then.
    """

    second: int
    integrals: Integrals
    table: Places

    def after(self, stretch: Stretch) -> Spread:
        """Return the spread after a further stretch of no more than ten minutes."""
        effects = stretch.effects()
        # Seventeen by seventeen, and no sum over samples: the product of matrices may be the library's.
        towards = self.table @ effects
        mean, towards = complex(towards[-1]), towards[:-1]
        whole, lean = float((towards @ effects.conj()).real), complex(towards @ effects)
        return Spread(mean, (whole + lean.real) / 2, lean.imag / 2, (whole - lean.real) / 2)


@dataclass(frozen=True, slots=True)
class Sheet:
    """The area as drawn at one second: mean and covariance of the places then, and the outline.

    `stream`: those of the stream's two unknowns, each in its own standard deviation.
    """

    second: int
    spread: Spread
    stream: Spread
    drawn: Drawn
    corners: Corners

    @property
    def size_m2(self) -> float:
        """How much sea the polygons hold, in square metres."""
        return sum(cells_in(polygon) for polygon in self.drawn.polygons)


def drawn(cloud: Cloud, since: Motion, second: int, seed: int) -> Sheet:
    """Draw the area at a second, with the motion since the cloud: same seed, same sheet."""
    centres, open_ = cloud.centres_after(since), sandwich(since.carry, cloud.spread) + since.noise
    places = centres + shaken(open_, Chance(seed, second, Purpose.SHAPE).normal(2, centres.size))
    outline = draw(places.real.copy(), places.imag.copy(), cloud.weights)
    whole = _spread(cloud.weights, centres, open_, Unknown.NORTH)
    streams = cloud.means[Unknown.STREAM_NORTH] + 1j * cloud.means[Unknown.STREAM_EAST]
    kept = since.carry[Unknown.STREAM_NORTH, Unknown.STREAM_NORTH]
    stream = _spread(cloud.weights, kept * streams, open_, Unknown.STREAM_NORTH)
    corners = tuple(tuple(complex(*corner) for corner in polygon) for polygon in outline.polygons)
    return Sheet(second, whole, stream, outline, corners)


def _spread(weights: Floats, centres: Places, open_: Floats, first: Unknown) -> Spread:
    """Return mean and covariance of two unknowns that follow each other, north before east."""
    mean = (weights * centres).sum()
    off = centres - mean
    north, east = weights * off.real, weights * off.imag
    one, other = int(first), int(first) + 1
    return Spread(
        complex(mean),
        float((north * off.real).sum() + open_[one, one]),
        float((north * off.imag).sum() + open_[one, other]),
        float((east * off.imag).sum() + open_[other, other]),
    )


def moments(cloud: Cloud, since: Motion, integrals: Integrals, second: int) -> Moments:
    """Return mean and covariance at a second, with the motion since the cloud and the integrals then."""
    mean, covariance = cloud.moments()
    mean = product(since.carry, mean[:, np.newaxis])[:, 0]
    covariance = sandwich(since.carry, covariance) + since.noise
    return Moments(second, integrals, np.vstack((covariance, mean)).astype(np.complex128))


def report(sheet: Sheet, spread: Spread, ep: tuple[float, float], off_m: complex) -> AreaReport:
    """Return the area at a moment when the spread has become this.

    `ep` is the (latitude, longitude) it is told from, `off_m` leads from there to the path the area goes by.
    """
    shift, along, across = _carried(sheet.spread, spread)
    major, minor, along_deg = spread.axes()
    factor = sheet.drawn.factor / METRES_PER_NM
    north, east = sheet.drawn.most_probable
    centre, probable = spread.mean + off_m, shift + along * north + across * east + off_m
    latitude_deg, longitude_deg = ep
    return AreaReport(
        *rhumb_step(latitude_deg, longitude_deg, centre.real, centre.imag),
        semi_major_nm=factor * major,
        semi_minor_nm=factor * minor,
        orientation_deg=along_deg,
        probability=0.95,
        shape=sheet.drawn.shape,
        outline=Outline(latitude_deg, longitude_deg, sheet.corners, shift + off_m, along, across),
        most_probable=PlaceReport(*rhumb_step(latitude_deg, longitude_deg, probable.real, probable.imag)),
        heaps=_heaps(sheet, ep, (shift + off_m, along, across)) if sheet.drawn.heaps else None,
    )


def stream_report(sheet: Sheet, ordered_kn: complex, sd_kn: float) -> StreamReport:
    """Return the stream at the sheet's second: one by order, and what the sightings say comes to it.

    `sd_kn` is one standard deviation of the stream on each axis before any sighting.
    """
    whole = ordered_kn + sheet.stream.mean * sd_kn
    major, minor, along_deg = sheet.stream.axes()
    towards = direction(degrees(atan2(whole.imag, whole.real)))
    reach = RADIUS_95 * sd_kn
    return StreamReport(towards, abs(whole), reach * major, reach * minor, along_deg, 0.95)


def _heaps(
    sheet: Sheet, ep: tuple[float, float], carried: tuple[complex, complex, complex]
) -> tuple[HeapReport, ...]:
    shift, along, across = carried
    moved = [(weight, shift + along * north + across * east) for weight, north, east in sheet.drawn.heaps]
    return tuple(HeapReport(*rhumb_step(*ep, at.real, at.imag), weight) for weight, at in moved)


def _carried(before: Spread, now: Spread) -> tuple[complex, complex, complex]:
    """Return the affine map (shift, along, across) that turns the one mean and covariance into the other."""
    a, b, c = before.triangle()
    d, e, f = now.triangle()
    # New triangle times the old one's inverse: again a lower triangle.
    along, lean, across = d / a, (e - f * b / c) / a, f / c
    north, east = before.mean.real, before.mean.imag
    shift = now.mean - complex(along * north, lean * north + across * east)
    return shift, complex(along, lean), complex(0.0, across)
