"""Published runs: speed, time and distance."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Run:
    """A run in knots, minutes and nautical miles, and how exactly the source gives the one that was asked."""

    case: str
    publication: str
    speed_kn: float
    time_min: float
    distance_nm: float
    tolerance_nm: float


_SECRETS = "Jamieson, 'Seamanship Secrets'"
_SILICON_SEA = "NavList, 'Silicon Sea' leg 84, answers"
_YARDS_PER_NM = 2000  # as the three-minute rule has it

RUNS = (
    Run("S-01", "jeopardylabs, 'Ordinary piloting'", 6, 45, 4.5, 0.005),
    Run("S-02 a", "'Special Case Bearings' slides", 20, 36, 12, 0.005),
    Run("S-02 b", "'Special Case Bearings' slides", 20, 15, 5, 0.005),
    Run("S-04 a", f"{_SECRETS}, page 57", 5.8, 12, 2320 / _YARDS_PER_NM, 0.5 / _YARDS_PER_NM),
    # Printed 1280 yards, rounded on the way; worked through, 1283.3.
    Run("S-04 b", f"{_SECRETS}, page 57, worked again", 7.7, 5, 1283.3 / _YARDS_PER_NM, 0.5 / _YARDS_PER_NM),
    Run("S-06", f"{_SILICON_SEA}, question 3", 9.3, 31.82777777777778 * 60, 296, 0.01),
    Run("S-07", f"{_SILICON_SEA}, question 7", 9.1, 28.35, 4.3, 0.003),
    Run("S-08 a", f"{_SECRETS}, page 114", 5, 30, 2.5, 0.0025),
    Run("S-08 b", f"{_SECRETS}, page 114", 1, 30, 0.5, 0.0025),
    Run("1.5 nm at 4 kn", "common practice, no source", 4, 22.5, 1.5, 1e-9),
    Run("0.5 nm at 4 kn", "common practice, no source", 4, 7.5, 0.5, 1e-9),
)
