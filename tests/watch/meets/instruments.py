"""Rows of log and compass: a wheel lifted, fouled or in froth, iron beside the sensor, another source."""

from functools import partial

from watch.meets.boat import COMPASS, Boat
from watch.meets.row import Row

SECOND_COMPASS, SECOND_LOG = "IIHDM@mast", "IIVHW@mast"


def _wheel_lifted(boat: Boat) -> None:
    boat.under_way()
    boat.it_begins()
    boat.log = lambda _kn: 0.0
    boat.sail(600)


def _froth(boat: Boat, seconds: int, share: float) -> None:
    """In froth the wheel turns for a share of the time, and stands for three seconds at most."""
    boat.under_way()
    boat.it_begins()
    turns, stood = boat.log, [0]

    def flickers(kn: float) -> float | None:
        stands = boat.draw.uniform() > share and stood[0] < 3
        stood[0] = stood[0] + 1 if stands else 0
        return 0.0 if stands else turns(kn)

    boat.log = flickers
    boat.sail(seconds)
    boat.log = turns
    boat.sail(600)


def _loudspeaker(boat: Boat, degrees: float) -> None:
    """Put a loudspeaker beside the sensor, and leave it there."""
    boat.under_way()
    boat.it_begins()
    reads = boat.compass
    boat.compass = lambda head: (reads(head) or 0.0) + degrees
    boat.sail(900)


def _compass_changes_over(boat: Boat) -> None:
    """Let the first compass fall silent; the other one stands eight degrees off it."""
    boat.sources = [*boat.sources[0], SECOND_COMPASS], boat.sources[1]
    boat.under_way()
    boat.it_begins()
    reads = boat.compass
    boat.sources = [SECOND_COMPASS], boat.sources[1]
    boat.compass = lambda head: (reads(head) or 0.0) + 8.0
    boat.sail(900)


def _compass_gives_back(boat: Boat) -> None:
    """Let the first compass fall silent for two minutes; the other one stands eight degrees off it."""
    boat.sources = [*boat.sources[0], SECOND_COMPASS], boat.sources[1]
    boat.under_way()
    boat.it_begins()
    reads = boat.compass
    boat.sources = [SECOND_COMPASS], boat.sources[1]
    boat.compass = lambda head: (reads(head) or 0.0) + 8.0
    boat.sail(120)
    boat.sources = [COMPASS], boat.sources[1]
    boat.compass = reads
    boat.sail(700)


def _log_changes_over(boat: Boat) -> None:
    """Let the first log fall silent; the other one shows a sixth more."""
    boat.sources = boat.sources[0], [*boat.sources[1], SECOND_LOG]
    boat.under_way()
    boat.it_begins()
    turns = boat.log
    boat.sources = boat.sources[0], [SECOND_LOG]
    boat.log = lambda kn: 1.17 * (turns(kn) or 0.0)
    boat.sail(900)


def _log_silent(boat: Boat) -> None:
    boat.under_way()
    boat.it_begins()
    boat.log = lambda _kn: None
    boat.sail(300)


ROWS: list[Row] = [
    Row(
        "the wheel lifted",
        "With way on by the satellites and none by the log its wheel is to be looked at, said in ten"
        " seconds; that the apparent stream is more than the sea's may follow, for it may be the receiver"
        " after all.",
        _wheel_lifted,
        states=frozenset({"in_step", "parting", "apart", "wide"}),
        ends=frozenset({"in_step", "parting", "apart", "wide"}),
        ways=frozenset({"under_way", "little_way"}),
        dr="either",
        must=(("log wheel", 10),),
        may=frozenset({f"satellite {each}" for each in ("parting", "stream", "unusual", "wide", "parted")}
                      | {"log *"}),
        gravest="warning",
        area_holds=False,
    ),
    Row(
        "the wheel in froth for half a minute",
        "A log that flickers for half a minute comes back: nothing is said.",
        lambda boat: _froth(boat, 30, 0.5),
    ),
    Row(
        "the wheel in froth for three minutes",
        "A log that misses a third of the time for minutes shows too little: that a stream set in may be"
        " told, and is over once the log is steady; the wheel, when it stood for five seconds, may be asked"
        " after.",
        lambda boat: _froth(boat, 180, 0.6),
        states=frozenset({"in_step", "parting"}),
        ends=frozenset({"in_step"}),
        may=frozenset({"satellite parting", "log *"}),
        gravest="warning",
    ),
    *(
        Row(
            f"a loudspeaker beside the sensor, {degrees} degrees",
            "A compass that steps and stays is seen across her heading: within five minutes something is"
            " said, of the compass or of a stream that set in, and the receiver alone is never blamed.",
            partial(_loudspeaker, degrees=degrees),
            states=frozenset({"in_step", "parting", "apart", "wide"}),
            ends=frozenset({"in_step", "parting", "apart", "wide"}),
            must=(("heading *|satellite parting", 300),),
            may=frozenset({f"satellite {each}" for each in ("parting", "stream", "unusual", "wide", "parted")}
                          | {"heading *"}),
            gravest="warning",
            area_holds=False,
        )
        for degrees in (15.0, 25.0)
    ),
    Row(
        "another compass takes over",
        "That the second compass steers is said once; the step it makes in the apparent stream is its own,"
        " and nothing else is said.",
        _compass_changes_over,
        must=(("heading source", 20),),
    ),
    Row(
        "another compass takes over and gives back",
        "Each change is said once, as a caution that is over when the first steers again; the two steps in"
        " the apparent stream are theirs, and nothing else is said.",
        _compass_gives_back,
        must=(("heading source", 20),),
        times=2,
    ),
    Row(
        "another log takes over",
        "That the second log steers is said once; the step it makes in the apparent stream is its own, and"
        " nothing else is said.",
        _log_changes_over,
        must=(("log source", 20),),
    ),
    Row(
        "the log falls silent",
        "The DR runs on with the last speed, that is said after a quarter of a minute, once, as a warning;"
        " the satellites, held against a speed that is held, are not concluded upon.",
        _log_silent,
        must=(("log held", 20),),
        gravest="warning",
    ),
]  # fmt: skip
