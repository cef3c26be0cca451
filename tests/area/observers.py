"""Observers: forty bearings along a coast, of eight marks in turn, and what was left of each as it came.

The truth is the model's: the observer's common error, blunders, stream and all. Only how well bearings are
really taken may be other than the filter is told.
"""

from dataclasses import replace
from math import degrees, radians

from area.families import BY_HAND_COMPASS_DEG, Family, MarkPlan, Sight
from area.passages import Passage, sail
from area.sailing import SEED, Plotted
from area.tracks import Leg
from middlewatch.navigator.area.cloud import begun
from middlewatch.navigator.area.passage import motion
from middlewatch.navigator.area.unknowns import Priors
from middlewatch.navigator.area.unusual import Outlook
from middlewatch.navigator.position.observer import MISTAKEN_SIGMA
from middlewatch.reports.answer import ResidualReport

BEARINGS = 40
EVERY_S = 300
MARKS = 8


def coast(sd_deg: float) -> Family:
    """Return the passage: a bearing each five minutes of one of the two nearest marks, 2 to 6 miles off."""
    first_s, last_s = 600, 600 + BEARINGS * EVERY_S
    along_s = [first_s + place * BEARINGS * EVERY_S // MARKS for place in range(MARKS)]
    marks = tuple(
        MarkPlan(second, (2.0, 6.0), (40.0, 140.0), "starboard" if place % 4 else "port")
        for place, second in enumerate(along_s)
    )
    sights = []
    for number in range(BEARINGS):
        second = first_s + number * EVERY_S
        nearest = sorted(range(MARKS), key=lambda place: abs(along_s[place] - second))
        sights.append(Sight(second, nearest[number % 2], "bearing", sd_deg))
    legs = Leg(60, 30, wind="free"), Leg(60, 100, wind="free"), Leg(last_s / 60 - 60, 60, wind="free")
    return Family("coast", legs, marks, tuple(sights), (last_s // 3600 * 3600,))


def told_by(sd_deg: float, count: int, seed: int, samples: int) -> list[list[ResidualReport | None]]:
    """Return, for each of so many observers, what each of his bearings tells; None: it is a mistake.

    He takes them as well as `sd_deg`; the filter believes that it is 2.5 degrees.
    """
    sailed = sail(coast(sd_deg), count, seed)
    return [_told(sailed.passage(number), samples) for number in range(count)]


def _told(passage: Passage, samples: int) -> list[ResidualReport | None]:
    course, priors, told = Plotted(passage), Priors(), list[ResidualReport | None]()
    covariance = priors.covariance(passage.family.model.departure_nm)
    cloud = begun(0, priors.mean(), covariance, samples)
    for sighting in passage.sightings:
        taken = replace(sighting, sd=radians(BY_HAND_COMPASS_DEG))
        here = cloud.carried(motion(course.stretches(cloud.second, taken.second)), taken.second)
        awaited = Outlook(here, SEED).of(course.seen(taken))
        residual = ResidualReport(degrees(awaited.residual), degrees(awaited.doubt), BY_HAND_COMPASS_DEG)
        told.append(None if awaited.sigmas() >= MISTAKEN_SIGMA else residual)
        cloud = course.after(cloud, [taken])
    return told
