"""Suspicion: a sighting that looks odd, and all that the chart room holds that may speak for a slip."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from middlewatch.navigator.area.cloud import SAMPLES
from middlewatch.navigator.area.slips import Meant, Slip, explained
from middlewatch.navigator.area.unusual import Awaited, AwaitedPoint, Outlook
from middlewatch.navigator.chartroom import Chartroom
from middlewatch.navigator.deck_log.ledger import Logged
from middlewatch.navigator.deck_log.refusing import Refused
from middlewatch.navigator.position.figures import figure, read_to, told_by
from middlewatch.navigator.position.lines import PositionLine
from middlewatch.navigator.position.misread import Circumstances, misread, mistaken
from middlewatch.navigator.position.sights import seen_marks, take
from middlewatch.quantities.instants import MS_PER_HOUR, MS_PER_SECOND
from middlewatch.quantities.positions import Position
from middlewatch.readings.entries import Order, Passing, Sighting
from middlewatch.readings.marks import Mark
from middlewatch.reports.answer import ChainReport

IN_HASTE = SAMPLES // 2_000
"""Slips are tried on each so manyeth sample only."""

_REACH_NM = 20.0
"""How far off a mark is looked for whose range is not given."""
_AGO_S = range(60, 15 * 60 + 1, 60)
"""How old a stale value may be that was not written down before."""
_HOUR_S = 3600
_PROMPT_MS = 5 * 60 * MS_PER_SECOND
_OFTEN = 5.0
"""Most entries are made within minutes: an hour that makes it one is so much likelier (judgement)."""


@dataclass(frozen=True, slots=True)
class Suspicion:
    """A suspected sighting with its line and chain, the EP then, and the outlook right before it."""

    room: Chartroom
    logged: Logged
    line: PositionLine
    chain: ChainReport | None
    ep: Position
    outlook: Outlook

    def slips(self) -> tuple[Slip, ...]:
        """Return the slips that explain the sighting, the likeliest first."""
        seen = self.room.area.seen(self.line)
        log_blunder = seen.hold(self.outlook.places[:1]).log_blunder
        return explained(self.outlook.of_any(seen), log_blunder, self._meant())

    @property
    def variation_deg(self) -> float | None:
        """The variation that had, or might have had, a part in it: E+; None where there is none."""
        if self.line.reference in {None, "relative"}:
            return None
        # Of a bearing entered as true the chain shows none.
        found = self.room.reckoning.course_at(self.line.second).variation
        return None if found is None else found.value_deg

    @property
    def _request(self) -> Sighting:
        request = self.logged.said.request
        if isinstance(request, Order):
            raise TypeError(f"{self.logged.said.kind} is no sighting")
        return request

    @property
    def _value(self) -> float:
        """The figure of the sighting as it was entered."""
        return self._told(self._request, self.line)

    def _meant(self) -> Iterator[Meant]:
        yield from self._other_figures()
        yield from self._other_marks()
        yield from self._stale()
        yield from self._another_hour()

    # --- each slip undone ---------------------------------------------------------------------------------

    def _other_figures(self) -> Iterator[Meant]:
        marks = seen_marks(self._request)
        mark = self.room.mark_named(marks[0]) if marks else None
        deviation_deg = None if self.chain is None else self.chain.deviation_deg
        then = Circumstances(self.ep.latitude_deg, self.variation_deg, deviation_deg, mark)
        for each in misread(self._request, then):
            line = self._taken(each.request, self.logged.at_ms)
            if line is not None:
                part = each.part * self._stretched(each.request, line)
                yield Meant(each.slip, each.value, self._awaited(line), part)

    def _other_marks(self) -> Iterator[Meant]:
        """Take each other mark in reach for the one that was seen."""
        in_reach = [mark for mark in self.room.marks.values() if self._reaches(mark)]
        contours = [contour.name for contour in self.room.tuning.contours]
        others = list(mistaken(self._request, in_reach, contours))
        for request in others:
            line = self._taken(request, self.logged.at_ms)
            if line is not None:
                part = self._stretched(request, line) / len(others)
                value = self._told(request, line)
                yield Meant("other mark", value, self._awaited(line), part, mark=line.mark)

    def _stale(self) -> Iterator[Meant]:
        """Take the value for one of up to a quarter of an hour ago, or of a sighting that had just this."""
        lately = (self.line.second - ago for ago in _AGO_S)
        awaited = {second: self._awaited_then(second) for second in lately if self._same_passage(second)}
        dense = {second: each.density() for second, each in awaited.items()}
        if dense:
            # It may be of any of these minutes; told is the one it fits best.
            best = max(dense, key=lambda second: dense[second])
            known = sum(dense.values()) / len(_AGO_S)
            yield Meant("stale", self._value, awaited[best], second=best, known=known)
        fine = read_to(self._request, self.line)
        if fine is None:
            return
        for second in self._with_this_value():
            if self._same_passage(second):
                awaited_then = self._awaited_then(second)
                yield Meant("stale", self._value, awaited_then, second=second, known=1.0 / fine)

    def _another_hour(self) -> Iterator[Meant]:
        """Take the time of day, where one was given, for an hour out; not for later than it was heard."""
        if self.logged.said.at is None:
            return
        hours = (self.logged.at_ms + hour * MS_PER_HOUR for hour in (-1, 1))
        could_be = [at_ms for at_ms in hours if at_ms <= self.logged.heard_ms]
        for at_ms in could_be:
            second = at_ms // MS_PER_SECOND
            cloud = self.room.area.before((at_ms, self.logged.id), second)
            if cloud is None or self.room.reckoning.ep(second) is None:
                continue
            line = self._taken(self._request, at_ms)
            if line is None:
                continue
            outlook = Outlook(cloud, self.room.tuning.seed, every=IN_HASTE)
            awaited = outlook.of_any(self.room.area.seen(line))
            prompt = self.logged.heard_ms - at_ms <= _PROMPT_MS
            part = (_OFTEN if prompt else 1.0) / len(could_be)
            yield Meant("hour out", self._value, awaited, part, second=second)

    # --- what they are tried on ---------------------------------------------------------------------------

    def _taken(self, request: Sighting, at_ms: int) -> PositionLine | None:
        """Return the line of the sighting, had it been this one, then; None where it makes none."""
        said = replace(self.logged.said, request=request)
        try:
            return take(self.room, replace(self.logged, at_ms=at_ms, said=said)).line
        except Refused:
            return None

    def _awaited(self, line: PositionLine) -> Awaited | AwaitedPoint:
        return self.outlook.of_any(self.room.area.seen(line))

    def _awaited_then(self, second: int) -> Awaited | AwaitedPoint:
        line = replace(self.line, second=second)
        if self.line.reference in {"compass", "relative"} or isinstance(self._request, Passing):
            # The ship's head had a part in it, and was another then.
            line = self._taken(self._request, second * MS_PER_SECOND) or line
        # In so short a time she has moved off the EP by far less than the sighting's own doubt.
        return self._awaited(line)

    def _reaches(self, mark: Mark) -> bool:
        return self.ep.to(mark.position)[1] <= (mark.range_nm or _REACH_NM)

    def _same_passage(self, second: int) -> bool:
        reckoning = self.room.reckoning
        return reckoning.ep(second) is not None and reckoning.origin_at(second) == reckoning.origin_at(
            self.line.second
        )

    def _with_this_value(self) -> list[int]:
        """Return the seconds of earlier sightings of this mark and kind that had just this value."""
        oldest = self.line.second - round(self.room.tuning.oldest_line_h * _HOUR_S)
        return [
            line.second
            for line in self.room.plot.lines.values()
            if (line.kind, line.mark, line.reference) == (self.line.kind, self.line.mark, self.line.reference)
            and oldest <= line.second < self.line.second
            and figure(self.room.ledger.entries[line.id].said.request) == figure(self._request)
        ]

    def _told(self, request: Sighting, line: PositionLine) -> float:
        return told_by(request, line, self.ep)

    def _stretched(self, request: Sighting, line: PositionLine) -> float:
        """Return how much more of a line's metres go to its figure than of the line entered.

        A minute of a vertical angle is the more metres of its circle the smaller it is. Of others that is
        alike: a degree is a degree.
        """
        meant, entered = read_to(request, line), read_to(self._request, self.line)
        return 1.0 if meant is None or entered is None else meant / entered
