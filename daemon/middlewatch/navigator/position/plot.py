"""The plot: lines of position and the fixes made of them, each revised when what it rests on changes."""

from dataclasses import dataclass, field, replace
from math import hypot
from typing import Protocol

from middlewatch.navigator.position.crossing import Carried, Run, pulls, spread_of
from middlewatch.navigator.position.crossing import Origin as DrOrigin
from middlewatch.navigator.position.fix import Outcome, PlottedFix, report
from middlewatch.navigator.position.fixing import FixRules, chosen, plotted
from middlewatch.navigator.position.lines import PositionLine
from middlewatch.navigator.reckoning.origin import DESIGN_STREAM_KN, Origin
from middlewatch.navigator.reckoning.reckoning import Reckoning
from middlewatch.quantities.lengths import METRES_PER_NM, METRES_PER_SECOND_PER_KNOT
from middlewatch.quantities.positions import Position
from middlewatch.reports.area import AreaReport, StreamReport
from middlewatch.reports.fix import FixReport

_RUN_PART = 0.05
_STREAM_KN = 0.7
"""How well a run is known: to 5 %, and to the stream that nobody allowed for, on an axis, where the strongest
is 1.5 kn (the design's section 4)."""

_SURE_SD = 3.0  # so far beyond the strongest stream a drift is no stream


class Weighed(Protocol):
    """What the area says right after a line, None where there is no area."""

    def at(self, line: PositionLine) -> AreaReport | None:
        """Return the area."""

    def stream_at(self, line: PositionLine) -> StreamReport | None:
        """Return the stream."""


@dataclass(frozen=True, slots=True)
class Published:
    """A fix as it was published: its revision, the second it is for, one standard deviation an axis (nm)."""

    sighting: str
    report: FixReport
    revision: int
    second: int
    sd_nm: float


@dataclass(frozen=True, slots=True)
class Choice:
    """Lines that the skipper ordered a fix of, and the order's place among others: its time, then its id."""

    order: tuple[int, str]
    using: tuple[str, ...]


@dataclass(slots=True)
class Plot:
    """What is on the plotting sheet.

    Lines by sighting; the newest publication of each sighting's fix, and of every fix id ever given; the
    skipper's choices by order; why a sighting makes no fix; and how unusual a line is as things stand, by
    sighting, where that was asked since the area was last worked from before it.
    """

    lines: dict[str, PositionLine] = field(default_factory=dict)
    published: dict[str, Published] = field(default_factory=dict)
    every: dict[str, Published] = field(default_factory=dict)
    choices: dict[str, Choice] = field(default_factory=dict)
    reasons: dict[str, str] = field(default_factory=dict)
    unusual: dict[str, float | None] = field(default_factory=dict)

    def judge_anew_from(self, second: int) -> None:
        """Take it that how unusual lines are from a second on is to be worked again."""
        kept = {id_: line.second for id_, line in self.lines.items() if line.second < second}
        self.unusual = {id_: sigma for id_, sigma in self.unusual.items() if id_ in kept}

    def ids(self) -> list[str]:
        """Return the ids of the fixes that stand, oldest first."""
        standing = [p for p in self.published.values() if not p.report.withdrawn]
        return [p.report.id for p in sorted(standing, key=lambda p: (p.report.at, p.report.id))]

    def origin(self, fix: str, worked_second: int) -> Origin | None:
        """Return the origin that adopting a fix makes; None where there is no such fix, or it is withdrawn.

        A fix revised since is what it was when it was published under that id.
        """
        found = self.every.get(fix)
        if found is None or self.published[found.sighting].report.withdrawn:
            return None
        place = Position(found.report.latitude_deg, found.report.longitude_deg)
        source = f"{found.report.label} by {', '.join(found.report.sightings)}"
        return Origin("fix", fix, found.second, place, found.sd_nm, source, None, worked_second)

    def revision_of(self, fix: str) -> str | None:
        """Return the id of the fix that has revised this one since; None where it stands as it is."""
        found = self.every.get(fix)
        newest = None if found is None else self.published[found.sighting].report.id
        return None if newest == fix else newest

    def fix_with(self, sighting: str) -> str | None:
        """Return the id of the fix that stands with a sighting: its own, else the newest that uses it."""
        own = self.published.get(sighting)
        if own is not None and not own.report.withdrawn:
            return own.report.id
        using = [p.report for p in self.published.values() if sighting in p.report.sightings]
        standing = [report for report in using if not report.withdrawn]
        return max(standing, key=lambda report: (report.at, report.id)).id if standing else None

    def tried(self, using: tuple[str, ...], reckoning: Reckoning, rules: FixRules) -> Outcome:
        """Return what lines chosen by the skipper would make, without plotting it."""
        lines = [self.lines[id_] for id_ in using]
        return chosen(lines, RunTo(reckoning, max(line.second for line in lines)), rules)

    def rework(
        self,
        from_second: int,
        reckoning: Reckoning,
        rules: FixRules,
        area: Weighed,
    ) -> list[FixReport]:
        """Work the fixes of all lines of a second and later again; return those that come out otherwise."""
        ordered = sorted(self.lines.values(), key=lambda line: line.order)
        said: list[FixReport] = []
        for place, line in enumerate(ordered):
            if line.second >= from_second:
                outcome = self._worked(line, ordered[:place], RunTo(reckoning, line.second), rules)
                weighed = area.at(line), area.stream_at(line)
                said += self._publish(line.id, line.second, outcome, rules, weighed)
        for id_ in self.published:
            if id_ not in self.lines:
                said += self._publish(id_, self.published[id_].second, None, rules)
        return said

    def remember(self, published: Published) -> None:
        """Take a fix as published, now or before a restart."""
        self.published[published.sighting] = published
        self.every[published.report.id] = published

    def _worked(self, line: PositionLine, before: list[PositionLine], run: Run, rules: FixRules) -> Outcome:
        using = self._chosen_with(line)
        return plotted(line, before, run, rules) if using is None else chosen(using, run, rules)

    def _chosen_with(self, newest: PositionLine) -> list[PositionLine] | None:
        """Return the lines of the last choice whose newest this is; one that lacks a line chooses nothing."""
        for choice in sorted(self.choices.values(), key=lambda choice: choice.order, reverse=True):
            lines = [self.lines[id_] for id_ in choice.using if id_ in self.lines]
            if len(lines) == len(choice.using) and max(lines, key=lambda line: line.order) is newest:
                return lines
        return None

    def _publish(
        self,
        sighting: str,
        second: int,
        outcome: Outcome | None,
        rules: FixRules,
        weighed: tuple[AreaReport | None, StreamReport | None] = (None, None),
    ) -> list[FixReport]:
        """Publish a sighting's fix if it is not what was published last."""
        last = self.published.get(sighting)
        if not isinstance(outcome, PlottedFix):
            if outcome is not None:
                self.reasons[sighting] = outcome.reason
            if last is None or last.report.withdrawn:
                return []
            self.remember(replace(last, report=replace(last.report, withdrawn=True)))
            return [self.published[sighting].report]
        self.reasons.pop(sighting, None)
        outcome = _questioned(outcome, rules.strongest_stream_kn)
        revision = 1 if last is None else last.revision + 1
        id_ = f"f-{sighting}" if revision == 1 else f"f-{sighting}.{revision}"
        made = report(outcome, id_, None if last is None else last.report.id)
        made = replace(made, area=weighed[0], stream=weighed[1])
        if last is not None and replace(made, id=last.report.id, revises=last.report.revises) == last.report:
            return []
        self.remember(Published(sighting, made, revision, second, _sd_nm(outcome, rules.strongest_stream_kn)))
        return [made]


def _questioned(fix: PlottedFix, strongest_stream_kn: float) -> PlottedFix:
    """Return the fix, flagged where no stream of these waters could have brought the boat there."""
    drift_kn, sd_kn = fix.set_drift.drift_kn, fix.set_drift.drift_sd_kn
    if drift_kn is None or sd_kn is None or drift_kn - _SURE_SD * sd_kn <= strongest_stream_kn:
        return fix
    flag = (
        f"a drift of {drift_kn:.1f} kn is more than the sea here can make ({strongest_stream_kn:g} kn): "
        "doubt a line, the DR's origin, the log or the compass"
    )
    return replace(fix, flags=(*fix.flags, flag))


def _sd_nm(fix: PlottedFix, strongest_stream_kn: float) -> float:
    """Return one standard deviation of a fix an axis, in nm: its lines' and, for those carried, the run's.

    Rough: the run's error is laid on each line carried, as if it were that line's own, so that a narrow cut
    makes the more of it.
    """
    stream_mps = _STREAM_KN * max(1.0, strongest_stream_kn / DESIGN_STREAM_KN) * METRES_PER_SECOND_PER_KNOT
    newest = fix.lines[-1].line

    def sd_m(carried: Carried) -> float:
        by_log_m = _RUN_PART * hypot(carried.north_m, carried.east_m)
        by_stream_m = stream_mps * (newest.second - carried.line.second)
        return hypot(carried.sd_m(fix.place), by_log_m, by_stream_m)

    sds = [sd_m(carried) for carried in fix.lines for _ in carried.misses(fix.place)]
    spread = spread_of(pulls(fix.lines, fix.place), sds)
    return hypot(spread.longer, spread.shorter) / 2**0.5 / METRES_PER_NM


@dataclass(frozen=True, slots=True)
class RunTo:
    """The reckoning as the lines up to one moment need it: one DR, from the origin in force then."""

    reckoning: Reckoning
    newest: int

    def ep(self, second: int) -> Position | None:
        """Return the EP at a second."""
        return self.reckoning.ep(second)

    def dr(self, second: int) -> Position | None:
        """Return the DR at a second, carried from the origin in force at the newest line.

        An adopted fix is older than its adoption: between the two the published DR was still the old one.
        """
        origin = self.reckoning.origin_at(self.newest)
        if origin is None or second >= origin.worked_second:
            return self.reckoning.dr(second)
        run = self.reckoning.water_run_m(origin.second, second) if second >= origin.second else None
        return None if run is None else origin.position.moved(*run)

    def run_m(self, from_second: int, to_second: int) -> tuple[float, float] | None:
        """Return the run over the ground as the EP has it."""
        return self.reckoning.run_m(from_second, to_second)

    def origin(self, second: int) -> DrOrigin | None:
        """Return the origin in force."""
        origin = self.reckoning.origin_at(second)
        if origin is None:
            return None
        return DrOrigin(origin.second, origin.position, origin.sd_nm, origin.parent_satellite is None)
