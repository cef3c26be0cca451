"""Rows of what the sea does: tide lines, headlands, races, rivers, and fog."""

from typing import Literal

from entries.entering import START
from middlewatch.quantities.positions import Position
from middlewatch.readings.zones import Zone
from watch.meets.boat import Boat, settings, towards
from watch.meets.row import Row


def _stream_becomes(boat: Boat, stream: complex, seconds: int) -> None:
    """Let the stream become another, evenly."""
    each = (stream - boat.stream) / seconds
    for _ in range(seconds):
        boat.stream += each
        boat.sail(1)


def _tide_line(boat: Boat) -> None:
    boat.under_way()
    boat.it_begins()
    _stream_becomes(boat, boat.stream + towards(150.0, 0.9), 45)
    boat.sail(1200)


def _headland(boat: Boat) -> None:
    """Ten minutes off a headland the stream grows to 1.4 kn, and it slackens in as many."""
    boat.stream = towards(150.0, 0.3)
    boat.under_way()
    boat.it_begins()
    _stream_becomes(boat, towards(150.0, 1.4), 600)
    boat.sail(300)
    _stream_becomes(boat, towards(150.0, 0.3), 600)


def _race(boat: Boat) -> None:
    """Three knots within a minute, eddy lines of a knot and a half in half a minute each, and out again."""
    boat.under_way()
    boat.it_begins()
    _stream_becomes(boat, towards(100.0, 3.0), 60)
    boat.sail(200)
    for set_deg in (10.0, 200.0, 320.0):
        _stream_becomes(boat, towards(100.0, 3.0) + towards(set_deg, 1.5), 30)
        boat.sail(100)
        _stream_becomes(boat, towards(100.0, 3.0), 30)
        boat.sail(60)
    _stream_becomes(boat, towards(100.0, 0.3), 60)
    boat.sail(400)


def _river(boat: Boat) -> None:
    """Up a river: its stream along her course, round bends, two to three and a half knots against her."""
    boat.course_deg = boat.head_deg = 60.0
    boat.stream = towards(240.0, 2.0)
    boat.under_way(300)
    boat.it_begins()
    for bend_deg, kn in ((85.0, 3.5), (40.0, 2.5), (100.0, 3.0), (60.0, 2.0)):
        boat.course_deg = bend_deg
        _stream_becomes(boat, towards(bend_deg + 180.0, kn), 30)
        boat.sail(270)


def _fog(boat: Boat) -> None:
    boat.under_way(60)
    boat.it_begins()
    boat.sail(3900)


def _all_about(name: str, kind: Literal["race", "river"], kn: float) -> Zone:
    """Return a zone of ten miles round the start."""
    north, east = 10.0 / 60.0, 15.0 / 60.0
    corners = [(1, 1), (1, -1), (-1, -1), (-1, 1), (1, 1)]
    ring = tuple(Position(START.latitude_deg + a * north, START.longitude_deg + b * east) for a, b in corners)
    return Zone(name, kind, kn, (ring,))


ROWS: list[Row] = [
    Row(
        "across a tide line",
        "Nine tenths of a knot within a minute are what the sea can do: it may be told as an apparent"
        " stream that set in, a caution that leaves open what it is; nothing graver.",
        _tide_line,
        states=frozenset({"in_step", "parting"}),
        ends=frozenset({"in_step", "parting"}),
        may=frozenset({"satellite parting"}),
    ),
    Row(
        "round a headland",
        "A stream that grows to a knot and a half in ten minutes and slackens again is the sea's: that it"
        " set in may be told as a caution, and that the gap is past the limit, which is as set; nothing"
        " graver.",
        _headland,
        states=frozenset({"in_step", "parting", "wide"}),
        ends=frozenset({"in_step", "parting", "wide"}),
        may=frozenset({"satellite parting", "satellite wide"}),
    ),
    Row(
        "through a race that is entered as a zone",
        "In waters said to run to five knots nothing abrupt is concluded; that the gap is past the limit is"
        " told as set, and nothing else.",
        _race,
        states=frozenset({"in_step", "wide"}),
        ends=frozenset({"in_step", "wide"}),
        may=frozenset({"satellite wide"}),
        tuning=settings(zones=(_all_about("the race", "race", 5.0),)),
    ),
    Row(
        "through a race that nobody entered",
        "More than the settings say the sea can do: a caution that a stream set in, and a warning that log,"
        " compass, receiver or the waters' setting is wrong, are right, and nothing else. A receiver"
        " drawn off would look the same: where it was blamed, it is returning afterwards.",
        _race,
        tuning=settings(strongest_stream_kn=1.5),
        states=frozenset({"in_step", "parting", "apart", "wide", "returning"}),
        ends=frozenset({"in_step", "parting", "apart", "wide", "returning"}),
        must=(("satellite parting", 120),),
        may=frozenset({"satellite stream", "satellite unusual", "satellite wide", "satellite parted"}),
        gravest="warning",
        times=4,
        area_holds=False,
    ),
    Row(
        "up a river that is entered as a zone",
        "Two to three and a half knots against her, round its bends: that the gap is past the limit is told"
        " as set, and nothing else.",
        _river,
        states=frozenset({"in_step", "wide"}),
        ends=frozenset({"in_step", "wide"}),
        may=frozenset({"satellite wide"}),
        tuning=settings(zones=(_all_about("the river", "river", 4.0),)),
    ),
    Row(
        "an hour in fog without marks",
        "Without a sight the area grows, and it is told that it has; of the satellites, which are in step"
        " all the while, nothing is said.",
        _fog,
        tuning=settings(area_warn_nm=1.0),
        must=(("position *", 3700),),
        seeds=(1,),
    ),
]
