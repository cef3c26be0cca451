"""The plotter: takes reports as they are said and keeps what belongs on the sheet."""

from dataclasses import dataclass, field, replace

from middlewatch.plotting.plot import Dr, DrPoint, Due, Plot, Sight
from middlewatch.plotting.steered import Kept, Moment, Steered
from middlewatch.quantities.instants import MS_PER_HOUR, MS_PER_MINUTE, Instant
from middlewatch.quantities.lengths import METRES_PER_NM
from middlewatch.quantities.positions import Position
from middlewatch.reports import Report
from middlewatch.reports.answer import Answer
from middlewatch.reports.fix import FixReport
from middlewatch.reports.overboard import OverboardReport
from middlewatch.reports.position import OriginReport, PositionReport
from middlewatch.reports.satellite import SatelliteReport

_LEAP_NM, _FASTEST_KN = 0.05, 40.0
"""A DR that moves further between two reports was worked again (judgement)."""

_OLDEST_EP_MS = 12 * MS_PER_HOUR
"""How long EPs are kept for the sights of their time; older ones have been drawn."""


@dataclass(slots=True)
class _Running:
    """The DR that runs, or that an adoption has replaced: its path by the minute, and its points."""

    origin: OriginReport
    path: list[tuple[int, Position]]
    points: list[DrPoint]
    steered: Steered = field(default_factory=Steered)
    replaced: Instant | None = None
    left: Position | None = None

    def go(self, at_ms: int, place: Position) -> None:
        """Carry the path on: a corner a minute, and its end."""
        if len(self.path) > 1 and at_ms - self.path[-2][0] < MS_PER_MINUTE:
            self.path.pop()
        self.path.append((at_ms, place))

    def leaps(self, moment: Moment) -> bool:
        """Say whether the DR has been worked again: no boat sails what it has moved."""
        at_ms, place = self.path[-1]
        most_nm = _LEAP_NM + _FASTEST_KN * abs(moment.at_ms - at_ms) / MS_PER_HOUR
        return place.to(moment.dr)[1] > most_nm

    def drawn(self) -> Dr:
        path = tuple(place for _, place in self.path)
        points = tuple(sorted(self.points, key=lambda point: point.at))
        return Dr(self.origin, path, points, self.replaced, self.left)


@dataclass(slots=True)
class Plotter:
    """Takes every report of a watch, in the order said; `plot()` is what stands on the sheet now.

    From the position it keeps the DR's path by the minute and the points of it that are plotted: where it
    starts, each whole hour of UTC, and each lasting change of course or speed.
    """

    _drs: list[_Running] = field(default_factory=list)
    _eps: dict[int, Position] = field(default_factory=dict)
    _sights: dict[str, Sight] = field(default_factory=dict)
    _fixes: dict[str, FixReport] = field(default_factory=dict)
    _position: PositionReport | None = None
    _satellite: SatelliteReport | None = None
    _overboard: OverboardReport | None = None

    def take(self, report: Report) -> None:
        """Take a report; those that have no place on the sheet change nothing."""
        match report:
            case PositionReport():
                self._take_position(report)
            case SatelliteReport():
                self._satellite = report
            case OverboardReport():
                self._overboard = report
            case FixReport():
                # A revision stands in the place of what it revises.
                first = next((key for key, fix in self._fixes.items() if fix.id == report.revises), report.id)
                self._fixes[first] = report
            case Answer():
                self._take_answer(report)

    def plot(self) -> Plot:
        """Return what stands on the sheet."""
        return Plot(
            at=None if self._position is None else self._position.at,
            drs=tuple(dr.drawn() for dr in self._drs),
            sights=tuple(sorted(self._sights.values(), key=lambda sight: (sight.line.at, sight.id))),
            fixes=tuple(sorted(self._fixes.values(), key=lambda fix: (fix.at, fix.id))),
            position=self._position,
            satellite=self._satellite,
            overboard=self._overboard,
        )

    # --- the DR -------------------------------------------------------------------------------------

    def _take_position(self, report: PositionReport) -> None:
        before, self._position = self._position, report
        moment = Moment.of(report)
        if moment is None or report.origin is None:
            return
        if moment.ep is not None:
            self._keep_ep(moment.at_ms, moment.ep)
        running = self._drs[-1] if self._drs else None
        if running is None or running.origin != report.origin or running.leaps(moment):
            running = self._begin(report.origin, moment)
        self._go_on(running, moment, None if before is None else before.at)
        self._let_run_on(report)

    def _begin(self, origin: OriginReport, moment: Moment) -> _Running:
        """Start a DR at its origin, and bring it to now by the run of the one before it."""
        old = self._drs[-1] if self._drs else None
        start = Position(origin.latitude_deg, origin.longitude_deg)
        path = [(origin.at.ms, start), *(() if old is None else _run_of(old, origin.at.ms, moment))]
        new = _Running(origin, path, [])
        if old is not None:
            old.replaced, old.left = Instant(moment.at_ms), old.path[-1][1]
            carried = [point for point in old.points if origin.at < point.at]
            new.points = [_moved(point, old, new) for point in carried]
        new.points.append(_point(replace(moment, at_ms=origin.at.ms, dr=start, ep=None), _start(origin)))
        self._drs.append(new)
        return new

    def _go_on(self, running: _Running, moment: Moment, before: Instant | None) -> None:
        running.go(moment.at_ms, moment.dr)
        first = running.points[-1]
        if (
            first.at.ms == running.origin.at.ms
            and first.heading_true_deg is None
            and moment.heading_true_deg is not None
        ):
            running.points[-1] = replace(
                first, heading_true_deg=moment.heading_true_deg, speed_kn=moment.speed_kn
            )
        altered = running.steered.take(moment)
        if altered is not None:
            began, steered, by_course = altered
            running.points.append(_point(began, "course" if by_course else "speed", steered))
        hour_ms = moment.at_ms - moment.at_ms % MS_PER_HOUR
        if before is not None and before.ms < hour_ms and hour_ms > running.origin.at.ms:
            running.points.append(_point(moment, "hour"))

    def _let_run_on(self, report: PositionReport) -> None:
        """Carry on the DR that an adoption replaced."""
        former = report.former
        if former is None:
            return
        for dr in self._drs[:-1]:
            if dr.origin.at == former.since and dr.replaced is not None:
                place = Position(former.latitude_deg, former.longitude_deg)
                if not dr.leaps(Moment(report.at.ms, place, None, None, None, None)):
                    dr.go(report.at.ms, place)

    # --- sights -------------------------------------------------------------------------------------

    def _take_answer(self, answer: Answer) -> None:
        if not answer.accepted or answer.id is None:
            return
        said = answer.sighting
        if said is not None and said.line is not None:
            self._sights[answer.id] = Sight(
                answer.id,
                answer.kind or "",
                said.line,
                said.chain,
                self._ep_at(said.line.at.ms),
                answer.open,
            )
        elif answer.kind == "withdraw" and answer.about in self._sights:
            # It stays on the sheet, struck through.
            self._sights[answer.about] = replace(self._sights[answer.about], withdrawn=True, open=False)

    def _keep_ep(self, at_ms: int, ep: Position) -> None:
        minute = at_ms // MS_PER_MINUTE
        if minute not in self._eps:
            self._eps[minute] = ep
            self._eps.pop(minute - _OLDEST_EP_MS // MS_PER_MINUTE, None)

    def _ep_at(self, at_ms: int) -> Position | None:
        """Return the EP of that minute; it only says whereabouts to draw a line."""
        return self._eps.get(at_ms // MS_PER_MINUTE)


def _start(origin: OriginReport) -> Due:
    return "fix" if origin.kind == "fix" else "departure"


def _point(moment: Moment, due: Due, steered: Kept | None = None) -> DrPoint:
    heading = moment.heading_true_deg if steered is None else steered.heading_true_deg
    speed = moment.speed_kn if steered is None else steered.speed_kn
    return DrPoint(Instant(moment.at_ms), due, moment.dr, moment.ep, heading, speed, moment.half_axis_nm)


def _run_of(old: _Running, since_ms: int, moment: Moment) -> list[tuple[int, Position]]:
    """Return the old DR's path since then, laid off so that it ends where the new DR is now."""
    north_m, east_m = old.path[-1][1].offset_to(moment.dr)
    if old.path[-1][1].to(moment.dr)[1] * METRES_PER_NM > _FARTHEST_MOVED_M:
        return []
    return [(at_ms, place.moved(north_m, east_m)) for at_ms, place in old.path if since_ms < at_ms]


_FARTHEST_MOVED_M = 30 * METRES_PER_NM
"""Beyond this a new origin begins afresh: a rhumb step is no way to carry a path across an ocean."""


def _moved(point: DrPoint, old: _Running, new: _Running) -> DrPoint:
    """Return a point of the old DR as the new one has it, by the run since."""
    return replace(point, place=new.path[-1][1].moved(*old.path[-1][1].offset_to(point.place)), ep=None)
