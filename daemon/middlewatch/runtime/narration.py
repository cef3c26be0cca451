"""Narration: reports as a navigator would note them in the deck log. A note an event, nothing each second."""

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Literal

from middlewatch.quantities.angles import three_figures
from middlewatch.quantities.instants import Instant
from middlewatch.quantities.positions import Position
from middlewatch.reports import Report
from middlewatch.reports.advice import AdviceReport
from middlewatch.reports.alert import AlertReport
from middlewatch.reports.answer import Answer, ChainReport, RefusalReport, SightingAnswer
from middlewatch.reports.area import AreaReport
from middlewatch.reports.fix import FixReport
from middlewatch.reports.position import PositionReport, ReportedWay
from middlewatch.reports.satellite import SatelliteReport, SatelliteState
from middlewatch.runtime.alert_notes import AlertNotes

Voice = Literal["skipper", "watch", "alert", "practice"]
"""Who speaks: the skipper, the daemon, the daemon raising an alert, whoever stages a practice passage."""


@dataclass(frozen=True, slots=True)
class Note:
    """One note: when it was made, who speaks, and what is said, each sentence to a line of its own."""

    at: Instant
    voice: Voice
    sentences: tuple[str, ...]


Skipper = Callable[[str], str | None]
"""Returns what the skipper said in making the entry of this id, where that is known."""


def _unheard(_id: str, /) -> None:
    """Know nothing of what the skipper said: over the broker of a boat only the answer is told."""


class Narrator:
    """Turns reports into notes; remembers only what was noted last, so as not to say it twice.

    The alert that a satellite state raises follows it in the same second and says more than the state's
    name. So a change of state waits for the next report: that alert takes its place, anything else lets it
    be said.
    """

    def __init__(self, skipper: Skipper = _unheard) -> None:
        self._skipper = skipper
        self._state: SatelliteState | None = None
        self._stood: tuple[SatelliteState, ...] = ()
        self._waiting: Note | None = None
        self._advised = ""
        self._settles: str | None = None
        self._way: ReportedWay | None = None
        self._alerts = AlertNotes()
        self._acknowledged: Instant | None = None

    def notes(self, at: Instant, report: Report) -> Iterator[Note]:
        """Yield the notes of a report said at this moment, none where there is nothing new."""
        waiting, self._waiting = self._waiting, None
        if isinstance(report, AlertReport):
            yield from self._alert(at, report, waiting)
            return
        if waiting is not None:
            yield waiting
        match report:
            case Answer():
                yield from self._answer(at, report)
            case FixReport():
                yield Note(at, "watch", tuple(_fix(report)))
            case AdviceReport():
                yield from self._advice(at, report)
            case SatelliteReport():
                self._waiting = self._satellite(at, report)
            case PositionReport():
                yield from self._position(at, report)

    def _advice(self, at: Instant, report: AdviceReport) -> Iterator[Note]:
        """Say what is new in it: the sight to take, or what would settle a doubt about the satellites."""
        sight, settles = _advice(report), report.settles
        if sight != self._advised:
            self._advised = sight
            yield Note(at, "watch", (sight,))
        if settles is not None and settles.text != self._settles:
            yield Note(at, "watch", (settles.text,))
        self._settles = None if settles is None else settles.text

    def last(self) -> Iterator[Note]:
        """Yield what still waits when nothing more will be reported."""
        if self._waiting is not None:
            yield self._waiting
            self._waiting = None

    def _answer(self, at: Instant, answer: Answer) -> Iterator[Note]:
        asked = None if answer.id is None or answer.repeat else self._skipper(answer.id)
        if asked is not None:
            yield Note(at, "skipper", (asked,))
        if asked is not None and answer.kind == "remark" and answer.accepted:
            return  # the skipper's own words are all there is to it
        if answer.kind == "acknowledge" and answer.accepted:
            self._acknowledged = at
        told = tuple(_answered(answer))
        if asked is None:
            told = (f"{_name(answer)}: {told[0]}", *told[1:])
        yield Note(at, "watch", tuple(_sentence(each) for each in told))

    def _satellite(self, at: Instant, report: SatelliteReport) -> Note | None:
        before, self._state = self._state, report.state
        stood, self._stood = self._stood, report.also
        # What stood beside another state was said as it came.
        if report.state in (before, *stood) or (before is None and report.state == "none"):
            return None
        return Note(at, "watch", (_sentence(_compared(report, before)),))

    def _position(self, at: Instant, report: PositionReport) -> Iterator[Note]:
        before, self._way = self._way, report.way
        if before is not None and report.way != before:
            yield Note(at, "watch", (_sentence(f"way: {report.way.replace('_', ' ')}"),))

    def _alert(self, at: Instant, alert: AlertReport, waiting: Note | None) -> Iterator[Note]:
        words = self._alerts.words(alert, answered=self._acknowledged == at)
        told = () if words is None else (_sentence(words),)
        # No alert tells what satellites that come back still want.
        if waiting is not None and (alert.name != "satellite" or self._state == "returning"):
            yield waiting
        elif waiting is not None and alert.state == "normal":
            told = (*waiting.sentences, *told)
        if told:
            yield Note(at, "watch" if alert.state == "normal" else "alert", told)


# --- answers ----------------------------------------------------------------------------------------


def _name(answer: Answer) -> str:
    name = f"{answer.kind or answer.channel} {answer.id or ''}".rstrip()
    if answer.at is None or answer.at == answer.heard_at:
        return name
    return f"{name} of {answer.at.clock_with_seconds}"


def _answered(answer: Answer) -> Iterator[str]:
    if answer.refusal is not None:
        yield _refused(answer.refusal)
    elif answer.repeat:
        yield "heard again, answered again, changes nothing"
    elif answer.sighting is not None:
        yield from _sighting(answer.sighting)
    else:
        yield answer.effect or "taken"


def _refused(refusal: RefusalReport) -> str:
    """Say why, what was found unless the reason has named it, and what is wanted."""
    if refusal.found in refusal.reason:
        return f"refused: {refusal.reason}; wanted for {refusal.field}: {refusal.wanted}"
    return f"refused: {refusal.reason}; {refusal.field} is {refusal.found}, wanted: {refusal.wanted}"


def _sighting(sighting: SightingAnswer) -> Iterator[str]:
    parts = [] if sighting.chain is None else [_chain(sighting.chain)]
    if sighting.residual_deg is not None and sighting.expected_deg is not None:
        parts.append(f"expected {_tenths(sighting.expected_deg)} T")
        parts[-1] += f", residual {sighting.residual_deg:+.1f} degrees"
    elif sighting.residual_nm is not None and sighting.expected_nm is not None:
        parts.append(f"expected {sighting.expected_nm:.2f} nm")
        parts[-1] += f", residual {sighting.residual_nm:+.2f} nm"
    elif sighting.residual_nm is not None:
        parts.append(f"{sighting.residual_nm:.2f} nm from the middle of the area")
    parts = [part for part in parts if part]
    if parts:
        yield "; ".join(parts)
    for slip in sighting.slips:
        of_mark = "" if slip.mark is None else f" of {slip.mark}"
        when = "" if slip.at is None else f" at {slip.at.clock}"
        value = f"{slip.value:g}" if sighting.chain is None else _figures(slip.value)
        yield f"a slip? {slip.slip}: {value}{of_mark}{when} would stand {slip.fits:.1f} sigma off"
    if sighting.rival is not None:
        yield sighting.rival
    if sighting.pencil is not None:
        yield f"pencil {_without_figures(sighting.pencil)}"
    elif not parts:
        yield "taken"


def _chain(chain: ChainReport) -> str:
    """Say the way to true: `356 C with deviation 5.0 E is 001.0 M with variation 11.0 W is 350.0 T`."""
    steps = []
    if chain.compass_deg is not None:
        steps.append(f"{_figures(chain.compass_deg)} C{_allowing('deviation', chain.deviation_deg)}")
    if chain.magnetic_deg is not None:
        steps.append(f"{_figures(chain.magnetic_deg)} M{_allowing('variation', chain.variation_deg)}")
    if chain.true_deg is not None:
        steps.append(f"{_tenths(chain.true_deg)} T")
    return " is ".join(steps)


def _allowing(name: str, degrees: float | None) -> str:
    return "" if degrees is None else f" with {name} {abs(degrees):.1f} {'E' if degrees >= 0 else 'W'}"


def _without_figures(pencil: str) -> str:
    """Leave out of the words for the pencil the figures of the bearing: the chain has just given them."""
    return re.sub(r" \(bearing [^()]*\)", "", pencil)


def _figures(direction_deg: float) -> str:
    """Write a direction as it was read: in whole degrees where it is whole, else with its tenth."""
    return three_figures(direction_deg) if direction_deg == round(direction_deg) else _tenths(direction_deg)


def _tenths(direction_deg: float) -> str:
    return f"{round(direction_deg, 1) % 360:05.1f}"


# --- fixes and satellites ---------------------------------------------------------------------------


def _fix(fix: FixReport) -> Iterator[str]:
    if fix.withdrawn:
        yield f"{fix.label} {fix.id} of {fix.at.clock} withdrawn: its lines do not make it any more."
        return
    place = Position(fix.latitude_deg, fix.longitude_deg)
    parts = [f"{fix.label} {fix.id} of {fix.at.clock}: {place}"]
    if fix.distance_off_nm is not None and not fix.worth.startswith("Distance off"):
        parts.append(f"{fix.distance_off_nm:.2f} nm off")
    if fix.cut_deg is not None and not fix.worth.startswith("Cut"):
        parts.append(f"the lines cut at {fix.cut_deg:.0f} degrees")
    revises = "" if fix.revises is None else f"; it takes the place of {fix.revises}"
    yield _sentence(f"{', '.join(parts)}{revises}")
    yield _sentence(fix.worth)
    if fix.area is not None:
        yield _sentence(_area(fix.area))
    if fix.set_deg is not None and fix.drift_kn is not None:
        yield _sentence(_stream(fix, fix.set_deg, fix.drift_kn))
    for flag in fix.flags:
        yield _sentence(flag)


def _area(area: AreaReport) -> str:
    """Say where the boat is 95 times in 100."""
    size = f"{2 * area.semi_major_nm:.1f} by {2 * area.semi_minor_nm:.1f} nm"
    along = f"along {three_figures(area.orientation_deg)} T"
    if area.shape == "two":
        heaps = " or ".join(
            f"about {Position(heap.latitude_deg, heap.longitude_deg)} ({100 * heap.weight:.0f} in 100)"
            for heap in area.heaps or ()
        )
        return f"all sightings together: {heaps}"
    if area.shape == "ring":
        return f"all sightings together: on a ring {size} across"
    form = " wedge" if area.shape == "wedge" else ""
    return f"all sightings together: 95 in 100 within{' a' if form else ''}{form} {size}, {along}"


def _stream(fix: FixReport, set_deg: float, drift_kn: float) -> str:
    doubt = "" if fix.drift_sd_kn is None else f", 1 sigma {fix.drift_sd_kn:.1f}"
    over = "" if fix.over_s is None else f", over {fix.over_s / 60:.0f} min"
    return f"set {three_figures(set_deg)} T, drift {drift_kn:.1f} kn{doubt}{over}"


def _advice(report: AdviceReport) -> str:
    """Say what to do, and no more: why is in the report's own text."""
    sight = report.sight
    if sight is None:
        return report.text
    when = "now"
    if sight.at != report.at:
        when = f"about {sight.at.clock}"
    if sight.wait_for_true_deg is not None:
        when += f", when it bears {three_figures(sight.wait_for_true_deg)} T"
    return (
        f"Advice: a {sight.kind} of {sight.mark} {when}; the area becomes about {sight.area_after_nm:.2f} nm."
    )


def _compared(report: SatelliteReport, before: SatelliteState | None) -> str:
    """Say how the satellite position and the reckoning stand to each other."""
    gap = "" if report.gap_nm is None else f"gap {report.gap_nm:.2f} nm"
    if (
        report.gap_nm is not None
        and report.bearing_deg is not None
        and report.gap_nm >= _TELLS_A_DIRECTION_NM
    ):
        gap += f", {three_figures(report.bearing_deg)} T of the EP"
    if report.state == "in_step":
        # A gap past the limit has to last before it is called wide, as after a time without any position.
        if report.gap_nm is not None and report.gap_nm > report.limit_nm:
            return f"satellite position heard, {gap}"
        again = "" if before is None or before == "none" else " again"
        words = f"satellite position in step with the reckoning{again}: {gap}"
        return words if report.reason is None else f"{words}; {report.reason}"
    if report.state == "none":
        return f"satellites: {report.reason}"
    words = f"satellite position {report.state.replace('_', ' ')}: {report.reason}"
    return f"{words}; {gap}" if gap else words


_TELLS_A_DIRECTION_NM = 0.05


def _sentence(text: str) -> str:
    """Begin with a capital, unless an id stands there, and end with a stop."""
    stop = "" if text.endswith((".", "?", "!")) else "."
    word = text.partition(" ")[0]
    return f"{text if '-' in word else text[:1].upper() + text[1:]}{stop}"
