"""Clearing bearings: what is said of each bearing of their mark, and how long an alert stands."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from entries.entering import Aboard
from middlewatch.navigator.navigator import Navigator
from middlewatch.navigator.tuning import Tuning, VariationChoice
from middlewatch.navigator.watch.clearing import kept_by_deg
from middlewatch.quantities.angles import direction
from middlewatch.quantities.positions import Position
from middlewatch.readings.dangers import ClearingBearing, Danger
from middlewatch.readings.marks import Mark
from middlewatch.reports.answer import Answer
from middlewatch.wire import entries

# "Single clearing bearing logic": the method by US Navy NAVEDTRA 14220, danger bearings; its numbers are
# constructed, on a plane. The mark is 10 miles north, the danger 5 miles north and 0.8 east; keep the mark
# bearing not less than 000.
NOT_LESS_THAN_NORTH = ClearingBearing("Light", "not less than", 0.0)
BORE = ((-0.2, 1.15, True), (-2.0, 11.31, True), (1.5, 351.47, False))
"""Of three places of the ship, miles east: how the mark bears, and whether that clears the danger."""

ORIGIN = Position(50.0, -4.0)
SIX_EAST = VariationChoice("chart", value_deg=6.0, year=2026.0)


def aboard(clearing: ClearingBearing = NOT_LESS_THAN_NORTH) -> Aboard:
    """Return a boat 10 miles south of the light, heading for it at 6 kn, to be kept off the rock."""
    rock = Danger("Rock", "point", ((ORIGIN.moved(5 * 1852.0, 0.8 * 1852.0),),), 300.0, (clearing,))
    tuning = Tuning(variation=SIX_EAST, dangers=(rock,), area_warn_nm=50.0)
    boat = Aboard(tuning)
    boat.heading_magnetic_deg = 354.0
    boat.navigator = Navigator(tuning, {"Light": Mark("Light", ORIGIN.moved(10 * 1852.0, 0.0))}, entries)
    boat.run(10)
    boat.depart(latitude_deg=ORIGIN.latitude_deg, longitude_deg=ORIGIN.longitude_deg, sd_nm=1.0)
    boat.run(10)
    return boat


def bore(boat: Aboard, bearing_deg: float, **body: object) -> Answer:
    """Enter a bearing, true, of the light, good to half a degree beside what all bearings share."""
    entered = {"kind": "bearing", "mark": "Light", "bearing_deg": bearing_deg, "reference": "true"}
    return boat.sighting(**{**entered, "sd_deg": 0.5, **body})


def pencil(answer: Answer) -> str:
    """Return what is to be pencilled."""
    assert answer.sighting is not None, answer.refusal
    assert answer.sighting.pencil is not None
    return answer.sighting.pencil


def stands(boat: Aboard) -> str:
    """Return the priority that stands at the next second, `normal` when it is over, `` if none ever did."""
    boat.run(1)
    told = boat.alerts("clearing-bearing")
    if not told:
        return ""
    return "normal" if told[-1].state in ("normal", "rectified-unacknowledged") else told[-1].priority


# --- which side ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("east_nm", "bearing_deg", "clear"), BORE)
def test_the_side_of_a_single_clearing_bearing(east_nm: float, bearing_deg: float, clear: bool) -> None:
    """Of the three places 1 and 11 are not less than 000; 351 is less, for it is counted through north."""
    ship, light = ORIGIN.moved(0.0, east_nm * 1852.0), ORIGIN.moved(10 * 1852.0, 0.0)

    assert (kept_by_deg(NOT_LESS_THAN_NORTH, bearing_deg) >= 0.0) is clear
    # On the ellipsoid the same triangle, to a tenth of a degree: the case's plane has no meridians.
    assert abs((ship.to(light)[0] - bearing_deg + 180.0) % 360.0 - 180.0) < 0.1


@given(st.floats(0.0, 359.9), st.floats(0.1, 89.9))
def test_less_and_more_are_mirrored(limit_deg: float, past_deg: float) -> None:
    """Clockwise past any limit a bearing is more, the other way it is less, by just so much."""
    less, more = (ClearingBearing("L", rule, limit_deg) for rule in ("not less than", "not more than"))

    assert kept_by_deg(less, direction(limit_deg + past_deg)) == pytest.approx(past_deg)
    assert kept_by_deg(more, direction(limit_deg + past_deg)) == pytest.approx(-past_deg)


# --- what is said -------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("bearing_deg", "said", "standing"),
    [
        (11.31, "kept by 11.3 degrees", ""),
        (1.15, "kept by 1.1 degrees only, less than the bearing's doubt of 2.6", "caution"),
        (351.47, "not kept: 8.5 degrees on the wrong side", "warning"),
    ],
)
def test_each_bearing_of_the_mark_is_told_its_side(bearing_deg: float, said: str, standing: str) -> None:
    """In the pencil at once, true and magnetic, and as an alert: by 1.6 standard deviations it is sure."""
    boat = aboard()

    words = pencil(bore(boat, bearing_deg))
    assert f"clearing bearing for Rock, not less than 000 T (354 M): {said}" in words
    assert stands(boat) == standing


def test_the_alert_says_which_bearing_which_side_and_what_to_do() -> None:
    """Source, time, size, rule, the side to keep to, the next act."""
    boat = aboard()
    bore(boat, 351.47)
    boat.run(1)

    assert boat.alerts("clearing-bearing")[-1].text == (
        "Light bore 351 T at 0100: the clearing bearing for Rock, not less than 000 T (354 M), is not kept: "
        "8.5 degrees on the wrong side; the side to keep to is 270 T of that line: alter towards it, "
        "then take it again"
    )


def test_not_more_than_has_its_good_side_to_the_right() -> None:
    """The mirror image: 351 is not more than 000, 008 is; the side to keep to is then 090 of the line."""
    boat = aboard(ClearingBearing("Light", "not more than", 0.0))

    assert "not more than 000 T (354 M): kept by 8.5 degrees" in pencil(bore(boat, 351.5))
    bore(boat, 8.0)
    assert stands(boat) == "warning"
    assert "the side to keep to is 090 T of that line" in boat.alerts("clearing-bearing")[-1].text


def test_a_bearing_of_another_place_is_not_held_against_it() -> None:
    """A bearing of a position, or one seen from beyond the mark, says nothing of the clearing bearing."""
    boat = aboard()
    elsewhere = {"latitude_deg": 50.2, "longitude_deg": -4.1}

    assert "clearing bearing" not in pencil(bore(boat, 351.47, mark=elsewhere))
    assert "clearing bearing" not in pencil(bore(boat, 181.0))
    assert stands(boat) == ""


# --- how long it stands -------------------------------------------------------------------------------------


def test_it_stands_until_the_mark_is_on_the_right_side_again() -> None:
    """However long the next bearing takes; a caution where that is close, over where it is sure."""
    boat, stood = aboard(), []
    boat.heading_magnetic_deg = 264.0  # due west, true
    for east_nm, minutes in ((0.5, 1), (-0.2, 7), (-1.0, 8)):
        boat.run(60 * minutes)
        place = ORIGIN.moved(0.0, east_nm * 1852.0)
        bore(boat, place.to(ORIGIN.moved(10 * 1852.0, 0.0))[0])
        stood.append(stands(boat))

    assert stood == ["warning", "caution", "normal"]


def test_withdrawn_it_never_was() -> None:
    """The entry was another mark's: withdrawn, nothing stands any more."""
    boat = aboard()
    bore(boat, 351.47, id="b1")
    before = stands(boat)
    boat.order(kind="withdraw", entry="b1")

    assert (before, stands(boat)) == ("warning", "normal")


def test_heard_late_an_older_bearing_changes_nothing() -> None:
    """The newest by its own time decides, whatever was heard last."""
    boat = aboard()
    boat.run(300)
    bore(boat, 5.0)
    bore(boat, 352.0, ago_s=240)

    assert stands(boat) == ""


def test_a_bearing_held_open_does_not_clear_what_a_good_one_raised() -> None:
    """Forty degrees out, on the right side, and suspected: the one before it still counts."""
    boat = aboard()
    boat.run(60)
    bore(boat, 357.0)
    boat.run(60)
    suspected = bore(boat, 70.0)

    assert suspected.open
    assert stands(boat) == "warning"


def test_it_is_over_once_the_mark_is_past_or_she_lies_still() -> None:
    """Anchored, or the mark astern by the EP, the bearing clears nothing; nor after a new departure."""
    at_anchor, departed = aboard(), aboard()
    for boat in (at_anchor, departed):
        bore(boat, 351.47)
        assert stands(boat) == "warning"
    at_anchor.order(kind="way", way="anchored")
    beyond = ORIGIN.moved(11 * 1852.0, 0.0)
    departed.order(
        kind="departure", latitude_deg=beyond.latitude_deg, longitude_deg=beyond.longitude_deg, id="d2"
    )

    assert (stands(at_anchor), stands(departed)) == ("normal", "normal")
