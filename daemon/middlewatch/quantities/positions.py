"""Positions on the WGS 84 ellipsoid, and the two ways from one to another: rhumb step and geodesic."""

from dataclasses import dataclass
from functools import lru_cache
from math import cos, isfinite, radians, sin, sqrt

from geographiclib.geodesic import Geodesic

from middlewatch.quantities.angles import direction, direction_of
from middlewatch.quantities.lengths import METRES_PER_NM

# WGS 84 (NIMA TR8350.2, section 3.2; the two defining constants from memory).
EQUATORIAL_RADIUS_M = 6378137.0
FLATTENING = 1 / 298.257223563
_E2 = FLATTENING * (2 - FLATTENING)
_ONE_LESS_E2 = 1.0 - _E2
_DEGREES_PER_RADIAN = 57.29577951308232
_GEODESIC = Geodesic.WGS84

# Within about 11 km of a pole a rhumb line winds round it and the mid-latitude step loses its digits:
# there a step of some metres goes along the geodesic that starts on the same course.
_POLAR_LATITUDE_DEG = 89.9


@dataclass(frozen=True, slots=True)
class Position:
    """A point on WGS 84: latitude N+ [-90, 90], longitude E+ [-180, 180), degrees."""

    latitude_deg: float
    longitude_deg: float

    def __post_init__(self) -> None:
        if not (isfinite(self.latitude_deg) and isfinite(self.longitude_deg)):
            raise ValueError(f"position is {self.latitude_deg}, {self.longitude_deg}")
        if not -90.0 <= self.latitude_deg <= 90.0:
            raise ValueError(f"latitude {self.latitude_deg} is not between -90 and 90")
        object.__setattr__(self, "longitude_deg", longitude(self.longitude_deg))

    def __str__(self) -> str:
        """Degrees and minutes as on a chart: `50 06.00 N 004 12.00 W`."""
        return f"{_minutes(self.latitude_deg, 2, 'NS')} {_minutes(self.longitude_deg, 3, 'EW')}"

    def moved(self, north_m: float, east_m: float) -> "Position":
        """Return where a rhumb step of (north, east) metres leads; see `rhumb_step`."""
        return Position(*rhumb_step(self.latitude_deg, self.longitude_deg, north_m, east_m))

    def along(self, direction_true_deg: float, distance_nm: float) -> "Position":
        """Return where the geodesic of this first direction and length ends."""
        end = _GEODESIC.Direct(
            self.latitude_deg, self.longitude_deg, direction_true_deg, distance_nm * METRES_PER_NM
        )
        return Position(end["lat2"], end["lon2"])

    def to(self, other: "Position") -> tuple[float, float]:
        """Return (bearing true in degrees [0, 360), distance in nm) of the other point, by the geodesic.

        A line of sight is a geodesic to far better than a bearing can be taken. Of the same point: (0, 0).
        """
        return _geodesic(self.latitude_deg, self.longitude_deg, other.latitude_deg, other.longitude_deg)

    def offset_to(self, other: "Position") -> tuple[float, float]:
        """Return the (north, east) metres that lead to a point nearby: the inverse of `moved`.

        See `offset_m`.
        """
        return offset_m((self.latitude_deg, self.longitude_deg), (other.latitude_deg, other.longitude_deg))


# A fix asks for the same few geodesics again and again: for its misses, their spread, what lies ahead.
@lru_cache(maxsize=4096)
def _geodesic(
    latitude_deg: float, longitude_deg: float, to_latitude_deg: float, to_longitude_deg: float
) -> tuple[float, float]:
    way = _GEODESIC.Inverse(latitude_deg, longitude_deg, to_latitude_deg, to_longitude_deg)
    if way["s12"] == 0.0:
        return 0.0, 0.0
    return direction(way["azi1"]), way["s12"] / METRES_PER_NM


def longitude(degrees_east: float) -> float:
    """Bring a longitude to [-180, 180)."""
    if -180.0 <= degrees_east < 180.0:
        return degrees_east
    return (degrees_east + 180.0) % 360.0 % 360.0 - 180.0


def _minutes(degrees: float, figures: int, sides: str) -> str:
    hundredths = round(abs(degrees) * 6000)
    whole, rest = divmod(hundredths, 6000)
    return f"{whole:0{figures}d} {rest / 100:05.2f} {sides[degrees < 0]}"


def radii_m(latitude_deg: float) -> tuple[float, float]:
    """Return, in metres, the radius of curvature of the meridian and the radius of the parallel.

    At the equator 6335 and 6378 km; at 50 N 6373 and 4108 km; at the pole the parallel has none.
    """
    latitude = radians(latitude_deg)
    sine = sin(latitude)
    flattened = 1.0 - _E2 * sine * sine
    prime_vertical = EQUATORIAL_RADIUS_M / sqrt(flattened)
    return prime_vertical * _ONE_LESS_E2 / flattened, prime_vertical * cos(latitude)


def _meridional_m(latitude_deg: float) -> float:
    """Return the first of `radii_m` alone: a reckoning asks for it twice a second."""
    sine = sin(radians(latitude_deg))
    flattened = 1.0 - _E2 * sine * sine
    return EQUATORIAL_RADIUS_M / sqrt(flattened) * _ONE_LESS_E2 / flattened


def offset_m(one: tuple[float, float], other: tuple[float, float]) -> tuple[float, float]:
    """Return the (north, east) metres that lead from one (latitude, longitude) in degrees to another nearby.

    Worked at the middle latitude; there and back agrees to a millimetre in ten miles up to 80 N or S.
    Meant for tens of miles, not for a passage.
    """
    meridional_m, parallel_m = radii_m((one[0] + other[0]) / 2)
    d_lat, d_lon = other[0] - one[0], longitude(other[1] - one[1])
    return d_lat / _DEGREES_PER_RADIAN * meridional_m, d_lon / _DEGREES_PER_RADIAN * parallel_m


def rhumb_step(
    latitude_deg: float, longitude_deg: float, north_m: float, east_m: float
) -> tuple[float, float]:
    """Return (latitude, longitude) in degrees after a short run of (north, east) metres at constant course.

    The step is worked at its middle latitude, exact to the third order of its length: a centimetre on ten
    miles at 50 N, sixteen at 80 N, and nothing on a second's run. Where either end is within 0.1 degree of a
    pole it follows the geodesic.
    """
    # How far north?  The radius of the meridian half way, which the first guess finds well enough.
    middle = latitude_deg + north_m / _meridional_m(latitude_deg) * _DEGREES_PER_RADIAN / 2
    meridional_m, parallel_m = radii_m(middle)
    end = latitude_deg + north_m / meridional_m * _DEGREES_PER_RADIAN
    if abs(latitude_deg) > _POLAR_LATITUDE_DEG or abs(end) > _POLAR_LATITUDE_DEG:
        return _polar_step(latitude_deg, longitude_deg, north_m, east_m)
    # How far east?  By the parallel half way.
    return (
        end,
        longitude(longitude_deg + east_m / parallel_m * _DEGREES_PER_RADIAN),
    )


def _polar_step(
    latitude_deg: float, longitude_deg: float, north_m: float, east_m: float
) -> tuple[float, float]:
    run_m = sqrt(north_m * north_m + east_m * east_m)
    end = _GEODESIC.Direct(latitude_deg, longitude_deg, direction_of(north_m, east_m), run_m)
    return end["lat2"], longitude(end["lon2"])
