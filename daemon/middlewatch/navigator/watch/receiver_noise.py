"""How restless a receiver is: the short noise of its way, learnt on two axes.

Seas, a yawing heading and the receiver itself make a noise that is seldom the same along every direction:
over a minute it goes 0.08 kn on one axis and 0.17 kn on the other in a yacht's recording. A pull across the
quiet axis shows the sooner. How much the way of ten seconds differs from that of the ten before tells the
noise: a stream has no part in that, and a pull only at its onset.
"""

from dataclasses import dataclass
from functools import cache
from math import exp, sqrt

from middlewatch.quantities.spreads import Covariance

TENS_S, MINUTE_S = 10, 60
SLOW_S, QUICK_S = 70.0, 15.0
"""Time constants of the noise: twice smoothed, as in that recording."""
MEMORY, USUAL = 90, 20
"""A quarter of an hour is remembered; what is assumed at first counts as so many samples (judgement)."""
SOON = 30
RESTLESS = 1.5
"""Noise that has in five minutes been half as much again as what is learnt counts at once (judgement)."""
MOST, LEAST = 25.0, 0.22
"""Up to five times the noise assumed is learnt, and down to the quiet axis of that recording, squared."""
OUTLYING = 9.0
"""A sample of more than three times the noise counts as so much: no step or onset teaches by itself."""


@cache
def noise_gone(span_s: int) -> float:
    """Return how far the noise goes in a span, as a part of how far it goes in a minute, squared."""
    spans = span_s, MINUTE_S
    kept = [SLOW_S * exp(-each / SLOW_S) - QUICK_S * exp(-each / QUICK_S) for each in spans]
    return (SLOW_S - QUICK_S - kept[0]) / (SLOW_S - QUICK_S - kept[1])


_BEND = 4.0 * noise_gone(TENS_S) - noise_gone(2 * TENS_S)
"""The variance an axis of one ten seconds' way less that of the ten before, as a part of a minute's."""


@dataclass(slots=True)
class ReceiverNoise:
    """The noise as a part of the one assumed, squared: as learnt of how many samples, and as it is taken.

    `soon`: the mean of both axes over the last minutes.
    """

    learnt: Covariance = Covariance(1.0, 0.0, 1.0)  # noqa: RUF009 -- frozen
    taken: Covariance = Covariance(1.0, 0.0, 1.0)  # noqa: RUF009 -- frozen
    soon: float = 1.0
    samples: int = 0

    @property
    def most(self) -> float:
        """The noise on its worse axis, as a part of the one assumed, squared."""
        return self.taken.most

    def learn(self, tens: list[tuple[float, float]], noise_m: float) -> None:
        """Learn from the newest places, ten seconds apart (metres); `noise_m` is what is assumed."""
        if len(tens) < 3:
            return
        (a, b), (c, d), (e, f) = tens[-3:]
        unit = noise_m * sqrt(_BEND)
        north, east = (a - 2.0 * c + e) / unit, (b - 2.0 * d + f) / unit
        size, most = north * north + east * east, OUTLYING * max(1.0, self.most)
        if size > most:
            north, east = north * sqrt(most / size), east * sqrt(most / size)
        self.samples = min(self.samples + 1, MEMORY)
        # To four digits: it is kept every few seconds, and must stay small.
        soon = self.soon + (min(size, most) / 2.0 - self.soon) / (min(self.samples, SOON) + 1)
        self.soon = round(min(MOST, soon), 4)
        part, was = 1.0 / (self.samples + USUAL), self.learnt
        self.learnt = Covariance(
            round(was.north + part * (north * north - was.north), 4),
            round(was.shared + part * (north * east - was.shared), 4),
            round(was.east + part * (east * east - was.east), 4),
        )
        self.taken = self._taken()

    def _taken(self) -> Covariance:
        north, shared, east = self.learnt
        times = self.soon / ((north + east) / 2.0)
        times = min(times if times > RESTLESS else 1.0, MOST / self.learnt.most)
        lifted = max(0.0, LEAST - times * self.learnt.least)
        return Covariance(
            round(times * north + lifted, 4), round(times * shared, 4), round(times * east + lifted, 4)
        )
