"""The outline: polygons that hold the boat 95 times in 100, drawn round a weighted cloud of samples.

The samples are counted on a grid in the cloud's own axes and smoothed by a normal kernel; drawn is the
smallest region holding the weight wanted, all that is denser than one level (Hyndman, "Computing and graphing
highest density regions", The American Statistician 50, 1996, from memory). What is drawn is measured: few
corners cut corners, so the level sinks until the samples really inside the polygons are enough.
"""

from dataclasses import dataclass
from itertools import pairwise
from math import atan2, cos, pi, sin, sqrt
from typing import Self, cast

import numpy as np
from contourpy import FillType, contour_generator

from middlewatch.navigator.area.polygons import bridged, cells_in, northward, odd, simplified
from middlewatch.navigator.chance import Floats
from middlewatch.reports.area import AreaShape

Span = tuple[float, float]

HELD = 0.95
NORMAL_FACTOR = 2.4477
"""Half axes of the ellipse that holds 95 % of a normal cloud, in standard deviations."""
FINEST_M = 5.0
"""No cloud is drawn as if it were finer than a boat is long."""
FEW = 200.0
"""Under so many effective samples their count proves little: 95 % of the smoothed weight must be held too."""
SLIVER, HEAP = 0.005, 0.05
"""A polygon of less weight is left out; one of so much is a heap."""
CELLS, PIECES, TRIES = 240, 8, 8
"""Cells along and across the grid, polygons at most, levels tried."""
WEDGE = 0.12
"""Seeded normal clouds of 20,000 disagree with their ellipse over 0.02 of it, one bearing's fan over 0.37."""


@dataclass(frozen=True, slots=True)
class Drawn:
    """The area of a cloud: polygons of (north, east) corners in metres, heaviest first, and their meaning.

    `shape`: "two" where two or more polygons hold 5 % or more; "ring" round a hole that is empty (it holds
    under half of what it would at the density of its rim, and that would be 50 samples or more); "wedge"
    where the region and the ellipse that holds 95 % disagree over more than 12 % of that ellipse's area (more
    where samples are few); else "ellipse". `most_probable`: the peak of the smoothed density (m).
    `heaps`: of shape "two", each polygon's weight and the mean (north, east) of its samples; else empty.
    `factor`: half axes over standard deviations of the ellipse about the mean that holds 95 %.
    `held`: the weight inside the polygons, 0.95 or more. A bridge leads from the outer corners to a hole's.
    """

    polygons: tuple[Floats, ...]
    shape: AreaShape
    most_probable: tuple[float, float]
    heaps: tuple[tuple[float, float, float], ...]
    factor: float
    held: float


def draw(north_m: Floats, east_m: Floats, weights: Floats) -> Drawn:
    """Draw the area of samples at these places (m), their weights adding up to one.

    Raises ValueError when there are no samples, or one has no place or no weight.
    """
    if north_m.size == 0 or not np.isfinite(north_m + east_m + weights).all():
        raise ValueError("an area is drawn round samples, each with a place and a weight")
    cloud = _Cloud.of(north_m, east_m, weights)
    density, region = _fitted(cloud)
    factor = cloud.factor()
    shape = _shape(cloud, density, region, factor)
    heaps = tuple((part.weight, *part.centre) for part in region.parts) if shape == "two" else ()
    polygons = tuple(part.polygon for part in region.parts)
    return Drawn(polygons, shape, density.peak(cloud), heaps, factor, region.held)


@dataclass(frozen=True, slots=True)
class _Cloud:
    """The samples sorted by north (m), and along and across the cloud's own axes from its mean (m).

    Each axis points where its tail is longer, so that a turned cloud is drawn as the same outline turned.
    `effective`: how many equal samples they are worth. `spread`: the standard deviations along and across
    (m), none finer than is drawn.
    """

    north: Floats
    east: Floats
    weights: Floats
    effective: float
    mean: tuple[float, float]
    ahead: tuple[float, float]
    abeam: tuple[float, float]
    along: Floats
    across: Floats
    spread: tuple[float, float]

    @classmethod
    def of(cls, north_m: Floats, east_m: Floats, weights: Floats) -> Self:
        order = northward(north_m)
        north, east, weights = north_m[order], east_m[order], weights[order]
        mean = float((weights * north).sum()), float((weights * east).sum())
        x, y = north - mean[0], east - mean[1]
        lean = float((weights * (x * x - y * y)).sum())
        angle = atan2(2.0 * float((weights * x * y).sum()), lean) / 2.0
        axes = []
        for one, other in ((cos(angle), sin(angle)), (-sin(angle), cos(angle))):
            reach = x * one + y * other
            sign = -1.0 if float((weights * reach * reach * reach).sum()) < 0.0 else 1.0
            axes.append(((sign * one, sign * other), sign * reach))
        (ahead, along), (abeam, across) = axes
        # Samples in one place are one: a copy is no further evidence of how thick the cloud is.
        apart = np.flatnonzero(np.append(True, (np.diff(north) != 0.0) | (np.diff(east) != 0.0)))
        effective = 1.0 / float((np.add.reduceat(weights, apart) ** 2).sum())
        spread = _deviation(along, weights), _deviation(across, weights)
        return cls(north, east, weights, effective, mean, ahead, abeam, along, across, spread)

    def factor(self) -> float:
        """Return what the standard deviations are to be multiplied by for an ellipse that holds 95 %."""
        long_m, short_m = self.spread
        levels = _Levels.of(-((self.along / long_m) ** 2) - (self.across / short_m) ** 2, self.weights)
        factor = sqrt(-levels.reached_by(HELD))
        # Few samples lie closer to their own mean than the boat does; those in one place say nothing at all.
        unsure = self.effective < FEW or long_m <= FINEST_M
        return max(factor, NORMAL_FACTOR) if unsure else factor

    def places(self, along: Floats, across: Floats) -> Floats:
        """Return the (north, east) in metres of points in the cloud's axes."""
        north = self.mean[0] + along * self.ahead[0] + across * self.abeam[0]
        east = self.mean[1] + along * self.ahead[1] + across * self.abeam[1]
        return np.stack((north, east), axis=-1)


def _deviation(values: Floats, weights: Floats) -> float:
    off = values - (weights * values).sum()
    return max(sqrt(float((weights * off * off).sum())), FINEST_M)


@dataclass(frozen=True, slots=True)
class _Levels:
    """Values from the highest down, and the weight that stands as high as each."""

    values: Floats
    held: Floats

    @classmethod
    def of(cls, values: Floats, weights: Floats) -> Self:
        order = np.argsort(-values)
        return cls(values[order], np.cumsum(weights[order]))

    def reached_by(self, share: float) -> float:
        """Return the highest value that so much weight reaches; the lowest of all when it is not there."""
        return float(self.values[min(int(np.searchsorted(self.held, share)), self.values.size - 1)])


@dataclass(frozen=True, slots=True)
class _Part:
    """One polygon (m), the weight inside, the mean of its samples (m), and whether it has an empty hole."""

    polygon: Floats
    weight: float
    centre: tuple[float, float]
    hollow: bool


@dataclass(frozen=True, slots=True)
class _Region:
    """All that is denser than a level, as polygons, and how far it reaches along and across (m)."""

    level: float
    parts: tuple[_Part, ...]
    spans: tuple[Span, Span]

    @property
    def held(self) -> float:
        """The weight inside."""
        return sum(part.weight for part in self.parts)


@dataclass(frozen=True, slots=True)
class _Density:
    """The samples' weight in each cell of a grid over the cloud's axes, smoothed.

    `low`, `cell`: the grid's corner and a cell's sides (m). `levels`: of the samples, each in its own cell.
    """

    low: tuple[float, float]
    cell: tuple[float, float]
    smooth: Floats
    levels: _Levels

    @classmethod
    def over(cls, cloud: _Cloud, spans: tuple[Span, Span], broader: float) -> Self:
        """Count and smooth the samples over these spans (m), by a kernel `broader` than the best."""
        weights = cloud.weights
        # Scott's width for a normal cloud, as a part of its spread: the widest the samples can call for.
        widest = broader * min(cloud.effective ** (-1.0 / 6.0), 1.0)
        sides = []
        for values, (begin, end) in zip((cloud.along, cloud.across), spans, strict=True):
            scale = _deviation(np.clip(values, begin, end), weights)
            margin = 4.5 * widest * scale
            cell = (end - begin + 2.0 * margin) / CELLS
            places = np.floor((values - begin + margin) / cell).clip(-1.0, CELLS).astype(np.int64)
            sides.append((begin - margin, cell, scale, places))
        (low, cell, scale, row), (low_, cell_, scale_, column) = sides
        here = (row >= 0) & (row < CELLS) & (column >= 0) & (column < CELLS)
        where = row[here] * CELLS + column[here]
        counted = np.bincount(where, weights[here], CELLS * CELLS).astype(np.float64).reshape(CELLS, CELLS)
        smooth = _smoothed(counted, (cell / scale, cell_ / scale_), widest, cloud.effective)
        height = np.zeros(weights.size)
        height[here] = smooth.ravel()[where]
        levels = _Levels.of(height, weights)
        return cls((low, low_), (cell, cell_), smooth, levels)

    def peak(self, cloud: _Cloud) -> tuple[float, float]:
        """Return where the boat is most probably: (north, east) in metres."""
        north, east = self._places(
            cloud, np.array(divmod(int(self.smooth.argmax()), CELLS), dtype=np.float64)
        )
        return float(north), float(east)

    def region(self, cloud: _Cloud) -> _Region | None:
        """Return the smallest region found to hold 95 %, or none when it falls into too many pieces."""
        best: _Region | None = None
        aim = wanted = _wanted(cloud.effective)
        level = 0.0
        for _ in range(TRIES):
            before, level = level, self._level(aim, cloud)
            rings = self._rings(level)
            if level == before or len(rings) > PIECES * 4:
                break
            region = self._drawn(cloud, level, rings)
            held = region.held
            enough = len(region.parts) <= PIECES and held >= wanted - 0.002
            if enough and (best is None or held < best.held):
                best = region
            if (enough and held <= wanted + 0.003) or aim > 1.0:
                break
            aim += wanted - held
        return best

    def _level(self, aim: float, cloud: _Cloud) -> float:
        """Return the level that samples of this weight reach; under them all when more than all is wanted."""
        least = 1e-9 * float(self.smooth.max())
        level = self.levels.reached_by(aim)
        if cloud.effective < FEW or min(cloud.spread) <= FINEST_M:
            level = min(level, _Levels.of(self.smooth.ravel(), self.smooth.ravel()).reached_by(HELD))
        if aim > 1.0 or level < least:
            level = float(self.levels.values[self.levels.values > least].min()) / 2.0
        return level

    def _rings(self, level: float) -> list[list[Floats]]:
        """Return the contours of a level in cells: of each piece the outer one, then those of its holes."""
        drawn = contour_generator(z=self.smooth, name="serial", fill_type=FillType.OuterOffset)
        points, offsets = cast("tuple[list[Floats], list[Floats]]", drawn.filled(level, np.inf))
        return [
            # The last point is the first one again; contourpy says column before row.
            [piece[begin : end - 1, ::-1] for begin, end in pairwise(bounds.tolist())]
            for piece, bounds in zip(points, offsets, strict=True)
        ]

    def _drawn(self, cloud: _Cloud, level: float, pieces: list[list[Floats]]) -> _Region:
        """Return the region inside contours, in few corners, without slivers and holes that mean nothing."""
        sliver = SLIVER / float(self.smooth.max())
        # So small a hole in so few samples may be chance: it is filled, for wider is the safer error.
        chance = 50.0 / (cloud.effective * level)
        pieces = [
            [outer, *(hole for hole in holes if cells_in(hole) > chance)]
            for outer, *holes in pieces
            if cells_in(outer) > sliver
        ]
        thinned = iter(simplified([ring for piece in pieces for ring in piece]))
        parts, kept = [], []
        for outer, *holes in [[next(thinned) for _ in piece] for piece in pieces]:
            empty = [hole for hole in holes if self._is_empty(cloud, level, hole)]
            polygon = self._places(cloud, bridged(outer, empty))
            within = odd(polygon, cloud.north, cloud.east)
            weight = float((cloud.weights * within).sum())
            if weight >= SLIVER:
                north, east = (
                    float((cloud.weights * within * axis).sum()) for axis in (cloud.north, cloud.east)
                )
                parts.append(_Part(polygon, weight, (north / weight, east / weight), bool(empty)))
                kept.append(outer)
        parts.sort(key=lambda part: -part.weight)
        return _Region(level, tuple(parts), self._spans(kept))

    def _is_empty(self, cloud: _Cloud, level: float, hole: Floats) -> bool:
        within = odd(self._places(cloud, hole), cloud.north, cloud.east)
        return float((cloud.weights * within).sum()) < level * cells_in(hole) / 2.0

    def _places(self, cloud: _Cloud, cells: Floats) -> Floats:
        along, across = (
            low + (cells[..., side] + 0.5) * cell
            for side, (low, cell) in enumerate(zip(self.low, self.cell, strict=True))
        )
        return cloud.places(along, across)

    def _spans(self, rings: list[Floats]) -> tuple[Span, Span]:
        corners = np.concatenate(rings or [np.zeros((1, 2))]) + 0.5
        begin, end = corners.min(axis=0) * self.cell + self.low, corners.max(axis=0) * self.cell + self.low
        return (float(begin[0]), float(end[0])), (float(begin[1]), float(end[1]))


def _wanted(effective: float) -> float:
    """Return the weight of samples to hold, for the boat to be inside 95 times in 100.

    A region fitted to samples holds less of what they were drawn from: the fewer, the less. The sizes are
    measured on normal clouds and on fans from one bearing, of 300 to 20,000 samples.
    """
    return HELD + 0.001 + 0.15 / sqrt(max(effective, FEW))


def _fitted(cloud: _Cloud) -> tuple[_Density, _Region]:
    """Return the density and its region, on a grid no wider than need be, in a few pieces at most."""
    spans = _span(cloud.along, cloud.weights), _span(cloud.across, cloud.weights)
    broader, closer = 1.0, 0
    while True:
        density = _Density.over(cloud, spans, broader)
        region = density.region(cloud)
        if region is None:
            broader *= 2.0
        elif closer < 3 and _far_within(region.spans, spans):
            spans, closer = region.spans, closer + 1
        else:
            return density, region


def _far_within(inner: tuple[Span, Span], outer: tuple[Span, Span]) -> bool:
    """Return whether, along or across, the one is so much smaller that a grid over the other is coarse."""
    sides = zip(inner, outer, strict=True)
    return any(end - begin < 0.35 * (last - first) for (begin, end), (first, last) in sides)


def _span(values: Floats, weights: Floats) -> Span:
    """Return between which values all but 8 in 1,000 at either end lie; they are not to stretch the grid."""
    begin, end, bins = float(values.min()), float(values.max()), 1024
    for _ in range(2):
        step = (end - begin) / bins
        if step <= 0.0:
            break
        places = ((values - begin) / step).clip(0.0, bins - 1.0).astype(np.int64)
        held = np.cumsum(np.bincount(places, weights, bins))
        first, last = np.searchsorted(held, (0.008, 0.992)).tolist()
        begin, end = begin + first * step, begin + min(last + 1, bins) * step
    return begin, end


def _smoothed(counted: Floats, cell: tuple[float, float], widest: float, effective: float) -> Floats:
    """Smooth by the normal kernel least squares cross-validation likes best, made smoother by 1.4.

    Lengths are in standard deviations. Cross-validation: Silverman, "Density Estimation" (1986), 3.4.3, from
    memory. It follows the thickness of a ring or a thin wedge, which the spread of the whole does not tell;
    each sample's own kernel is left out. Returns the weight in each cell.
    """
    spectrum = np.fft.rfft2(counted)
    rows = 2.0 * pi * np.fft.fftfreq(CELLS, cell[0])[:, np.newaxis]
    columns = 2.0 * pi * np.fft.rfftfreq(CELLS, cell[1])
    twice = np.full(columns.size, 2.0)
    twice[[0, -1]] = 1.0
    power = (spectrum.real**2 + spectrum.imag**2) * twice
    own = 1.0 / effective
    narrowest = max(widest * 2.8 * effective ** (-1.0 / 3.0), 0.8 * max(cell))
    width, best = widest, np.inf
    trial = widest
    while trial >= narrowest:
        kernel = np.exp(-0.5 * (trial * rows) ** 2) * np.exp(-0.5 * (trial * columns) ** 2)
        seen = power * kernel
        left_out = (seen.sum() - own * (twice * kernel).sum()) / (1.0 - own)
        score = float((seen * kernel).sum() - 2.0 * left_out)
        if score >= best:
            break
        width, best, trial = trial, score, trial / sqrt(2.0)
    width *= 1.4
    kernel = np.exp(-0.5 * (width * rows) ** 2) * np.exp(-0.5 * (width * columns) ** 2)
    smooth = np.fft.irfft2(spectrum * kernel, counted.shape)
    return smooth.clip(0.0)


def _shape(cloud: _Cloud, density: _Density, region: _Region, factor: float) -> AreaShape:
    if sum(part.weight >= HEAP for part in region.parts) > 1:
        return "two"
    if any(part.hollow for part in region.parts):
        return "ring"
    long_m, short_m = cloud.spread
    if short_m <= FINEST_M:
        return "ellipse"
    centres = [
        low + (np.arange(CELLS) + 0.5) * cell for low, cell in zip(density.low, density.cell, strict=True)
    ]
    reach = (centres[0][:, np.newaxis] / long_m) ** 2 + (centres[1] / short_m) ** 2
    ellipse = pi * factor * factor * long_m * short_m / (density.cell[0] * density.cell[1])
    dense = density.smooth >= density.levels.reached_by(HELD)
    apart = int(dense.sum()) + ellipse - 2 * int((dense & (reach <= factor * factor)).sum())
    return "wedge" if apart / ellipse > WEDGE + 2.0 / sqrt(cloud.effective) else "ellipse"
