"""What a receiver says of its own errors: GST (noise of its ranges) and GBS (a satellite it suspects).

Field orders from memory of IEC 61162-1: GST time, rms of the ranges, semi-major, semi-minor (m), orientation
(true), sd of latitude, longitude, altitude (m); GBS time, error of latitude, longitude, altitude (m), the
satellite that is likeliest failed, probability of missing it, its bias (m), sd of that.
"""

from middlewatch.readings.sentences import Satellite, Word
from middlewatch.wire.nmea_fields import Number

_SD_M = Number("standard deviation", 0.0, 99_999.0)
_BIAS_M = Number("bias", -999_999.0, 999_999.0)


def read_gst(at_ms: int, source: str, f: tuple[str, ...]) -> Satellite | None:
    """Return the larger of its standard deviations, metres; None where it gives none."""
    told = [_SD_M.read(each) for each in (f[2], f[5], f[6])]
    known = [each for each in told if each is not None]
    if not known:
        return None
    return Satellite(at_ms, source, gives_position=False, word=Word.UNSAID, sd_m=max(known))


def read_gbs(at_ms: int, source: str, f: tuple[str, ...]) -> Satellite | None:
    """Return which satellite it suspects, in words; None where it suspects none."""
    suspected, bias_m = f[4].lstrip("0"), _BIAS_M.read(f[6])
    if not suspected:
        return None
    by = "" if bias_m is None else f", by {abs(bias_m):.0f} m"
    return Satellite(at_ms, source, gives_position=False, word=Word.UNSAID, suspects=f"{suspected}{by}")
