"""Rows of a boat handled: tacks and gybes, circles, astern, light airs and surf."""

from math import pi, sin

from watch.meets.boat import Boat, towards
from watch.meets.row import Row


def _tacks(boat: Boat, *, vane: bool) -> None:
    """Tack each six minutes through 90 degrees, losing half her way; five degrees of leeway on either."""
    wind_to = 180.0
    boat.wind = towards(wind_to, 14.0) if vane else None
    boat.course_deg = boat.head_deg = 45.0
    boat.leeway_deg = 5.0
    boat.under_way()
    boat.it_begins()
    for tack in range(4):
        on_port = tack % 2 == 1
        boat.leeway_deg = 5.0 if on_port else -5.0
        boat.way_kn *= 0.5
        boat.come_to(45.0 if on_port else 315.0, seconds=360)


def _gybes(boat: Boat) -> None:
    boat.wind = towards(180.0, 16.0)
    boat.course_deg = boat.head_deg = 150.0
    boat.under_way()
    boat.it_begins()
    for gybe in range(4):
        boat.come_to(150.0 if gybe % 2 else 210.0, seconds=360)


def _circles(boat: Boat) -> None:
    boat.under_way()
    boat.it_begins()
    boat.swings = lambda second: 6.0 * second
    boat.come_to(boat.course_deg, 3.5, seconds=240)
    boat.swings = lambda _second: 0.0
    boat.come_to(60.0, 5.0, seconds=400)


def _backs(boat: Boat, astern_s: int, *, by_hand: bool = False, manoeuvring: bool = False) -> None:
    """Stop, go astern at 2 kn, and ahead again; the wheel knows no sign."""
    boat.under_way()
    if manoeuvring:
        boat.order(kind="way", way="manoeuvring")
    boat.it_begins()
    boat.come_to(60.0, 0.0, seconds=60)
    if by_hand:
        boat.order(kind="by_hand", speed_kn=-2)
    boat.come_to(60.0, -2.0, seconds=astern_s)
    boat.ordered_kn = 0.0
    boat.sail(8)
    if by_hand:
        boat.order(kind="by_hand", speed_kn=0)
    boat.sail(20)
    if by_hand:
        boat.order(kind="by_hand", speed_kn=None)
    boat.come_to(60.0, 5.0, seconds=600)


def _light_airs(boat: Boat) -> None:
    """Ghost at 0.2 to 1.2 kn; the wheel sticks under 0.4 kn."""
    boat.under_way()
    turning = boat.log
    boat.log = lambda kn: turning(kn) if kn > 0.4 else 0.0
    boat.it_begins()
    for puff in range(8):
        boat.come_to(60.0 + 25.0 * sin(puff), 0.2 if puff % 3 == 0 else 1.2, seconds=240)


def _surfs(boat: Boat) -> None:
    """Run at 6 kn and surf at 10 for eight seconds, twice a minute."""
    boat.under_way()
    boat.ordered_kn = 6.0
    boat.sail(60)
    boat.it_begins()
    for _ in range(30):
        # She is on the wave at once, and off it at once.
        boat.way_kn = boat.ordered_kn = 10.0
        boat.sail(8)
        boat.way_kn = boat.ordered_kn = 6.0
        boat.sail(22)


def _yaws(boat: Boat) -> None:
    boat.under_way()
    boat.it_begins()
    boat.swings = lambda second: 25.0 * sin(2.0 * pi * second / 12.0)
    boat.sail(900)


ROWS: list[Row] = [
    Row(
        "tacking with a vane",
        "The EP has the leeway on either tack; four tacks in 24 minutes, and nothing is said.",
        lambda boat: _tacks(boat, vane=True),
    ),
    Row(
        "tacking without a vane",
        "Leeway that nobody allows for steps at each tack; it is known that it may, and nothing is said.",
        lambda boat: _tacks(boat, vane=False),
    ),
    Row("gybing", "Four gybes on a run, and nothing is said.", _gybes),
    Row(
        "circling under engine",
        "Four circles, a minute each: a receiver that goes round with her is right, and nothing is said.",
        _circles,
    ),
    Row(
        "astern by a log that knows no sign",
        "Forty-five seconds astern are reckoned ahead, and that is a twentieth of a mile: a manoeuvre so"
        " short raises nothing.",
        lambda boat: _backs(boat, 45),
        ways=frozenset({"under_way", "little_way"}),
    ),
    Row(
        "astern for long by a log that knows no sign",
        "A minute and a half without an order: the receiver goes back just as fast as the log shows her going"
        " ahead, which no pull is likely to do, and nothing is said.",
        lambda boat: _backs(boat, 90),
        ways=frozenset({"under_way", "little_way"}),
        seeds=(1, 2, 3, 4),
    ),
    Row(
        "astern out of a berth, manoeuvring by order",
        "A minute and a half astern by a log that knows no sign: of a boat that manoeuvres heading and log"
        " tell little, nothing is made of an apparent stream, and nothing is said.",
        lambda boat: _backs(boat, 90, manoeuvring=True),
        ways=frozenset({"manoeuvring"}),
    ),
    Row(
        "astern by order",
        "With her speed given by hand, as -2, the DR goes astern with her, and nothing is said.",
        lambda boat: _backs(boat, 90, by_hand=True),
        ways=frozenset({"under_way", "little_way"}),
    ),
    Row(
        "light airs",
        "Under a knot and a half little way is shown; a wheel that sticks is not asked after, for the"
        " stream may make what the satellites see, and nothing is said.",
        _light_airs,
        ways=frozenset({"under_way", "little_way"}),
    ),
    Row(
        "surfing",
        "Four knots more within a second, twice a minute, are the boat's own: nothing is said.",
        _surfs,
    ),
    Row(
        "yawing in a quartering sea",
        "Twenty-five degrees to either side in a dozen seconds is a helmsman's work: nothing is said.",
        _yaws,
    ),
]
