"""A fix worked from lines already chosen: brought to one time, crossed, judged, and said what it is worth."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from math import floor, hypot
from typing import Literal

from middlewatch.navigator.position import setdrift, worth
from middlewatch.navigator.position.crossing import (
    Carried,
    Run,
    carry,
    cut_deg,
    meetings,
    newest_ray,
    spread_m2,
    widest_cut_deg,
)
from middlewatch.navigator.position.lines import Point, PositionLine, Ray, TransitRay
from middlewatch.navigator.position.lines import report as line_report
from middlewatch.navigator.position.setdrift import SetDrift
from middlewatch.quantities.instants import Instant
from middlewatch.quantities.lengths import METRES_PER_NM, METRES_PER_SECOND_PER_KNOT
from middlewatch.quantities.positions import Position
from middlewatch.reports.fix import CockedHatReport, FixReport
from middlewatch.reports.place import PlaceReport

LEAST_CUT_DEG = 10.0
"""Lines that cut at less make no fix (judgement: at 10 degrees an error is six-fold along the lines)."""

NARROW_CUT_DEG = 30.0
"""Lines that cut at less are drawn and flagged (common practice, no source)."""

_HOLDS_SD = 3.0  # three and more lines: a meeting place from which none is farther off can be the boat's
_APART_SD = 2.0  # beyond this a line's distance from the fix is said
_NO_RUN_M = 10.0  # a run within the length of the boat: two bearings of one mark then fix nothing


Label = Literal["Fix", "R Fix"]


@dataclass(frozen=True, slots=True)
class CockedHat:
    """The corners in which three or more lines cross pairwise, and its longest side."""

    corners: tuple[Position, ...]
    longest_side_nm: float


@dataclass(frozen=True, slots=True)
class PlottedFix:
    """A fix as plotted, at the moment of its newest line; `lines` oldest first, as carried to that moment."""

    label: Label
    place: Position
    lines: tuple[Carried, ...]
    cut_deg: float | None
    distance_off_nm: float | None
    hat: CockedHat | None
    rival: Position | None
    set_drift: SetDrift
    dr: Position | None
    flags: tuple[str, ...]
    worth: str


@dataclass(frozen=True, slots=True)
class NoFix:
    """Why no fix comes of the lines, in words; `cut_deg` where the cut was too narrow."""

    reason: str
    cut_deg: float | None = None


Outcome = PlottedFix | NoFix


@dataclass(frozen=True, slots=True)
class _Choice:
    """Where the lines meet, the other place where they might, and what is to be said of the two."""

    place: Position
    rival: Position | None
    remarks: tuple[str, ...]


def worked(label: Label, lines: Sequence[PositionLine], run: Run, flags: Sequence[str] = ()) -> Outcome:
    """Return what the lines, given in order, make at the moment of the last; `flags` are said beforehand."""
    carried, said = carry(lines, run), list(flags)
    if carried is None and label == "R Fix":
        return NoFix(f"the run since {lines[0].named} is not known")
    if carried is None:
        carried = tuple(Carried(line) for line in lines)
        said.append("lines not brought to one time: the run between them is not known")
    places = meetings(carried)
    if refusal := _refused(carried, places):
        return refusal
    choice = _choose(carried, places, run.ep(lines[-1].second))
    if isinstance(choice, NoFix):
        return choice
    return _plotted(label, carried, choice, run, said)


def cut_of(lines: Sequence[PositionLine], run: Run) -> float | None:
    """Return the angle at which lines would cut, 0-90; None where they cannot be brought together."""
    carried = carry(lines, run)
    if carried is None:
        return None
    # Straight lines cut alike wherever they meet.
    return _cut(carried, () if _straight(carried) else meetings(carried))


def _refused(lines: Sequence[Carried], places: Sequence[Position]) -> NoFix | None:
    """Say why the lines make no fix, None where they do."""
    names = " and ".join(carried.line.named for carried in lines)
    if _no_run_between(lines):
        return NoFix(f"no run between {names}: two bearings of one mark then fix nothing")
    cut = _cut(lines, places)
    with_point = any(isinstance(carried.line.shape, Point) for carried in lines)
    if cut is not None and cut < LEAST_CUT_DEG and not with_point:
        return NoFix(f"cut {floor(cut)}: under {LEAST_CUT_DEG:.0f}, no fix", cut)
    if not places:
        return NoFix(f"{names} do not meet")
    if not _ahead_of_all(lines, places):
        return NoFix(f"{names} do not meet ahead: reciprocal or wrong mark?")
    return None


def _no_run_between(lines: Sequence[Carried]) -> bool:
    """Say whether all are bearings of one mark from one place: they meet in the mark, not in the boat."""
    rays = [carried for carried in lines if isinstance(carried.line.shape, Ray)]
    one_mark = len(rays) == len(lines) > 1 and len({carried.line.mark for carried in lines}) == 1
    return one_mark and all(hypot(carried.north_m, carried.east_m) < _NO_RUN_M for carried in lines)


def _cut(lines: Sequence[Carried], places: Sequence[Position]) -> float | None:
    """Return the best cut where the lines meet; straight ones that never do cut as they run."""
    if not places and _straight(lines) and (ray := newest_ray(lines)):
        places = (ray.mark,)
    cuts = [cut for place in places if (cut := widest_cut_deg(lines, place)) is not None]
    return max(cuts, default=None)


def _straight(lines: Sequence[Carried]) -> bool:
    return all(isinstance(carried.line.shape, Ray | TransitRay) for carried in lines)


def _ahead_of_all(lines: Sequence[Carried], places: Sequence[Position]) -> list[Position]:
    return [place for place in places if all(line.ahead(place) for line in lines)]


def _choose(lines: Sequence[Carried], places: Sequence[Position], ep: Position | None) -> _Choice | NoFix:
    """Take the crossing nearer to the EP, the other as rival; without an EP nothing chooses."""
    place, *others = _likeliest(lines, places, ep)
    if not others:
        return _Choice(place, None, ())
    rival = others[0]
    if ep is None:
        both = f"{place!s} and at {rival!s}"
        return NoFix(f"the lines cross at {both}, and there is no reckoning to choose by")
    remark = f"two crossings: {ep.to(place)[1]:.1f} nm from the EP, the rival {ep.to(rival)[1]:.1f} nm"
    return _Choice(place, rival, (remark,))


def _likeliest(lines: Sequence[Carried], places: Sequence[Position], ep: Position | None) -> list[Position]:
    """Return the places that can be the boat's, the nearer to the EP first.

    Two lines meet exactly wherever they do. Of three and more, places that a line contradicts fall away;
    where every place is contradicted, the one with the least squares is left.
    """
    ahead = _ahead_of_all(lines, places)
    held = [place for place in ahead if all(_miss_sd(line, place) <= _HOLDS_SD for line in lines)]
    if not held:
        held = [min(ahead, key=lambda place: sum(line.miss_m(place) ** 2 for line in lines))]
    return held if ep is None else sorted(held, key=lambda place: ep.to(place)[1])


def _miss_sd(line: Carried, place: Position) -> float:
    return abs(line.miss_m(place)) / line.sd_m(place)


def _plotted(
    label: Label, lines: tuple[Carried, ...], choice: _Choice, run: Run, said: Sequence[str]
) -> PlottedFix:
    place, second = choice.place, lines[-1].line.second
    cut, hat, spread = widest_cut_deg(lines, place), _cocked_hat(lines, place), spread_m2(lines, place)
    ray, flags = newest_ray(lines), _flags(lines, place, cut, hat)
    if label == "Fix":
        set_drift = setdrift.of_fix(place, spread, second, run)
        value = worth.of_fix(lines, cut, spread)
    else:
        set_drift = setdrift.of_running_fix(lines, place, second, run)
        value = worth.of_running_fix(lines, place)
        if _shorter_than_a_knot_makes(lines):
            flags.append("the run is shorter than one knot of stream would make")
    return PlottedFix(
        label=label,
        place=place,
        lines=lines,
        cut_deg=cut,
        distance_off_nm=place.to(ray.mark)[1] if ray else None,
        hat=hat,
        rival=choice.rival,
        set_drift=set_drift,
        dr=run.dr(second),
        flags=(*said, *choice.remarks, *flags, *set_drift.remarks),
        worth=value,
    )


def _flags(lines: Sequence[Carried], place: Position, cut: float | None, hat: CockedHat | None) -> list[str]:
    flags = []
    if cut is not None and cut < NARROW_CUT_DEG:
        flags.append("narrow cut")
    if hat is not None:
        flags.append(f"cocked hat {hat.longest_side_nm:.1f} nm")
    for line in lines:
        if (sigmas := _miss_sd(line, place)) > _APART_SD:
            off_nm = abs(line.miss_m(place)) / METRES_PER_NM
            flags.append(f"{line.line.named} is {off_nm:.2f} nm off, {sigmas:.1f} of its standard deviations")
    return flags


def _shorter_than_a_knot_makes(lines: Sequence[Carried]) -> bool:
    oldest, newest = lines[0], lines[-1]
    stream_m = (newest.line.second - oldest.line.second) * METRES_PER_SECOND_PER_KNOT
    return hypot(oldest.north_m, oldest.east_m) < stream_m


def _cocked_hat(lines: Sequence[Carried], place: Position) -> CockedHat | None:
    """Return where three or more lines cross two by two; two that hardly cut have no corner worth drawing."""
    straight = [line for line in lines if not isinstance(line.line.shape, Point)]
    if len(straight) < 3:
        return None
    corners: dict[frozenset[str], Position] = {}
    for pair in combinations(straight, 2):
        cut = cut_deg(*pair, place)
        crossings = meetings(pair)
        if crossings and cut is not None and cut >= LEAST_CUT_DEG:
            nearest = min(crossings, key=lambda corner: place.to(corner)[1])
            corners[frozenset(line.line.id for line in pair)] = nearest
    sides = [corners[one].to(corners[other])[1] for one, other in combinations(corners, 2) if one & other]
    return CockedHat(tuple(corners.values()), max(sides)) if sides else None


def report(fix: PlottedFix, fix_id: str, revises: str | None = None) -> FixReport:
    """Return the fix as it is published, under an id given by the caller."""
    newest = fix.lines[-1].line
    return FixReport(
        id=fix_id,
        at=Instant(newest.at_ms),
        label=fix.label,
        latitude_deg=fix.place.latitude_deg,
        longitude_deg=fix.place.longitude_deg,
        sightings=tuple(carried.line.id for carried in fix.lines),
        lines=tuple(
            line_report(
                carried.line,
                transferred_to=None if carried.to_ms is None else Instant(carried.to_ms),
                run_m=(carried.north_m, carried.east_m),
                seen_from=carried.then(fix.place),
            )
            for carried in fix.lines
        ),
        cut_deg=fix.cut_deg,
        distance_off_nm=fix.distance_off_nm,
        set_deg=fix.set_drift.set_deg,
        drift_kn=fix.set_drift.drift_kn,
        drift_sd_kn=fix.set_drift.drift_sd_kn,
        over_s=fix.set_drift.over_s,
        area=None,
        dr=_place_report(fix.dr) if fix.dr else None,
        flags=fix.flags,
        worth=fix.worth,
        cocked_hat=_hat_report(fix.hat) if fix.hat else None,
        rival=_place_report(fix.rival) if fix.rival else None,
        revises=revises,
    )


def _place_report(position: Position) -> PlaceReport:
    return PlaceReport(position.latitude_deg, position.longitude_deg)


def _hat_report(hat: CockedHat) -> CockedHatReport:
    return CockedHatReport(tuple(_place_report(corner) for corner in hat.corners), hat.longest_side_nm)
