"""Published conversions between compass, magnetic and true; all in degrees, deviation and variation E+."""

from dataclasses import dataclass

OCEAN_NAVIGATOR = (
    "Ocean Navigator magazine, 'Correcting from compass to true and back again', questions and answers"
)
COAST_GUARD = "US Coast Guard deck-officer question bank, as reprinted in 'Preview Compass Course Questions'"
QUARTERMASTER = (
    "US Navy NAVEDTRA 14221, Quartermaster 3 & 2, assignment 2 (the one option that fits; no key seen)"
)
SAILING_ISSUES = "sailingissues.com, navigation course, chapter 4, figures 4.1 and 4.2"
SEAMANSHIP_SECRETS = "Jamieson, 'Seamanship Secrets', page 39"
PRACTICE_CHART = "'Answers to Practice Chart', chapter X (variation 10 W inferred; it fits all six)"
BATSWINGS = "batswings.com, advanced piloting notes, 'Deviation and Interpolation'"
BOB_TAIT = "Bob Tait aviation theory forum, steer-by cards"
COMMON_PRACTICE = "common practice, no source"


@dataclass(frozen=True)
class Chain:
    """One conversion; a link the source does not print is None."""

    case: str
    publication: str
    compass_deg: float | None
    deviation_deg: float
    magnetic_deg: float | None
    variation_deg: float | None
    true_deg: float | None


FROM_COMPASS = (
    Chain("C-01", OCEAN_NAVIGATOR, 90, -8, 82, 12, 94),
    Chain("C-03", OCEAN_NAVIGATOR, 225, 8, 233, -22, 211),
    Chain("C-07", COAST_GUARD, 75, 5, None, -10, 70),
    Chain("C-16", SAILING_ISSUES, 324, 3, None, 3, 330),
    Chain("C-17 b", QUARTERMASTER, 170, -5, None, 15, 180),
    Chain("C-18 a", QUARTERMASTER, 270, 5, 275, 10, None),
)

TO_COMPASS = (
    Chain("C-02", OCEAN_NAVIGATOR, 29, 11, 40, None, None),
    Chain("C-04", OCEAN_NAVIGATOR, 146, 0, None, -21, 125),
    Chain("C-15", SEAMANSHIP_SECRETS, 54, 3, 57, None, None),
    Chain("C-17 c", QUARTERMASTER, 85, 10, None, -5, 90),
    Chain("C-19 a", PRACTICE_CHART, 84, -4, None, -10, 70),
    Chain("C-19 b", PRACTICE_CHART, 31, 4, None, -10, 25),
    Chain("C-19 c", PRACTICE_CHART, 216, -6, None, -10, 200),
    Chain("C-19 d", PRACTICE_CHART, 264, 6, None, -10, 260),
    Chain("C-19 e", PRACTICE_CHART, 203, -3, None, -10, 190),
    Chain("C-19 f", PRACTICE_CHART, 8, 2, None, -10, 0),
)

MAGNETIC_AND_TRUE = (
    Chain("C-17 a", QUARTERMASTER, None, 0, 255, -5, 250),
    Chain("270 T", COMMON_PRACTICE, None, 0, 253, 17, 270),
    Chain("279 M", COMMON_PRACTICE, None, 0, 279, 17, 296),
    Chain("354 M", COMMON_PRACTICE, None, 0, 354, 17, 11),
)


@dataclass(frozen=True)
class BearingByShipsCompass:
    """A bearing read on the ship's compass while she heads somewhere else by it."""

    case: str
    publication: str
    bearing_compass_deg: float
    head_compass_deg: float
    deviation_on_head_deg: float
    variation_deg: float
    bearing_true_deg: float


BEARING_ON_A_HEAD = BearingByShipsCompass("C-16", SAILING_ISSUES, 44, 324, 3, 3, 50)


@dataclass(frozen=True)
class CardReading:
    """A published deviation card, (heading by compass, deviation), and readings off it."""

    case: str
    publication: str
    points: tuple[tuple[float, float], ...]
    asked_deg: tuple[float, ...]
    expected_deg: tuple[float, ...]
    tolerance_deg: float


DEVIATION_READ = CardReading(
    "C-11", BATSWINGS, ((180, 0), (225, 2), (315, 1), (0, -1)), (190, 200, 335), (0.44, 0.88, 0.11), 0.02
)
"""The source works in whole per cents; 0.11 is worked from its 44 %, it prints "deviation of zero"."""

_STEER_BY = (
    *((0, 0), (30, 28), (60, 58), (90, 90), (120, 122), (150, 152)),
    *((180, 182), (210, 212), (240, 241), (270, 271), (300, 301), (330, 330)),
)
COMPASS_READ = (
    CardReading("C-13", BOB_TAIT, tuple((c, m - c) for m, c in _STEER_BY), (219,), (221,), 0.6),
    CardReading("C-14", BOB_TAIT, ((0, 0), (28, 2)), (22,), (21,), 0.6),
)
"""Steer-by cards: asked the magnetic heading, expected that by compass, in whole degrees; worked straight,
220.7 and 20.53. (The second source also says 027 for 027, which its own card contradicts.)"""
