"""The state diagram of IMO MSC.302(87): every state, everything that can happen in it, and where that leads.

States as the interface words them; the diagram's arrows are from the standard's excerpts and, where those end
(silence, a caution's acknowledgement), from common practice without a source.
"""

from collections.abc import Callable

import pytest

from middlewatch.navigator.timescale import Timescale
from middlewatch.navigator.watch.alerts import SILENCE_MS, Alerts
from middlewatch.quantities.instants import Instant
from middlewatch.reports.alert import AlertState, SoundReport

AT_0142 = Instant.parse("2026-05-03T01:42:00Z").ms
LATER = AT_0142 + 1000
NORMAL, CAUTION, UNACKNOWLEDGED, SILENCED, ACKNOWLEDGED, RECTIFIED = (
    "normal", "active", "active-unacknowledged", "active-silenced", "active-acknowledged",
    "rectified-unacknowledged",
)  # fmt: skip


def warned(alerts: Alerts, at_ms: int = AT_0142) -> None:
    """Raise a warning."""
    alerts.raise_("log", "held", "warning", "the log is silent", at_ms)


def cautioned(alerts: Alerts, at_ms: int = AT_0142) -> None:
    """Raise a caution, or let the warning fall to one."""
    alerts.raise_("log", "held", "caution", "the log is silent", at_ms)


def _and_over(alerts: Alerts) -> None:
    cautioned(alerts)
    alerts.clear("log", "held", AT_0142)


def _and(act: Callable[[Alerts], object]) -> Callable[[Alerts], None]:
    """Return how to raise a warning and do something about it."""

    def both(alerts: Alerts) -> None:
        warned(alerts)
        alerts.told(AT_0142, Timescale(), None)
        act(alerts)

    return both


BEFORE: dict[str, Callable[[Alerts], None]] = {
    NORMAL: _and_over,
    CAUTION: cautioned,
    UNACKNOWLEDGED: warned,
    SILENCED: _and(lambda alerts: alerts.silence("log", AT_0142)),
    ACKNOWLEDGED: _and(lambda alerts: alerts.acknowledge("log")),
    RECTIFIED: _and(lambda alerts: alerts.clear("log", "held", AT_0142)),
}
HAPPENS: dict[str, Callable[[Alerts], object]] = {
    "caution": lambda alerts: cautioned(alerts, LATER),
    "warning": lambda alerts: warned(alerts, LATER),
    "alarm": lambda alerts: alerts.raise_("log", "held", "alarm", "the log is silent", LATER),
    "over": lambda alerts: alerts.clear("log", "held", LATER),
    "acknowledged": lambda alerts: alerts.acknowledge("log"),
    "silenced": lambda alerts: alerts.silence("log", LATER),
    "30 s": lambda alerts: alerts.tick(AT_0142 + SILENCE_MS),
}

# What is heard stands behind the state: n a note, w a warning, a an alarm, - nothing.
TABLE = {
    NORMAL: {
        "caution": (CAUTION, "n"),
        "warning": (UNACKNOWLEDGED, "w"), "alarm": (UNACKNOWLEDGED, "a"), "over": (NORMAL, "-"),
        "acknowledged": (NORMAL, "-"), "silenced": (NORMAL, "-"), "30 s": (NORMAL, "-"),
    },
    CAUTION: {
        "caution": (CAUTION, "-"), "warning": (UNACKNOWLEDGED, "w"), "alarm": (UNACKNOWLEDGED, "a"),
        "over": (NORMAL, "-"), "acknowledged": (CAUTION, "-"), "silenced": (CAUTION, "-"),
        "30 s": (CAUTION, "-"),
    },
    UNACKNOWLEDGED: {
        "caution": (CAUTION, "-"), "warning": (UNACKNOWLEDGED, "-"), "alarm": (UNACKNOWLEDGED, "a"),
        "over": (RECTIFIED, "-"), "acknowledged": (ACKNOWLEDGED, "-"), "silenced": (SILENCED, "-"),
        "30 s": (UNACKNOWLEDGED, "-"),
    },
    SILENCED: {
        "caution": (CAUTION, "-"), "warning": (SILENCED, "-"), "alarm": (UNACKNOWLEDGED, "a"),
        "over": (RECTIFIED, "-"), "acknowledged": (ACKNOWLEDGED, "-"), "silenced": (SILENCED, "-"),
        "30 s": (UNACKNOWLEDGED, "w"),
    },
    ACKNOWLEDGED: {
        "caution": (CAUTION, "-"), "warning": (ACKNOWLEDGED, "-"), "alarm": (UNACKNOWLEDGED, "a"),
        "over": (NORMAL, "-"), "acknowledged": (ACKNOWLEDGED, "-"), "silenced": (ACKNOWLEDGED, "-"),
        "30 s": (ACKNOWLEDGED, "-"),
    },
    RECTIFIED: {
        "caution": (CAUTION, "n"), "warning": (UNACKNOWLEDGED, "w"), "alarm": (UNACKNOWLEDGED, "a"),
        "over": (RECTIFIED, "-"), "acknowledged": (NORMAL, "-"), "silenced": (RECTIFIED, "-"),
        "30 s": (RECTIFIED, "-"),
    },
}  # fmt: skip


@pytest.mark.parametrize(
    ("before", "happens", "after", "heard"),
    [
        (before, happens, *outcome)
        for before, row in TABLE.items()
        for happens, outcome in row.items()
    ],
)  # fmt: skip
def test_every_transition(before: AlertState, happens: str, after: AlertState, heard: str) -> None:
    """From each state, by each thing that can happen, to the state the diagram says, heard as it may be."""
    alerts = Alerts()
    BEFORE[before](alerts)
    alerts.told(AT_0142, Timescale(), None)
    assert alerts.standing["log"].state == before

    HAPPENS[happens](alerts)
    told = alerts.told(AT_0142 + SILENCE_MS if happens == "30 s" else LATER, Timescale(), None)

    assert alerts.standing["log"].state == after
    sounds = "".join(each.pattern[0] for each in told if isinstance(each, SoundReport))
    assert (sounds or "-") == heard


def test_the_table_leaves_nothing_out() -> None:
    """Six states, seven things that can happen."""
    assert set(TABLE) == set(BEFORE)
    assert all(set(row) == set(HAPPENS) for row in TABLE.values())
