"""Advising: what lies ahead is looked over for the best sight, and it is said when that changed."""

from collections.abc import Iterable

from middlewatch.navigator.advice import wording
from middlewatch.navigator.advice.advised import Act, Advised
from middlewatch.navigator.advice.next_sight import Worth, best
from middlewatch.navigator.advice.running_fix import bearing_deg
from middlewatch.navigator.advice.settling import settling
from middlewatch.navigator.advice.view import View, look
from middlewatch.navigator.chartroom import Chartroom
from middlewatch.navigator.deck_log.ledger import Logged
from middlewatch.quantities.angles import whole_tens
from middlewatch.quantities.instants import MS_PER_MINUTE, MS_PER_SECOND
from middlewatch.readings.entries import Acknowledge, Bearing, Quiet, Range, Remark, Silence, TrustSatellites
from middlewatch.reports import Report
from middlewatch.reports.advice import AdviceReport, AdvisedSight
from middlewatch.reports.alert import AlertName, AlertReport

_OF_THE_RECKONING: frozenset[AlertName] = frozenset(
    {"heading", "log", "position", "danger", "light", "clearing-bearing"}
)


_SETTLED_EVERY_MS = MS_PER_MINUTE
UNADVISED = "No sight is advised yet."
OVERBOARD = "No sight is asked for while somebody is overboard."


def advise(room: Chartroom) -> list[AdviceReport]:
    """Return new advice where it is due and there is any: at most one."""
    advised = room.advised
    if room.reckoning.now.overboard:
        held = advised.hold(OVERBOARD, room.now_ms)
        return [AdviceReport(room.scale.utc(room.now_ms), OVERBOARD, None, None)] if held else []
    # What would settle a doubt hangs on the satellites; what else is advised never does.
    settles = advised.settles
    if (
        advised.entered
        or room.now_ms % _SETTLED_EVERY_MS == 0
        or (settles is None) == bool(room.check.causes)
    ):
        settles = settling(room)
    newly_advised, part = _advised_anew(room), room.check.pull.parting
    if advised.settled(settles, None if part is None else part.found) or newly_advised:
        text = advised.text or UNADVISED
        return [AdviceReport(room.scale.utc(room.now_ms), text, advised.sight, settles)]
    return []


def _advised_anew(room: Chartroom) -> bool:
    """Look for the next sight where that is due; return whether something else is advised now."""
    advised = room.advised
    if not advised.due(room.now_ms):
        return False
    view = look(room)
    if view is None:
        advised.entered = advised.alerted = False
        return False
    worth = best(view.prospect, view.sights)
    if not advised.take(None if worth is None else _act(worth), room.now_ms):
        return False
    advised.sight = None if worth is None else _figures(room, view, worth)
    advised.text = wording.advice(room, view, worth)
    return True


def heed(advised: Advised, changed: Iterable[Logged], said: Iterable[Report]) -> None:
    """Take note of what was entered or said, where that is a reason to look for advice at once.

    Not what speaks of alerts, of satellites or of nothing, nor an alert that hangs on the satellites: advice
    is of sights.
    """
    for each in changed:
        match each.said.request:
            case Acknowledge() | Silence() | Quiet() | Remark() | TrustSatellites():
                continue
            case Bearing(mark=str(mark)):
                advised.sighted("bearing", mark)
            case Range(mark=str(mark)):
                advised.sighted("range", mark)
        advised.entered = True
    if any(isinstance(each, AlertReport) and each.name in _OF_THE_RECKONING for each in said):
        advised.alerted = True


def _act(worth: Worth) -> Act:
    sight = worth.sight
    return Act(sight.kind, sight.mark, sight.moment > 0, worth.hoped.major_nm)


def _figures(room: Chartroom, view: View, worth: Worth) -> AdvisedSight:
    sight, variation_deg = worth.sight, room.reckoning.now.variation_deg
    wait_true = wait_magnetic = None
    if sight.kind == "bearing" and sight.moment > 0:
        true_deg = bearing_deg(view.prospect, sight)
        wait_true = whole_tens(true_deg)
        # True to magnetic: east variation comes off.
        wait_magnetic = None if variation_deg is None else whole_tens(true_deg - variation_deg)
    at = room.scale.utc(view.moments[sight.moment].second * MS_PER_SECOND)
    return AdvisedSight(sight.kind, sight.mark, at, wait_true, wait_magnetic, worth.hoped.major_nm)
