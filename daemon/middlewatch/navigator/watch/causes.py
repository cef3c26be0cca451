"""Causes: which witness is likeliest wrong when satellites and reckoning part, by Bayes, and why.

The priors are of one watch of four hours: an entry is wrong 3 in 100, a receiver 1 in 1,000 (the design's
section 7); a log 1 in 100, a compass 4 in 1,000 (judgement); the water does something always. What the way of
the receiver tells comes from `explaining`, what lines and origins tell from `witnesses`.
"""

from dataclasses import dataclass, replace
from math import degrees, exp, inf, log
from typing import Literal

from middlewatch.navigator.chartroom import Chartroom
from middlewatch.navigator.watch.explaining import FEWEST, Explained, Explaining
from middlewatch.navigator.watch.ordered import shown
from middlewatch.navigator.watch.recalibrated import doubted as calibration_doubted
from middlewatch.navigator.watch.satellites import Betrayed
from middlewatch.navigator.watch.witnesses import Said, heard
from middlewatch.quantities.angles import direction_of, three_figures
from middlewatch.quantities.instants import MS_PER_SECOND
from middlewatch.reports.satellite import CauseReport

Cause = Literal["entry", "satellite", "log", "compass", "stream"]
PRIOR: dict[Cause, float] = {"entry": 0.03, "satellite": 0.001, "log": 0.01, "compass": 0.004, "stream": 1.0}
WRONG, WRONG_TOO = 0.03, 0.003
"""How often an entry is wrong; and that another, of another mark, is wrong and agrees with it."""
FORGOTTEN = 10.0
"""How much oftener what was ordered by hand is wrong after a while: it is forgotten (judgement)."""
AGAINST = 4.0
"""How much oftener a stream that is ordered is another there and then than an entry is wrong (judgement)."""
BEFORE = 0.3
"""The part of a receiver's lies that began before what is known of its way (judgement)."""
NO_ENTRY = 0.02
"""How often a wrong entry leaves no gap when it comes."""
MOST_BY_ENTRY = 12.0
"""More than so much (natural logarithm) is never made of a gap that came with an entry (judgement)."""
BY_ITSELF = 10_000.0
"""How much likelier a witness is wrong that betrays it by itself (judgement): digits that stand, a jump."""
DOUBTS_ITSELF = 20.0
"""How much likelier a receiver is wrong that says so, or a log whose total and speed do not go together
(judgement): either may have done so all along, and need not make what is seen."""
MORE_THAN_THE_SEA = 0.02
SEEN = 2.0
"""From so much on (natural logarithm of the odds) a change is spoken of as seen (judgement)."""
LOG_SHOWS_MORE = -0.5
"""No log shows more than twice the speed: a size beyond is that of one that failed and is right again."""
FARTHEST = 6.0
"""A gap is never held to be unlikelier than exp(-6) of a stream: not all waters are entered (judgement)."""
EVERY_S = 60


@dataclass(frozen=True, slots=True)
class Weighed:
    """The causes as they stand: each with its weight and evidence, the likeliest first; when it set in."""

    causes: tuple[CauseReport, ...]
    onset: int | None


def weigh(room: Chartroom, doubted: frozenset[Cause]) -> Weighed:
    """Weigh the causes; `doubted`: which of log and compass are found out by what they show themselves."""
    check, said = room.check, heard(room)
    explained = _explained(room)
    odds = {
        cause: log(prior)
        + _by_way(cause, explained, said)
        + by_lines(cause, said)
        + _by_itself(cause, room, said)
        for cause, prior in PRIOR.items()
    }
    # What betrays itself explains what is seen as well as anything does.
    best = max((each.odds for each in explained.values()), default=0.0)
    for cause in _betrayed(room, doubted):
        own = explained[cause].odds if cause in explained else 0.0
        # A witness that nothing is steered by makes nothing, whatever it shows.
        if own > -inf:
            odds[cause] += log(BY_ITSELF) + max(0.0, best - own)
    most = max(odds.values())
    total = sum(exp(each - most) for each in odds.values())
    words = _Words(room, explained, said, doubted)
    reports = [CauseReport(cause, exp(each - most) / total, words.of(cause)) for cause, each in odds.items()]
    reports.sort(key=lambda each: -each.weight)
    first = explained.get(reports[0].cause)
    # Of a receiver that betrays itself no other change need have been: its own moment is the onset then.
    if first is None or (check.betrayed is not None and first.odds < SEEN):
        return Weighed(tuple(reports), None)
    return Weighed(tuple(reports), first.onset)


def _explained(room: Chartroom) -> dict[Cause, Explained]:
    """Return how each cause explains the way of the receiver; empty while too little of it is known."""
    check = room.check
    if len(check.spells.kept) < FEWEST:
        return {}
    strongest_kn = room.strongest_stream_kn
    explaining = Explaining(
        check.spells.kept,
        strongest_kn,
        check.pull.odds,
        check.pull.restless,
        rough=strongest_kn > room.tuning.strongest_stream_kn,
    )
    found: dict[Cause, Explained] = {
        "satellite": explaining.satellite(),
        "log": explaining.log(),
        "compass": explaining.compass(),
        "stream": explaining.stream(),
    }
    by_hand = explaining.by_hand()
    if by_hand is not None:
        found["entry"] = by_hand
    temper = explaining.tempered(max(each.odds for each in found.values()))
    found = {cause: replace(each, odds=temper * each.odds) for cause, each in found.items()}
    if "entry" in found:
        found["entry"] = replace(found["entry"], odds=found["entry"].odds + log(FORGOTTEN))
    ordered = shown(check.spells.kept, strongest_kn)
    # Once its beginning is kept no more it is not accused anew; what was held against it goes on.
    accused = room.alerts.stands("satellite", "ordered") or (
        bool(check.causes) and check.causes[0].cause == "entry"
    )
    known = ordered is not None and (ordered.from_the_start or accused)
    # What no sea does, no stream wrongly ordered makes.
    if ordered is not None and known and not check.pull.beyond_the_sea:
        # A stream ordered that is not there leaves the receiver's way to the water.
        by_stream = found["stream"].odds + log(AGAINST) + min(ordered.odds, MOST_BY_ENTRY)
        if "entry" not in found or by_stream > found["entry"].odds:
            found["entry"] = Explained(by_stream)
    by_calibration = calibration_doubted(room)
    if by_calibration is not None:
        # As the order has it, the stream does the rest; wrong, it is the order's.
        made = found["stream"].odds + min(by_calibration.odds, MOST_BY_ENTRY)
        if "entry" not in found or made > found["entry"].odds:
            found["entry"] = Explained(made)
    return found


def _by_way(cause: Cause, explained: dict[Cause, Explained], said: Said) -> float:
    """Return how well a cause explains the way of the receiver, and an entry the gap that came with it."""
    found = explained.get(cause)
    by_sea = explained["stream"].odds if "stream" in explained else 0.0
    # A gap that came with an entry is the entry's or the satellites': nothing else makes it.
    came = 0.0 if said.by_entry is None else min(said.by_entry.odds, MOST_BY_ENTRY)
    if cause == "satellite":
        # Off from before, they go as the reckoning goes, and the water does what it does.
        return came + max(by_sea + log(BEFORE), by_sea if found is None else found.odds)
    if cause != "entry":
        return 0.0 if found is None else found.odds
    made = log(NO_ENTRY)
    if said.by_entry is not None:
        made = came
    elif said.against_reckoning:
        made = 0.0
    # An entry that moved the reckoning once leaves the receiver's way to the water.
    moved = made + by_sea
    return moved if found is None else max(moved, found.odds)


def by_lines(cause: Cause, said: Said) -> float:
    """Return what lines say of a cause: who is innocent has them wrong, and agreeing in that."""
    contradict, agree = len(said.against_satellites), len(said.against_reckoning)
    if cause == "satellite":
        return _wrong(agree, WRONG)
    if cause == "entry":
        # The first contradicting one is the wrong entry itself.
        return max(0, contradict - 1) * log(WRONG_TOO)
    # A reckoning that log, compass or stream has drawn off is not where right lines are, nor wrong ones.
    return contradict * log(WRONG_TOO)


def _wrong(count: int, first: float) -> float:
    return 0.0 if not count else log(first) + (count - 1) * log(WRONG_TOO)


def _betrayed(room: Chartroom, doubted: frozenset[Cause]) -> frozenset[Cause]:
    """Return what betrays by itself that it is wrong."""
    return doubted | {"satellite"} if room.check.betrayed is not None else doubted


def _by_itself(cause: Cause, room: Chartroom, said: Said) -> float:
    check = room.check
    states = {check.state, *check.also}
    if cause == "satellite":
        return log(DOUBTS_ITSELF) if "doubtful" in states else 0.0
    if cause == "log":
        return log(DOUBTS_ITSELF) if room.alerts.stands("log", "total") else 0.0
    if cause == "stream":
        beyond = log(MORE_THAN_THE_SEA) if check.pull.beyond_the_sea else 0.0
        # A line that excludes what was reckoned does so at 99 in 100, whatever stream was allowed for.
        far = log(100.0) * len(said.against_reckoning)
        if check.gap_nm and check.ordinary_gap_nm:
            # The ordinary gap is exceeded once in a hundred; a normal gap falls off with its square.
            far += log(100.0) * max(0.0, (check.gap_nm / check.ordinary_gap_nm) ** 2 - 1.0)
        return beyond - min(FARTHEST, far)
    return 0.0


class _Words:
    """The evidence for each cause, in words."""

    def __init__(
        self,
        room: Chartroom,
        explained: dict[Cause, Explained],
        said: Said,
        doubted: frozenset[Cause],
    ) -> None:
        self._room, self._explained, self._said, self._doubted = room, explained, said, doubted

    def of(self, cause: Cause) -> str:
        """Say what speaks for a cause."""
        match cause:
            case "satellite":
                return "; ".join(self._satellite())
            case "entry":
                return self._entry()
            case "stream":
                return self._stream()
            case "log" | "compass":
                return "; ".join(self._instrument(cause))

    def _since(self, explained: Explained) -> str:
        if explained.onset is None:
            return ""
        return f" since {self._room.scale.utc(explained.onset * MS_PER_SECOND).clock}"

    def _satellite(self) -> list[str]:
        check, found = self._room.check, self._explained.get("satellite")
        words = []
        if check.betrayed is not None:
            words.append(self._betrayed(check.betrayed))
        if "doubtful" in {check.state, *check.also}:
            words.append("they doubt themselves")
        if found is not None and found.odds > SEEN:
            words.append(f"drawn {self._towards(found)}{self._since(found)}, fixed to the earth, at once")
        contradicted = ", ".join(each.named for each in self._said.against_satellites)
        if contradicted:
            words.append(f"excluded by {contradicted}")
        return words or [f"nothing known against {check.steering}"]

    def _betrayed(self, betrayed: Betrayed) -> str:
        check, clock = self._room.check, self._room.scale.utc
        if betrayed.word == "jumped":
            return f"they jumped at {clock(betrayed.at_ms).clock}"
        if "frozen" in {check.state, *check.also} and check.steering is not None:
            return f"they froze at {clock(check.receivers[check.steering].digits_since_ms).clock}"
        return f"their digits stood until {clock(betrayed.at_ms).clock}"

    @staticmethod
    def _towards(found: Explained) -> str:
        north_kn, east_kn = found.size
        kn = (north_kn * north_kn + east_kn * east_kn) ** 0.5
        return f"{kn:.1f} kn towards {three_figures(direction_of(north_kn, east_kn))} T"

    def _instrument(self, cause: Literal["log", "compass"]) -> list[str]:
        found = self._explained.get(cause)
        words = []
        if cause in self._doubted:
            alert = "log" if cause == "log" else "heading"
            words.append(f"it betrays itself, as the {alert} alert says")
        if found is not None and found.odds >= SEEN:
            words.append(self._shown(cause, found))
        words = words or [f"nothing seen that a wrong {cause} would make"]
        if cause == "log" and self._room.alerts.stands("log", "total"):
            words.append("its total and its speed do not go together")
        return words

    def _shown(self, cause: Literal["log", "compass"], found: Explained) -> str:
        since = self._since(found)
        if found.stopped:
            return f"she makes {found.size[0]:.1f} kn along the heading while the log stands{since}"
        if cause == "log" and found.size[0] < LOG_SHOWS_MORE:
            return "it lies along the heading, and comes and goes with what the log shows"
        if cause == "log":
            return f"it lies along the heading, {100.0 * found.size[0]:+.0f} % of what the log shows{since}"
        off_deg = degrees(found.size[0])
        side = "starboard" if off_deg > 0.0 else "port"
        return f"it lies across the heading: she goes {abs(off_deg):.0f} degrees to {side} of it{since}"

    def _stream(self) -> str:
        found = self._explained.get("stream")
        if found is not None and len(found.size) == 2:
            return f"a stream that changed by {self._towards(found)}{self._since(found)}, not at once"
        apparent = self._room.check.apparent
        if apparent is None:
            return "nothing that set in is seen"
        set_deg, drift_kn = apparent
        now = f"{drift_kn:.1f} kn towards {three_figures(set_deg)} T"
        parting = self._room.check.pull.parting is not None
        return f"what set in does not last: {now} now" if parting else f"nothing set in: {now}, as before"

    def _entry(self) -> str:
        if self._said.by_entry is not None:
            return f"the gap came with {self._said.by_entry.entry}"
        if self._said.against_reckoning:
            named = ", ".join(each.named for each in self._said.against_reckoning)
            return f"{named} agrees with the satellites, not with what was reckoned"
        by_calibration = calibration_doubted(self._room)
        if by_calibration is not None and by_calibration.odds > SEEN:
            return f"the satellites part since {by_calibration.order}, as it would make them if it is wrong"
        found = self._explained.get("entry")
        if found is not None and found.odds > SEEN:
            return "what goes by order does not show in the way made good"
        if self._said.against_satellites:
            return f"{self._said.against_satellites[0].named} may itself be wrong"
        return "no entry moved the reckoning away"
