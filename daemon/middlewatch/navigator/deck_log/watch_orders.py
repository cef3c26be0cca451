"""Orders to the watch: alerts, quiet, clock, visibility, remarks. They change nothing in the reckoning."""

from middlewatch.navigator.chartroom import Chartroom
from middlewatch.navigator.deck_log import clock
from middlewatch.navigator.deck_log.ledger import Logged
from middlewatch.navigator.deck_log.refusing import Refused
from middlewatch.readings.entries import (
    Acknowledge,
    ClockOrder,
    Quiet,
    Remark,
    Silence,
    TrustSatellites,
    Visibility,
)
from middlewatch.reports.alert import AlertName

WatchOrder = Acknowledge | Silence | Quiet | Visibility | ClockOrder | Remark | TrustSatellites
QUIET_MS = 10 * 60 * 1000


def attend(room: Chartroom, logged: Logged, order: WatchOrder) -> str:
    """Do what an order to the watch says; return its effect in words."""
    now_ms = logged.heard_ms
    match order:
        case Acknowledge():
            return room.alerts.acknowledge(_alert(room, order))
        case Silence():
            return room.alerts.silence(_alert(room, order), now_ms)
        case Quiet():
            room.ordered.quiet_until_ms = now_ms + QUIET_MS
            until = room.scale.utc(now_ms + QUIET_MS).clock
            return f"quiet until {until}: nothing sounds but alarms and danger"
        case Visibility():
            room.ordered.visibility_nm = order.visibility_nm
            return f"visibility {order.visibility_nm:g} nm noted"
        case ClockOrder():
            return clock.by_order(room, order, now_ms)
        case Remark():
            return f"noted: {order.text}"
        case TrustSatellites():
            return _trust(room, order, now_ms)


def _trust(room: Chartroom, order: TrustSatellites, now_ms: int) -> str:
    """End the quarantine of the satellites, where what is wanted for it is there, or anyway."""
    quarantine = room.check.quarantine
    if quarantine.why is None:
        return "no satellites are in quarantine: nothing changes"
    if quarantine.back_ms is None:
        reason = f"the satellites are not back yet, after {quarantine.why}"
        raise Refused("kind", "trust_satellites", "a position in step again", reason)
    wanted = quarantine.wants(now_ms)
    if wanted and not order.anyway:
        reason = f"the satellites are in quarantine after {quarantine.why}"
        raise Refused("anyway", "false", f"{' and '.join(wanted)}; or anyway: true", reason)
    words = f"the satellites count again, after {quarantine.why}"
    quarantine.trust(now_ms)
    return f"{words}; trusted anyway, without {' and '.join(wanted)}" if wanted else words


def _alert(room: Chartroom, order: Acknowledge | Silence) -> AlertName:
    standing = {name: each for name, each in room.alerts.standing.items() if each.state != "normal"}
    name = next((name for name in standing if name == order.alert), None)
    if name is None:
        wanted = ", ".join(standing) or "no alert stands"
        raise Refused("alert", order.alert, wanted, f"no alert {order.alert} stands")
    if order.revision is not None and not standing[name].has_said(order.revision):
        reason = f"the {name} alert has changed since: read it again"
        raise Refused("revision", str(order.revision), str(standing[name].revision), reason)
    return name
