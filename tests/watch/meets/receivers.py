"""Rows of receivers: switched, restarted, on static hold, another datum, two of them."""

from functools import partial

from middlewatch.readings.sentences import Word
from middlewatch.reports.satellite import SatelliteState
from watch.meets.boat import Boat, towards
from watch.meets.row import Row

SILENT: frozenset[SatelliteState] = frozenset({"in_step", "none", "returning"})
RETURNED: frozenset[SatelliteState] = frozenset({"in_step", "returning"})


def _switched(boat: Boat, seconds: int, *, comes_back: bool = True) -> None:
    boat.under_way()
    boat.it_begins()
    boat.receiver.heard = False
    boat.sail(seconds)
    if comes_back:
        boat.receiver.heard = True
        boat.sail(400)


def _restarted(boat: Boat) -> None:
    """Off for eight seconds, half a minute without a position, and then a coarse one for a while."""
    boat.under_way()
    boat.it_begins()
    boat.receiver.heard = False
    boat.sail(8)
    boat.receiver.heard, boat.receiver.word = True, Word.NONE
    boat.sail(30)
    boat.receiver.word, boat.receiver.off_m = Word.GOOD, towards(75.0, 45.0)
    boat.sail(20)
    boat.receiver.off_m = 0j
    boat.sail(400)


def _static_hold(boat: Boat) -> None:
    """Creep at a knot and a quarter: the receiver holds its position, and steps after some thirty metres."""
    boat.stream = 0j
    boat.under_way()
    boat.come_to(60.0, 1.3, seconds=120)
    boat.it_begins()
    boat.receiver.holds_under_kn = 2.0
    boat.sail(900)


def _datum(boat: Boat, metres: float) -> None:
    boat.under_way()
    boat.it_begins()
    boat.receiver.off_m = towards(200.0, metres)
    boat.sail(900)


def _two(boat: Boat) -> None:
    boat.second_receiver(towards(30.0, 20.0))
    boat.under_way()
    boat.it_begins()
    boat.sail(600)
    # The first is switched off, and the second is taken.
    boat.receiver.heard = False
    boat.sail(400)


ROWS: list[Row] = [
    Row(
        "a receiver switched off for two minutes",
        "After a minute it is told, once, that there is no satellite position; back, it takes up where it"
        " was.",
        lambda boat: _switched(boat, 120),
        states=SILENT,
        ends=RETURNED,
        must=(("satellite lost", 65),),
    ),
    Row(
        "a receiver switched off on purpose",
        "After a minute it is told, once, and the reckoning goes on: not a word more in the half hour.",
        lambda boat: _switched(boat, 1800, comes_back=False),
        states=frozenset({"none", "in_step"}),
        ends=frozenset({"none"}),
        must=(("satellite lost", 65),),
        seeds=(1,),
    ),
    Row(
        "a receiver restarted",
        "Without a position for half a minute, and coarse for a while after: nothing is said.",
        _restarted,
        states=SILENT,
        ends=RETURNED,
    ),
    Row(
        "a receiver on static hold",
        "A receiver that holds its position under way is called frozen while it does, and is returning"
        " afterwards; that each step is told anew would be too much: one caution, and nothing else.",
        _static_hold,
        states=frozenset({"in_step", "frozen", "returning"}),
        ends=frozenset({"in_step", "frozen", "returning"}),
        ways=frozenset({"under_way", "little_way"}),
        may=frozenset({"satellite frozen", "satellite still"}),
        times=1,
    ),
    *(
        Row(
            f"a receiver's datum changed by {metres} m",
            "A step of a chart's datum is under a tenth of a mile and stays: it is in the gap, which is"
            " ordinary, and no stream is made of it; nothing is said.",
            partial(_datum, metres=metres),
            seeds=(2,),
        )
        for metres in (60.0, 120.0)
    ),
    Row(
        "two receivers twenty metres apart",
        "They agree as far as antennas can; one falls silent and the other is taken: nothing is said.",
        _two,
        states=SILENT,
        ends=RETURNED,
    ),
]
