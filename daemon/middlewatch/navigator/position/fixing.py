"""Plotted fixes: which lines are brought together, and what comes of them.

The newest line goes with the newest other line of each mark and kind within `same_time_s` (a `Fix`), else
with the earlier one, within `oldest_line_h`, that cuts it best (an `R Fix`). Nothing is made of lines that
would meet behind a mark, that cut at under 10 degrees, or that are but a burst of one mark; the answer says
which. A region (a light in sight, a sector, a sounding) is no line to cross, and is left to the area.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from middlewatch.navigator.position.crossing import Run
from middlewatch.navigator.position.fix import (
    LEAST_CUT_DEG,
    Label,
    NoFix,
    Outcome,
    PlottedFix,
    cut_of,
    worked,
)
from middlewatch.navigator.position.lines import Point, PositionLine
from middlewatch.navigator.position.regions import Region
from middlewatch.navigator.position.three_bearings import made_good
from middlewatch.navigator.reckoning.origin import DESIGN_STREAM_KN
from middlewatch.quantities.instants import MS_PER_HOUR, MS_PER_SECOND


@dataclass(frozen=True, slots=True)
class FixRules:
    """How far apart lines may be taken: together as one fix, and at all; and what stream may be between."""

    same_time_s: int = 180
    oldest_line_h: float = 3.0
    strongest_stream_kn: float = DESIGN_STREAM_KN

    def together(self, one: PositionLine, other: PositionLine) -> bool:
        """Say whether two lines count as taken at one time."""
        return abs(one.at_ms - other.at_ms) <= self.same_time_s * MS_PER_SECOND

    def too_old(self, line: PositionLine, newest: PositionLine) -> bool:
        """Say whether a line is too old to be carried to the newest."""
        return newest.at_ms - line.at_ms > self.oldest_line_h * MS_PER_HOUR


def plotted(newest: PositionLine, earlier: Sequence[PositionLine], run: Run, rules: FixRules) -> Outcome:
    """Return what the newest line makes with those before it in (at, id) order, later ones passed over."""
    if isinstance(newest.shape, Region):
        return _no_line(newest)
    before = sorted(
        (line for line in earlier if line.order < newest.order and not isinstance(line.shape, Region)),
        key=lambda line: line.order,
    )
    at_one_time = _newest_of_each([line for line in before if rules.together(line, newest)], newest)
    refusals, flags = list[NoFix](), list[str]()
    if at_one_time or isinstance(newest.shape, Point):
        outcome = worked("Fix", [*at_one_time, newest], run)
        # Lines that contradict each other the skipper must clear up; too narrow a cut leaves the older lines.
        if isinstance(outcome, PlottedFix) or outcome.cut_deg is None:
            return outcome
        refusals.append(outcome)
        flags = [f"{line.named} left out: it cuts at under {LEAST_CUT_DEG:.0f}" for line in at_one_time]
    elif any(rules.together(line, newest) for line in before):
        refusals.append(NoFix("a burst of one mark, not a fix"))
    older = [
        line
        for line in before
        if not rules.together(line, newest)
        and not rules.too_old(line, newest)
        and not isinstance(line.shape, Point)
    ]
    outcome = _running(newest, older, run, rules, flags)
    if isinstance(outcome, NoFix) and not older and refusals:
        return refusals[0]
    return outcome


def chosen(lines: Sequence[PositionLine], run: Run, rules: FixRules) -> Outcome:
    """Return what the lines chosen by the skipper make, however old; of a burst only the newest counts."""
    ordered = sorted(lines, key=lambda line: line.order)
    if not ordered:
        return NoFix("no line to make a fix of")
    region = next((line for line in ordered if isinstance(line.shape, Region)), None)
    if region is not None:
        return _no_line(region)
    newest, kept = ordered[-1], _without_bursts(ordered, rules)
    if len(kept) == 1 and not isinstance(newest.shape, Point):
        return NoFix(
            "a burst of one mark, not a fix" if len(ordered) > 1 else "one line, nothing to cross it with"
        )
    flags = [
        f"{line.named} left out: of a burst only the newest counts" for line in ordered if line not in kept
    ]
    flags += [
        f"{line.named} is {(newest.at_ms - line.at_ms) / MS_PER_HOUR:.1f} h old"
        for line in kept
        if rules.too_old(line, newest)
    ]
    label: Label = "Fix" if all(rules.together(line, newest) for line in kept) else "R Fix"
    return worked(label, kept, run, flags)


def _no_line(line: PositionLine) -> NoFix:
    return NoFix(
        f"{line.named}, {line.kind.replace('_', ' ')}, is no line to cross: it is weighed in the area only"
    )


def _running(
    newest: PositionLine, older: Sequence[PositionLine], run: Run, rules: FixRules, flags: Sequence[str]
) -> Outcome:
    """Return the running fix with the older line that cuts the newest best, the newer of two as good."""
    if not older:
        return NoFix(f"one line, and nothing within {rules.oldest_line_h:g} h to cross it with")
    course = made_good(newest, older, run)
    if course is not None:
        flags = [*flags, str(course)]
    cuts = [(cut, line) for line in older if (cut := cut_of((line, newest), run)) is not None]
    if not cuts:
        # Why not is best said of the newest of them.
        return worked("R Fix", [older[-1], newest], run, flags)
    # Rounded, so that two bearings of one figure stay as good as each other on any processor.
    _, best = max(cuts, key=lambda cut_line: (round(cut_line[0], 6), cut_line[1].order))
    return worked("R Fix", [best, newest], run, flags)


def _newest_of_each(before: Iterable[PositionLine], newest: PositionLine) -> list[PositionLine]:
    """Return the newest line of each mark and kind but the newest's own, in order."""
    kept = {(line.mark, line.kind): line for line in before}
    kept.pop((newest.mark, newest.kind), None)
    return sorted(kept.values(), key=lambda line: line.order)


def _without_bursts(ordered: Sequence[PositionLine], rules: FixRules) -> list[PositionLine]:
    """Return the lines without those for which a later one of the same burst stands."""
    kept: list[PositionLine] = []
    for line in reversed(ordered):
        if not any(_alike(line, later) and rules.together(line, later) for later in kept):
            kept.insert(0, line)
    return kept


def _alike(one: PositionLine, other: PositionLine) -> bool:
    return (one.mark, one.kind) == (other.mark, other.kind)
