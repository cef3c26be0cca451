"""The slow stream and the boat's own part in it, held against least squares worked another way."""

from math import cos, hypot, radians, sin

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from middlewatch.navigator.watch.slow_stream import COMPASS, HARMONICS, LEEWAY, SlowStream, Way
from middlewatch.quantities.lengths import METRES_PER_SECOND_PER_KNOT as KNOT

LOG_PART, COMPASS_PART, LEEWAY_PART = 0.05, 0.04, 0.09
NOISE = (0.17 * KNOT) ** 2


def begun(stream_kn: float = 1.0) -> SlowStream:
    """Return a filter that has learnt nothing."""
    slow = SlowStream()
    slow.begin(stream_kn * KNOT, LOG_PART, COMPASS_PART, LEEWAY_PART)
    return slow


def run(heading_deg: float, kn: float = 5.0) -> Way:
    """Return the run a second."""
    return Way(kn * KNOT * cos(radians(heading_deg)), kn * KNOT * sin(radians(heading_deg)))


def pushed(way: Way, part: float) -> Way:
    """Return the apparent stream that leeway to starboard makes, as a part of the run."""
    return Way(-part * way.east, part * way.north)


def by_least_squares(runs: list[Way], seen: list[Way], expected: Way) -> np.ndarray:
    """Return what the normal equations make of the same blocks, for another run; numpy's own solver."""

    def rows(way: Way) -> np.ndarray:
        heading = np.arctan2(way.east, way.north)
        series = [1.0] + [f(n * heading) for n in range(1, HARMONICS + 1) for f in (np.sin, np.cos)]
        north = [1.0, 0.0, way.north, *(-way.east * each for each in series)]
        east = [0.0, 1.0, way.east, *(way.north * each for each in series)]
        return np.array([north, east])

    sds = [KNOT, KNOT, LOG_PART, COMPASS[0] * COMPASS_PART]
    for number, part in enumerate(LEEWAY):
        sds += 2 * [hypot(part * LEEWAY_PART, 0.0 if number else COMPASS[1] * COMPASS_PART)]
    whole = np.vstack([np.diag(1.0 / np.array(sds)), *(rows(each) / NOISE**0.5 for each in runs)])
    right = np.concatenate([np.zeros(len(sds)), *(np.array(each) / NOISE**0.5 for each in seen)])
    return np.asarray(rows(expected) @ np.linalg.lstsq(whole, right, rcond=None)[0])


@settings(max_examples=30, deadline=None)
@given(
    blocks=st.lists(
        st.tuples(st.floats(0.0, 360.0), st.floats(2.0, 7.0), st.floats(-1.5, 1.5), st.floats(-1.5, 1.5)),
        min_size=1,
        max_size=12,
    ),
    heading_deg=st.floats(0.0, 360.0),
)
def test_it_is_least_squares(blocks: list[tuple[float, float, float, float]], heading_deg: float) -> None:
    """Where nothing wanders, block after block gives what all of them give at once."""
    slow = begun()
    runs = [run(heading, kn) for heading, kn, _, _ in blocks]
    seen = [Way(north * KNOT, east * KNOT) for _, _, north, east in blocks]
    for way, apparent in zip(runs, seen, strict=True):
        slow.learn(way, apparent, NOISE)

    told = slow.rate(0, run(heading_deg)).way
    assert tuple(told) == pytest.approx(by_least_squares(runs, seen, run(heading_deg)), abs=1e-3)


def test_what_a_tack_taught_is_expected_of_the_next() -> None:
    """Pushed seven degrees on either tack in half a knot of stream: after three tacks little is unknown."""
    slow, unknown = begun(), []
    for tack in range(6):
        way = run(45.0 if tack % 2 else 315.0)
        leeway = pushed(way, 0.12 if tack % 2 else -0.12)
        apparent = Way(0.5 * KNOT + leeway.north, leeway.east)
        expected = slow.rate(0, way)
        unknown.append(
            (hypot(*(a - b for a, b in zip(expected.way, apparent, strict=True))) / KNOT, expected)
        )
        for _ in range(15):
            slow.wander(60, (0.1 * KNOT) ** 2 / 600.0)
            slow.learn(way, apparent, NOISE)
        slow.turn(LEEWAY_PART)

    misses = [miss for miss, _ in unknown]
    assert min(misses[:2]) > 0.4
    assert max(misses[3:]) < 0.15
    assert unknown[5][1].doubt.most ** 0.5 / KNOT < 0.6 * unknown[1][1].doubt.most ** 0.5 / KNOT


def test_on_one_heading_nothing_tells_stream_from_leeway() -> None:
    """What is seen is known, what it is made of is not: on the reciprocal it may be otherwise."""
    slow = begun()
    for _ in range(30):
        slow.learn(run(0.0), Way(0.0, 0.6 * KNOT), NOISE)

    here, across = slow.rate(0, run(0.0)), slow.rate(0, run(180.0))
    assert here.way.east / KNOT == pytest.approx(0.6, abs=0.02)
    assert here.doubt.most**0.5 / KNOT < 0.05
    assert across.doubt.most**0.5 / KNOT > 0.4


def test_the_boats_own_part_outlives_the_stream() -> None:
    """When nothing is known of the stream any more, the log's part is known still."""
    slow = begun()
    for heading in (0.0, 90.0, 180.0, 270.0) * 4:
        way = run(heading)
        slow.learn(way, Way(0.1 * way.north + 0.3 * KNOT, 0.1 * way.east), NOISE)
    slow.forget_stream(KNOT)

    assert slow.expected[:2] == [0.0, 0.0]
    assert slow.expected[2] == pytest.approx(0.1, abs=0.02)
    assert slow.rate(0, run(0.0)).doubt.north ** 0.5 / KNOT == pytest.approx(1.0, rel=0.05)


@settings(max_examples=40, deadline=None)
@given(
    steps=st.lists(
        st.tuples(st.sampled_from(["learn", "turn", "doubt", "forget"]), st.floats(0.0, 360.0)), max_size=80
    )
)
def test_a_doubt_never_falls_below_nothing(steps: list[tuple[str, float]]) -> None:
    """However it is used, and rounded, no direction of the state is known better than exactly."""
    slow = begun()
    for step, heading in steps:
        if step == "learn":
            slow.wander(60, (0.1 * KNOT) ** 2 / 600.0)
            slow.learn(run(heading), Way(0.1, -0.2), NOISE)
        elif step == "turn":
            slow.turn(LEEWAY_PART)
        elif step == "doubt":
            slow.doubt_stream(KNOT * KNOT)
            slow.doubt_witnesses(0.04)
        else:
            slow.forget_stream(KNOT)

    lower = np.zeros((len(slow.expected), len(slow.expected)))
    for row, doubts in enumerate(slow.doubts):
        lower[row, : row + 1] = doubts
    whole = lower + np.tril(lower, -1).T
    assert np.linalg.eigvalsh(whole).min() > 0.0
