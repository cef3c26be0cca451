"""The observer: what his own sights tell of how well he takes them, held against what the settings say.

Each sight was held against the cloud right before it, so what is left of it, over the spread that was to be
expected, is one standard deviation wide, and one tells nothing of the next: what is common to all his sights
the cloud has learnt from those before. Where an observer scatters more than the settings say, or less, the
squares add up to too much or too little.

Bearings and ranges alone can tell. A transit or a sextant angle is so much finer than any area that what is
left of it is the area's own.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import exp, log, sqrt

from middlewatch.navigator.chartroom import Chartroom
from middlewatch.navigator.deck_log.ledger import Logged
from middlewatch.navigator.position.judging import Judgement
from middlewatch.navigator.position.sights import Taken
from middlewatch.readings.entries import Bearing, Range
from middlewatch.reports.answer import ProposalReport, ResidualReport

MISTAKEN_SIGMA = 3.0
"""What is farther out is taken for a mistake and tells nothing; nearer, it counts though it be suspected, or
who scatters more would never be told so."""
_ENOUGH = 12
"""So many sights of a kind must stand before anything is said of them."""
_NEWEST = 40
"""Of so many the newest are taken: crew and sea change (judgement)."""
_OWN_PART = 0.5
"""A sight's own doubt must be at least this part of the spread expected, or it tells of the area instead."""
_MORE_SIGMA, _LESS_SIGMA = 2.2, 2.8
"""From here on the scatter differs. It is looked at after each sight, so these lie farther out than for a
single look: of observers who take forty sights just as the settings say, 95 in 100 are told nothing. Who
scatters more is told sooner than who scatters less."""
_CHANGED = 0.2
"""What has been said is said again once it has changed by this part."""
_LEAST_PART = 0.2
"""Nobody is told of less than this part of what is set: no figure is read finer (judgement)."""
_NOUGHT = 1e-12


@dataclass(frozen=True, slots=True)
class Scatter:
    """How an observer scatters: of how many sights, as a part of what the settings say, and how sure.

    `sigma`: how far out that is, were the settings right, in standard deviations; + scatters more.
    """

    of: int
    part: float
    sigma: float

    @property
    def differs(self) -> bool:
        """Whether the settings are not what the observer is."""
        return self.sigma > _MORE_SIGMA or self.sigma < -_LESS_SIGMA


def scatter(residuals: Sequence[ResidualReport]) -> Scatter | None:
    """Return how the newest sights that can tell scatter, oldest given first; None where they are too few.

    With w the sight's own part of the variance expected, the sum of w times the squares is, all being well,
    chi-square distributed but for a factor (Satterthwaite), with (sum w)^2 / sum w^2 degrees of freedom.
    """
    telling = [each for each in residuals if each.own >= _OWN_PART * each.spread][-_NEWEST:]
    if len(telling) < _ENOUGH:
        return None
    weights = [(each.own / each.spread) ** 2 for each in telling]
    squares = [(each.residual / each.spread) ** 2 for each in telling]
    whole, of_squares = sum(weights), sum(weight * weight for weight in weights)
    over = sum(weight * (square - 1.0) for weight, square in zip(weights, squares, strict=True))
    freedom = whole * whole / of_squares
    # Wary either way: who scatters more has spoilt the area no less than the settings say, and all the excess
    # is taken for his; who scatters less has mended it too, and its part of what is missing is not.
    part = sqrt(max(1.0 + over / (of_squares if over > 0.0 else whole), _LEAST_PART**2))
    return Scatter(len(telling), part, _as_normal(1.0 + over / whole, freedom))


def residual_of(room: Chartroom, logged: Logged, taken: Taken, stood: Judgement) -> ResidualReport | None:
    """Return what a sight tells of its observer, in degrees, or as a part of the distance entered.

    None where it tells nothing: it is a mistake, or not used, or its doubt was said with it, or it was
    amended.
    """
    if stood.unusual_sigma is None or stood.unusual_sigma >= MISTAKEN_SIGMA:
        return None
    if taken.line is None or taken.unused is not None or _is_amended(logged):
        return None
    doubts, spread = room.tuning.doubts, stood.spread
    match logged.said.request:
        case Bearing(sd_deg=None) if stood.residual_deg is not None and spread is not None:
            return ResidualReport(stood.residual_deg, spread, doubts.bearing_deg)
        case Range(sd_nm=None, distance_nm=off_nm) if stood.residual_nm is not None and spread is not None:
            return ResidualReport(stood.residual_nm / off_nm, spread / off_nm, doubts.range_part)
        case _:
            return None


def proposal(room: Chartroom, logged: Logged, residual: ResidualReport | None) -> ProposalReport | None:
    """Return what the sights of this kind up to this one propose instead of what is set, if anything new.

    Those taken while something else was set are left out. Nothing is changed by it.
    """
    if residual is None:
        return None
    earlier = [each for each in _earlier(room, logged) if each[1].own == residual.own]
    found = scatter([*(each for _, each, _ in earlier), residual])
    if found is None or not found.differs:
        return None
    proposed = _worded(logged, residual.own, found)
    said = [_sd_said(entry, before) for entry, _, before in earlier if before is not None]
    if said and abs(_sd_said(logged, proposed) / said[-1] - 1.0) < _CHANGED:
        return None
    return proposed


def _worded(logged: Logged, own: float, found: Scatter) -> ProposalReport:
    """Say what the settings would be by these sights."""
    sd, of = own * found.part, found.of
    if isinstance(logged.said.request, Range):
        scattered = f"your last {of} ranges that can tell scatter by {100 * sd:.1f} % of the distance"
        text = f"{scattered}, the settings say {100 * own:g} %: [doubts] range_part = {sd:.3f}"
        return ProposalReport(None, sd * logged.said.request.distance_nm, of, text)
    scattered = f"your last {of} bearings that can tell scatter by {sd:.1f} degrees"
    return ProposalReport(
        sd, None, of, f"{scattered}, the settings say {own:g}: [doubts] bearing_deg = {sd:.1f}"
    )


def _sd_said(logged: Logged, proposed: ProposalReport) -> float:
    """Return the doubt that was proposed: degrees, or a part of the distance."""
    if isinstance(logged.said.request, Range) and proposed.sd_nm is not None:
        return proposed.sd_nm / logged.said.request.distance_nm
    return proposed.sd_deg or 0.0


def _earlier(
    room: Chartroom, logged: Logged
) -> Iterator[tuple[Logged, ResidualReport, ProposalReport | None]]:
    """Yield the sights of this kind before this one that stand as they were taken, in order of their time."""
    for each in sorted(room.ledger.entries.values(), key=lambda each: each.order):
        answered = None if each.answer is None else each.answer.sighting
        if answered is None or answered.residual is None or each.withdrawn or _is_amended(each):
            continue
        if each.said.kind == logged.said.kind and each.order < logged.order:
            yield each, answered.residual, answered.proposes


def _is_amended(logged: Logged) -> bool:
    return logged.said.body != logged.first_body


def _as_normal(mean_square: float, freedom: float) -> float:
    """Return how far out a chi-square over its degrees of freedom is, in sigmas of a normal error.

    Wilson and Hilferty's cube root; from memory.
    """
    narrow = 2.0 / (9.0 * freedom)
    return (exp(log(max(mean_square, _NOUGHT)) / 3.0) - (1.0 - narrow)) / sqrt(narrow)
