"""Rows of what stands over a boat or beside her: bridges, power lines, cliffs, locks, steel walls."""

from functools import partial
from math import pi, sin

from middlewatch.reports.satellite import SatelliteState
from watch.meets.boat import Boat, towards
from watch.meets.row import Row


def _outage(boat: Boat, seconds: int) -> None:
    boat.under_way()
    boat.it_begins()
    boat.receiver.heard = False
    boat.sail(seconds)
    boat.receiver.heard = True
    boat.sail(300)


def _compass_swings(boat: Boat, degrees: float, seconds: int) -> None:
    """Let the compass be drawn off and come back, as she passes iron or a current."""
    reads = boat.compass
    begins = boat.seconds

    def drawn(head: float) -> float | None:
        told = reads(head)
        share = sin(pi * (boat.seconds - begins) / seconds)
        return None if told is None else told + degrees * share

    boat.compass = drawn
    boat.sail(seconds)
    boat.compass = reads


def _bridge(boat: Boat) -> None:
    """Lose the satellites for a quarter of a minute, with echoes before and after, and iron overhead."""
    boat.under_way()
    boat.it_begins()
    boat.receiver.off_m = towards(200.0, 25.0)
    _compass_swings(boat, 25.0, 6)
    boat.receiver.heard = False
    boat.sail(4)
    _compass_swings(boat, -35.0, 8)
    boat.receiver.heard = True
    boat.receiver.off_m = towards(10.0, 40.0)
    boat.sail(5)
    boat.receiver.off_m = 0j
    boat.sail(300)


def _power_line(boat: Boat) -> None:
    boat.under_way()
    boat.it_begins()
    _compass_swings(boat, 20.0, 10)
    _compass_swings(boat, -12.0, 6)
    boat.sail(300)


def _cliff(boat: Boat, echo_m: float) -> None:
    """Under a cliff for ten minutes: its echo comes and goes, half a minute at a time."""
    boat.under_way()
    boat.it_begins()
    for turn in range(10):
        boat.receiver.off_m = towards(90.0 + 20.0 * turn, echo_m)
        boat.sail(15 + 3 * turn)
        boat.receiver.off_m = 0j
        boat.sail(45 - 3 * turn)


def _lock(boat: Boat) -> None:
    """Come in under engine, lie ten minutes between steel walls, and go out."""
    boat.under_way()
    boat.it_begins()
    boat.come_to(60.0, 1.5, seconds=120)
    boat.stream = 0j
    boat.come_to(60.0, 0.0, seconds=60)
    boat.order(kind="way", way="made_fast")
    reads = boat.compass
    boat.compass = lambda head: (reads(head) or 0.0) + 18.0
    for turn in range(12):
        boat.receiver.off_m = towards(100.0 * turn, 50.0)
        boat.receiver.heard = turn not in (5, 6)
        boat.sail(45)
    boat.receiver.heard, boat.receiver.off_m = True, 0j
    boat.compass = reads
    boat.order(kind="way", way="under_way")
    boat.come_to(60.0, 5.0, seconds=600)


def _steel_wall(boat: Boat, seconds: int) -> None:
    """Run along a steel wall that draws the compass off by a dozen degrees."""
    boat.under_way()
    boat.ordered_kn = 3.0
    boat.sail(120)
    boat.it_begins()
    reads = boat.compass
    boat.compass = lambda head: (reads(head) or 0.0) + 12.0
    boat.sail(seconds)
    boat.compass = reads
    boat.sail(400)


RETURNED: frozenset[SatelliteState] = frozenset({"in_step", "returning"})

ROWS: list[Row] = [
    *(
        Row(
            f"{seconds} s without satellites",
            "So short a silence is shown and nothing is made of it: the reckoning goes on, and nothing is"
            " said.",
            partial(_outage, seconds=seconds),
            states=frozenset({"in_step", "none", "returning"}),
            ends=RETURNED,
            seeds=(1,),
        )
        for seconds in (5, 20, 55)
    ),
    Row(
        "under a bridge",
        "A dozen seconds without satellites, echoes of forty metres, and a compass that swings both ways"
        " and comes back: nothing is said.",
        _bridge,
        states=frozenset({"in_step", "none", "returning"}),
        ends=RETURNED,
    ),
    Row(
        "under a power line",
        "A compass that swings twenty degrees and comes back within a quarter of a minute: nothing is said.",
        _power_line,
    ),
    *(
        Row(
            f"under a cliff with echoes of {echo_m} m",
            "A position that steps and steps back within the minute is the cliff's echo, too short for a"
            " jump: nothing is said.",
            partial(_cliff, echo_m=echo_m),
            seeds=(2,),
        )
        for echo_m in (20, 50, 100)
    ),
    Row(
        "in a lock",
        "Made fast by order between steel walls, with echoes of fifty metres, two minutes hardly any"
        " satellites and the compass off: the DR is held there, what is lost for a minute may be told, and"
        " nothing else.",
        _lock,
        states=frozenset({"in_step", "none", "returning"}),
        ends=RETURNED,
        ways=frozenset({"under_way", "little_way", "made_fast"}),
        may=frozenset({"satellite lost"}),
    ),
    Row(
        "along a steel wall",
        "A minute a dozen degrees off is an apparent stream of half a knot abeam: that it set in may be"
        " told as a caution, or the compass asked after, and it is over with the wall.",
        partial(_steel_wall, seconds=60),
        states=frozenset({"in_step", "parting"}),
        may=frozenset({"satellite parting", "heading *"}),
        gravest="warning",
    ),
    Row(
        "along a long steel wall",
        "Two minutes of it: the compass may be asked after, the satellites are not, and it is over with the"
        " wall.",
        partial(_steel_wall, seconds=120),
        may=frozenset({"heading *"}),
        gravest="warning",
        seeds=(1, 2, 3, 4),
    ),
]
