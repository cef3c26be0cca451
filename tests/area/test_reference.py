"""The simulator sails what the model says, and the two references agree on what was seen from there."""

from dataclasses import replace
from math import hypot, inf, pi, radians

import numpy as np
import pytest

from area.families import Family, MarkPlan, Sight
from area.model import METRES_PER_NM, Floats, Model
from area.passages import FAMILIES, Passages, sail
from area.posterior import Posterior
from area.reference import ByImportance, by_filtering
from area.tracks import STEP_S, Leg, Track

# By what errors the growth figures are told: log and heading, all else known.
_NO_DOUBT = Model(
    departure_nm=0.0,
    log=0.0,
    compass_deg=0.0,
    variation_deg=0.0,
    swing_deg=0.0,
    leeway_factor=1.0,
    side_deg=0.0,
    threshold_kn=0.0,
    hand_deg=0.0,
    wander=0.0,
    blunder=0.0,
)
_HALF_1_2_4_HOURS = (1800, 3600, 7200, 14400)


def _straight(model: Model, stream_kn: float) -> Passages:
    leg = Leg(240, 30, speed_kn=5.0, wind="told", strongest_kn=stream_kn / 0.45)
    return sail(Family("straight", (leg,), asked_s=_HALF_1_2_4_HOURS, model=model), 40_000, seed=5)


def _off_nm(sailed: Passages) -> Floats:
    off: Floats = np.abs(sailed.deviation) / METRES_PER_NM
    return off


def test_constant_errors_grow_as_published() -> None:
    """At 5 kn, log 5 %, heading 3 deg and stream 0.3 kn an axis give the drms of the design's section 4."""
    model = replace(_NO_DOUBT, log=0.05, compass_deg=3.0, stream_memory_s=inf)

    drms = np.sqrt(np.square(_off_nm(_straight(model, 0.3))).mean(axis=0))

    assert drms == pytest.approx([0.279, 0.558, 1.115, 2.231], rel=0.02)


def test_the_simple_set_grows_as_published() -> None:
    """With a stream of 0.7 kn that forgets in 3 h the 95 % radii are those of the design's section 4."""
    model = replace(_NO_DOUBT, log=0.05, compass_deg=hypot(2.0, 2.5))

    radii = np.quantile(_off_nm(_straight(model, 0.7)), 0.95, axis=0)

    assert radii == pytest.approx([0.89, 1.75, 3.35, 6.19], rel=0.02)


def test_small_errors_act_through_the_integrals() -> None:
    """To first order a deviation is the errors times the track's integrals, on every kind of leg."""
    legs = (
        Leg(30, 315, leeway_deg=-5.0, wind="told"),
        Leg(40, 45, leeway_deg=5.0, wind="told"),
        Leg(20, 100, speed_kn=0.6),
        Leg(30, 200, wind="free"),
        Leg(30, 250, leeway_deg=4.0, wind="ordered"),
    )
    still = tuple(replace(leg, strongest_kn=0.0) for leg in legs)
    small = Model(0.0005, 5e-4, 0.01, 0.004, 0.015, 1.005, 0.05, 0.0015, wander=0.0)
    sailed = sail(Family("small", still, asked_s=(9000,), model=small), 200, seed=2)
    error = sailed.errors
    total = {name: sums[9000 // STEP_S] for name, sums in Track(legs).integrals().items()}

    turned = (
        (error.compass + error.variation) * total["D"] + error.sine * total["S"] + error.cosine * total["C"]
    )
    turned = turned + error.port * total["P"] + error.starboard * total["Q"]
    turned = turned + error.side_sine * total["U"] + error.side_cosine * total["V"]
    expected = error.start + error.log * total["D"] + 1j * turned + error.threshold * total["T"]

    assert np.median(np.abs(sailed.deviation[:, 0])) > 5.0
    ten_centimetres = 0.1
    assert np.abs(sailed.deviation[:, 0] - expected).max() < ten_centimetres


def test_a_wrong_variation_leaves_the_angle_on_the_bow_right() -> None:
    """Compass and hand-bearing compass read to the same needle: heading and bearing are out by the same."""
    model = replace(_NO_DOUBT, variation_deg=5.0)
    leg = Leg(60, 30, wind="told", strongest_kn=0.0)
    exact = Sight(3600, sd=0.0)
    sailed = sail(Family("variation", (leg,), (MarkPlan(3600),), (exact,), (3600,), model), 100, seed=3)
    seen = sailed.seen[0]

    boat = sailed.track.ep_at(3600) + sailed.deviation[:, 0]
    true_heading = np.angle(boat)
    true_on_the_bow = np.angle(seen.mark_at - boat) - true_heading
    reckoned_on_the_bow = seen.observed - radians(30)

    apart = np.angle(np.exp(1j * (true_on_the_bow - reckoned_on_the_bow)))
    assert np.abs(apart).max() < 1e-9
    assert np.abs(true_heading - radians(30)).max() > radians(5.0)


def test_blunders_come_as_often_as_said_and_again() -> None:
    """Of all entries 3 in 100 are blunders, and after one about every other next of that mark is one."""
    flags = np.stack([seen.blunder for seen in sail(FAMILIES["bursts"], 20_000, seed=4).seen])

    # Five standard errors: entries come in runs of two on average, so half of them count.
    assert flags.mean() == pytest.approx(0.03, abs=5 * (0.03 * 0.97 / (flags.size / 3)) ** 0.5)
    after_one = flags[1:][flags[:-1]]
    assert after_one.mean() == pytest.approx(0.515, abs=5 * 0.5 / after_one.size**0.5)


def test_the_narrow_cut_is_twenty_degrees_at_the_ep() -> None:
    """Seen from the EP at the hour, the two marks stand 20 degrees apart, 3 to 10 miles off."""
    sailed = sail(FAMILIES["narrow_cut"], 50, seed=6)
    first, second = (seen.mark_at - sailed.track.ep_at(3600) for seen in sailed.seen[:2])

    assert np.abs(np.angle(second / first)) == pytest.approx(radians(20))
    assert np.abs(second).min() / METRES_PER_NM >= 3.0
    assert np.abs(second).max() / METRES_PER_NM <= 10.0


@pytest.mark.parametrize("family", FAMILIES.values(), ids=FAMILIES)
def test_every_family_sails(family: Family) -> None:
    """Each family gives a truth when asked and its sightings in order; the same again by the same seed."""
    sailed, again = sail(family, 20, seed=8), sail(family, 20, seed=8)

    assert sailed.deviation.tobytes() == again.deviation.tobytes()
    assert sailed.deviation.shape == (20, len(family.asked_s))
    assert np.isfinite(sailed.deviation.view(np.float64)).all()
    seconds = [sighting.second for sighting in sailed.passage(7).sightings]
    assert seconds == sorted(sight.second for sight in family.sights)
    for seen, same in zip(sailed.seen, again.seen, strict=True):
        assert seen.observed.tobytes() == same.observed.tobytes()
        assert seen.observed.min() >= 0.0
        assert seen.kind == "range" or seen.observed.max() < 2.0 * pi


def _agree(one: Posterior, other: Posterior) -> None:
    """Hold one reference against the other along the axes of the first."""
    variances, axes = np.linalg.eigh(one.covariance())
    sd = np.sqrt(variances)
    apart = other.mean() - one.mean()
    along_axes = axes.T @ np.array([apart.real, apart.imag])
    other_sd = np.sqrt(np.diagonal(axes.T @ other.covariance() @ axes))

    assert np.abs(along_axes / sd).max() < 0.1
    assert other_sd / sd == pytest.approx(1.0, abs=0.1)
    assert other.ellipse_reach() == pytest.approx(one.ellipse_reach(), rel=0.05)


@pytest.mark.parametrize(
    ("name", "number"), [("one_light_with_a_turn", 0), ("range_only", 0), ("narrow_cut", 3)]
)
def test_the_two_references_agree(name: str, number: int) -> None:
    """Mean, spread and reach of the 95 % ellipse are the same by either."""
    sailed = sail(FAMILIES[name], 5, seed=1)
    passage = sailed.passage(number)

    by_importance = ByImportance(sailed.family, 200_000, seed=3).posteriors(passage)
    filtered = by_filtering(passage, 200_000, seed=4)

    for one, other in zip(by_importance, filtered, strict=True):
        assert min(one.thinnest, other.thinnest) > 1000
        assert one.second == other.second
        _agree(one, other)


def test_a_blundered_passage_is_among_those_agreed_on() -> None:
    """The narrow cut above holds a blunder that was repeated: agreement on it is agreement on blunders."""
    sightings = sail(FAMILIES["narrow_cut"], 5, seed=1).passage(3).sightings

    assert [sighting.blunder for sighting in sightings] == [True, False, True, False]


def test_the_two_references_agree_on_an_unsure_lookout() -> None:
    """With three entries in ten blunders, mostly repeated, both work the chain of blunders alike."""
    usual = FAMILIES["narrow_cut"]
    family = replace(usual, model=replace(usual.model, blunder=0.3, repeated=0.8))
    passage = sail(family, 5, seed=1).passage(3)

    by_importance = ByImportance(family, 200_000, seed=3).posteriors(passage)
    filtered = by_filtering(passage, 200_000, seed=4)

    for one, other in zip(by_importance, filtered, strict=True):
        assert min(one.thinnest, other.thinnest) > 1000
        _agree(one, other)


@pytest.mark.slow
@pytest.mark.parametrize("name", ["one_light_two_bearings", "range_only", "one_light_with_a_turn"])
def test_the_truth_lies_where_the_reference_says(name: str) -> None:
    """Where the truth is the model's, half the boats lie in its 50 % ellipse and 95 in 100 in the other."""
    count = 300
    sailed = sail(FAMILIES[name], count, seed=9)
    reference = ByImportance(sailed.family, 50_000, seed=10)

    # The last second asked but one is at or after the last sighting, in all three.
    parts = np.empty(count)
    for number in range(count):
        passage = sailed.passage(number)
        parts[number] = reference.posteriors(passage)[-2].part_nearer(passage.deviation[-2])

    # Three standard errors of so many passages.
    assert (parts < 0.5).mean() == pytest.approx(0.5, abs=3 * (0.5 * 0.5 / count) ** 0.5)
    assert (parts < 0.95).mean() == pytest.approx(0.95, abs=3 * (0.95 * 0.05 / count) ** 0.5)
