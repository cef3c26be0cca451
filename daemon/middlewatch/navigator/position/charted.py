"""How well the charted place of a mark is known."""

from middlewatch.navigator.chartroom import Chartroom
from middlewatch.quantities.lengths import METRES_PER_NM
from middlewatch.readings.marks import MarkRef


def place_sd_nm(room: Chartroom, mark: MarkRef) -> float:
    """Return one standard deviation of each axis of a mark's place, in nautical miles.

    Nought of a mark whose `sd_m` is not given, and of one told by its position: it is taken as charted.
    """
    named = room.mark_named(mark)
    return 0.0 if named is None else named.sd_m / METRES_PER_NM
