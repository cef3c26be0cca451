"""What is said of somebody overboard, in words."""

from middlewatch.quantities.angles import three_figures
from middlewatch.quantities.lengths import METRES_PER_NM

CALLS_NO_ONE = "this calls no one: call on VHF and DSC yourself; an aid, keep eyes on the casualty"
"""That is common practice, no source."""

_METRES_UNTIL_NM = 0.5


def way_back(magnetic_deg: float | None, true_deg: float | None, distance_nm: float) -> str:
    """Say where the casualty bears and how far off: `bears 213 M, 240 m`."""
    if magnetic_deg is not None:
        bears = f"bears {three_figures(magnetic_deg)} M, "
    else:
        bears = "" if true_deg is None else f"bears {three_figures(true_deg)} T, "
    return bears + far(distance_nm)


def far(distance_nm: float) -> str:
    """Say a distance: in metres, to tens, up to half a mile."""
    if distance_nm >= _METRES_UNTIL_NM:
        return f"{distance_nm:.2f} nm"
    return f"{10 * round(distance_nm * METRES_PER_NM / 10):.0f} m"
