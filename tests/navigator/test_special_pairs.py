"""Special pairs: the handbook's two angles on the bow, and where their rules do not hold."""

import pytest

from middlewatch.navigator.advice.pair_here import pair_here
from middlewatch.navigator.advice.special_pairs import distances_off, doubt, false_by, pair_of
from middlewatch.navigator.advice.view import look
from navigator.one_light import LIGHT, advice, by_one_light, see_light

DOUBLING_36 = (36.0, 72.0, 12.0)
"""Course 193, 20 kn, 157 at 0800 and 121 at 0836."""


@pytest.mark.parametrize(
    ("first_deg", "second_deg", "run_nm", "at_second_nm", "abeam_nm", "tolerance"),
    [
        # 'Special Case Bearings' slides: doubling the angle, then bow and beam.
        (*DOUBLING_36, 12.0, None, 0.02),
        (45.0, 90.0, 5.0, None, 5.0, 0.02),
        # A Portuguese sailing course's item: 5 kn for 36 minutes.
        (45.0, 90.0, 3.0, None, 3.0, 0.02),
        # Chart-navigation quiz citing Bowditch, distance by two bearings.
        (45.0, 90.0, 3.4, None, 3.4, 0.01),
        # Hogan's rule table, NavList 1996: factors of the run.
        (30.0, 60.0, 1.0, 1.0, 0.875, 0.011),
        (22.5, 45.0, 1.0, 1.0, 0.7, 0.011),
        (26.5, 45.0, 1.0, 1.4, 1.0, 0.011),
        # Special angle fix, a skill text: rules of thumb.
        (45.0, 63.5, 1.0, None, 2.0, 0.02),
        (26.5, 90.0, 1.0, None, 0.5, 0.02),
        # Bowditch, distance of an object by two bearings: rows quoted on navigation pages (Tables 7 and 18).
        (24.0, 44.0, 1.0, 1.19, 0.83, 0.006),
        (24.0, 46.0, 1.0, 1.09, 0.78, 0.006),
        (26.0, 44.0, 1.0, 1.42, 0.98, 0.006),
        (26.0, 46.0, 1.0, 1.28, 0.92, 0.006),
        # The same table's rows from memory.
        (20.0, 40.0, 1.0, 1.00, 0.64, 0.006),
        (20.0, 30.0, 1.0, 1.97, 0.98, 0.006),
        # A worked example by that table, its factors averaged from four rows: 315 at 12 kn, 340 and 000.
        (25.0, 45.0, 6.0, 7.47, 5.265, 0.08),
        # A US Coast Guard examination question, its key not seen: 20 kn for 23 minutes.
        (22.5, 45.0, 20.0 * 23 / 60, None, 5.42, 0.08),
    ],
)
def test_distances_off_are_the_handbook_s(
    *,
    first_deg: float,
    second_deg: float,
    run_nm: float,
    at_second_nm: float | None,
    abeam_nm: float | None,
    tolerance: float,
) -> None:
    """Run by the sine rule, at the second bearing and when abeam, as the sources print it."""
    at_second, abeam = distances_off(first_deg, second_deg, run_nm)

    for found, printed in ((at_second, at_second_nm), (abeam, abeam_nm)):
        assert printed is None or found == pytest.approx(printed, abs=tolerance)


@pytest.mark.parametrize(
    ("first_deg", "name"),
    [
        (45.4, "Bow and beam"),
        (26.6, "26.5 and 45"),
        (22.4, "22.5 and 45"),
        (30.0, "30 and 60"),
        (36.0, "Doubling the angle"),
    ],
)
def test_a_first_angle_begins_its_pair(first_deg: float, name: str) -> None:
    """The named pairs within a degree; any other angle worth it is doubled."""
    pair = pair_of(first_deg)

    assert pair is not None
    assert pair.name == name


@pytest.mark.parametrize("first_deg", [5.0, 75.0, 120.0])
def test_an_angle_too_fine_or_too_far_aft_begins_none(first_deg: float) -> None:
    """No rule is offered for it."""
    assert pair_of(first_deg) is None


def test_in_still_water_no_rule_is_false() -> None:
    """Run over the ground as through the water: nothing is wrong."""
    pair = pair_of(45.0)

    assert pair is not None
    assert false_by(pair, 5j, 5j, to_starboard=True) == pytest.approx(0.0, abs=1e-12)


def test_a_fair_stream_makes_bow_and_beam_false_by_its_part_of_the_run() -> None:
    """One knot of fair stream at 5 kn: 3.6 miles off for the rule's 3.0 (constructed, by hand)."""
    pair = pair_of(45.0)

    assert pair is not None
    assert false_by(pair, 5j, 6j, to_starboard=False) == pytest.approx(0.2)


def test_bearings_in_doubt_make_bow_and_beam_doubtful() -> None:
    """The distance hangs on the second bearing, abeam, and twice on the first: 2 of the run a radian."""
    pair = pair_of(45.0)

    # By hand: d = r sin A / sin (B - A); at 45 and 90 its derivatives are 2 r and -1 r a radian.
    assert pair is not None
    assert doubt(pair, 1.0) == pytest.approx(5.0**0.5 * 0.0174533, rel=1e-5)


def test_the_angle_on_the_bow_is_from_the_course_through_the_water_leeway_in_it() -> None:
    """Ten degrees of leeway to port: 45 on the bow of the heading, 090, is 35 from the way made good, 080."""
    boat = by_one_light()
    boat.order(kind="leeway", leeway_deg=10, pushed_to="port")
    boat.run(60)
    see_light(boat)
    boat.run(1)
    text = advice(boat)[-1].text

    assert "Doubling the angle (first bearing 36 on the bow at 0101)" in text
    assert "from the course through the water 080 T" in text
    assert "Bow and beam" not in text


def test_a_course_altered_since_the_first_bearing_makes_the_rule_refused() -> None:
    """Fifteen degrees towards the light after the first bearing: the rule knows of one leg only."""
    boat = by_one_light()
    boat.run(60)
    see_light(boat)
    boat.run(300)
    boat.heading_magnetic_deg = 80.0
    boat.run(200)
    view = look(boat.navigator.room)

    assert view is not None
    said = pair_here(boat.navigator.room, view, view.firsts[LIGHT.name][-1])
    assert said is not None
    assert said.startswith(
        "30 and 60 (first bearing 31 on the bow at 0101) does not hold: the course has been"
    )
