"""Judging a sighting: how it stands to the area of the moment before it, and what slip would explain it.

Nothing the skipper entered is changed by it: a sighting that is suspected stays open, and stays in the cloud.
"""

from dataclasses import dataclass, replace
from math import degrees

from middlewatch.navigator.area.cloud import Cloud
from middlewatch.navigator.area.slips import UNUSUAL_SIGMA, Slip
from middlewatch.navigator.area.unusual import Awaited, Outlook
from middlewatch.navigator.chartroom import Chartroom
from middlewatch.navigator.deck_log.ledger import Logged
from middlewatch.navigator.position.arcs import AngleArc
from middlewatch.navigator.position.lines import Circle, Point, PositionLine, Ray, TransitRay
from middlewatch.navigator.position.regions import ContourBand, InSight, Wedge
from middlewatch.navigator.position.rivals import TooSmall, rivals
from middlewatch.navigator.position.sights import Taken
from middlewatch.navigator.position.suspicion import IN_HASTE, Suspicion
from middlewatch.quantities.angles import direction
from middlewatch.quantities.lengths import METRES_PER_NM


@dataclass(frozen=True, slots=True)
class Judgement:
    """How a sighting stands: expected and residual (degrees or nm), how unusual, the slips, and rivals.

    `slips`: none of a sighting that is not `suspected`; `rival`: then, in words, what else may be so.
    `spread`: one standard deviation of what was to be expected, in the same unit, of a bearing or distance.
    """

    expected_deg: float | None = None
    residual_deg: float | None = None
    expected_nm: float | None = None
    residual_nm: float | None = None
    unusual_sigma: float | None = None
    slips: tuple[Slip, ...] = ()
    rival: str | None = None
    spread: float | None = None

    @property
    def suspected(self) -> bool:
        """Whether the sighting is too unusual to be taken as it stands."""
        return self.unusual_sigma is not None and self.unusual_sigma >= UNUSUAL_SIGMA


def judge(room: Chartroom, logged: Logged, taken: Taken) -> Judgement:
    """Hold a sighting against the cloud right before it; nothing is known before a departure.

    What was heard after it, and when it was heard, have no part in that.
    """
    line, ep = taken.line, room.reckoning.ep(logged.second)
    cloud = None if line is None or ep is None else room.area.before(logged.order, logged.second)
    if line is None or ep is None or cloud is None:
        return Judgement()
    stood = _stood(room, line, cloud)
    if not stood.suspected or taken.unused is not None:
        return stood
    outlook = Outlook(cloud, room.tuning.seed, every=IN_HASTE)
    suspicion = Suspicion(room, logged, line, taken.chain, ep, outlook)
    slips = suspicion.slips()
    small = _too_small(suspicion.variation_deg, outlook, room, line)
    return replace(stood, slips=slips, rival=rivals(line, ep, slips, small))


def unusual_sigma(room: Chartroom, line: PositionLine) -> float | None:
    """Return how unusual a line is as all stands now; None where nothing was known before it.

    The answer says how unusual it was when entered: another entry, or an amendment, may have come since.
    """
    known = room.plot.unusual
    if line.id not in known:
        cloud = None if room.reckoning.ep(line.second) is None else room.area.before(line.order, line.second)
        known[line.id] = None if cloud is None else _stood(room, line, cloud).unusual_sigma
    return known[line.id]


def _too_small(
    variation_deg: float | None, outlook: Outlook, room: Chartroom, line: PositionLine
) -> TooSmall | None:
    """Return the variation and the doubt of a bearing, in degrees, where no slip with it could be told."""
    if variation_deg is None:
        return None
    doubt_deg = degrees(outlook.of(room.area.seen(line)).doubt)
    return TooSmall(variation_deg, doubt_deg) if abs(variation_deg) < doubt_deg else None


def _stood(room: Chartroom, line: PositionLine, cloud: Cloud) -> Judgement:
    """Say what was to be expected of a line, what is left, and how unusual that is."""
    outlook, seen = Outlook(cloud, room.tuning.seed), room.area.seen(line)
    match line.shape:
        case Point():
            point = outlook.of_point(seen.hold(outlook.places))
            return Judgement(residual_nm=point.residual / METRES_PER_NM, unusual_sigma=point.sigmas())
        case Circle(radius_nm=radius_nm):
            awaited = outlook.of(seen)
            residual_nm = awaited.residual / METRES_PER_NM
            return Judgement(
                expected_nm=radius_nm - residual_nm,
                residual_nm=residual_nm,
                unusual_sigma=awaited.sigmas(),
                spread=awaited.doubt / METRES_PER_NM,
            )
        case Ray():
            awaited = outlook.of(seen)
            stood = _of_bearing(line.shape.bearing_true_deg, awaited, awaited.sigmas())
            return replace(stood, spread=degrees(awaited.doubt))
        case TransitRay(front):
            # Seen are two marks in line; told is how that line stands to the bearing of the front one.
            bearing_deg, sd_deg = line.shape.bearing_true_deg, line.shape.sd_min / 60.0
            told = outlook.of(room.area.seen(replace(line, shape=Ray(front, bearing_deg, sd_deg))))
            return _of_bearing(bearing_deg, told, outlook.of(seen).sigmas())
        case AngleArc(angle_deg=angle_deg):
            awaited = outlook.of(seen)
            return _of_bearing(angle_deg, awaited, awaited.sigmas())
        case InSight() | Wedge() | ContourBand():
            # Nothing was measured that could be told as a figure: only whether she can have been there.
            return Judgement(unusual_sigma=outlook.of(seen).sigmas())


def _of_bearing(bearing_true_deg: float, awaited: Awaited, unusual_sigma: float) -> Judgement:
    residual_deg = degrees(awaited.residual)
    return Judgement(
        expected_deg=direction(bearing_true_deg - residual_deg),
        residual_deg=residual_deg,
        unusual_sigma=unusual_sigma,
    )
