"""What the reckoning has to tell the bus, second by second, as a navigator at sea has it."""

from collections.abc import Iterable

import pytest

from middlewatch.quantities.positions import Position
from middlewatch.readings.watch import Fault
from middlewatch.reports import Report
from middlewatch.runtime.outputs import MADE_GOOD_OVER_S, Teller, reckoned
from middlewatch.settings import OutputSettings
from middlewatch.wire.nmea_bulletin import Reckoned
from middlewatch.wire.nmea_out import body_of
from middlewatch.wire.nmea_own import OwnSentences
from navigator.navigating import DEPARTURE, Aboard

BEFORE_LONG = MADE_GOOD_OVER_S + 1


def told(
    aboard: Aboard, kind: str = "ep", *, heading: float | None = 90.0, kn: float | None = 6.0
) -> Reckoned:
    """Sail one second on, and return what there is to tell."""
    position = aboard.sail(1, heading, kn)
    return reckoned(aboard.navigator.room, position, "dr" if kind == "dr" else "ep")


def at_sea() -> Aboard:
    """Return a navigator that departed a while ago, going east at six knots."""
    aboard = Aboard()
    aboard.sail(2, 90.0, 6.0)
    aboard.depart()
    aboard.sail(BEFORE_LONG, 90.0, 6.0)
    return aboard


def test_before_a_departure_there_is_only_a_heading() -> None:
    """No place, no course, no area; the heading is there as soon as it is heard."""
    aboard = Aboard()
    aboard.sail(20, 90.0, 6.0)
    now = told(aboard)

    assert (now.state, now.place, now.course_true_deg, now.speed_kn, now.since) == (
        "no departure", None, None, None, None,
    )  # fmt: skip
    assert (now.heading_true_deg, now.heading_by, now.speed_by) == (90.0, "sensor", "sensor")


def test_dr_and_ep_are_told_apart() -> None:
    """A stream of 2 kn to the south is in the EP's place, course and speed, and not in the DR's.

    By hand: 6 kn east and 2 kn south are 6.325 kn towards 108.43.
    """
    aboard = at_sea()
    aboard.order("stream", set_deg=180.0, drift_kn=2.0)
    aboard.sail(BEFORE_LONG, 90.0, 6.0)
    ep, dr = told(aboard), told(aboard, "dr")

    assert ep.speed_kn == pytest.approx(6.325, abs=0.001)
    assert ep.course_true_deg == pytest.approx(108.43, abs=0.01)
    assert dr.speed_kn == pytest.approx(6.0, abs=0.001)
    assert dr.course_true_deg == pytest.approx(90.0, abs=0.01)
    assert ep.stream == dr.stream == (180.0, 2.0)
    assert ep.place is not None
    assert dr.place is not None
    assert ep.place[0] < dr.place[0] == pytest.approx(DEPARTURE[0], abs=1e-6)
    assert (ep.kind, dr.kind, ep.state) == ("ep", "dr", "runs")


def test_a_stream_that_ran_out_is_told_no_more() -> None:
    """VDR is for the stream that the reckoning holds, and for none before or after it."""
    aboard = at_sea()
    assert told(aboard).stream is None
    aboard.order("stream", set_deg=180.0, drift_kn=2.0)
    assert told(aboard).stream == (180.0, 2.0)
    aboard.sail(3601, 90.0, 6.0)
    assert told(aboard).stream is None


def test_the_areas_farthest_edge_is_told() -> None:
    """Nothing of the outline lies farther from the place told than what is said of it."""
    aboard = at_sea()
    position = aboard.sail(1, 90.0, 6.0)
    now = reckoned(aboard.navigator.room, position, "ep")

    assert position.area is not None
    assert now.place is not None
    ep = Position(*now.place)
    farthest = max(ep.to(Position(*c))[1] for ring in position.area.outline.corners_deg() for c in ring)
    assert now.within_nm == pytest.approx(farthest, rel=0.003)


def test_without_heading_or_log_the_reckoning_waits() -> None:
    """Where neither is known the DR stands still; a boat that was ordered fast may well be told of."""
    aboard = Aboard()
    aboard.sail(2)
    aboard.depart()
    aboard.sail(BEFORE_LONG)
    lost = told(aboard, heading=None, kn=None)

    assert (lost.state, lost.place, lost.speed_kn) == ("waits", None, None)
    assert (lost.heading_by, lost.speed_by) == ("none", "none")
    aboard.order("way", way="made_fast")
    fast = told(aboard, heading=None, kn=None)
    assert fast.state == "runs"
    assert fast.place == pytest.approx(DEPARTURE)


def test_after_a_gap_of_unknown_length_it_waits() -> None:
    """Started anew on another boot: the last point is not sent on as where the boat is."""
    aboard = at_sea()
    aboard.restart(600, gap_known=False, clock_doubt="woke at its last saved time")
    aboard.sail(3, 90.0, 6.0)
    now = told(aboard)

    assert (now.state, now.place, now.at) == ("waits", None, None)


def test_a_heading_that_is_run_on_is_told_as_held() -> None:
    """Not heard any more it is held, by order it is by hand; a pilot gets neither as measured."""
    aboard = at_sea()
    aboard.sail(5, None, 6.0)
    assert told(aboard, heading=None).heading_by == "held"
    aboard.order("by_hand", heading_deg=95.0, reference="true")
    assert told(aboard, heading=None).heading_by == "hand"


def test_a_boat_that_lies_still_has_no_course() -> None:
    """At no speed a course would be that of the last digit."""
    aboard = at_sea()
    aboard.order("way", way="anchored")
    aboard.sail(BEFORE_LONG, 90.0, 0.0)
    now = told(aboard, kn=0.0)

    assert (now.course_true_deg, now.speed_kn) == (None, 0.0)


def test_a_standing_warning_is_told_as_doubt() -> None:
    """The alert of a lost heading is a warning; it is told of the heading and of nothing else."""
    aboard = at_sea()
    assert told(aboard).doubted == frozenset()
    aboard.sail(30, None, 6.0)

    assert aboard.standing("heading") is not None
    assert told(aboard, heading=None).doubted == {"heading"}


def test_an_adopted_fix_is_no_sudden_speed() -> None:
    """The place jumps to the fix; course and speed are of the run and not of the jump."""
    aboard = at_sea()
    aboard.enter(
        "sighting", id="p", kind="position", latitude_deg=50.02, longitude_deg=-4.2, sd_nm=0.1,
        source="visual",
    )  # fmt: skip
    aboard.sail(1, 90.0, 6.0)
    aboard.order("adopt", fix="f-p")
    now = told(aboard)

    assert now.place is not None
    assert now.place[0] > 50.01
    assert now.speed_kn == pytest.approx(6.0, abs=0.01)
    assert now.course_true_deg == pytest.approx(90.0, abs=0.1)


# --- the teller --------------------


def output(name: str = "displays", **given: object) -> OutputSettings:
    """Return an output."""
    return OutputSettings.model_validate({"name": name, "link": "tcp", **given})


def tell(outputs: Iterable[OutputSettings], aboard: Aboard, reports: tuple[Report, ...]) -> list[list[str]]:
    """Return the formatters of what each output is told of reports."""
    told = Teller(outputs, aboard.navigator, OwnSentences()).told(reports)
    return [[body_of(line)[:3] for line in (*each.second, *each.alerts)] for each in told]


def test_each_output_has_its_own_words() -> None:
    """What was chosen for the one is not sent to the other; an alert comes at once, the list each 30 s."""
    aboard = at_sea()
    reports = aboard.step(Fault(aboard.now_ms, "broker", "", True, "the broker is away"))
    one, other = output(sentences=["GLL", "ALERTS"]), output("pilot", port=1, sentences=["RMC"])

    assert tell((one, other), aboard, reports) == [["ALF", "ALF"], []]
    assert tell((one, other), aboard, (aboard.sail(1, 90.0, 6.0),)) == [["GLL", "ALC"], ["RMC"]]


def test_everything_told_is_remembered_as_ours() -> None:
    """All lines of all outputs, DR and EP alike, are known again."""
    aboard, own = at_sea(), OwnSentences()
    every = ["RMC", "GLL", "VTG", "HDT", "THS", "TXT", "NSR"]
    outputs = output(sentences=every), output("dr", port=1, position="dr", sentences=every, tag=False)

    told = Teller(outputs, aboard.navigator, own).told((aboard.sail(1, 90.0, 6.0),))

    lines = [line for each in told for line in each.second]
    assert len(lines) > 2 * len(every)
    assert all(body_of(line) in own for line in lines)


def test_without_outputs_nothing_is_made() -> None:
    """A boat that sends nothing pays nothing."""
    aboard, own = at_sea(), OwnSentences()

    assert Teller((), aboard.navigator, own).told((aboard.sail(1, 90.0, 6.0),)) == ()
    assert not own._last_said
