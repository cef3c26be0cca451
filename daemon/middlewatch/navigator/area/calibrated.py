"""What a calibration leaves to be doubted of log and compass, as the area needs it."""

from math import radians

from middlewatch.navigator.area.passage import Renewal
from middlewatch.navigator.area.unknowns import Priors, Unknown
from middlewatch.navigator.reckoning.calibration import Deviation, LogFactor
from middlewatch.navigator.reckoning.orders import CalibrateCompass, CalibrateLog

LOG = (Unknown.LOG,)
COMPASS = (Unknown.COMPASS, Unknown.SINE, Unknown.COSINE)


def renewal(act: CalibrateLog | CalibrateCompass, priors: Priors) -> Renewal:
    """Return what is unknown from a calibration on; once it is cancelled, as much as without any."""
    match act:
        case CalibrateLog(LogFactor() as factor):
            return Renewal(LOG, ((factor.sd**2,),))
        case CalibrateLog():
            return _as_before(LOG, priors)
        case CalibrateCompass(Deviation() as deviation):
            square = radians(1.0) ** 2
            return Renewal(COMPASS, tuple(tuple(square * each for each in row) for row in deviation.doubt))
        case CalibrateCompass():
            return _as_before(COMPASS, priors)


def _as_before(unknowns: tuple[Unknown, ...], priors: Priors) -> Renewal:
    whole = priors.covariance(0.0)
    return Renewal(unknowns, tuple(tuple(float(whole[one, other]) for other in unknowns) for one in unknowns))
