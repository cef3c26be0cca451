"""What the boat's own sights propose: said once, in the answer, and nothing is changed by it."""

import json
from collections.abc import Iterable, Mapping
from itertools import pairwise
from math import sqrt
from typing import Any

import pytest

from entries.entering import FIVE_WEST, MARKS, Aboard, utc
from entries.test_sights import seen
from middlewatch.navigator.navigator import Navigator
from middlewatch.navigator.tuning import Doubts, Tuning
from middlewatch.reports.answer import Answer, ProposalReport
from middlewatch.wire import entries
from middlewatch.wire.payloads import payload

SET = Tuning(variation=FIVE_WEST, doubts=Doubts(bearing_deg=1.5, bearing_shared_deg=0.1), samples=2_000)
FAR = ("Bolt Head", "Stoke Point", "Start Point")
SWAYING = (3.0, -3.6, 2.4, -2.9, 3.4, -2.6, 3.1, -3.2, 2.7, -3.5, 2.9, -2.4, 3.3, -2.8, 2.5, -3.1)
"""How far out bearings are, degrees: twice what is set, root mean square 3.0."""


def departed(tuning: Tuning = SET) -> Aboard:
    """Return a boat that departed a minute ago."""
    boat = Aboard(tuning)
    boat.run(10)
    boat.depart(sd_nm=0.01)
    boat.run(50)
    return boat


def true_deg(boat: Aboard, mark: str, seconds: int) -> float:
    """Return the true bearing of a mark from the EP at a second."""
    return boat.ep_at(seconds).to(MARKS[mark].position)[0]


def bearing(boat: Aboard, number: int, off_deg: float, **more: object) -> Answer:
    """Enter a bearing out by so much, of one of three marks in turn; then sail on for ten seconds."""
    mark = FAR[number % 3]
    bearing_deg = (true_deg(boat, mark, boat.seconds) + off_deg) % 360.0
    body: dict[str, object] = {"id": f"b{number}", "kind": "bearing", "mark": mark, "reference": "true"}
    answer = boat.sighting(**{**body, "bearing_deg": bearing_deg, **more})
    boat.run(10)
    return answer


def proposed(answers: Iterable[Answer]) -> list[tuple[str | None, ProposalReport]]:
    """Return what was proposed, and in whose answer."""
    return [
        (answer.id, answer.sighting.proposes)
        for answer in answers
        if answer.sighting is not None and answer.sighting.proposes is not None
    ]


def swayed(boat: Aboard, count: int = 16, **more: object) -> list[Answer]:
    """Enter bearings by an observer who scatters twice as much as is set."""
    return [bearing(boat, number, SWAYING[number % 16], **more) for number in range(count)]


def restarted(boat: Aboard) -> Aboard:
    """Return the boat after a restart from what the journal was given."""
    again = Aboard(boat.navigator.room.tuning)
    again.navigator = Navigator(boat.navigator.room.tuning, MARKS, entries)
    again.navigator.thaw(boat.navigator.freeze(), boat.navigator.drain())
    again.now_ms = boat.now_ms
    return again


def told(boat: Aboard) -> Mapping[str, Any]:
    """Return the one answer that proposes something, as it is published."""
    (answer,) = (
        each for each in boat.said if isinstance(each, Answer) and each.sighting and each.sighting.proposes
    )
    published: Mapping[str, Any] = json.loads(payload(answer))
    return published


def test_an_observer_who_scatters_more_is_told_once() -> None:
    """With the twelfth bearing; four more of the same say nothing new. Both figures are in the words."""
    boat = departed()
    ((id_, proposal),) = proposed(swayed(boat))

    assert (id_, proposal.of, proposal.sd_nm) == ("b11", 12, None)
    assert proposal.sd_deg == pytest.approx(3.0, abs=0.4)
    assert proposal.text == (
        f"your last 12 bearings that can tell scatter by {proposal.sd_deg:.1f} degrees, the settings say 1.5:"
        f" [doubts] bearing_deg = {proposal.sd_deg:.1f}"
    )


def test_what_is_proposed_is_published_last_of_all() -> None:
    """`proposes` has the one of the two doubts that applies; in every other answer it is left out."""
    boat = departed()
    answers = swayed(boat)
    published = told(boat)

    assert list(published)[-2:] == ["pencil", "proposes"]
    assert list(published["proposes"]) == ["sd_deg", "of", "text"]
    assert "proposes" not in json.loads(payload(answers[-1]))
    assert "residual" not in published


def test_nothing_is_changed_by_it() -> None:
    """The bearing after it is taken as well as the settings say."""
    boat = departed()
    swayed(boat)
    line = seen(bearing(boat, 99, 0.0)).line

    assert line is not None
    assert line.sd_deg == 1.5


def test_it_is_said_again_once_it_has_changed() -> None:
    """A sea that gets up: by more than a fifth, and not before."""
    boat = departed()
    answers = [bearing(boat, n, (0.8 if n < 16 else 1.1) * SWAYING[n % 16]) for n in range(52)]
    said = [proposal.sd_deg for _, proposal in proposed(answers) if proposal.sd_deg is not None]

    assert len(said) >= 2
    assert all(abs(new / old - 1.0) >= 0.2 for old, new in pairwise(said))


def test_an_observer_as_the_settings_say_is_told_nothing() -> None:
    """Half as far out, just what is set."""
    boat = departed()

    assert proposed(bearing(boat, n, off / 2.0) for n, off in enumerate(SWAYING * 2)) == []


def test_doubts_that_were_said_tell_nothing_of_the_settings() -> None:
    """Whoever says how good each bearing is, is not held against what is set."""
    assert proposed(swayed(departed(), sd_deg=1.5)) == []


def test_bearings_of_another_setting_are_left_out() -> None:
    """After the settings were changed and the daemon started, it begins anew with the twelfth bearing."""
    boat = departed()
    swayed(boat, 11)
    other = Tuning(variation=FIVE_WEST, doubts=Doubts(bearing_deg=1.6, bearing_shared_deg=0.1), samples=2_000)
    again = Aboard(other)
    again.navigator.thaw(boat.navigator.freeze(), boat.navigator.drain())
    again.now_ms = boat.now_ms
    answers = [bearing(again, 11 + n, SWAYING[n]) for n in range(13)]

    assert [id_ for id_, _ in proposed(answers)] == ["b22"]


@pytest.mark.parametrize("order", ["withdraw", "amend"])
def test_what_does_not_stand_as_it_was_taken_is_left_out(order: str) -> None:
    """Of eleven bearings one is taken back, or amended: the twelfth makes no dozen, the thirteenth does."""
    boat = departed()
    swayed(boat, 11)
    boat.order(kind=order, entry="b3", **({"change": {"note": "by the mate"}} if order == "amend" else {}))
    answers = [bearing(boat, n, SWAYING[n]) for n in (11, 12)]

    assert [id_ for id_, _ in proposed(answers)] == ["b12"]


def test_a_suspected_bearing_is_left_out() -> None:
    """A slip is no scatter."""
    boat = departed()
    swayed(boat, 11)
    slipped = bearing(boat, 11, 40.0)

    assert slipped.open
    assert seen(slipped).residual is None
    assert proposed([slipped]) == []


def test_a_restart_says_what_would_have_been_said() -> None:
    """Taken up again after eleven bearings, or after it was said: the same answers, to the last digit."""
    through, broken = departed(), departed()
    swayed(through, 11)
    swayed(broken, 11)
    broken = restarted(broken)
    for boat in (through, broken):
        boat.said.clear()
    answers = [[bearing(boat, n, SWAYING[n]) for n in (11, 12, 13)] for boat in (through, broken)]

    assert answers[0] == answers[1]
    assert [id_ for id_, _ in proposed(answers[0])] == ["b11"]


def test_a_restart_remembers_what_was_said() -> None:
    """What was proposed before it is not said again after it."""
    boat = departed()
    swayed(boat, 12)
    boat = restarted(boat)

    assert proposed(bearing(boat, n, SWAYING[n]) for n in (12, 13, 14)) == []


def test_heard_late_the_answer_is_that_of_its_own_time() -> None:
    """The twelfth bearing, heard a minute late, proposes what it would have proposed in time."""
    prompt, late = departed(), departed()
    swayed(prompt, 11)
    swayed(late, 11)
    at = utc(prompt.seconds)
    bearing_deg = (true_deg(prompt, FAR[2], prompt.seconds) + SWAYING[11]) % 360.0
    body: dict[str, object] = {
        "id": "b11", "kind": "bearing", "mark": FAR[2], "bearing_deg": bearing_deg, "reference": "true",
    }  # fmt: skip
    in_time = prompt.sighting(**body, at=at)
    late.run(60)
    heard = late.sighting(**body, at=at)

    assert seen(heard).proposes == seen(in_time).proposes
    assert seen(in_time).proposes is not None


def test_ranges_propose_a_part_of_the_distance() -> None:
    """By eye, 15 in 100 out where 5 are set: told in parts, and in miles at this distance."""
    boat = departed(Tuning(variation=FIVE_WEST, samples=2_000))
    answers = []
    for number in range(14):
        mark, off = FAR[number % 3], (0.14, -0.10, 0.11, -0.13)[number % 4]
        distance_nm = boat.ep_at(boat.seconds).to(MARKS[mark].position)[1] * (1.0 + off)
        answers.append(boat.sighting(id=f"r{number}", kind="range", mark=mark, distance_nm=distance_nm))
        boat.run(10)
    ((id_, proposal), *_) = proposed(answers)
    answer = next(each for each in answers if each.id == id_)
    line = seen(answer).line

    assert line is not None
    assert line.radius_nm is not None
    assert proposal.sd_nm is not None
    part = proposal.sd_nm / line.radius_nm
    assert 0.08 < part < 0.2
    assert proposal.text == (
        f"your last {proposal.of} ranges that can tell scatter by {100 * part:.1f} % of the distance,"
        f" the settings say 5 %: [doubts] range_part = {part:.3f}"
    )


def test_the_figures_sway_as_they_say() -> None:
    """The tests' own footing."""
    assert sqrt(sum(each**2 for each in SWAYING) / 16) == pytest.approx(3.0, abs=0.05)
