"""`adopt = "redundant"`: a fix whose lines check each other moves the origin by itself, and no other."""

import pytest

from entries.afloat import departed
from entries.entering import FIVE_WEST, Aboard, answer_in
from middlewatch.navigator.tuning import Tuning
from middlewatch.quantities.angles import direction

UNASKED = Tuning(variation=FIVE_WEST, adopt="redundant")
MARKS = ("Start Point", "Stoke Point", "Gammon Beacon")


def taken(boat: Aboard, off_deg: dict[str, float] | None = None, marks: tuple[str, ...] = MARKS) -> None:
    """Take a bearing of each mark, right but for so many degrees, ten seconds apart."""
    for name in marks:
        boat.run(10)
        mark = boat.navigator.room.marks[name].position
        place = boat.dr_at(boat.seconds)
        bearing_deg = place.to(mark)[0] + (off_deg or {}).get(name, 0.0)
        boat.sighting(
            id=f"b-{name.split()[0]}",
            kind="bearing",
            mark=name,
            bearing_deg=direction(bearing_deg),
            reference="true",
        )


def origin(boat: Aboard) -> str:
    """Return what the DR starts from, a second later."""
    boat.run(1)
    report = boat.position.origin
    assert report is not None
    return report.id


def test_three_lines_that_check_each_other_are_adopted_unasked() -> None:
    """At the next second the DR starts from the fix, and an answer says so as for the skipper's own order."""
    boat = departed(UNASKED)
    taken(boat)
    said = boat.second()

    answer = answer_in(said)
    assert (answer.id, answer.kind, answer.accepted) == ("adopt-b-Gammon", "adopt", True)
    assert answer.effect is not None
    assert answer.effect.startswith("f-b-Gammon of 0101 adopted: the DR starts anew from ")
    assert origin(boat) == "f-b-Gammon"


def test_it_can_be_withdrawn() -> None:
    """The order is in the log like any other: withdrawn, the DR goes on from its departure."""
    boat = departed(UNASKED)
    taken(boat)
    assert origin(boat) == "f-b-Gammon"
    boat.order(kind="withdraw", entry="adopt-b-Gammon")

    assert origin(boat) == "d1"


@pytest.mark.parametrize(
    ("off_deg", "marks"),
    [
        pytest.param({}, MARKS[:2], id="two lines"),
        pytest.param({"Gammon Beacon": 9.0}, MARKS, id="a line outside the others' allowance"),
        pytest.param({}, ("Start Point", "Start Point", "Start Point"), id="one mark"),
    ],
)
def test_what_does_not_check_itself_asks(off_deg: dict[str, float], marks: tuple[str, ...]) -> None:
    """Fewer lines or marks, or a line against the others: only the skipper moves the origin."""
    boat = departed(UNASKED)
    taken(boat, off_deg, marks)

    assert origin(boat) == "d1"


def test_by_default_nothing_is_adopted_unasked() -> None:
    """`ask` is the default."""
    boat = departed()
    taken(boat)

    assert origin(boat) == "d1"


def test_an_entry_in_doubt_near_by_keeps_it_asking() -> None:
    """A light that is not known yet is open: as long as it is, no fix near it is adopted unasked."""
    boat = departed(UNASKED)
    boat.sighting(id="u1", kind="bearing", bearing_deg=10, reference="true", note="Fl 5 s, not known")
    taken(boat)

    assert origin(boat) == "d1"
