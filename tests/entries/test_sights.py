"""Sightings: what line each makes, by what chain, and how it stands to the reckoning."""

from math import degrees, hypot, sqrt

import pytest

from entries.entering import FIVE_WEST, MARKS, START, Aboard
from entries.vincenty import direct
from middlewatch.navigator.tuning import Tuning
from middlewatch.quantities.angles import turn
from middlewatch.reports.answer import Answer, SightingAnswer

STEERING_CARD = ((0.0, 2.0), (90.0, -4.0), (180.0, -2.0), (270.0, 4.0))
"""Deviation by the heading on the steering compass: at 099 it is 3.8 W."""

SAMPLED_NM = 4 * 0.05 / sqrt(20_000)
SAMPLED_DEG = degrees(SAMPLED_NM / 6.0)
"""How well a mean over 20,000 samples is known (four sigma) a minute after a departure known to 0.05 nm."""


def departed(tuning: Tuning | None = None) -> Aboard:
    """Return a boat that departed a minute ago, heading 095 M, 090 T by a rose of 5 W."""
    boat = Aboard(tuning)
    boat.run(10)
    boat.depart()
    boat.run(50)
    return boat


def seen(answer: Answer) -> SightingAnswer:
    """Return what a sighting's answer says of it."""
    assert answer.sighting is not None, answer.refusal
    return answer.sighting


# --- bearings -----------------------------------------------------------------------------------------------


def test_magnetic_bearing() -> None:
    """248 M, variation 5 W, is 243 T: the hand-bearing compass has no deviation."""
    chain = seen(departed().sighting(id="b1", kind="bearing", mark="Bolt Head", bearing_deg=248)).chain

    assert chain is not None
    assert (chain.compass_deg, chain.deviation_deg) == (None, None)
    assert (chain.magnetic_deg, chain.variation_deg) == (248.0, -5.0)
    assert chain.variation_source == "chart rose 5.00 W in 2026, no annual change"
    assert chain.true_deg == pytest.approx(243.0, abs=1e-9)


def test_true_bearing() -> None:
    """A true bearing is a true bearing."""
    chain = seen(
        departed().sighting(kind="bearing", mark="Bolt Head", bearing_deg=243, reference="true")
    ).chain

    assert chain is not None
    assert (chain.magnetic_deg, chain.variation_deg, chain.true_deg) == (None, None, 243.0)


def test_compass_bearing_takes_the_deviation_of_the_ships_head() -> None:
    """Head 095 M: on the card 099 C - 3.8 = 95.2, so 098.8 C; deviation there 3.8 W, whatever the bearing."""
    boat = departed(Tuning(variation=FIVE_WEST, steering_card=STEERING_CARD))
    chain = seen(boat.sighting(kind="bearing", mark="Bolt Head", bearing_deg=252, reference="compass")).chain

    # Between 090 (4 W) and 180 (2 W): at compass c the deviation is -4 + 2 (c - 90) / 90, and c + that = 95.
    compass_head = (95 + 4 + 2) / (1 + 2 / 90)
    deviation = -4 + 2 * (compass_head - 90) / 90
    assert chain is not None
    assert chain.compass_deg == 252.0
    assert chain.deviation_deg == pytest.approx(deviation, abs=1e-6)
    assert chain.magnetic_deg == pytest.approx(252 + deviation, abs=1e-6)
    assert chain.true_deg == pytest.approx(252 + deviation - 5, abs=1e-6)


def test_relative_bearing_is_from_the_bow() -> None:
    """153 from the bow of a boat heading 095 M is 248 M, 243 T."""
    chain = seen(
        departed().sighting(kind="bearing", mark="Bolt Head", bearing_deg=153, reference="relative")
    ).chain

    assert chain is not None
    assert chain.magnetic_deg == pytest.approx(248.0, abs=1e-9)
    assert chain.true_deg == pytest.approx(243.0, abs=1e-9)


def test_the_line_of_a_bearing() -> None:
    """A ray from the boat to the mark, drawn from the mark; 2.5 degrees unless the entry says otherwise."""
    boat = departed()
    answer = boat.sighting(id="b1", kind="bearing", mark="Bolt Head", bearing_deg=248)
    closer = boat.sighting(id="b2", kind="bearing", mark="Bolt Head", bearing_deg=248, sd_deg=1)

    line = seen(answer).line
    assert line is not None
    assert (line.shape, line.sd_deg, line.at) == ("ray", 2.5, answer.at)
    assert (line.latitude_deg, line.longitude_deg) == (49.95, -4.2)
    assert line.bearing_deg == pytest.approx(243.0, abs=1e-9)
    assert seen(closer).line.sd_deg == 1  # type: ignore[union-attr]  # the line was seen above
    assert seen(answer).pencil == (
        "0101: from Bolt Head draw 063 T (bearing 243 T, 248 M); label 0101; "
        "no fix: one line, and nothing within 3 h to cross it with"
    )


def test_expected_and_residual_are_told_after_the_entry() -> None:
    """Expected: the mark's bearing from where the boat may be; residual: entered less expected."""
    boat = departed()
    answer = seen(boat.sighting(kind="bearing", mark="Bolt Head", bearing_deg=250))

    # A minute after a departure nothing is known beyond the EP.
    expected, _ = boat.ep_at(60).to(MARKS["Bolt Head"].position)
    assert answer.expected_deg == pytest.approx(expected, abs=SAMPLED_DEG)
    assert answer.expected_deg is not None
    assert answer.residual_deg is not None
    assert answer.residual_deg == pytest.approx(turn(answer.expected_deg, 245.0), abs=1e-9)
    # Noise of 2.5 degrees; 1.5 shared by all bearings of one hand, and 0.4 of variation; 0.05 nm at 8.4 nm.
    assert answer.unusual_sigma == pytest.approx(
        abs(answer.residual_deg) / hypot(2.5, 1.5, 0.4, degrees(0.05 / 8.4)), rel=0.01
    )


def test_a_bearing_of_a_mark_behind_is_most_unusual() -> None:
    """Taken the wrong way round: the mark is half a circle off and miles away, which is not nothing."""
    boat = departed()
    true_deg = boat.ep_at(boat.seconds).to(MARKS["Start Point"].position)[0]

    answer = boat.sighting(
        kind="bearing", mark="Start Point", bearing_deg=(true_deg + 180) % 360, reference="true"
    )

    assert answer.sighting is not None
    assert answer.sighting.residual_deg is not None
    assert abs(answer.sighting.residual_deg) == pytest.approx(180.0, abs=1.0)
    assert answer.sighting.unusual_sigma is not None
    assert answer.sighting.unusual_sigma > 10.0


def test_expected_is_of_the_sights_own_second() -> None:
    """A bearing entered ten minutes late is held against where the boat may have been then."""
    boat = departed()
    boat.run(600)
    late = seen(boat.sighting(kind="bearing", mark="Bolt Head", bearing_deg=250, ago_s=600))

    expected, _ = boat.ep_at(60).to(MARKS["Bolt Head"].position)
    assert late.expected_deg == pytest.approx(expected, abs=SAMPLED_DEG)


def test_nothing_is_expected_before_a_departure() -> None:
    """There is no EP to hold a sight against; its line is drawn all the same."""
    boat = Aboard()
    boat.run(60)
    answer = seen(boat.sighting(kind="bearing", mark="Bolt Head", bearing_deg=250))

    assert (answer.expected_deg, answer.residual_deg, answer.unusual_sigma) == (None, None, None)
    assert answer.line is not None


def test_before_a_departure_the_variation_is_that_at_the_sighted_mark() -> None:
    """By the magnetic model at the mark, as its source says; the heading is made true by it from then on."""
    boat = Aboard(Tuning())
    boat.run(60)
    assert boat.position.heading_true_deg is None

    chain = seen(boat.sighting(id="b1", kind="bearing", mark="Bolt Head", bearing_deg=250)).chain
    boat.run(1)

    assert chain is not None
    assert chain.variation_source == "WMM2025 at 49 57 N 004 12 W, 2026.3"
    assert chain.variation_deg is not None
    assert boat.position.heading_true_deg == pytest.approx(95.0 + chain.variation_deg, abs=1e-9)


def test_the_first_mark_sighted_gives_the_variation_until_a_departure() -> None:
    """A second mark changes nothing: one variation is in use."""
    boat = Aboard(Tuning())
    boat.run(60)
    boat.sighting(id="b1", kind="bearing", mark="Bolt Head", bearing_deg=250)
    boat.run(60)

    chain = seen(boat.sighting(id="b2", kind="bearing", mark="Stoke Point", bearing_deg=50)).chain
    assert chain is not None
    assert chain.variation_source == "WMM2025 at 49 57 N 004 12 W, 2026.3"


# --- a light not yet known ----------------------------------------------------------------------------------


def test_a_bearing_of_a_light_not_known_is_kept_open() -> None:
    """No mark, a note: accepted, open, not used, and the true bearing is told."""
    boat = departed()
    answer = boat.sighting(id="b1", kind="bearing", bearing_deg=250, note="two flashes every twelve seconds")

    assert (answer.accepted, answer.used, answer.open) == (True, False, True)
    assert seen(answer).line is None
    assert seen(answer).chain is not None
    assert seen(answer).pencil == "no mark yet: kept open until amended with one"
    assert boat.navigator.room.plot.lines == {}


def test_a_bearing_amended_with_its_mark_makes_its_line_and_fix() -> None:
    """Once the light is known the line is drawn at its own time, and fixes with one of another mark."""
    boat, knew = departed(), departed()
    for each in (boat, knew):
        each.sighting(id="b1", kind="bearing", mark="Start Point", bearing_deg=340)
        each.run(30)
    boat.sighting(id="b2", kind="bearing", bearing_deg=250, note="two flashes")
    knew.sighting(id="b2", kind="bearing", bearing_deg=250, note="two flashes", mark="Bolt Head")
    for each in (boat, knew):
        each.run(100)

    said = boat.hear("order", {"kind": "amend", "entry": "b2", "change": {"mark": "Bolt Head"}})

    amended = [report for report in said if isinstance(report, Answer)]
    assert [answer.id for answer in amended] == ["e4", "b2"]
    assert amended[0].effect == "bearing b2 amended: mark Bolt Head (was not given); fixes: f-b2"
    assert (amended[1].used, amended[1].open) == (True, False)
    assert seen(amended[1]).fix == "f-b2"
    assert boat.navigator.room.plot.lines == knew.navigator.room.plot.lines
    assert boat.fixes() == knew.fixes()


def test_a_light_not_known_cannot_be_confirmed() -> None:
    """It wants a mark first."""
    boat = departed()
    boat.sighting(id="b1", kind="bearing", bearing_deg=250, note="two flashes")

    refusal = boat.order(kind="confirm", entry="b1").refusal
    assert refusal is not None
    assert refusal.wanted == "amend, with a mark"


def test_a_bearing_that_meets_no_other_ahead_is_told_so() -> None:
    """Taken backwards, Bolt Head would lie astern of the crossing: no fix, and the question why."""
    boat = departed()
    boat.sighting(id="b1", kind="bearing", mark="Start Point", bearing_deg=340)
    answer = boat.sighting(id="b2", kind="bearing", mark="Bolt Head", bearing_deg=70)

    assert seen(answer).fix is None
    pencil = seen(answer).pencil
    assert pencil is not None
    assert pencil.endswith("do not meet ahead: reciprocal or wrong mark?")


# --- the others ---------------------------------------------------------------------------------------------


def test_range() -> None:
    """A circle round the mark; 5 % of the distance unless the entry says otherwise; expected in miles."""
    boat = departed()
    answer = seen(boat.sighting(id="r1", kind="range", mark="Bolt Head", distance_nm=8))
    closer = seen(boat.sighting(id="r2", kind="range", mark="Bolt Head", distance_nm=8, sd_nm=0.1))

    assert answer.line is not None
    assert closer.line is not None
    assert (answer.line.shape, answer.line.radius_nm) == ("circle", 8)
    assert answer.line.sd_nm == pytest.approx(0.4)
    assert closer.line.sd_nm == 0.1
    distance = boat.ep_at(60).to(MARKS["Bolt Head"].position)[1]
    assert answer.expected_nm == pytest.approx(distance, abs=SAMPLED_NM)
    assert answer.expected_nm is not None
    assert answer.residual_nm == pytest.approx(8 - answer.expected_nm, abs=1e-9)
    assert answer.chain is None


def test_transit() -> None:
    """A ray through both marks: bearing of the rear one from the front one, by an independent geodesic."""
    boat = departed()
    answer = seen(boat.sighting(kind="transit", mark="Gammon Beacon", rear_mark="Stoke Point"))

    assert answer.line is not None
    assert answer.line.shape == "ray"
    assert (answer.line.latitude_deg, answer.line.longitude_deg) == (50.02, -3.9)
    front, rear = MARKS["Gammon Beacon"].position, MARKS["Stoke Point"].position
    assert answer.line.bearing_deg is not None
    there = direct(front.latitude_deg, front.longitude_deg, answer.line.bearing_deg, front.to(rear)[1] * 1852)
    assert there == pytest.approx((rear.latitude_deg, rear.longitude_deg), abs=1e-8)
    assert answer.chain is None


@pytest.mark.parametrize(("side", "boat_bears_deg"), [("port", 180.0), ("starboard", 0.0)])
def test_passing(side: str, boat_bears_deg: float) -> None:
    """Heading 090 T with the mark abeam to port, the boat is 300 m south of it; to starboard, north."""
    answer = seen(departed().sighting(kind="passing", mark="Gammon Beacon", side=side, distance_m=300))

    place = direct(50.02, -3.9, boat_bears_deg, 300)
    assert answer.line is not None
    assert answer.line.shape == "point"
    assert (answer.line.latitude_deg, answer.line.longitude_deg) == pytest.approx(place, abs=1e-8)
    # Three tenths of the distance, a common guess by eye (judgement).
    assert answer.line.sd_nm == pytest.approx(90 / 1852)


def test_passing_before_a_departure_makes_a_fix_by_itself() -> None:
    """The first entry of all: the head is made true by the variation at the mark, and the point is a fix."""
    boat = Aboard(Tuning())
    boat.run(60)
    answer = boat.sighting(id="p1", kind="passing", mark="Gammon Beacon", side="port", distance_m=300)

    assert answer.used
    assert seen(answer).fix == "f-p1"


def test_position_from_elsewhere_is_a_point_and_a_fix() -> None:
    """A radar plot's position is used as it is, and says so by its source."""
    boat = departed()
    answer = boat.sighting(
        id="p1", kind="position", latitude_deg=50.001, longitude_deg=-3.998, sd_nm=0.1, source="radar"
    )

    assert answer.used
    assert seen(answer).fix == "f-p1"
    assert [fix.sightings for fix in boat.fixes()] == [("p1",)]


def test_a_satellite_position_is_kept_and_drawn_and_never_used() -> None:
    """`used: false`: its point is given for drawing, no line stands on the plot, no fix comes of it."""
    boat = departed()
    boat.sighting(id="b1", kind="bearing", mark="Start Point", bearing_deg=340)
    answer = boat.sighting(
        id="p1", kind="position", latitude_deg=50.001, longitude_deg=-3.998, sd_nm=0.01, source="satellite"
    )

    assert (answer.accepted, answer.used) == (True, False)
    line = seen(answer).line
    assert line is not None
    assert line.shape == "point"
    assert seen(answer).fix is None
    assert seen(answer).pencil is not None
    assert str(seen(answer).pencil).endswith("a satellite position is kept and drawn, never used")
    assert list(boat.navigator.room.plot.lines) == ["b1"]
    assert boat.fixes() == []


def test_a_mark_may_be_a_place() -> None:
    """A mark that is in no file is told by its latitude and longitude."""
    boat = departed()
    place = {"latitude_deg": 50.1, "longitude_deg": -4.05}
    answer = seen(boat.sighting(kind="bearing", mark=place, bearing_deg=340))

    assert answer.line is not None
    assert (answer.line.latitude_deg, answer.line.longitude_deg) == (50.1, -4.05)
    assert str(answer.pencil).startswith("0101: from 50 06.00 N 004 03.00 W draw 155 T")


def test_departed_where_told() -> None:
    """The tests' own footing: a minute's run at 6 kn on 090 T from the departure at ten seconds."""
    boat = departed()

    assert boat.ep_at(60) == boat.dr_at(60)
    east_nm = START.to(boat.ep_at(60))[1]
    assert east_nm == pytest.approx(50 * 6 / 3600, abs=1e-4)
