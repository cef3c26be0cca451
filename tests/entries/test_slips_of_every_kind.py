"""Slips of sextant angles, lights, soundings, transits and points, and what is said beside them.

What each slip does is a definition: figures change places, a mark is taken for another, a time of day is an
hour out. Expected figures are worked from the EP, by the geometry each sighting stands for.
"""

import pytest

from entries.entering import MARKS, START, Aboard, utc
from middlewatch.navigator.navigator import Navigator
from middlewatch.navigator.tuning import Tuning, VariationChoice
from middlewatch.quantities.instants import Instant
from middlewatch.quantities.positions import Position
from middlewatch.readings.marks import Contour, Mark, Sector
from middlewatch.reports.answer import Answer, SightingAnswer, SlipReport
from middlewatch.wire import entries

TOWER = Mark(
    "Tower", START.along(20.0, 2.5), height_m=40.0, range_nm=15.0, datum="MHWS",
    sectors=(Sector("red", 40.0, 60.0), Sector("white", 60.0, 100.0)),
)  # fmt: skip
HILL = Mark(
    "Hill", START.along(120.0, 4.0), height_m=90.0, range_nm=15.0, datum="MHWS",
    sectors=(Sector("red", 90.0, 180.0), Sector("white", 200.0, 240.0)),
)  # fmt: skip
PERCH = Mark("Perch", START.along(95.0, 0.5).along(5.0, 0.2))
NEAR = Contour("ten metres", 10.0, (START.along(0.0, 1.5), START.along(90.0, 1.5)), 100.0, 100.0)
FAR = Contour("twenty metres", 20.0, (START.along(170.0, 4.0), START.along(120.0, 8.0)), 100.0, 100.0)
SET = Tuning(
    variation=VariationChoice("chart", 0.0, 2026.0), contours=(NEAR, FAR), heights_datum_m=5.0
)  # fmt: skip
MORE = {**MARKS, "Tower": TOWER, "Hill": HILL, "Perch": PERCH}


def afloat(seconds: int = 300, speed_kn: float = 6.0, marks: dict[str, Mark] = MORE) -> Aboard:
    """Return a boat some time after her departure, heading 095."""
    boat = Aboard(SET)
    boat.navigator = Navigator(SET, marks, entries)
    boat.speed_kn = speed_kn
    boat.run(10)
    boat.depart()
    boat.run(seconds)
    return boat


def ep(boat: Aboard, ago_s: int = 0) -> Position:
    """Return the EP so many seconds ago."""
    return boat.ep_at(boat.seconds - ago_s)


def bearing_deg(boat: Aboard, mark: str) -> float:
    """Return how a mark bears from the EP, true."""
    return ep(boat).to(MORE[mark].position)[0]


def angle_deg(boat: Aboard, left: str, right: str) -> float:
    """Return the angle from one mark clockwise to another, in tenths of a degree."""
    return round((bearing_deg(boat, right) - bearing_deg(boat, left)) % 360.0, 1)


def angle_min(boat: Aboard, mark: str, over_sea_m: float) -> float:
    """Return how high a mark stands, by 1.8562 H / d (Bowditch's 1854.3 and 3438 in one), tenths of 1'."""
    return round(1.8562 * over_sea_m / ep(boat).to(MORE[mark].position)[1], 1)


def said(answer: Answer) -> SightingAnswer:
    """Return what is said of a sighting that must be left open."""
    assert answer.accepted, answer.refusal
    assert answer.sighting is not None
    assert answer.open, answer.sighting
    return answer.sighting


def first(answer: Answer) -> SlipReport:
    """Return the slip named first."""
    assert said(answer).slips, said(answer)
    return said(answer).slips[0]


# --- angles -------------------------------------------------------------------------------------------------


def horizontal(boat: Aboard, left: str, right: str, entered_deg: float) -> Answer:
    """Enter a horizontal angle."""
    return boat.sighting(kind="horizontal_angle", mark=left, second_mark=right, angle_deg=entered_deg)


def test_a_horizontal_angle_with_its_marks_named_the_wrong_way_round() -> None:
    """The right mark entered as the left one: the pair that fits is named, the angle stands."""
    boat = afloat()
    seen_deg = angle_deg(boat, "Start Point", "Stoke Point")

    slip = first(horizontal(boat, "Stoke Point", "Start Point", seen_deg))
    assert (slip.slip, slip.mark, slip.value) == ("other mark", "Start Point to Stoke Point", seen_deg)


def test_a_horizontal_angle_to_another_mark() -> None:
    """The Tower taken for Stoke Point."""
    boat = afloat()
    seen_deg = angle_deg(boat, "Start Point", "Tower")

    slip = first(horizontal(boat, "Start Point", "Stoke Point", seen_deg))
    assert (slip.slip, slip.mark, slip.value) == ("other mark", "Start Point to Tower", seen_deg)


@pytest.mark.parametrize(("slip", "off_deg"), [("ten out", 10.0), ("ten out", -10.0), ("hundred out", 100.0)])
def test_a_horizontal_angle_misread(slip: str, off_deg: float) -> None:
    """Ten or a hundred degrees out on the arc: undone it is the angle that was seen."""
    boat = afloat(marks={name: MORE[name] for name in ("Start Point", "Stoke Point")})
    seen_deg = angle_deg(boat, "Start Point", "Stoke Point")

    found = first(horizontal(boat, "Start Point", "Stoke Point", seen_deg + off_deg))
    assert found.slip == slip
    assert found.value == pytest.approx(seen_deg)


def test_a_horizontal_angle_with_its_digits_swapped() -> None:
    """37.9 for 73.9: the whole degrees changed places."""
    boat = afloat(marks={name: MORE[name] for name in ("Start Point", "Stoke Point")})
    seen_deg = angle_deg(boat, "Start Point", "Stoke Point")
    whole = int(seen_deg)
    entered_deg = whole % 10 * 10 + whole // 10 + seen_deg % 1

    found = first(horizontal(boat, "Start Point", "Stoke Point", entered_deg))
    assert found.slip == "digits swapped"
    assert found.value == pytest.approx(seen_deg)


def vertical(boat: Aboard, mark: str, entered_min: float) -> Answer:
    """Enter a vertical angle; with 3 m of tide the Tower stands 42 m over the sea, the Hill 92."""
    return boat.sighting(
        kind="vertical_angle", mark=mark, angle_min=entered_min, index_error_min=0.0, tide_m=3.0
    )


def test_a_vertical_angle_with_its_digits_swapped() -> None:
    """The whole minutes changed places; the tenths stand."""
    boat = afloat(marks={"Tower": TOWER})
    seen_min = angle_min(boat, "Tower", 42.0)
    whole = int(seen_min)
    entered_min = whole % 10 * 10 + whole // 10 + seen_min % 1

    found = first(vertical(boat, "Tower", entered_min))
    assert found.slip == "digits swapped"
    assert found.value == pytest.approx(seen_min)


def test_a_vertical_angle_ten_out() -> None:
    """Ten minutes too small on the drum: she would be far further off."""
    boat = afloat(marks={"Tower": TOWER})
    seen_min = angle_min(boat, "Tower", 42.0)

    found = first(vertical(boat, "Tower", seen_min - 10.0))
    assert found.slip == "ten out"
    assert found.value == pytest.approx(seen_min)


def test_a_vertical_angle_of_another_mark() -> None:
    """The Hill taken for the Tower: worked with the Hill's own height it fits, and the angle stands."""
    boat = afloat()
    seen_min = angle_min(boat, "Hill", 92.0)

    found = first(vertical(boat, "Tower", seen_min))
    assert (found.slip, found.mark, found.value) == ("other mark", "Hill", seen_min)


# --- distances ----------------------------------------------------------------------------------------------


def far_mark(off_nm: float) -> dict[str, Mark]:
    """Return one mark, so far off the EP on the port bow."""
    return {"Far": Mark("Far", ep(afloat()).along(60.0, off_nm))}


@pytest.mark.parametrize(
    ("seen_nm", "entered_nm"), [(5.2, 2.5), (12.5, 15.2), (12.5, 21.5), (2.35, 3.25), (0.5, 5.0)]
)
def test_a_distance_with_its_digits_swapped(seen_nm: float, entered_nm: float) -> None:
    """Two neighbouring figures changed places, of the miles or across the point; undone, it is as seen."""
    boat = afloat(marks=far_mark(seen_nm))

    found = first(boat.sighting(kind="range", mark="Far", distance_nm=entered_nm))
    assert (found.slip, found.value) == ("digits swapped", seen_nm)


def test_a_distance_nobody_wrote_by_hand_has_no_digits_to_swap() -> None:
    """Thousandths of a mile come from an instrument: 2.513 for 5.213 is not offered as a slip of the pen."""
    boat = afloat(marks=far_mark(5.213))

    slips = said(boat.sighting(kind="range", mark="Far", distance_nm=2.513)).slips
    assert "digits swapped" not in {slip.slip for slip in slips}


def test_a_good_distance_is_not_accused_of_its_digits() -> None:
    """5.2 nm that are 5.2: nothing is unusual, and no slip is offered whatever its figures might be."""
    answer = afloat(marks=far_mark(5.2)).sighting(kind="range", mark="Far", distance_nm=5.2)

    assert not answer.open
    assert answer.sighting is not None
    assert answer.sighting.slips == ()


# --- lights, soundings, transits ----------------------------------------------------------------------------


def test_a_transit_of_other_marks() -> None:
    """The Tower over Start Point, entered with Bolt Head in front: the pair is named, with its bearing."""
    behind = Mark("Behind", TOWER.position.along(bearing_deg(afloat(), "Tower"), 1.0))
    boat = afloat(marks={**MORE, "Behind": behind})

    found = first(boat.sighting(kind="transit", mark="Bolt Head", rear_mark="Behind"))
    assert (found.slip, found.mark) == ("other mark", "Tower over Behind")
    assert found.value == pytest.approx(TOWER.position.to(behind.position)[0], abs=1e-9)


def test_a_transit_named_the_wrong_way_round() -> None:
    """The rear mark entered as the front one: from there she could not have seen it so."""
    behind = Mark("Behind", TOWER.position.along(bearing_deg(afloat(), "Tower"), 1.0))
    boat = afloat(marks={"Tower": TOWER, "Behind": behind})

    found = first(boat.sighting(kind="transit", mark="Behind", rear_mark="Tower"))
    assert (found.slip, found.mark) == ("other mark", "Tower over Behind")


def test_a_colour_of_another_light() -> None:
    """Red is shown her by the Hill, not by the Tower: told with the bearing the Hill is expected on."""
    boat = afloat()

    found = first(boat.sighting(kind="sector", mark="Tower", colour="red"))
    assert (found.slip, found.mark) == ("other mark", "Hill")
    assert found.value == pytest.approx(bearing_deg(boat, "Hill"), abs=1e-9)


@pytest.mark.parametrize("kind", ["raised", "dipped"])
def test_a_light_on_the_horizon_is_another(kind: str) -> None:
    """Bobbed on the horizon: the Tower is far within it, a light of its height fifteen miles off is not."""
    # Its height over the sea is 40 m over high water, less what the tide is down: some 43 m.
    off_nm = 2.03 * (43.0**0.5 + 2.0**0.5)
    light = Mark("Light", ep(afloat()).along(200.0, off_nm), height_m=40.0, range_nm=25.0, datum="MHWS")
    boat = afloat(marks={**MORE, "Light": light})

    found = first(boat.sighting(kind=kind, mark="Tower", bobbed=True))
    assert (found.slip, found.mark) == ("other mark", "Light")
    # The value is how far that light shows: within the doubt of its tide it is where she is.
    assert found.value == pytest.approx(off_nm, abs=1.0)


def test_a_sounding_on_another_contour() -> None:
    """On the contour of ten metres, entered as on that of twenty some miles off."""
    boat = afloat(seconds=1000)
    entered = {"kind": "depth", "depth_m": 10.0, "below": "waterline", "tide_m": 0.0}

    found = first(boat.sighting(**entered, contour="twenty metres"))
    assert (found.slip, found.mark, found.value) == ("other mark", "the contour ten metres", 10.0)


def test_a_sounding_that_is_stale() -> None:
    """She was on that contour ten minutes ago, at ten knots: the time is told, within its own doubt."""
    boat = afloat(seconds=1100, speed_kn=10.0)

    found = first(
        boat.sighting(kind="depth", depth_m=10.0, below="waterline", tide_m=0.0, contour="ten metres")
    )
    assert found.slip == "stale"
    assert found.at is not None
    assert found.at.ms < boat.now_ms - 300_000


# --- points -------------------------------------------------------------------------------------------------


def position(boat: Aboard, place: Position, **body: object) -> Answer:
    """Enter a position by radar, good to a tenth of a mile."""
    where = {"latitude_deg": place.latitude_deg, "longitude_deg": place.longitude_deg}
    return boat.sighting(kind="position", source="radar", sd_nm=0.1, **where, **body)


def test_a_position_that_is_stale() -> None:
    """Where she was ten minutes ago: it is told with that time, and the latitude stands."""
    boat = afloat(seconds=900, speed_kn=12.0)
    was = ep(boat, 600)

    found = first(position(boat, was))
    assert found.slip == "stale"
    assert found.value == pytest.approx(was.latitude_deg, abs=1e-9)
    assert found.at is not None
    assert abs(found.at.ms - (boat.now_ms - 600_000)) <= 60_000


def test_a_position_an_hour_out() -> None:
    """Entered as of the hour before: it fits the hour it was taken in."""
    boat = afloat(seconds=3700)

    found = first(position(boat, ep(boat), at=utc(boat.seconds - 3600)))
    assert (found.slip, found.at) == ("hour out", Instant(boat.now_ms))


@pytest.mark.parametrize("which", ["latitude", "longitude"])
def test_a_position_with_the_digits_of_its_minutes_swapped(which: str) -> None:
    """52 for 25 minutes of latitude, 13 for 31 of longitude: the one figure that fits is told."""
    place = Position(50.0 + 25.0 / 60.0, -(4.0 + 31.0 / 60.0))
    wrong = {
        "latitude": Position(50.0 + 52.0 / 60.0, place.longitude_deg),
        "longitude": Position(place.latitude_deg, -(4.0 + 13.0 / 60.0)),
    }[which]
    boat = Aboard(SET)
    boat.speed_kn = 0.5
    boat.run(10)
    boat.depart(latitude_deg=place.latitude_deg, longitude_deg=place.longitude_deg)
    boat.run(60)

    found = first(position(boat, wrong))
    wanted = place.latitude_deg if which == "latitude" else place.longitude_deg
    assert found.slip == "digits swapped"
    assert found.value == pytest.approx(wanted, abs=1e-9)


def test_a_mark_passed_that_was_passed_before_and_written_down_late() -> None:
    """Abeam eight minutes ago, on another heading: held against the head of then, it fits."""
    boat = afloat(seconds=300, speed_kn=6.0)
    boat.heading_magnetic_deg = 185.0
    boat.run(480)

    found = first(boat.sighting(kind="passing", mark="Perch", side="port", distance_m=370.0))
    assert (found.slip, found.value) == ("stale", 370.0)
    assert found.at is not None
    assert abs(found.at.ms - (boat.now_ms - 480_000)) <= 60_000


def test_a_relative_bearing_of_before_a_turn() -> None:
    """Clockwise from the bow as she lay five minutes ago, before she turned by 90 degrees."""
    boat = afloat(seconds=600, marks={"Tower": TOWER})
    before = (bearing_deg(boat, "Tower") - 95.0) % 360.0
    boat.heading_magnetic_deg = 185.0
    boat.run(240)

    slips = said(boat.sighting(kind="bearing", mark="Tower", bearing_deg=before, reference="relative")).slips
    stale = next(slip for slip in slips if slip.slip == "stale")
    assert stale.fits < 1.5
    assert stale.at is not None
    assert stale.at.ms <= boat.now_ms - 240_000


# --- what is said beside them -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "entered",
    [
        {"kind": "bearing", "mark": "Tower", "bearing_deg": 100.0, "reference": "true"},
        {"kind": "range", "mark": "Tower", "distance_nm": 9.0},
        {"kind": "transit", "mark": "Bolt Head", "rear_mark": "Start Point"},
        {"kind": "vertical_angle", "mark": "Tower", "angle_min": 9.0, "index_error_min": 0, "tide_m": 3.0},
        {"kind": "horizontal_angle", "mark": "Stoke Point", "second_mark": "Start Point", "angle_deg": 70.0},
        {"kind": "dipped", "mark": "Tower", "bobbed": True},
        {"kind": "sector", "mark": "Tower", "colour": "red"},
        {"kind": "depth", "depth_m": 20.0, "below": "waterline", "tide_m": 0.0, "contour": "twenty metres"},
        {"kind": "passing", "mark": "Tower", "side": "port", "distance_m": 200.0},
        {"kind": "position", "latitude_deg": 50.2, "longitude_deg": -4.0, "sd_nm": 0.1, "source": "visual"},
    ],
    ids=lambda entered: str(entered["kind"]),
)
def test_the_rival_is_told_of_every_kind(entered: dict[str, object]) -> None:
    """Whatever is suspected: that the entry may be right, and the reckoning wrong by so much, stands by."""
    rival = said(afloat().sighting(**entered)).rival

    assert rival is not None
    assert "or the entry is right and the reckoning wrong: the boat " in rival


def test_other_marks_are_ranked() -> None:
    """Two marks two degrees apart where one was taken for a third: the one on the bearing comes first."""
    boat = afloat()
    on, beside = (
        Mark(name, ep(boat).along(150.0 + off, 5.0)) for name, off in (("On", 0.0), ("Beside", 2.0))
    )
    marks = {"Tower": TOWER, "Beside": beside, "On": on}

    answer = said(
        afloat(marks=marks).sighting(kind="bearing", mark="Tower", bearing_deg=150.0, reference="true")
    )
    others = [slip for slip in answer.slips if slip.slip == "other mark"]
    assert [slip.mark for slip in others] == ["On", "Beside"]
    assert others[0].fits < others[1].fits
    assert "other mark (On) and other mark (Beside) fit alike" in str(answer.rival)


def test_slips_of_one_value_stand_together() -> None:
    """020 for 200: half a circle out, or its digits swapped; nobody can tell, the value is the same."""
    boat = afloat(marks={"South": Mark("South", ep(afloat()).along(200.0, 5.0))})

    slips = said(boat.sighting(kind="bearing", mark="South", bearing_deg=20.0, reference="true")).slips
    assert {slip.slip for slip in slips[:2]} == {"reciprocal", "digits swapped"}
    assert {slip.value for slip in slips[:2]} == {200.0}
