"""Rows of what the skipper enters: a fix adopted, an entry late, a stream that comes into force."""

from cmath import phase
from math import degrees

from middlewatch.quantities.positions import Position
from watch.meets.boat import Boat, settings, towards
from watch.meets.row import Row


def _fix(boat: Boat, at: Position) -> None:
    """Enter a fix by sight, and adopt it."""
    place = {"latitude_deg": at.latitude_deg, "longitude_deg": at.longitude_deg}
    boat.sighting(kind="position", **place, sd_nm=0.05, source="visual")
    boat.order(kind="adopt", fix=boat.fixes()[-1].id)


def _adopts_a_true_fix(boat: Boat) -> None:
    """Sail in a knot and a quarter of stream until she is a third of a mile off, and adopt where she is."""
    boat.stream = towards(150.0, 1.25)
    boat.under_way(1080)
    boat.it_begins()
    _fix(boat, boat.truly)
    boat.sail(600)


def _adopts_a_wrong_fix(boat: Boat) -> None:
    boat.under_way()
    boat.it_begins()
    _fix(boat, boat.truly.moved(0.0, 0.9 * 1852.0))
    boat.sail(300)


def _enters_late(boat: Boat) -> None:
    """Enter a fix of ten minutes ago, and adopt it: the track since is carried from there."""
    boat.stream = towards(150.0, 1.25)
    boat.under_way(900)
    then = boat.truly
    boat.sail(600)
    boat.it_begins()
    place = {"latitude_deg": then.latitude_deg, "longitude_deg": then.longitude_deg}
    boat.sighting(kind="position", **place, sd_nm=0.05, source="visual", ago_s=600)
    boat.order(kind="adopt", fix=boat.fixes()[-1].id)
    boat.sail(600)


def _orders_the_stream(boat: Boat, *, late_s: int | None = None) -> None:
    """Order the stream that runs; late: to be reckoned from some minutes ago."""
    boat.stream = towards(150.0, 1.25)
    boat.under_way(900)
    boat.it_begins()
    ago = {} if late_s is None else {"ago_s": late_s}
    boat.order(kind="stream", set_deg=degrees(phase(boat.stream)) % 360.0, drift_kn=1.25, **ago)
    boat.sail(900)


def _departs_late(boat: Boat) -> None:
    """Give the departure ten minutes after it was: DR and EP begin back there."""
    boat.run(10)
    place = {"latitude_deg": boat.truly.latitude_deg, "longitude_deg": boat.truly.longitude_deg}
    boat.run(600)
    boat.it_begins()
    boat.order(kind="departure", **place, ago_s=600)
    boat.sail(600)


ROWS: list[Row] = [
    Row(
        "a true fix adopted",
        "The EP steps to where she is: the gap closes at the adoption, no stream and no jump is made of it,"
        " and nothing is said.",
        _adopts_a_true_fix,
        tuning=settings(limit_nm=0.7),
        dr="either",
    ),
    Row(
        "a wrong fix adopted",
        "The EP steps by nine tenths of a mile: that the satellites are now so far off is told, with the"
        " fix it is counted from, and no jump or stream is made of it.",
        _adopts_a_wrong_fix,
        states=frozenset({"in_step", "apart", "wide"}),
        ends=frozenset({"apart", "wide"}),
        dr="either",
        must=(("satellite parted|satellite unusual|satellite wide", 90),),
        may=frozenset({"satellite parted", "satellite unusual", "satellite wide"}),
        gravest="warning",
        area_holds=False,
    ),
    Row(
        "a fix entered late and adopted",
        "The track since is worked from there: the gap closes as by a fix in time, and nothing is said.",
        _enters_late,
        tuning=settings(limit_nm=0.7),
        dr="either",
    ),
    Row(
        "the stream ordered that runs",
        "From its coming into force the EP goes with the stream and the gap grows no more; nothing is said.",
        _orders_the_stream,
        tuning=settings(limit_nm=0.7),
    ),
    Row(
        "the stream ordered from ten minutes ago",
        "The EP is worked again and steps back to the satellites; nothing is said.",
        lambda boat: _orders_the_stream(boat, late_s=600),
        tuning=settings(limit_nm=0.7),
    ),
    Row(
        "a departure entered late",
        "The DR begins where and when it was: the satellites are in step with it from its first second"
        " shown.",
        _departs_late,
        dr="runs",
    ),
]
