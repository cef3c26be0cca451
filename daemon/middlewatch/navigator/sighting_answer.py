"""The answer to a sighting: its line, its chain, how it stands to the reckoning, and what to pencil."""

from middlewatch.navigator.chartroom import Chartroom
from middlewatch.navigator.ledger import Logged
from middlewatch.navigator.lines import report as line_report
from middlewatch.navigator.pencil import pencil_line
from middlewatch.navigator.sights import Standing, Taken
from middlewatch.reports.answer import SightingAnswer


def sighting_answer(room: Chartroom, logged: Logged, taken: Taken, stood: Standing) -> SightingAnswer:
    """Return the answer; `stood` is how the sighting stood to the EP when it was taken."""
    line = taken.line
    published = room.plot.published.get(logged.id)
    fix = published.report.id if published is not None and not published.report.withdrawn else None
    return SightingAnswer(
        line=None if line is None else line_report(line, seen_from=room.reckoning.ep(logged.second)),
        chain=taken.chain,
        expected_deg=stood.expected_deg,
        residual_deg=stood.residual_deg,
        expected_nm=stood.expected_nm,
        residual_nm=stood.residual_nm,
        unusual_sigma=stood.unusual_sigma,
        slips=(),
        fix=fix,
        pencil=taken.unused if line is None else pencil_line(line, taken.chain),
    )
