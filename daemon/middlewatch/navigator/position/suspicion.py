"""Suspicion: a sighting that looks odd, and all that the chart room holds that may speak for a slip."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import radians

from middlewatch.navigator.area.cloud import SAMPLES
from middlewatch.navigator.area.slips import BearingEntered, DistanceEntered, Meant, Slip, explained
from middlewatch.navigator.area.unusual import Awaited, Outlook
from middlewatch.navigator.chartroom import Chartroom
from middlewatch.navigator.deck_log.ledger import Logged
from middlewatch.navigator.position.lines import Circle, PositionLine, Ray
from middlewatch.quantities.instants import MS_PER_HOUR, MS_PER_SECOND
from middlewatch.quantities.lengths import METRES_PER_NM
from middlewatch.quantities.positions import Position
from middlewatch.readings.entries import Bearing, Order, Range, Sighting
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
_BEARINGS_READ_TO = radians(1.0)
_DISTANCES_READ_TO_M = 0.1 * METRES_PER_NM
"""So finely figures are read: that an old one comes again just so is as likely as this is wide."""


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
        """Return the slips that explain the sighting, the likeliest first; none is known of a position."""
        value = _value(self.logged.said.request)
        if value is None:
            return ()
        seen = self.room.area.seen(self.line)
        blunder = seen.hold(self.outlook.places[:1]).log_blunder
        return explained(self.outlook.of(seen), blunder, self._meant(value))

    @property
    def variation_deg(self) -> float | None:
        """The variation that had, or might have had, a part in it: E+; None where there is none."""
        if self.line.reference in {None, "relative"}:
            return None
        # Of a bearing entered as true the chain shows none.
        found = self.room.reckoning.course_at(self.line.second).variation
        return None if found is None else found.value_deg

    def _meant(self, value: float) -> Iterator[Meant]:
        yield from self._entered(value).meant(self._awaited(self.line))
        yield from self._other_marks(value)
        yield from self._stale(value)
        yield from self._another_hour(value)

    def _entered(self, value: float) -> BearingEntered | DistanceEntered:
        request = self.logged.said.request
        if not isinstance(request, Bearing):
            return DistanceEntered(value, self.ep.latitude_deg)
        mark = self.room.marks.get(request.mark) if isinstance(request.mark, str) else None
        deviation_deg = None if self.chain is None else self.chain.deviation_deg
        return BearingEntered(value, request.reference, self.variation_deg, deviation_deg, mark)

    def _awaited(self, line: PositionLine) -> Awaited:
        return self.outlook.of(self.room.area.seen(line))

    def _other_marks(self, value: float) -> Iterator[Meant]:
        """Take each other mark in reach for the one that was seen."""
        in_reach = [mark for mark in self.room.marks.values() if self._reaches(mark)]
        for mark in in_reach:
            line = replace(self.line, mark=mark.name, shape=_of(self.line, mark.position))
            yield Meant("other mark", value, self._awaited(line), part=1.0 / len(in_reach), mark=mark.name)

    def _reaches(self, mark: Mark) -> bool:
        in_reach = self.ep.to(mark.position)[1] <= (mark.range_nm or _REACH_NM)
        return in_reach and mark.name != self.line.mark

    def _stale(self, value: float) -> Iterator[Meant]:
        """Take the value for one of up to a quarter of an hour ago, or of a sighting that had just this."""
        lately = (self.line.second - ago for ago in _AGO_S)
        awaited = {second: self._awaited_then(second) for second in lately if self._same_passage(second)}
        dense = {second: each.density() for second, each in awaited.items()}
        if dense:
            # It may be of any of these minutes; told is the one it fits best.
            best = max(dense, key=lambda second: dense[second])
            known = sum(dense.values()) / len(_AGO_S)
            yield Meant("stale", value, awaited[best], second=best, known=known)
        read_to = _BEARINGS_READ_TO if isinstance(self.line.shape, Ray) else _DISTANCES_READ_TO_M
        for second in self._with_this_value(value):
            if self._same_passage(second):
                yield Meant("stale", value, self._awaited_then(second), second=second, known=1.0 / read_to)

    def _awaited_then(self, second: int) -> Awaited:
        # In so short a time she has moved off the EP by far less than the sighting's own doubt.
        return self._awaited(replace(self.line, second=second))

    def _same_passage(self, second: int) -> bool:
        reckoning = self.room.reckoning
        return reckoning.ep(second) is not None and reckoning.origin_at(second) == reckoning.origin_at(
            self.line.second
        )

    def _with_this_value(self, value: float) -> list[int]:
        """Return the seconds of earlier sightings of this mark and kind that had just this value."""
        oldest = self.line.second - round(self.room.tuning.oldest_line_h * _HOUR_S)
        return [
            line.second
            for line in self.room.plot.lines.values()
            if (line.kind, line.mark, line.reference) == (self.line.kind, self.line.mark, self.line.reference)
            and oldest <= line.second < self.line.second
            and _value(self.room.ledger.entries[line.id].said.request) == value
        ]

    def _another_hour(self, value: float) -> Iterator[Meant]:
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
            outlook = Outlook(cloud, self.room.tuning.seed, every=IN_HASTE)
            awaited = outlook.of(self.room.area.seen(replace(self.line, second=second)))
            prompt = self.logged.heard_ms - at_ms <= _PROMPT_MS
            part = (_OFTEN if prompt else 1.0) / len(could_be)
            yield Meant("hour out", value, awaited, part=part, second=second)


def _value(request: Sighting | Order) -> float | None:
    """Return the one figure that a sighting was entered with; None where there is no such."""
    match request:
        case Bearing():
            return request.bearing_deg
        case Range():
            return request.distance_nm
        case _:
            return None


def _of(line: PositionLine, place: Position) -> Ray | Circle:
    """Return the shape of a line, had it been of a mark at this place."""
    match line.shape:
        case Ray():
            return replace(line.shape, mark=place)
        case Circle():
            return replace(line.shape, centre=place)
        case _:
            raise TypeError(f"{line.kind} is of no single mark")
