"""Rows of the daemon itself: restarted, suspended, booted on a board without a clock."""

from watch.meets.boat import Boat
from watch.meets.row import Row

HELD = frozenset({"heading held", "log held"})


def _restarts(boat: Boat, away_s: int, *, gap_known: bool) -> None:
    boat.under_way()
    boat.it_begins()
    boat.restart(away_s, gap_known=gap_known)
    boat.sail(600)


ROWS: list[Row] = [
    Row(
        "restarted within ten seconds",
        "So short a gap is bridged: the DR runs on as if nothing had been, and nothing is said.",
        lambda boat: _restarts(boat, 8, gap_known=True),
        states=frozenset({"in_step", "none", "returning"}),
        ends=frozenset({"in_step", "returning"}),
    ),
    Row(
        "suspended for two minutes on the same boot",
        "The DR is run on by the last heading and log over a gap of known length, which is said of both,"
        " once; the satellites come back in step, and were away for a minute.",
        lambda boat: _restarts(boat, 120, gap_known=True),
        states=frozenset({"in_step", "none", "returning"}),
        ends=frozenset({"in_step", "returning"}),
        must=(("heading held", 20), ("log held", 20)),
        may=frozenset({"satellite lost"}),
        gravest="warning",
    ),
    Row(
        "booted anew after a gap that nobody can tell",
        "The DR waits at its last point, and that is a warning; to a reckoning that waits the satellites"
        " stand in no way that could be told, neither in step nor off.",
        lambda boat: _restarts(boat, 120, gap_known=False),
        states=frozenset({"none"}),
        ends=frozenset({"none"}),
        dr="held",
        area_holds=None,
        must=(("position gap", 125),),
        gravest="warning",
    ),
]
