"""The list of alerts as a bus hears it: each change at once, the whole list each 30 s, refusals, repeats."""

from dataclasses import dataclass, field

from middlewatch.reports import Report
from middlewatch.reports.alert import AlertName, AlertReport, CommandReport, SoundReport
from middlewatch.wire import nmea_alerts

LIST_EVERY_S = 30
"""An ALC is due at least so often (IEC 61162-1); legacy alerts are told again as often."""


@dataclass(slots=True)
class AlertList:
    """What stands, and the sequence numbers; one for all outputs, called once for each report and second.

    `legacy`: in ALR, else in ALF, ALC and ARC: an alert told in both would show twice.
    """

    legacy: bool = False
    alerts: dict[AlertName, AlertReport] = field(default_factory=dict)
    sequence: int = 0
    lists: int = 0
    seconds: int = 0

    def told(self, report: Report, *, timed: bool = True) -> tuple[bytes, ...]:
        """Return the sentences of a report, none where it is about something else.

        A warning or alarm that sounds again is told again, for who sounds by these sentences alone.
        """
        match report:
            case AlertReport():
                self.alerts[report.name] = report
                return self._alert(report, timed=timed)
            case SoundReport() if report.pattern == "warning" and self._is_again(report):
                return self._alert(self.alerts[report.alert], timed=timed)
            case CommandReport() if report.accepted and report.command == "repeat":
                meant = [each for name, each in self.alerts.items() if report.alert in ("", name)]
                return tuple(line for each in meant for line in self._alert(each, timed=timed))
            case CommandReport() if not report.accepted and not self.legacy:
                return (nmea_alerts.refused(report, timed=timed),)
            case _:
                return ()

    def second(self) -> tuple[bytes, ...]:
        """Let a second pass; return the list where it is due, first at the first."""
        due = self.seconds % LIST_EVERY_S == 0
        self.seconds += 1
        if not due:
            return ()
        if self.legacy:
            standing = [each for each in self.alerts.values() if each.state != "normal"]
            return tuple(nmea_alerts.legacy(each) for each in standing)
        sequence, self.lists = self.lists, (self.lists + 1) % (nmea_alerts.LAST_LIST + 1)
        return nmea_alerts.listed(self.alerts.values(), sequence)

    def _alert(self, report: AlertReport, *, timed: bool) -> tuple[bytes, ...]:
        if self.legacy:
            return (nmea_alerts.legacy(report, timed=timed),)
        sequence, self.sequence = self.sequence, (self.sequence + 1) % (nmea_alerts.LAST_SEQUENCE + 1)
        return nmea_alerts.sentences(report, sequence, timed=timed)

    def _is_again(self, sound: SoundReport) -> bool:
        """Return whether nothing of the alert was told with this sound."""
        alert = self.alerts.get(sound.alert)
        return alert is not None and alert.at != sound.at
