"""The cloud: what its errors do to the boat, and that sightings are weighed as they should be."""

from math import degrees, pi, radians

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from middlewatch.navigator.area.area import drawn
from middlewatch.navigator.area.chain import Sighted
from middlewatch.navigator.area.cloud import Cloud, begun
from middlewatch.navigator.area.passage import Stretch, motion
from middlewatch.navigator.area.seen import BearingSeen, DistanceSeen, PointSeen, Seen
from middlewatch.navigator.area.station import at_station
from middlewatch.navigator.area.unknowns import COUNT, Priors, Unknown
from middlewatch.navigator.chance import Floats
from middlewatch.navigator.reckoning.integrals import Integrals

NM = 1852.0
KN = NM / 3600.0
HOUR = 3600.0
SAMPLES = 20_000


def run(nm: float, seconds: float, *, heading_deg: float = 0.0, stream_kn: float = 0.0) -> Stretch:
    """Return a straight run at one speed, no leeway."""
    heading = radians(heading_deg)
    whole = nm * NM * np.exp(1j * heading)
    sine, cosine = whole * np.sin(heading), whole * np.cos(heading)
    stream_m = stream_kn * KN * seconds
    sums = Integrals(whole, sine, cosine, side_sine=sine, side_cosine=cosine, stream_m=stream_m)
    return Stretch(seconds, sums)


def only(**sd: float) -> Floats:
    """Return the covariance of unknowns of which only these are open, by their names in lower case."""
    covariance = np.zeros((COUNT, COUNT))
    for name, each in sd.items():
        covariance[Unknown[name.upper()], Unknown[name.upper()]] = each**2
    return covariance


def cloud(covariance: Floats, samples: int = SAMPLES) -> Cloud:
    """Return a cloud at second 0, on the EP."""
    return begun(0, np.zeros(COUNT), covariance, samples)


def at(seen: Seen) -> list[Sighted]:
    """Return one sighting at its station's own second."""
    return [Sighted(seen, Stretch(0.0))]


@pytest.mark.parametrize(
    ("unknowns", "figure_nm"),
    [
        (("LOG",), 0.25),
        (("COMPASS", "SINE", "COSINE"), 0.16),
        (("STREAM_NORTH",), 0.66),
    ],
)
def test_an_hour_at_five_knots(unknowns: tuple[str, ...], figure_nm: float) -> None:
    """The design's section 4: 1 sigma after an hour; log, compass with a card, stream of 0.7 kn an axis."""
    prior = Priors().covariance(0.0)
    whole = np.zeros((COUNT, COUNT))
    for name in unknowns:
        whole[Unknown[name], Unknown[name]] = prior[Unknown[name], Unknown[name]]
    streaming = "STREAM_NORTH" in unknowns
    # Without a run there is no wandering of the log in the noise, only that of the stream.
    after = motion([run(0.0 if streaming else 5.0, HOUR, stream_kn=0.7)])
    noise = after.noise[0, 0] if streaming else 0.0
    carried = (after.carry @ whole @ after.carry.T)[:2, :2]
    north_nm = (carried[0, 0] + noise) ** 0.5 / NM
    across_nm = carried[1, 1] ** 0.5 / NM

    assert max(north_nm, across_nm) == pytest.approx(figure_nm, abs=0.006)


def test_without_card_and_calibration() -> None:
    """The same for a log never calibrated, 0.50 nm, and a compass without a card, 0.39 nm."""
    prior = Priors(log_calibrated=False, card=False).covariance(0.0)
    after = motion([run(5.0, HOUR)])

    def reached(*names: str) -> float:
        whole = np.zeros((COUNT, COUNT))
        for name in names:
            whole[Unknown[name], Unknown[name]] = prior[Unknown[name], Unknown[name]]
        carried = (after.carry @ whole @ after.carry.T)[:2, :2]
        return float(carried.diagonal().max() ** 0.5) / NM

    assert reached("LOG") == pytest.approx(0.50, abs=0.005)
    assert reached("COMPASS", "SINE", "COSINE") == pytest.approx(0.39, abs=0.005)


@given(st.floats(1.0, 600.0), st.floats(1.0, 600.0), st.floats(-6.0, 12.0), st.floats(0.0, 360.0))
def test_two_stretches_are_one(one_s: float, other_s: float, kn: float, heading_deg: float) -> None:
    """At one speed and stream, a stretch cut in two does what the whole does: carrying and noise alike."""

    def stretch(seconds: float) -> Stretch:
        return run(kn * seconds / HOUR, seconds, heading_deg=heading_deg, stream_kn=0.7)

    cut, whole = motion([stretch(one_s), stretch(other_s)]), motion([stretch(one_s + other_s)])
    size = np.abs(whole.noise).max()

    assert np.allclose(cut.carry, whole.carry, rtol=1e-9, atol=1e-6)
    assert np.allclose(cut.noise, whole.noise, rtol=1e-6, atol=1e-9 * size + 1e-12)


def test_the_streams_noise_is_that_of_a_wandering_stream() -> None:
    """The closed form of the stream's own noise agrees with a simulation in steps of ten seconds."""
    chance = np.random.Generator(np.random.Philox(7))  # noqa: TID251 -- a seeded test
    steps, count = 60, 20_000
    kept = np.exp(-10.0 / (3 * HOUR))
    stream, place = np.zeros(count), np.zeros(count)
    for _ in range(steps):
        before = stream
        stream = kept * stream + (1 - kept**2) ** 0.5 * chance.standard_normal(count)
        place += (before + stream) / 2 * 10.0 * 0.7 * KN
    noise = motion([run(0.0, 600.0, stream_kn=0.7)]).noise

    assert place.var() == pytest.approx(noise[0, 0], rel=0.05)
    assert np.mean(place * stream) == pytest.approx(noise[0, Unknown.STREAM_NORTH], rel=0.05)


def test_a_position_is_weighed_as_two_normals_are() -> None:
    """Prior 1 nm, a point of 0.5 nm an axis: mean at four fifths of the way, variance a fifth (textbook)."""
    begin = cloud(only(north=NM, east=NM))
    after = at_station(begin, at(PointSeen("radar", 1000.0 - 500.0j, 0.5 * NM)), seed=3)
    mean, covariance = after.moments()

    assert mean[0] == pytest.approx(800.0, abs=25.0)
    assert mean[1] == pytest.approx(-400.0, abs=25.0)
    assert covariance[0, 0] == pytest.approx(0.2 * NM**2, rel=0.05)
    assert covariance[1, 1] == pytest.approx(0.2 * NM**2, rel=0.05)


def test_a_position_teaches_what_brought_the_boat_there() -> None:
    """A log in doubt by 5 %, 10 nm run, a boat found 0.4 nm ahead: it was nearly 4 % short, by regression."""
    begin = cloud(only(north=1.0, east=1.0, log=0.05))
    sailed = motion([run(10.0, 600.0)])
    there = begin.carried(sailed, 600)
    after = at_station(there, at(PointSeen("buoy", 0.4 * NM + 0j, 0.01 * NM)), seed=3)

    # The log wanders besides, and the buoy is known to 0.01 nm.
    other_nm2 = sailed.noise[0, 0] / NM**2 + 0.01**2
    expected = 0.4 * 0.05**2 * 10 / (0.5**2 + other_nm2)
    assert after.moments()[0][Unknown.LOG] == pytest.approx(expected, rel=0.01)


def test_the_running_fix_of_the_design() -> None:
    """Course 000, bearings 045 and 090 of one mark, run 3.0 nm: 3.0 nm W of it, axes 0.321 x 0.098 nm.

    The design's section 4 gives the axes for bearings of 2 degrees and a run known to 5 % and 3 degrees.
    """
    mark, sd = 3.0 * NM + 3.0j * NM, radians(2.0)
    begin = cloud(only(north=5 * NM, east=5 * NM, log=0.05, compass=radians(3.0)), samples=200_000)
    first = at_station(begin, at(BearingSeen("light", mark, radians(45.0), sd)), seed=5)
    # The EP is carried by the run; the cloud is what lies off it.
    second = first.carried(motion([run(3.0, 600.0)]), 600)
    after = at_station(second, at(BearingSeen("light", mark - 3.0 * NM, radians(90.0), sd)), seed=5)
    places = after.means[0] + 1j * after.means[1]
    # A few in a hundred samples take one of the bearings for a blunder, and lie anywhere.
    near = np.abs(places) < 1.2 * NM
    minor, major = np.linalg.eigvalsh(
        np.cov(places[near].real, places[near].imag, aweights=after.weights[near])
    )

    assert after.weights[near].sum() > 0.9
    assert major**0.5 / NM == pytest.approx(0.321, rel=0.05)
    assert minor**0.5 / NM == pytest.approx(0.098, rel=0.05)


def test_one_range_says_a_ring() -> None:
    """A range of a mark somewhere about: the boat is on a ring round it, and the mean is the mark."""
    begin = cloud(only(north=3 * NM, east=3 * NM))
    after = at_station(begin, at(DistanceSeen("light", 0j, 2 * NM, 0.1 * NM)), seed=5)
    sheet = drawn(after, motion([]), 0, seed=5)

    assert sheet.drawn.shape == "ring"
    assert abs(sheet.spread.mean) < 0.1 * NM


@pytest.mark.parametrize("seed", range(4))
def test_a_circle_cut_twice_says_two(seed: int) -> None:
    """A range off a mark close by the track: the boat is north of it or south, half each."""
    begin = cloud(only(north=2 * NM, east=0.2 * NM))
    after = at_station(begin, at(DistanceSeen("light", 0j, 1.5 * NM, 0.05 * NM)), seed)
    sheet = drawn(after, motion([]), 0, seed)

    assert sheet.drawn.shape == "two"
    assert sorted(round(north / NM, 1) for _, north, _ in sheet.drawn.heaps) == [-1.5, 1.5]
    assert [weight for weight, *_ in sheet.drawn.heaps] == pytest.approx([0.48, 0.48], abs=0.03)


@pytest.mark.parametrize("seed", range(4))
def test_two_narrow_circles_leave_both_crossings_alike(seed: int) -> None:
    """Of 20,000 samples a dozen stand where two fine ranges cross; each crossing keeps its half."""
    begin = cloud(only(north=3 * NM, east=3 * NM))
    one = DistanceSeen("a", 2j * NM, 2.5 * NM, 0.05 * NM)
    other = DistanceSeen("b", -2j * NM, 2.5 * NM, 0.05 * NM)
    after = at_station(begin, [*at(one), *at(other)], seed)
    places = after.means[0] + 1j * after.means[1]
    # 1.5 nm north or south of the line between the marks (3-4-5).
    north, south = (
        float(after.weights[np.abs(places - crossing) < 0.4 * NM].sum()) for crossing in (1.5 * NM, -1.5 * NM)
    )

    assert north + south > 0.93
    assert north / (north + south) == pytest.approx(0.5, abs=0.05)


def test_one_bearing_says_a_wedge() -> None:
    """One bearing and a wide prior: a wedge from the mark, that the ellipse cannot draw."""
    begin = cloud(only(north=3 * NM, east=3 * NM, hand=radians(1.5)))
    effects = np.zeros(COUNT)
    effects[Unknown.HAND] = 1.0
    seen = BearingSeen("light", 4.0 * NM + 0j, 0.0, radians(4.5), effects)
    after = at_station(begin, at(seen), seed=5)

    assert drawn(after, motion([]), 0, seed=5).drawn.shape == "wedge"


def test_a_burst_cuts_only_the_random_part() -> None:
    """A hundred bearings of 2.5 degrees in a minute are no better than the 1.5 degrees they share.

    Across a mark 5 nm off that is 0.131 nm; at random alone it would be 0.022.
    """
    effects = np.zeros(COUNT)
    effects[Unknown.HAND] = 1.0
    begin = cloud(only(north=1e-3, east=0.5 * NM, hand=radians(1.5)))
    seen = BearingSeen("light", 5 * NM + 0j, 0.0, radians(2.5), effects)
    after = at_station(begin, at(seen) * 100, seed=5)
    spread = drawn(after, motion([]), 0, seed=5).spread

    share = 0.131**2 + 0.022**2
    assert spread.east**0.5 / NM == pytest.approx((1 / (1 / share + 1 / 0.5**2)) ** 0.5, rel=0.05)


def test_a_blunder_does_not_carry_the_boat_away() -> None:
    """A bearing 60 degrees out is taken for a blunder: the cloud stays what it was."""
    begin = cloud(only(north=0.3 * NM, east=0.3 * NM))
    after = at_station(begin, at(BearingSeen("light", 5 * NM + 0j, radians(60.0), radians(2.5))), seed=5)
    spread = drawn(after, motion([]), 0, seed=5).spread

    assert abs(spread.mean) < 0.02 * NM
    assert spread.east**0.5 / NM == pytest.approx(0.3, rel=0.03)
    assert after.mistaken["light"].min() > 0.99


def test_few_effective_samples_are_mended() -> None:
    """A line a thousandth as wide as the prior leaves some twenty samples; the cloud is then drawn anew."""
    begin = cloud(only(north=10 * NM, east=10 * NM))
    after = at_station(begin, at(DistanceSeen("light", 20 * NM + 0j, 20 * NM, 0.01 * NM)), seed=5)
    places = after.means[0] + 1j * after.means[1]
    off_nm = np.abs(20 * NM - places) / NM - 20
    near = np.abs(off_nm) < 0.1

    assert after.effective > 5_000
    assert np.unique(places).size > 10_000
    # The rest takes the range for a blunder.
    assert after.weights[near].sum() > 0.95
    share = after.weights[near] / after.weights[near].sum()
    assert float((share * off_nm[near] ** 2).sum()) ** 0.5 == pytest.approx(0.01, rel=0.05)


def test_same_seed_same_bytes_and_another_seed_others() -> None:
    """The cloud hangs on the seed and nothing else."""
    begin = cloud(only(north=NM, east=NM, hand=radians(1.5)))
    seen = at(BearingSeen("light", 5 * NM + 0j, radians(3.0), radians(2.5)))
    one, again, other = (at_station(begin, seen, seed) for seed in (5, 5, 6))

    assert one.means.tobytes() == again.means.tobytes()
    assert one.means.tobytes() != other.means.tobytes()


def test_a_bearing_is_wrapped_round_north() -> None:
    """359 seen where 1 was expected is 2 degrees less, not 358 more."""
    held = BearingSeen("light", 5 * NM + 0j, radians(359.0), radians(2.0)).hold(np.array([0j]))

    assert degrees(float(held.residual[0].real)) == pytest.approx(-1.0)
    assert held.log_blunder == pytest.approx(-np.log(2 * pi))
