"""Advice: which sight is said to make the area smallest, when, in which words, and how rarely."""

from itertools import pairwise

import numpy as np
import pytest

from benchmarks.advice import compare
from middlewatch.navigator.advice.advised import RARELY_MS, Act, Advised
from middlewatch.navigator.advice.prospect import Prospect
from middlewatch.navigator.advice.view import look
from middlewatch.navigator.area.cloud import begun
from middlewatch.navigator.area.seen import BearingSeen
from middlewatch.navigator.area.unknowns import Priors
from middlewatch.navigator.navigator import Navigator
from middlewatch.quantities.lengths import METRES_PER_NM
from middlewatch.wire.payloads import payload
from middlewatch.wire.topics import retained, topic_of
from navigator.one_light import LIGHT, advice, by_one_light, see_light


@pytest.mark.parametrize("off_nm", [10.0, 20.0])
def test_a_far_mark_shrinks_a_round_area_as_the_closed_form_says(off_nm: float) -> None:
    """Both nearly linear and Gaussian: root of R / (R + V), but for the blunders that a bearing may be."""
    priors = Priors()
    cloud = begun(0, priors.mean(), priors.covariance(1.0), 20_000)
    prospect = Prospect(cloud, [], [0], seed=1)
    sought = BearingSeen("mark", off_nm * METRES_PER_NM + 0j, 0.0, np.radians(2.5))
    across_nm = off_nm * np.radians(2.5)
    closed_form = (across_nm**2 / (across_nm**2 + 1.0)) ** 0.5
    moment = prospect.moments[0]

    assert prospect.shrinks_to(moment, sought) == pytest.approx(closed_form, rel=0.06)
    hoped = prospect.after(moment, sought).size_m2 / moment.unseen().size_m2
    assert closed_form * 0.95 < hoped < closed_form * 1.3


def test_after_a_bearing_on_the_bow_the_next_is_awaited_in_whole_tens_and_why() -> None:
    """One light 46 on the bow: the whole text, its figures, and the topic."""
    boat = by_one_light()
    boat.run(60)
    see_light(boat)
    boat.run(1)
    newest = advice(boat)[-1]

    assert topic_of(newest) == "advice"
    assert retained(newest)
    assert newest.sight is not None
    assert newest.sight.at.ms - newest.at.ms >= 5 * 60_000
    assert newest.sight.wait_for_true_deg in {10.0 * ten for ten in range(36)}
    assert newest.sight.wait_for_magnetic_deg in {10.0 * ten for ten in range(36)}
    assert newest.text == (
        "Wait until Inner Light bears 020 T (020 M), about 0125: a bearing then makes the area about 1.76 nm"
        " (long half axis, 95 in 100), 2.50 nm without. For the running fix: earlier, now, the lines cut at 0"
        " degrees and leave 2.41 nm; later, at 0200, the longer run between them leaves 2.04 nm. Bow and beam"
        " (first bearing 46 on the bow at 0101), from the course through the water 090 T: the log's run until"
        " it is on the beam is the distance the mark is passed at, in still water, out by 10% of the run"
        " through the bearings alone. You pass it 3.1 nm off, between 1.7 and 4.9 (95 in 100), abeam at 0136."
    )
    assert '"sight":{"kind":"bearing","mark":"Inner Light","at":"2026-05-03T01:25:00.000Z"' in payload(newest)


def test_without_new_entries_advice_is_given_at_most_each_ten_minutes() -> None:
    """Half an hour by a light: no two are closer, and what is for now names no bearing."""
    boat = by_one_light()
    boat.run(5)
    entered = len(advice(boat))
    boat.run(1800)
    given = advice(boat)

    assert len(given) > entered
    assert all(one.at.ms - other.at.ms >= RARELY_MS for other, one in pairwise(given[entered - 1 :]))
    at_once = [each.sight for each in given if each.sight is not None and each.sight.at == each.at]
    assert at_once
    assert all(each.wait_for_true_deg is None for each in at_once)


def test_no_mark_within_reach_is_said_so() -> None:
    """No marks file: there is nothing to sight, and the area is told."""
    boat = by_one_light()
    boat.navigator.room.marks = {}
    boat.run(2)

    assert advice(boat)[-1].sight is None
    assert advice(boat)[-1].text.startswith("No mark is within reach in the coming half hour: the area is 2.")


def test_a_strong_stream_by_order_makes_the_pair_refused() -> None:
    """Three knots of fair stream: bow and beam would be out by more than half of the run."""
    boat = by_one_light()
    boat.order(kind="stream", set_deg=90, drift_kn=3)
    boat.run(60)
    see_light(boat)
    boat.run(1)

    assert "does not hold: by the stream ordered its rule is out by" in advice(boat)[-1].text


def test_ranges_are_looked_at_only_for_a_crew_that_has_taken_one() -> None:
    """No range is thought of before a range was entered; afterwards one is."""
    boat = by_one_light()
    boat.run(10)
    before = look(boat.navigator.room)
    boat.sighting(kind="range", mark=LIGHT.name, distance_nm=4.2)
    after = look(boat.navigator.room)

    assert before is not None
    assert after is not None
    assert {each.kind for each in before.sights} == {"bearing"}
    assert {each.kind for each in after.sights} == {"bearing", "range"}


@pytest.mark.slow
@pytest.mark.parametrize(("marks", "than_chance"), [(1, 1.0), (3, 1.0)])
def test_following_the_advice_leaves_a_smaller_area(marks: int, than_chance: float) -> None:
    """Ten passages; `benchmarks/advice.py` sails 500 and prints the factors."""
    found = compare(10, marks)

    assert found.after["30 degrees"] > 1.1 * found.after["advice"]
    assert found.over["chance"] > than_chance * found.over["advice"]
    assert found.bearings["chance"] == found.bearings["advice"]


def test_the_same_history_gives_the_same_advice_and_state() -> None:
    """Two navigators that heard the same say the same, and keep what was advised over a restart."""
    boats = [by_one_light(), by_one_light()]
    for boat in boats:
        boat.run(60)
        see_light(boat)
        boat.run(2)
    one, other = boats
    woken = Navigator(one.navigator.room.tuning, one.navigator.room.marks, one.navigator.room.reader)
    woken.thaw(one.navigator.freeze(), one.navigator.drain())

    assert [payload(each) for each in advice(one)] == [payload(each) for each in advice(other)]
    assert one.navigator.freeze() == other.navigator.freeze()
    assert woken.room.advised == one.navigator.room.advised


def test_an_alert_alone_does_not_turn_now_into_later() -> None:
    """The same mark, within ten minutes, with no entry since: nothing new is said."""
    advised = Advised(said_ms=0, act=Act("bearing", "Inner Light", False, 1.0), alerted=True)

    assert not advised.take(Act("bearing", "Inner Light", True, 1.1), 60_000)
    assert advised.take(Act("bearing", "Inner Light", True, 1.3), 60_000)
