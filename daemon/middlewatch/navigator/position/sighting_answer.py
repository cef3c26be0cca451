"""The answer to a sighting: its line, its chain, how it stands to the reckoning, and what to pencil."""

from middlewatch.navigator.area.slips import Slip
from middlewatch.navigator.chartroom import Chartroom
from middlewatch.navigator.deck_log.ledger import Logged
from middlewatch.navigator.position.judging import Judgement
from middlewatch.navigator.position.lines import report as line_report
from middlewatch.navigator.position.observer import proposal, residual_of
from middlewatch.navigator.position.pencil import pencil_line
from middlewatch.navigator.position.sights import Taken
from middlewatch.navigator.watch import clearing
from middlewatch.quantities.instants import MS_PER_SECOND
from middlewatch.reports.answer import SightingAnswer, SlipReport


def sighting_answer(room: Chartroom, logged: Logged, taken: Taken, stood: Judgement) -> SightingAnswer:
    """Return the answer; `stood` is how the sighting stood to the area of the moment before it."""
    residual = residual_of(room, logged, taken, stood)
    return SightingAnswer(
        line=None
        if taken.line is None
        else line_report(taken.line, seen_from=room.reckoning.ep(logged.second)),
        chain=taken.chain,
        expected_deg=stood.expected_deg,
        residual_deg=stood.residual_deg,
        expected_nm=stood.expected_nm,
        residual_nm=stood.residual_nm,
        unusual_sigma=stood.unusual_sigma,
        slips=tuple(_slip(room, slip) for slip in stood.slips),
        fix=room.plot.fix_with(logged.id),
        pencil=_pencil(room, logged, taken),
        rival=stood.rival,
        residual=residual,
        proposes=proposal(room, logged, residual),
    )


def _slip(room: Chartroom, slip: Slip) -> SlipReport:
    at = None if slip.second is None else room.scale.utc(slip.second * MS_PER_SECOND)
    return SlipReport(slip.slip, slip.value, slip.fits, slip.mark, at)


def _pencil(room: Chartroom, logged: Logged, taken: Taken) -> str | None:
    """Say what to draw, and why there is no use or no fix of it."""
    if taken.line is None:
        return taken.unused
    clear = clearing.in_words(room, taken.line)
    drawn = "; ".join((pencil_line(taken.line, taken.chain), *clear, *taken.remarks))
    if taken.unused is not None:
        return f"{drawn}; {taken.unused}"
    reason = room.plot.reasons.get(logged.id)
    # A late line makes none of its own, and may yet be part of a later sighting's.
    if reason is None or room.plot.fix_with(logged.id) is not None:
        return drawn
    return f"{drawn}; no fix: {reason}"
