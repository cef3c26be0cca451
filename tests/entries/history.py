"""Histories for tests: the same entries heard in time, late, or in another order, and what came of them."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from entries.entering import START_MS, Aboard, utc
from middlewatch.navigator.position.lines import PositionLine
from middlewatch.navigator.tuning import Tuning
from middlewatch.quantities.instants import Instant
from middlewatch.readings.entries import Channel
from middlewatch.reports.fix import FixReport


@dataclass(frozen=True)
class Told:
    """An entry of its own time, in seconds since the start, and the second it is heard at (None: then)."""

    at_s: float
    channel: Channel
    body: dict[str, object]
    heard_s: int | None = None

    @property
    def place(self) -> tuple[float, float, str]:
        """Where it stands among what is heard: when, then of what time, then its id."""
        heard = self.at_s if self.heard_s is None else float(self.heard_s)
        return heard, self.at_s, str(self.body["id"])

    def saying(self, change: dict[str, object]) -> "Told":
        """Return it as it would have been with other fields; null takes one out."""
        body = {key: value for key, value in (self.body | change).items() if value is not None}
        at = body.pop("at", None)
        at_s = self.at_s if at is None else (Instant.parse(str(at)).ms - START_MS) / 1000
        return replace(self, at_s=at_s, body=body)


def deck_log(told: Iterable[Told], seconds: int, tuning: Tuning | None = None) -> Aboard:
    """Sail while the entries are heard, in order; the helm alters at 200 s and at 450 s."""
    boat = Aboard(tuning)
    waiting = sorted(told, key=lambda each: each.place)
    for second in range(seconds):
        if second in (200, 450):
            boat.heading_magnetic_deg = {200: 60.0, 450: 130.0}[second]
        boat.second()
        while waiting and waiting[0].place[0] < second + 2:
            entry = waiting.pop(0)
            late = entry.heard_s is not None
            after_ms = 0 if late else round(entry.at_s * 1000) - (boat.now_ms - START_MS)
            boat.hear(entry.channel, {**entry.body, "at": utc(entry.at_s)}, after_ms=after_ms)
    assert not waiting
    return boat


def plotted(boat: Aboard) -> tuple[dict[str, PositionLine], dict[str, FixReport]]:
    """Return the lines on the plot, and the fixes that stand, without their ids and what they revise."""
    plot = boat.navigator.room.plot
    fixes = {
        sighting: replace(published.report, id="", revises=None)
        for sighting, published in plot.published.items()
        if not published.report.withdrawn
    }
    return dict(plot.lines), fixes


def reckoned(boat: Aboard) -> Sequence[object]:
    """Return DR and EP at every second, to the last digit, and how the course stands at the end."""
    reckoning = boat.navigator.room.reckoning
    rows = [(reckoning.dr(row.second), reckoning.ep(row.second)) for row in boat.navigator.room.track.rows]
    return [*rows, reckoning.now.origin, reckoning.now.run_nm, reckoning.now.former]
