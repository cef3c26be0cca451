"""Rows of a receiver that is drawn off while something else goes on: none of it may hide that."""

from collections.abc import Callable
from functools import partial
from math import pi, sin

from middlewatch.reports.satellite import SatelliteState
from watch.meets.boat import Boat, settings, towards
from watch.meets.row import Row
from watch.sailed import KN

PARTED: frozenset[SatelliteState] = frozenset({"in_step", "returning", "none", "parting", "apart", "wide"})
FAR: frozenset[SatelliteState] = frozenset({"returning", "parting", "apart", "wide", "in_step"})


def _drawn(boat: Boat, kn: float, seconds: int) -> None:
    """Draw the receiver off towards 150 for so long."""
    for _ in range(seconds):
        boat.receiver.off_m += towards(150.0, kn) * KN
        boat.sail(1)


def _drawn_off(boat: Boat, kn: float, meanwhile: Callable[[Boat], None]) -> None:
    boat.under_way()
    boat.it_begins()
    meanwhile(boat)
    _drawn(boat, kn, 900)


def _nothing(_boat: Boat) -> None:
    """Steer a straight course."""


def _yaws(boat: Boat) -> None:
    boat.swings = lambda second: 20.0 * sin(2.0 * pi * second / 12.0)


def _outage(boat: Boat) -> None:
    boat.receiver.heard = False
    _drawn(boat, 2.0, 12)
    boat.receiver.heard = True


def _brought_up(boat: Boat) -> None:
    boat.come_to(60.0, 0.0, seconds=60)
    boat.ordered_kn = 5.0


def _manoeuvres(boat: Boat) -> None:
    boat.order(kind="way", way="manoeuvring")


def _blinks(boat: Boat) -> None:
    """Be silent for ten seconds in thirty, and be drawn off only then."""
    boat.under_way()
    boat.it_begins()
    for _ in range(40):
        boat.receiver.heard = False
        _drawn(boat, 6.0, 10)
        boat.receiver.heard = True
        boat.sail(20)


def _drawn_row(
    name: str, words: str, meanwhile: Callable[[Boat], None], within_s: int, kn: float = 2.0
) -> Row:
    return Row(
        f"drawn off {name}",
        words,
        partial(_drawn_off, kn=kn, meanwhile=meanwhile),
        tuning=settings(strongest_stream_kn=1.5),
        states=PARTED,
        ends=FAR,
        ways=frozenset({"under_way", "little_way", "manoeuvring"}),
        must=(("satellite parting|satellite stream|satellite unusual|satellite parted", within_s),),
        may=frozenset({"satellite parting", "satellite stream", "satellite unusual", "satellite wide",
                       "satellite parted"}),
        gravest="warning",
        times=2,
    )  # fmt: skip


ROWS: list[Row] = [
    _drawn_row("on a straight course", "Two knots are told within two minutes.", _nothing, 120),
    _drawn_row("in a quartering sea", "Her yawing hides it by half a minute at most.", _yaws, 150),
    _drawn_row("from an outage on", "What a bridge explains is an echo's, once.", _outage, 150),
    _drawn_row("after she was brought up", "It is told once she has way again.", _brought_up, 480),
    _drawn_row("while she manoeuvres by order", "As long as she has way, it is told.", _manoeuvres, 120),
    Row(
        "drawn off in silences only",
        "A receiver that blinks and is elsewhere each time is no echo's for long.",
        _blinks,
        states=PARTED,
        ends=FAR,
        must=(("satellite parting|satellite stream|satellite unusual|satellite parted", 600),),
        may=frozenset({f"satellite {each}" for each in ("parting", "stream", "unusual", "wide", "parted")}),
        gravest="warning",
        times=4,
    ),
]
