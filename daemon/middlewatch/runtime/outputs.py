"""The outputs: what the reckoning says each second goes out as sentences, on every link that is set for it.

The teller works in the navigator's thread, right after each step and in a replay as well: what may come back
through a gateway is known before it can have been sent. The links belong to the event loop.
"""

import asyncio
import random
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import partial
from math import hypot
from typing import Literal

from middlewatch.links.delays import Delays
from middlewatch.links.nmea_out import OutLink, Waiting, keep_open
from middlewatch.links.nmea_out_opening import out_link_for
from middlewatch.navigator.chartroom import Chartroom
from middlewatch.navigator.navigator import Navigator
from middlewatch.navigator.reckoning.course import ADRIFT, HELD_STILL, Course
from middlewatch.quantities.angles import direction_of
from middlewatch.quantities.instants import MS_PER_SECOND
from middlewatch.quantities.lengths import METRES_PER_NM, METRES_PER_SECOND_PER_KNOT
from middlewatch.quantities.positions import offset_m
from middlewatch.reports import Report
from middlewatch.reports.area import AreaReport
from middlewatch.reports.position import PositionReport, SourceReport
from middlewatch.reports.status import OutputStatus
from middlewatch.runtime.inputs import OWN_SOURCE
from middlewatch.settings import OutputSettings
from middlewatch.wire.nmea_alert_list import AlertList
from middlewatch.wire.nmea_bulletin import Bulletin, Doubted, Reckoned, Source
from middlewatch.wire.nmea_out import Place
from middlewatch.wire.nmea_own import OwnSentences

MADE_GOOD_OVER_S = 10
"""Course and speed made good are those of so long: a second's would swing with every yaw (judgement)."""

_NO_COURSE_BELOW_KN = 0.1

Note = Callable[[str, bool, str], None]
"""Takes an output's name, whether it has failed, and the words."""


@dataclass(frozen=True, slots=True)
class Told:
    """What one output is to send: a second of the reckoning, and alerts."""

    output: str
    second: tuple[bytes, ...]
    alerts: tuple[bytes, ...]


class Teller:
    """Makes each output's lines of what the navigator says, and remembers them as our own.

    `alerts`: in which sentences alerts are told, the same to every output that asked for them.
    """

    def __init__(
        self,
        outputs: Iterable[OutputSettings],
        navigator: Navigator,
        own: OwnSentences,
        alerts: AlertList | None = None,
    ) -> None:
        self._bulletins = [
            (each, Bulletin(frozenset(each.sentences), OWN_SOURCE if each.tag else "")) for each in outputs
        ]
        self._navigator = navigator
        self._own = own
        self._alert_list = alerts or AlertList()

    def told(self, reports: tuple[Report, ...]) -> tuple[Told, ...]:
        """Return what is to be sent of these reports; called once for each step, in the step's thread."""
        if not self._bulletins:
            return ()
        position = next((each for each in reports if isinstance(each, PositionReport)), None)
        alerts = self._alerts(reports, ticked=position is not None)
        told = tuple(
            Told(each.name, self._second(each, bulletin, position), self._tagged(each, bulletin, alerts))
            for each, bulletin in self._bulletins
        )
        if position is not None:
            self._own.say(line for each in told for line in each.second)
        return told

    def _second(
        self, output: OutputSettings, bulletin: Bulletin, position: PositionReport | None
    ) -> tuple[bytes, ...]:
        if position is None:
            return ()
        return bulletin.second(reckoned(self._navigator.room, position, output.position))

    def _alerts(self, reports: tuple[Report, ...], *, ticked: bool) -> tuple[bytes, ...]:
        timed = self._navigator.clock_doubt is None
        changes = tuple(line for each in reports for line in self._alert_list.told(each, timed=timed))
        return (*changes, *self._alert_list.second()) if ticked else changes

    def _tagged(
        self, output: OutputSettings, bulletin: Bulletin, alerts: tuple[bytes, ...]
    ) -> tuple[bytes, ...]:
        if "ALERTS" not in output.sentences or not alerts:
            return ()
        doubtful, now_ms = self._navigator.clock_doubt is not None, self._navigator.now_ms
        return bulletin.tagged(alerts, None if doubtful else self._navigator.utc(now_ms))


class Outputs:
    """The links of the outputs, in the event loop. `note` is told when one fails and when it is back."""

    def __init__(self, outputs: Iterable[OutputSettings], note: Note) -> None:
        self._links: dict[str, OutLink] = {each.name: out_link_for(each) for each in outputs}
        self._waiting = {name: Waiting() for name in self._links}
        self._note = note

    def tasks(self, group: asyncio.TaskGroup) -> list[asyncio.Task[None]]:
        """Start keeping every link open; cancel the tasks to close them."""
        return [group.create_task(self._keep(name), name=name) for name in self._links]

    async def _keep(self, name: str) -> None:
        delays = Delays(random.SystemRandom())
        note = partial(self._note, name)
        await keep_open(self._links[name], self._waiting[name], note=note, delays=delays)

    def send(self, told: Iterable[Told]) -> None:
        """Let it go out; never waits."""
        for each in told:
            self._waiting[each.output].put(each.second, each.alerts)

    def status(self) -> tuple[OutputStatus, ...]:
        """Return the health of each."""
        return tuple(
            OutputStatus(name, link.listeners, self._waiting[name].sent, self._waiting[name].left_out)
            for name, link in self._links.items()
        )


# --- what the reckoning has to tell --------------------


def reckoned(room: Chartroom, position: PositionReport, kind: Literal["dr", "ep"]) -> Reckoned:
    """Return what the reckoning has to tell at the tick of a position report, by its DR or its EP."""
    course = room.reckoning.now
    place: Place | None = None
    state: Literal["no departure", "waits", "runs"] = "no departure"
    if position.dr is not None and position.ep is not None:
        state = "waits" if _waits(course) else "runs"
        told = position.dr if kind == "dr" else position.ep
        place = None if state == "waits" else (told.latitude_deg, told.longitude_deg)
    course_deg, speed_kn = _made_good(room, kind) if state == "runs" else (None, None)
    streams = state == "runs" and course.stream is not None and course.way not in HELD_STILL
    return Reckoned(
        at=None if room.scale.doubtful is not None else position.at,
        state=state,
        kind=kind,
        place=place,
        course_true_deg=course_deg,
        speed_kn=speed_kn,
        variation_deg=course.variation_deg,
        heading_true_deg=position.heading_true_deg,
        heading_by=_source(position.basis.heading),
        speed_by=_source(position.basis.speed),
        stream=(course.stream.towards_deg, course.stream.kn) if streams and course.stream else None,
        since=None if position.dr is None else position.dr.since,
        within_nm=None if place is None or position.area is None else _within_nm(place, position.area),
        by_satellite=course.origin is not None and course.origin.parent_satellite is not None,
        doubted=_doubted(room),
    )


def _waits(course: Course) -> bool:
    """Say whether the reckoning stands at its last point though the boat may not."""
    if course.way in HELD_STILL:
        return False
    unknown = course.heading_true_deg is None or course.speed_kn is None
    return course.waiting or (unknown and course.way not in ADRIFT)


def _made_good(room: Chartroom, kind: Literal["dr", "ep"]) -> tuple[float | None, float | None]:
    """Return course (None where she lies still) and speed made good by DR or EP; None where unknown."""
    second, reckoning = room.now_ms // MS_PER_SECOND, room.reckoning
    run_of = reckoning.water_run_m if kind == "dr" else reckoning.run_m
    run = run_of(second - MADE_GOOD_OVER_S, second)
    if run is None:
        return None, None
    speed_kn = hypot(*run) / MADE_GOOD_OVER_S / METRES_PER_SECOND_PER_KNOT
    return (direction_of(*run) if speed_kn >= _NO_COURSE_BELOW_KN else None), speed_kn


def _within_nm(place: Place, area: AreaReport) -> float | None:
    corners = [corner for polygon in area.outline.corners_deg() for corner in polygon]
    return max((hypot(*offset_m(place, corner)) for corner in corners), default=0.0) / METRES_PER_NM or None


def _source(told: SourceReport) -> Source:
    sources: dict[str, Source] = {"order": "hand", "bridged": "held", "held": "held", "none": "none"}
    return sources.get(told.source, "sensor")


def _doubted(room: Chartroom) -> Doubted:
    subjects: tuple[Literal["heading", "log", "position", "satellite"], ...] = (
        "heading", "log", "position", "satellite",
    )  # fmt: skip
    standing = room.alerts.standing
    return frozenset(
        name
        for name in subjects
        if name in standing and any(each.priority != "caution" for each in standing[name].live)
    )
