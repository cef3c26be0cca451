"""Rows of a boat that makes no way of her own: at anchor, alongside, hove-to, adrift, towed."""

from functools import partial
from math import pi, sin

from watch.meets.boat import Boat, settings, towards
from watch.meets.row import Row

SET_DEG = 120.0
"""Where the tide runs to; she lies head to it."""


def _anchors(boat: Boat, tide_kn: float, *, ordered: bool) -> None:
    boat.stream = towards(SET_DEG, tide_kn)
    boat.under_way(300)
    # Head to the tide, and no way over the ground: the log shows the tide.
    boat.come_to(SET_DEG + 180.0, tide_kn, seconds=120)
    if ordered:
        boat.order(kind="way", way="anchored")
    boat.receiver.pinned = boat.receiver.last
    boat.it_begins()
    boat.sail(900)


def _anchored(tide_kn: float) -> list[Row]:
    tuning = settings(strongest_stream_kn=tide_kn + 0.5)
    # Log and compass make of 3 kn now more, now less: the question whether she is not under way may come.
    questions = frozenset({"position way"}) if tide_kn >= 3.0 else frozenset[str]()
    return [
        Row(
            f"anchored by order in {tide_kn:g} kn of tide, digits pinned",
            "The DR is held and the satellites are in step, however the tide turns the wheel; past 3 kn by"
            " the log it may be asked whether she is under way.",
            lambda boat: _anchors(boat, tide_kn, ordered=True),
            tuning=tuning,
            ways=frozenset({"anchored"}),
            dr="held",
            may=questions,
            area_grows_nm=0.05,
        ),
        Row(
            f"anchored in {tide_kn:g} kn of tide and nobody said so, digits pinned",
            "Nobody can tell her from a boat whose receiver stands still: the DR runs on, the digits are"
            " called frozen where the log shows way, after five minutes it is asked whether she lies to her"
            " anchor, and the gap that the running DR opens is spoken of.",
            lambda boat: _anchors(boat, tide_kn, ordered=False),
            tuning=tuning,
            states=frozenset({"in_step", "frozen", "parting", "apart", "wide"}),
            ends=frozenset({"frozen", "in_step", "parting", "apart", "wide"}),
            ways=frozenset({"under_way", "little_way"}),
            may=frozenset({f"satellite {each}" for each in ("frozen", "parting", "still", "unusual", "wide")}
                          | ({"satellite parted"} if tide_kn > 1.0 else set())),
            must=(("satellite still", 330),) if tide_kn > 1.0 else (),
            gravest="warning" if tide_kn > 1.0 else "caution",
            area_holds=False,
        ),
    ]  # fmt: skip


def _in_a_circle(boat: Boat, drags_kn: float) -> None:
    """Let go the anchor, have its circle watched, and swing in it, or drag out of it."""
    boat.stream = towards(SET_DEG, 1.0)
    boat.under_way(300)
    boat.come_to(SET_DEG + 180.0, 1.0, seconds=120)
    boat.order(kind="way", way="anchored", radius_m=50)
    boat.it_begins()
    for second in range(0, 1200, 10):
        # On her cable she sheers about, ten metres to either hand in three minutes.
        sheers_kn = 0.7 * sin(2.0 * pi * second / 180.0)
        boat.beside = towards(SET_DEG, drags_kn) + towards(SET_DEG + 90.0, sheers_kn)
        boat.sail(10)


def _made_fast(boat: Boat, *, ordered: bool) -> None:
    boat.stream = towards(SET_DEG, 1.4)
    boat.under_way(300)
    boat.come_to(SET_DEG + 180.0, 1.4, seconds=120)
    if ordered:
        boat.order(kind="way", way="made_fast")
    boat.it_begins()
    boat.sail(1200)


def _hoisting(boat: Boat) -> None:
    boat.wind = towards(240.0, 12.0)
    boat.under_way()
    boat.it_begins()
    boat.swings = lambda second: 20.0 * sin(2.0 * pi * second / 25.0)
    boat.come_to(60.0, 0.7, seconds=200)
    boat.swings = lambda _second: 0.0
    boat.come_to(105.0, 5.0, seconds=600)


def _lies_to(boat: Boat, way: str, log_kn: float, drift_kn: float, *, ordered: bool) -> None:
    """Lie with the wind well on the bow, to and fro, and drift downwind all the same."""
    downwind = 240.0
    boat.wind = towards(downwind, 22.0)
    boat.under_way()
    boat.course_deg = 10.0
    boat.ordered_kn = log_kn
    if ordered:
        boat.order(kind="way", way=way)
    boat.it_begins()
    boat.swings = lambda second: 15.0 * sin(2.0 * pi * second / 70.0)
    # She forges ahead as the log says, and that is no part of what is ordered.
    boat.beside = towards(downwind, drift_kn)
    boat.sail(1200)


def _towed(boat: Boat) -> None:
    boat.under_way(300)
    boat.it_begins()
    boat.swings = lambda second: 14.0 * sin(2.0 * pi * second / 35.0)
    boat.come_to(80.0, 5.5, seconds=1200)


ROWS: list[Row] = [
    *_anchored(1.0),
    *_anchored(2.0),
    *_anchored(3.0),
    Row(
        "anchored in a circle, and she sheers about in it",
        "The DR is held, and satellites that stay within the circle of 50 m are not spoken of.",
        partial(_in_a_circle, drags_kn=0.0),
        ways=frozenset({"anchored"}),
        dr="held",
        area_grows_nm=0.05,
    ),
    Row(
        "anchored in a circle, and the anchor drags at half a knot",
        "Half a minute after the satellites have her outside the circle of 50 m it is asked whether the"
        " anchor drags; twice as far off that is a warning. The DR stays held; the gap may be spoken of.",
        partial(_in_a_circle, drags_kn=0.5),
        states=frozenset({"in_step", "apart"}),
        ends=frozenset({"apart"}),
        ways=frozenset({"anchored"}),
        dr="held",
        # 50 m at 0.26 m/s take 195 s, and it must last for 30 s; the receiver's noise comes to that.
        must=(("satellite circle", 255),),
        may=frozenset({"satellite circle", "satellite unusual"}),
        times=2,
        gravest="warning",
        area_grows_nm=0.05,
        area_holds=False,
    ),
    Row(
        "made fast with the wheel turning",
        "Alongside by order the DR is held; the river that turns the wheel is nobody's way, and nothing is"
        " said.",
        partial(_made_fast, ordered=True),
        ways=frozenset({"made_fast"}),
        dr="held",
        area_grows_nm=0.05,
    ),
    Row(
        "made fast with the wheel turning and nobody said so",
        "The log shows way and the satellites lie still, digits moving: after five minutes it is asked"
        " whether she is made fast; until it is ordered the DR runs on, as a boat stemming the stream would.",
        partial(_made_fast, ordered=False),
        states=frozenset({"in_step", "parting", "apart", "wide"}),
        ends=frozenset({"in_step", "parting", "apart", "wide"}),
        ways=frozenset({"under_way", "little_way"}),
        may=frozenset({"satellite parting", "satellite unusual", "satellite wide"}),
        must=(("satellite still", 330),),
        area_holds=False,
    ),
    Row(
        "hoisting head to wind",
        "For three minutes she swings head to wind and hardly moves, then bears away: little way is shown,"
        " the DR runs by what log and compass say, and nothing is said.",
        _hoisting,
        ways=frozenset({"under_way", "little_way"}),
    ),
    Row(
        "hove-to by order",
        "The DR drifts downwind by itself while she fore-reaches and swings; the satellites, which do the"
        " same, are in step, and nothing is said.",
        lambda boat: _lies_to(boat, "hove_to", 0.4, 1.4, ordered=True),
        ways=frozenset({"hove_to"}),
    ),
    Row(
        "adrift by order",
        "Under bare poles she goes with three parts in a hundred of the wind, and so does the DR; nothing"
        " is said.",
        lambda boat: _lies_to(boat, "drifting", 0.2, 0.7, ordered=True),
        ways=frozenset({"drifting"}),
    ),
    Row(
        "hove-to and nobody said so",
        "No log shows a drift of a knot and a half abeam: to the reckoning it is a stream that set in,"
        " which may be told as a caution, and never as a receiver that is wrong.",
        lambda boat: _lies_to(boat, "hove_to", 0.6, 1.4, ordered=False),
        tuning=settings(strongest_stream_kn=2.0),
        states=frozenset({"in_step", "parting", "apart", "wide"}),
        ends=frozenset({"in_step", "parting", "apart", "wide"}),
        ways=frozenset({"under_way", "little_way"}),
        may=frozenset({"satellite parting", "satellite unusual", "satellite wide"}),
        area_holds=False,
    ),
    Row(
        "being towed",
        "The log turns by another's engine and she sheers about on the line: heading and log tell her way"
        " as ever, and nothing is said.",
        _towed,
    ),
]
