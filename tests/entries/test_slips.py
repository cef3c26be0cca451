"""Slips: an entry too unusual to be taken as it stands is left open, with the slip that would explain it.

What each slip does to a figure is a definition: a reciprocal is half a circle, a minute of longitude is cos
(latitude) of a minute of latitude. One standard deviation here is about three degrees.
"""

import json
from dataclasses import replace
from math import cos, radians

import pytest

from entries.entering import FIVE_WEST, MARKS, START, START_MS, Aboard, answer_in, utc
from middlewatch.navigator.navigator import Navigator
from middlewatch.navigator.tuning import Tuning, VariationChoice
from middlewatch.quantities.angles import direction
from middlewatch.quantities.instants import Instant
from middlewatch.readings.marks import Mark, Sector
from middlewatch.reports.answer import Answer, SightingAnswer, SlipReport
from middlewatch.wire import entries
from middlewatch.wire.payloads import payload
from navigator.navigating import taken_up

NO_VARIATION = Tuning(variation=VariationChoice("chart", 0.0, 2026.0))
PERCH = Mark("Perch", START.along(95.0, 1.5).along(5.0, 2.0))
"""Two miles abeam of a boat that has run a mile and a half."""
FIFTEEN_WEST = Tuning(variation=VariationChoice("chart", -15.0, 2026.0))


def afloat(
    tuning: Tuning = NO_VARIATION,
    marks: dict[str, Mark] = MARKS,
    *,
    seconds: int = 1200,
    speed_kn: float = 6.0,
) -> Aboard:
    """Return a boat some time after her departure, heading 095 by the compass."""
    boat = Aboard(tuning)
    boat.speed_kn = speed_kn
    boat.navigator = Navigator(tuning, marks, entries)
    boat.run(10)
    boat.depart()
    boat.run(seconds)
    return boat


def true_deg(boat: Aboard, mark: str) -> float:
    """Return the bearing of a mark from the EP, in whole degrees."""
    return float(round(boat.ep_at(boat.seconds).to(MARKS[mark].position)[0]))


def bearing(boat: Aboard, mark: str, bearing_deg: float, **body: object) -> Answer:
    """Enter a bearing, true unless told otherwise."""
    said = {"kind": "bearing", "mark": mark, "bearing_deg": bearing_deg % 360, "reference": "true", **body}
    answer = boat.sighting(**said)
    assert answer.accepted, answer.refusal
    return answer


def amended(boat: Aboard, id_: str, bearing_deg: float) -> Answer:
    """Amend a bearing; return its fresh answer."""
    reports = boat.hear("order", {"kind": "amend", "entry": id_, "change": {"bearing_deg": bearing_deg}})
    return answer_in(each for each in reports if not (isinstance(each, Answer) and each.channel == "order"))


def seen(answer: Answer) -> SightingAnswer:
    """Return what an answer says of a sighting."""
    assert answer.sighting is not None, answer.refusal
    return answer.sighting


def first_slip(answer: Answer) -> SlipReport:
    """Return the slip named first of a sighting that must be left open."""
    assert answer.open
    assert seen(answer).slips, seen(answer)
    return seen(answer).slips[0]


# --- bearings -----------------------------------------------------------------------------------------------


def test_a_good_bearing_is_not_suspected() -> None:
    """A degree off what was expected: not open, no slips, no rival."""
    boat = afloat()
    answer = bearing(boat, "Start Point", true_deg(boat, "Start Point") + 1)

    assert not answer.open
    assert (seen(answer).slips, seen(answer).rival) == ((), None)


def test_reciprocal() -> None:
    """Read off the wrong end of the needle: half a circle back fits."""
    boat = afloat()
    wanted = true_deg(boat, "Start Point")

    slip = first_slip(bearing(boat, "Start Point", wanted + 180))
    assert (slip.slip, slip.value) == ("reciprocal", wanted)
    assert slip.fits < 0.5


def test_variation_not_applied_to_a_true_bearing() -> None:
    """Read as 015 more by a compass where variation is 15 W, and entered as true: 15 less fits."""
    boat = afloat(FIFTEEN_WEST)
    wanted = true_deg(boat, "Start Point")

    slip = first_slip(bearing(boat, "Start Point", wanted + 15))
    assert (slip.slip, slip.value) == ("variation not applied", wanted)


def test_variation_not_applied_to_a_bearing_off_the_chart() -> None:
    """A true bearing entered as magnetic where variation is 15 W: what a compass reads is 15 more."""
    boat = afloat(FIFTEEN_WEST)
    wanted = true_deg(boat, "Start Point") + 15

    slip = first_slip(bearing(boat, "Start Point", wanted - 15, reference="magnetic"))
    assert (slip.slip, slip.value) == ("variation not applied", wanted)


def test_variation_wrong_way() -> None:
    """15 W added instead of taken off: 30 less fits."""
    boat = afloat(FIFTEEN_WEST)
    wanted = true_deg(boat, "Start Point")

    slip = first_slip(bearing(boat, "Start Point", wanted + 30))
    assert (slip.slip, slip.value) == ("variation wrong way", wanted)


def test_digits_swapped() -> None:
    """238 for 328: two neighbouring figures changed places."""
    boat = afloat()
    assert true_deg(boat, "Start Point") == 328.0

    slip = first_slip(bearing(boat, "Start Point", 238))
    assert (slip.slip, slip.value) == ("digits swapped", 328.0)


def test_ten_out() -> None:
    """The card read one long stroke off, in a calm where bearings are good to half a degree."""
    boat = afloat(seconds=60)
    wanted = true_deg(boat, "Start Point")

    slip = first_slip(bearing(boat, "Start Point", wanted + 10, sd_deg=0.5))
    assert (slip.slip, slip.value) == ("ten out", wanted)


def test_hundred_out() -> None:
    """228 written for 328."""
    boat = afloat()
    assert true_deg(boat, "Start Point") == 328.0

    slip = first_slip(bearing(boat, "Start Point", 228))
    assert (slip.slip, slip.value) == ("hundred out", 328.0)


def test_deviation() -> None:
    """By the ship's compass, and its deviation taken off by hand before: it is entered a second time less."""
    card = ((0.0, 12.0), (90.0, 17.0), (180.0, 4.0), (270.0, -9.0))
    boat = afloat(replace(NO_VARIATION, steering_card=card))
    wanted = true_deg(boat, "Start Point")
    answer = bearing(boat, "Start Point", wanted, reference="compass")

    chain = seen(answer).chain
    assert chain is not None
    assert chain.deviation_deg is not None
    slip = first_slip(answer)
    assert slip.slip == "deviation"
    # Compass to magnetic: an east deviation adds.
    assert slip.value + chain.deviation_deg == pytest.approx(wanted, abs=1e-9)


def test_other_mark() -> None:
    """Bolt Head taken for Start Point: the value stands, the mark that fits is named."""
    boat = afloat()
    entered = true_deg(boat, "Bolt Head")

    slip = first_slip(bearing(boat, "Start Point", entered))
    assert (slip.slip, slip.mark, slip.value) == ("other mark", "Bolt Head", entered)


def test_other_marks_are_taken_only_within_their_range() -> None:
    """A light ten miles away that is seen for five is not the one that was seen."""
    marks = {**MARKS, "Bolt Head": replace(MARKS["Bolt Head"], range_nm=5.0)}
    boat = afloat(marks=marks)

    slips = seen(bearing(boat, "Start Point", true_deg(boat, "Bolt Head"))).slips
    assert "Bolt Head" not in {slip.mark for slip in slips}


def test_stale() -> None:
    """What it bore ten minutes ago, written down now: the time it fits is told."""
    boat = afloat(marks={"Perch": PERCH}, seconds=900, speed_kn=12.0)
    before = boat.ep_at(boat.seconds - 600).to(PERCH.position)[0]
    slip = first_slip(bearing(boat, "Perch", round(before)))

    assert slip.slip == "stale"
    assert slip.at is not None
    # To the minute: between those the bearing changes by less than a standard deviation.
    assert abs(slip.at.ms - (START_MS + (boat.seconds - 600) * 1000)) <= 60_000


def test_stale_as_an_earlier_sighting_of_the_mark() -> None:
    """The very value of a sighting of half an hour ago: told with that one's time."""
    boat = afloat(seconds=1000)
    value = true_deg(boat, "Gammon Beacon")
    before = bearing(boat, "Gammon Beacon", value)
    boat.run(1800)

    slip = first_slip(bearing(boat, "Gammon Beacon", value))
    assert (slip.slip, slip.at) == ("stale", before.at)


def test_hour_out() -> None:
    """Entered as of an hour before it was taken: it fits the hour after, and that is told."""
    boat = afloat(seconds=3700)
    now_deg = true_deg(boat, "Gammon Beacon")
    answer = bearing(boat, "Gammon Beacon", now_deg, at=utc(boat.seconds - 3600))

    slip = first_slip(answer)
    assert (slip.slip, slip.at) == ("hour out", Instant(boat.now_ms))


def test_no_hour_is_tried_where_no_time_of_day_was_given() -> None:
    """`ago_s` knows no hours."""
    boat = afloat(seconds=3700)
    slips = seen(bearing(boat, "Gammon Beacon", true_deg(boat, "Gammon Beacon"), ago_s=3600)).slips

    assert "hour out" not in {slip.slip for slip in slips}


def test_light_from_seaward() -> None:
    """A sector's limit, 325 from seaward as lists give it, entered as it is seen from the light."""
    limit = Sector("red", 325.0, 350.0)
    marks = {**MARKS, "Start Point": replace(MARKS["Start Point"], sectors=(limit,))}

    slip = first_slip(bearing(afloat(marks=marks), "Start Point", 325 - 180))
    assert (slip.slip, slip.value) == ("light from seaward", 325.0)


def test_longitude_scale() -> None:
    """A distance off measured on the scale of longitude: each of its minutes is cos(latitude) of a mile."""
    boat = afloat()
    ep = boat.ep_at(boat.seconds)
    off_nm = ep.to(MARKS["Start Point"].position)[1]
    entered = off_nm / cos(radians(ep.latitude_deg))

    slip = first_slip(boat.sighting(kind="range", mark="Start Point", distance_nm=entered))
    assert slip.slip == "longitude scale"
    assert slip.value == pytest.approx(off_nm, abs=1e-9)


# --- what else may be so ------------------------------------------------------------------------------------


def test_the_rival_is_always_told() -> None:
    """Of a suspected entry: the reckoning may be wrong instead, and by how much at least."""
    boat = afloat()
    off_nm = boat.ep_at(boat.seconds).to(MARKS["Start Point"].position)[1]
    rival = seen(bearing(boat, "Start Point", 325 - 180)).rival

    assert rival is not None
    # A bearing half a circle out: on its ray nothing is nearer to the EP than the mark itself.
    assert (
        f"or the entry is right and the reckoning wrong: the boat {off_nm:.1f} nm or more from the EP"
        in rival
    )


def test_no_slip_explains_it() -> None:
    """57 degrees out as no slip makes it: nothing is offered, and that is said."""
    answer = bearing(afloat(), "Start Point", 22, sd_deg=1)

    assert answer.open
    assert seen(answer).slips == ()
    assert seen(answer).rival is not None
    assert str(seen(answer).rival).startswith("no slip explains it; ")


def test_a_variation_too_small_to_tell_a_slip_is_said() -> None:
    """Half a degree of variation, left out or put on twice, hides in three degrees of doubt."""
    boat = afloat(Tuning(variation=VariationChoice("chart", 0.5, 2026.0)))
    rival = seen(bearing(boat, "Start Point", 325 - 180)).rival

    assert "variation 0.5 E is too small to tell a slip with it" in str(rival)


def test_slips_that_fit_alike_are_both_told() -> None:
    """Variation 10 W left out, or the card read ten out: nobody can tell, and both stand."""
    boat = afloat(Tuning(variation=VariationChoice("chart", -10.0, 2026.0)))
    answer = seen(bearing(boat, "Start Point", 325 + 10, sd_deg=0.5))

    assert {"ten out", "variation not applied"} <= {slip.slip for slip in answer.slips}
    assert "fit alike" in str(answer.rival)


# --- open, until the skipper says ---------------------------------------------------------------------------


def test_a_suspected_entry_changes_nothing_that_was_entered() -> None:
    """It is used as entered: its line is the one of the bearing said, and stands on the plot."""
    boat = afloat()
    answer = bearing(boat, "Start Point", 145, id="b1")

    assert answer.used
    line = seen(answer).line
    assert line is not None
    assert line.bearing_deg == pytest.approx(145.0, abs=1e-9)
    assert boat.navigator.room.ledger.open_ids() == {"b1"}


def test_confirmed_it_stands() -> None:
    """The skipper's word closes it, and it stays closed when what was before it is worked again."""
    boat = afloat()
    bearing(boat, "Start Point", 145, id="b1")
    assert boat.order(kind="confirm", entry="b1").effect == "bearing b1 stands"
    boat.order(kind="stream", set_deg=10, drift_kn=1, ago_s=600)

    assert boat.navigator.room.ledger.open_ids() == set()


def test_it_stays_open_when_what_was_before_it_is_worked_again() -> None:
    """A late order works lines again; nobody but the skipper closes an entry."""
    boat = afloat()
    bearing(boat, "Start Point", 145, id="b1")
    boat.order(kind="stream", set_deg=10, drift_kn=1, ago_s=600)

    assert boat.navigator.room.ledger.open_ids() == {"b1"}


def test_a_restart_keeps_open_and_confirmed() -> None:
    """What is open stays open, what was confirmed stays confirmed."""
    boat = afloat()
    bearing(boat, "Start Point", 145, id="b1")
    bearing(boat, "Bolt Head", true_deg(boat, "Bolt Head") + 180, id="b2")
    boat.order(kind="confirm", entry="b1")
    navigator = boat.navigator
    after = taken_up(navigator, navigator.freeze(), navigator.drain())

    assert after.room.ledger.open_ids() == navigator.room.ledger.open_ids() == {"b2"}


def test_withdrawn_it_is_open_no_more() -> None:
    """What is taken back needs no word any more."""
    boat = afloat()
    bearing(boat, "Start Point", 145, id="b1")
    boat.order(kind="withdraw", entry="b1")

    assert boat.navigator.room.ledger.open_ids() == set()


def test_amended_it_is_judged_anew() -> None:
    """By the cloud without what it said before: mended it is closed, spoilt it is open, to the same digit."""
    boat = afloat()
    spoilt = bearing(boat, "Start Point", 145, id="b1")
    mended = amended(boat, "b1", 326)
    again = amended(boat, "b1", 145)

    assert (spoilt.open, mended.open, again.open) == (True, False, True)
    assert seen(mended).slips == ()
    assert seen(again).unusual_sigma == seen(spoilt).unusual_sigma
    assert seen(again).slips == seen(spoilt).slips


def test_late_it_is_judged_as_in_time() -> None:
    """Heard ten minutes late, after a sighting of later: standing and slips to the last digit as in time."""
    at = utc(1100)
    prompt = afloat(seconds=1090)
    in_time = seen(bearing(prompt, "Start Point", 145, at=at, id="b1"))
    late = afloat(seconds=1500)
    bearing(late, "Stoke Point", true_deg(late, "Stoke Point") + 4, id="b2")
    late.run(200)
    heard = seen(bearing(late, "Start Point", 145, at=at, id="b1"))

    assert (heard.expected_deg, heard.residual_deg, heard.unusual_sigma, heard.slips, heard.rival) == (
        in_time.expected_deg, in_time.residual_deg, in_time.unusual_sigma, in_time.slips, in_time.rival,
    )  # fmt: skip


def test_a_satellite_position_is_never_suspected() -> None:
    """It is told how far off it lies, and as it is not used there is nothing to keep open."""
    answer = afloat().sighting(
        kind="position", latitude_deg=50.2, longitude_deg=-4.0, sd_nm=0.05, source="satellite"
    )

    assert (answer.used, answer.open) == (False, False)
    assert seen(answer).unusual_sigma is not None
    assert (seen(answer).slips, seen(answer).rival) == ((), None)


def test_before_a_departure_nothing_is_suspected() -> None:
    """There is nothing to hold a sighting against."""
    boat = Aboard(Tuning(variation=FIVE_WEST))
    boat.run(10)
    answer = answer_in(boat.hear("sighting", {"kind": "bearing", "mark": "Start Point", "bearing_deg": 1}))

    assert not answer.open
    assert seen(answer).unusual_sigma is None


def test_slips_as_they_are_published() -> None:
    """A slip that is in the mark or the time says which; the others leave those out. The rival stands by."""
    boat = afloat()
    plain = json.loads(payload(bearing(boat, "Start Point", 148)))
    boat.order(kind="withdraw", entry="last")
    of_mark = json.loads(payload(bearing(boat, "Start Point", true_deg(boat, "Bolt Head"))))

    assert list(plain["slips"][0]) == ["slip", "value", "fits"]
    assert list(of_mark["slips"][0]) == ["slip", "value", "fits", "mark"]
    assert of_mark["slips"][0]["mark"] == "Bolt Head"
    keys = list(plain)
    assert keys[keys.index("unusual_sigma") :] == ["unusual_sigma", "slips", "rival", "pencil"]


def test_directions_in_slips_come_round() -> None:
    """A value undone past north is a direction all the same."""
    boat = afloat()
    slips = seen(bearing(boat, "Start Point", 145)).slips

    assert all(direction(slip.value) == slip.value for slip in slips)
