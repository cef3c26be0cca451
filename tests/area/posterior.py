"""Where a boat may be, by a reference: weighted places, and the measures an estimator is held against."""

from dataclasses import dataclass

import numpy as np

from area.model import METRES_PER_NM, Floats, Places


@dataclass(frozen=True, slots=True)
class Posterior:
    """The deviation from the EP at `second`, given what had been seen by then.

    `places`: metres, north + 1j * east; `weights` add up to one; both of shape (particles,). `thinnest`: the
    fewest effective particles there were at any sighting so far, before any resampling made them look many.
    """

    second: int
    places: Places
    weights: Floats
    thinnest: float

    def mean(self) -> complex:
        """Return the mean place, metres."""
        return complex((self.weights * self.places).sum())

    def covariance(self) -> Floats:
        """Return the covariance, (2, 2), of north and east, square metres."""
        off = self.places - self.mean()
        axes = (off.real, off.imag)
        return np.array([[(self.weights * one * other).sum() for other in axes] for one in axes])

    def ellipse_reach(self, part: float = 0.95) -> float:
        """Return how many sd the ellipse must reach to hold this part; 2.448 where the cloud is normal."""
        distance = self.sd_away(self.places)
        order = np.argsort(distance)
        first = np.searchsorted(np.cumsum(self.weights[order]), part)
        return float(distance[order[min(int(first), order.size - 1)]])

    def sd_away(self, places: Places) -> Floats:
        """Return how many sd of the ellipse places lie from the mean."""
        inverse = np.linalg.inv(self.covariance())
        off = places - self.mean()
        square: Floats = (
            inverse[0, 0] * off.real**2
            + 2 * inverse[0, 1] * off.real * off.imag
            + inverse[1, 1] * off.imag**2
        )
        return np.sqrt(square)

    def part_nearer(self, place: complex) -> float:
        """Return which part lies nearer the mean than a place does, distance told in sd of the ellipse.

        Over many true passages of the model this is even from 0 to 1, so 95 of 100 stay below 0.95.
        """
        return float(self.weights[self.sd_away(self.places) <= self.sd_away(np.array([place]))].sum())

    def smallest_area(self, part: float = 0.95, cell_nm: float = 0.2) -> float:
        """Return the square miles of the fewest square cells that hold this part, whatever shape they make.

        The measure for bent wedges and rings, where an ellipse holds much sea the boat cannot be in. With
        less than some ten effective particles a cell it comes out too small: compare like with like.
        """
        heaviest = np.sort(self._cells(cell_nm))[::-1]
        return float((np.searchsorted(np.cumsum(heaviest), part) + 1) * cell_nm**2)

    def _cells(self, cell_nm: float) -> Floats:
        """Return the weight of each cell that holds any."""
        cell_m = cell_nm * METRES_PER_NM
        rows = np.floor(self.places.real / cell_m).astype(np.int64)
        columns = np.floor(self.places.imag / cell_m).astype(np.int64)
        width = int(np.ptp(columns)) + 1
        numbers = (rows - rows.min()) * width + (columns - columns.min())
        _, cell = np.unique(numbers, return_inverse=True)
        return np.bincount(cell, weights=self.weights).astype(np.float64)


def effective(weights: Floats) -> float:
    """Return how many equally weighted particles these weights, that add up to one, are worth."""
    return float(1.0 / np.square(weights).sum())
