"""Commands about alerts from the bus: obeyed as the skipper's orders are, or refused with the reason.

What they change is told at the next tick with everything else. Responsibility is never given away: whoever
took it would have to be watched, and an alert that nobody answers for is the worst of all.
"""

from middlewatch.navigator.chartroom import Chartroom
from middlewatch.readings.sentences import AlertCommand
from middlewatch.reports.alert import AlertName, CommandReport

INSTANCE = 1
"""Of each subject there is one alert; a command may mean it by this instance, or by 0, which is all."""


def obey(room: Chartroom, command: AlertCommand) -> None:
    """Do what a command says, and keep what came of it to be told; a legacy one only where that is set."""
    if command.legacy and not room.tuning.legacy_alerts:
        return
    accepted, text = _outcome(room, command)
    room.alerts.answered.append(
        CommandReport(
            room.scale.utc(command.at_ms), command.source, command.command, command.alert, command.instance,
            accepted, text,
        )
    )  # fmt: skip


def _outcome(room: Chartroom, command: AlertCommand) -> tuple[bool, str]:
    """Return whether a command is accepted, and what comes of it or why not."""
    if command.command == "transfer":
        return False, "responsibility stays here: acknowledge it, or silence it"
    if command.instance not in (0, INSTANCE):
        return False, f"each alert has only instance {INSTANCE}"
    meant = _meant(room, command.alert)
    if not meant:
        return False, f"no alert {command.alert} stands" if command.alert else "no alert stands"
    match command.command:
        case "acknowledge":
            return _acknowledged(room, command, meant)
        case "silence":
            return _silenced(room, command, meant)
        case "repeat":
            return True, f"said again: {', '.join(meant)}"


def _meant(room: Chartroom, alert: str) -> list[AlertName]:
    """Return the alerts that a command means, of those that were ever said."""
    said = [name for name, standing in room.alerts.standing.items() if standing.said is not None]
    return [name for name in said if alert in ("", name)]


def _acknowledged(room: Chartroom, command: AlertCommand, meant: list[AlertName]) -> tuple[bool, str]:
    """Acknowledge one alert; not several at once, for who acknowledges is to have read each."""
    if not command.alert or command.instance == 0:
        return False, "alerts are acknowledged one by one, each by its identifier and instance"
    (name,) = meant
    wanted = room.alerts.standing[name].wants_acknowledging
    return wanted, room.alerts.acknowledge(name, by=command.source)


def _silenced(room: Chartroom, command: AlertCommand, meant: list[AlertName]) -> tuple[bool, str]:
    """Silence whatever of it sounds."""
    sounding = [
        name
        for name in meant
        if room.alerts.standing[name].state in ("active-unacknowledged", "active-silenced")
    ]
    texts = [room.alerts.silence(name, command.at_ms) for name in sounding or meant[:1]]
    return bool(sounding), "; ".join(texts)
