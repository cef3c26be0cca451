"""Published estimated positions: which way leeway goes, and what set and drift make of a DR."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Leeway:
    """A true heading steered, where the wind comes from, the leeway, and the track that makes: degrees."""

    steered_deg: float
    wind_from_deg: float
    leeway_deg: float
    track_deg: float


# E-14: the rule of the US Coast Guard's deck-officer questions as seasources.net reprints them with their
# keys ("Preview Compass Course Questions"; there asked backwards: a track wanted, the heading to windward of
# it).
LEEWAY_RULE = (Leeway(186.0, 247.5, 2.0, 184.0), Leeway(41.0, 0.0, 5.0, 46.0))


@dataclass(frozen=True)
class SetAndDrift:
    """A run, and a fix off its DR by a stream: positions in degrees, directions true, kn, minutes.

    `fix` is None where the source gives it by its distance from the DR alone.
    """

    case: str
    publication: str
    start: tuple[float, float]
    course_deg: float
    speed_kn: float
    minutes: float
    set_deg: float
    drift_kn: float
    fix: tuple[float, float] | None
    dr_to_fix_nm: float
    tolerance_nm: float


SETS_AND_DRIFTS = (
    # Set 214 is printed; drift is printed 1.9, by plotting, and worked through is 2.01.
    SetAndDrift(
        "E-09", "BoatSafe Coastal Navigation Course, chapter XIII, item 4, drift worked again",
        (41.5917, -70.675), 328.0, 5.5, 50.0, 214.0, 2.01, (41.6333, -70.75), 1.67, 0.02,
    ),
    SetAndDrift(
        "E-11", "Jamieson, 'Seamanship Secrets', page 114",
        (50.0, -4.2), 90.0, 5.0, 30.0, 45.0, 1.0, None, 0.5, 0.001,
    ),
)  # fmt: skip
