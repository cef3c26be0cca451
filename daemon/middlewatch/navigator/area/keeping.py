"""Keeping the area: which sightings the cloud is worked with, when, and what of it is told each second."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace

from middlewatch.navigator.area.area import (
    REDRAWN_EVERY_S,
    Moments,
    Sheet,
    drawn,
    moments,
    report,
    stream_report,
)
from middlewatch.navigator.area.calibrated import renewal
from middlewatch.navigator.area.cloud import Cloud
from middlewatch.navigator.area.passage import Renewal, Stretch, between, motion
from middlewatch.navigator.area.seen import Seen
from middlewatch.navigator.area.sighted import seen
from middlewatch.navigator.area.stations import Start, Stations, Worked
from middlewatch.navigator.area.unknowns import Priors
from middlewatch.navigator.position.lines import PositionLine
from middlewatch.navigator.reckoning.course import Course
from middlewatch.navigator.reckoning.origin import Origin
from middlewatch.navigator.reckoning.reckoning import Reckoning
from middlewatch.navigator.tuning import Tuning
from middlewatch.quantities.lengths import METRES_PER_SECOND_PER_KNOT
from middlewatch.reports.area import AreaReport, StreamReport


@dataclass(frozen=True, slots=True)
class Told:
    """What the area is told from: the sheet it was drawn on last, and the moments that carry it on."""

    sheet: Sheet
    moments: Moments


@dataclass(slots=True)
class Area:
    """The clouds, one for each departure; what the area is told from; and a sheet for each sighting.

    `forgotten`: where the cloud begins anew once the beginning of its passage is forgotten. `without`: the
    newest passage without the sightings that are open; the area is told from the wider of the two.
    """

    reckoning: Reckoning
    priors: Priors
    seed: int
    samples: int
    forgotten: Start | None = None
    passages: list[Stations] = field(default_factory=list)
    without: Stations | None = None
    told: Told | None = None
    sheets: dict[str, Sheet] = field(default_factory=dict)

    def work(self, lines: Iterable[PositionLine], changed_from: int, suspected: frozenset[str]) -> None:
        """Work the clouds again from a second on, with the lines that stand, and draw the area."""
        self._work(lines, changed_from, suspected, self._worked)

    def take_up(self, lines: Iterable[PositionLine], suspected: frozenset[str]) -> None:
        """Work the clouds from the beginning, after a restart; what fixes carry has been told before."""
        self._work(lines, 0, suspected, replace(self._worked, drawn=None))

    def _work(
        self, lines: Iterable[PositionLine], changed_from: int, suspected: frozenset[str], by: Worked
    ) -> None:
        standing = {line.id: line for line in lines}
        starts = self._starts()
        self.passages = [
            *self.passages[: len(starts)],
            *(Stations(start) for start in starts[len(self.passages) :]),
        ]
        now, newest, covered = self.reckoning.now.second, list[PositionLine](), set[str]()
        ends = [*(start.second for start in starts[1:]), now + 1]
        for passage, start, end in zip(self.passages, starts, ends, strict=False):
            newest = [line for line in standing.values() if start.first_counted <= line.second < end]
            passage.work(start, newest, changed_from, by)
            covered.update(line.id for line in newest)
        self.sheets = {id_: sheet for id_, sheet in self.sheets.items() if id_ in covered}
        for passage in self.passages[:-1]:
            passage.rest()
        self._doubt(newest, changed_from, suspected)
        self._draw(now)

    def forget_before(self, second: int, lines: Iterable[PositionLine], suspected: frozenset[str]) -> None:
        """Condense what is older than a second, before the track forgets it."""
        passage = self._passage(second)
        if passage is None or passage.start.second == second:
            return
        self.forgotten = passage.condensed(second, self._worked)
        later = [each for each in self.passages if each.start.second > second]
        self.passages = [Stations(self.forgotten), *later]
        self.work(lines, second, suspected)

    def tick(self) -> AreaReport | None:
        """Return the area at the second the reckoning has come to; None before a departure."""
        course = self.reckoning.now
        if course.second % REDRAWN_EVERY_S == 0 and self.told is not None:
            self._draw(course.second)
        return self.on(course)

    def on(self, course: Course) -> AreaReport | None:
        """Return the area on a course not older than what the area is told from; None where there is none."""
        told = self.told
        if told is None or course.waiting or course.ep is None or course.second < told.moments.second:
            return None
        base = told.moments
        since = between(base.integrals, course.integrals, course.second - base.second)
        return report(
            told.sheet, base.after(since), course.ep, complex(course.off_north_m, course.off_east_m)
        )

    def at(self, line: PositionLine) -> AreaReport | None:
        """Return the area as it is right after a sighting; None for one that is older than any departure."""
        sheet, ep = self.sheets.get(line.id), self.reckoning.ep(line.second)
        if sheet is None or ep is None:
            return None
        place = ep.latitude_deg, ep.longitude_deg
        return report(sheet, sheet.spread, place, self.reckoning.off_m(line.second))

    def stream_at(self, line: PositionLine) -> StreamReport | None:
        """Return the stream as it stands right after a sighting; None without an area, or a run."""
        sheet, first = self.sheets.get(line.id), self.reckoning.first_second
        if sheet is None or first is None or line.second <= first:
            return None
        now, before = self.reckoning.integrals(line.second), self.reckoning.integrals(line.second - 1)
        sd_kn = (now.stream_m - before.stream_m) / METRES_PER_SECOND_PER_KNOT
        return stream_report(sheet, self.reckoning.stream_at(line.second), sd_kn)

    def before(self, order: tuple[int, str], second: int) -> Cloud | None:
        """Return the cloud at a second, with the sightings before an order; None before a departure."""
        passage = self._passage(second)
        if passage is None:
            return None
        return passage.cloud_at(second, lambda line: line.order < order, self._worked)

    def now(self) -> Cloud | None:
        """Return the cloud at the second the reckoning has come to; None before a departure."""
        return self.cloud_at(self.reckoning.now.second)

    def cloud_at(self, second: int) -> Cloud | None:
        """Return the cloud at a second not before the newest sighting; None before a departure."""
        passage = self._passage(second)
        return None if passage is None else passage.cloud_at(second, lambda _: True, self._worked)

    def doubted(self, second: int) -> Cloud | None:
        """Return the cloud at a second without the sightings that are open; None where none is."""
        if self.without is None:
            return None
        return self.without.cloud_at(second, lambda _: True, self._worked)

    def seen(self, line: PositionLine) -> Seen:
        """Return a line as the cloud weighs it; ValueError where there was no EP at its second."""
        ep = self.reckoning.ep(line.second)
        if ep is None:
            raise ValueError(f"there was no EP at the second of {line.id}")
        return seen(line, ep, self.reckoning.off_m(line.second))

    def stretches(self, from_second: int, to_second: int) -> list[Stretch]:
        """Return what was run between two seconds, cut at each ten minutes and at calibrations."""
        first_cut = (from_second // REDRAWN_EVERY_S + 1) * REDRAWN_EVERY_S
        renewed = self._renewed(from_second, to_second)
        cuts = sorted({from_second, *range(first_cut, to_second, REDRAWN_EVERY_S), *renewed, to_second})
        sums = [self.reckoning.integrals(second) for second in cuts]
        return [
            between(sums[n], sums[n + 1], cuts[n + 1] - cuts[n]).ending_with(renewed.get(cuts[n + 1], ()))
            for n in range(len(cuts) - 1)
            if cuts[n] >= from_second and cuts[n + 1] <= to_second
        ]

    def _renewed(self, after: int, until: int) -> dict[int, tuple[Renewal, ...]]:
        """Return what calibrations renewed after a second until another, by their own seconds."""
        renewed: dict[int, tuple[Renewal, ...]] = {}
        for second, act in self.reckoning.calibrations(after, until):
            renewed[second] = (*renewed.get(second, ()), renewal(act, self.priors))
        return renewed

    def _calibrated(self, second: int) -> Iterator[Renewal]:
        """Yield all renewals until a second, in order."""
        for renewals in self._renewed(-1, second).values():
            yield from renewals

    def _starts(self) -> list[Start]:
        starts = [_start(origin) for origin in self.reckoning.departures()]
        if self.forgotten is None:
            return starts
        second = self.forgotten.second
        return [self.forgotten, *(start for start in starts if start.second > second)]

    def _passage(self, second: int) -> Stations | None:
        """Return the passage under way at a second, None before the first departure."""
        begun = [passage for passage in self.passages if passage.start.second <= second]
        return begun[-1] if begun else None

    @property
    def _worked(self) -> Worked:
        return Worked(
            self.stretches, self.seen, self.priors, self.seed, self.samples, self._draw_at, self._calibrated
        )

    def _draw_at(self, line: PositionLine, cloud: Cloud) -> None:
        since = motion(self.stretches(cloud.second, line.second))
        self.sheets[line.id] = drawn(cloud, since, line.second, self.seed)

    def _doubt(self, lines: list[PositionLine], changed_from: int, suspected: frozenset[str]) -> None:
        """Work the newest passage without the sightings that are open, where there are any."""
        sure = [line for line in lines if line.id not in suspected]
        if not self.passages or len(sure) == len(lines):
            self.without = None
            return
        start = self.passages[-1].start
        if self.without is None:
            self.without, changed_from = Stations(start), start.second
        self.without.work(start, sure, changed_from, replace(self._worked, drawn=None))

    def _draw(self, now: int) -> None:
        """Draw the area at the newest sighting, calibration or ten minutes, whichever is latest."""
        if not self.passages:
            self.told = None
            return
        passage = self.passages[-1]
        newest, second = passage.newest, max(passage.start.second, now // REDRAWN_EVERY_S * REDRAWN_EVERY_S)
        second = max((second, *self._renewed(second, now)))
        sheet = None
        if newest is not None and newest.second >= second:
            second, sheet = newest.second, self.sheets.get(newest.id)
        self.told = self._told(passage, second, sheet)
        if self.without is not None:
            other = self._told(self.without, second)
            self.told = max(self.told, other, key=lambda told: told.sheet.size_m2)

    def _told(self, passage: Stations, second: int, sheet: Sheet | None = None) -> Told:
        cloud = passage.cloud
        since = motion(self.stretches(cloud.second, second))
        carried = moments(cloud, since, self.reckoning.integrals(second), second)
        return Told(sheet or drawn(cloud, since, second, self.seed), carried)


def _start(origin: Origin) -> Start:
    second = origin.worked_second
    return Start(second, origin.sd_nm, origin.id, second + 1 if origin.kind == "fix" else second)


def priors(tuning: Tuning) -> Priors:
    """Return how large the errors may be, as the settings have them."""
    return Priors(
        log_calibrated=tuning.log_calibrated,
        card=tuning.compass_card,
        hand_deg=tuning.doubts.bearing_shared_deg,
    )
