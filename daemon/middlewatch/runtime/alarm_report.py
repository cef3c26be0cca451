"""The alarm report of a passage: each alert from the time it was raised until it was over, as it went."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from middlewatch.quantities.instants import MS_PER_MINUTE, MS_PER_SECOND, Instant
from middlewatch.reports.alert import AlertName, AlertReport, Priority, SoundReport
from middlewatch.runtime.reports_told import BadReports, Json, told

_ALERT = "alert/"
_SOUND = "sound"
_WEIGHT = {"caution": 1, "warning": 2, "alarm": 3}


@dataclass(slots=True)
class Case:
    """One alert from normal to normal: its reports, the sounds heard of it, and how grave it became."""

    first: AlertReport
    last: AlertReport
    gravest: AlertReport
    acknowledged: AlertReport | None = None
    sounds: int = 0

    def take(self, report: AlertReport) -> None:
        """Follow it."""
        if _WEIGHT[report.priority] > _WEIGHT[self.gravest.priority]:
            self.gravest = report
        if report.by is not None and (self.acknowledged is None or self.acknowledged.by is None):
            self.acknowledged = report
        elif report.by is None:
            self.acknowledged = None  # something new came: that nobody has acknowledged
        self.last = report


def cases(reports: Iterable[AlertReport | SoundReport]) -> tuple[Case, ...]:
    """Return the cases of a passage in order of their beginning; the same alert may have many."""
    found: list[Case] = []
    open_: dict[AlertName, Case] = {}
    for report in reports:
        if isinstance(report, SoundReport):
            if report.alert in open_:
                open_[report.alert].sounds += 1
            continue
        case = open_.get(report.name)
        if case is None:
            if report.state == "normal":
                continue  # a restart says again what was over
            case = open_[report.name] = Case(report, report, report)
            found.append(case)
        case.take(report)
        if report.state == "normal":
            del open_[report.name]
    return tuple(found)


def lines(reports: Iterable[AlertReport | SoundReport]) -> Iterator[str]:
    """Yield the alarm report: a line an alert, and a last one that sums up."""
    told = cases(reports)
    for case in told:
        yield _line(case)
    yield _summed_up(told)


def _summed_up(told: Sequence[Case]) -> str:
    heard = sum(case.sounds for case in told)
    unacknowledged = sum(_unacknowledged(case) for case in told)
    return f"{_count(len(told), 'alert')}, heard {_count(heard, 'time')}, {unacknowledged} never acknowledged"


def aggregated(reports: Iterable[AlertReport | SoundReport]) -> Iterator[str]:
    """Yield the alarm report in short: a line for each subject and gravity, and the sum of all."""
    told = cases(reports)
    alike: dict[tuple[AlertName, Priority], list[Case]] = {}
    for case in told:
        alike.setdefault((case.first.name, case.gravest.priority), []).append(case)
    for (name, priority), same in alike.items():
        first, newest = same[0], same[-1]
        times = "" if len(same) == 1 else f" {_count(len(same), 'time')} from"
        heard = _count(sum(case.sounds for case in same), "time")
        yield (
            f"alert {name}, {priority},{times} {_clock(first.first.at)}: stood {_stood(same)}, "
            f"heard {heard}; {_acknowledgements(same)}; the newest: {newest.gravest.text}"
        )
    if told:
        yield _summed_up(told)


def _stood(same: Sequence[Case]) -> str:
    """Say how long alerts stood, and whether the newest stands still."""
    whole = _lasting(sum(_until(case) - case.first.at.ms for case in same))
    return f"{whole} in all" if _is_over(same[-1].last) else f"{whole} until it was last told, and stands"


def _until(case: Case) -> int:
    # What was over before it was acknowledged has been over since then.
    return case.last.since.ms if _is_over(case.last) else case.last.at.ms


def _is_over(last: AlertReport) -> bool:
    return not last.state.startswith("active")


def _acknowledgements(same: Sequence[Case]) -> str:
    """Say when alerts were acknowledged and by whom, each by whom once."""
    by: dict[str, list[str]] = {}
    for case in same:
        if case.acknowledged is not None and case.acknowledged.by is not None:
            by.setdefault(case.acknowledged.by, []).append(_clock(case.acknowledged.at))
    never = sum(_unacknowledged(case) for case in same)
    said = [f"acknowledged by {who} at {', '.join(times)}" for who, times in by.items()]
    said += [f"{never} never acknowledged"] if never else []
    return "; ".join(said) or "nothing to acknowledge"


def _line(case: Case) -> str:
    first, gravest, last = case.first, case.gravest, case.last
    grew = "" if first.priority == gravest.priority else f", {gravest.priority} at {_clock(gravest.at)}"
    return (
        f"{first.at} {first.name} {first.priority}{grew}: {gravest.text}; "
        f"heard {_count(case.sounds, 'time')}; {_acknowledged(case)}; {_over(first, last)}"
    )


def _acknowledged(case: Case) -> str:
    acknowledged = case.acknowledged
    if acknowledged is not None:
        after = _lasting(acknowledged.at.ms - case.first.at.ms)
        return f"acknowledged at {_clock(acknowledged.at)} by {acknowledged.by}, after {after}"
    return "never acknowledged" if _unacknowledged(case) else "nothing to acknowledge"


def _unacknowledged(case: Case) -> bool:
    return case.acknowledged is None and case.gravest.priority != "caution"


def _over(first: AlertReport, last: AlertReport) -> str:
    if _is_over(last):
        # What was over before it was acknowledged has been over since then.
        return f"over at {_clock(last.since)}, it stood {_lasting(last.since.ms - first.at.ms)}"
    return f"it still stood at {_clock(last.at)}, when it was last told"


def _clock(at: Instant) -> str:
    return at.clock_with_seconds


def _lasting(ms: int) -> str:
    return f"{ms // MS_PER_SECOND} s" if ms < 2 * MS_PER_MINUTE else f"{ms // MS_PER_MINUTE} min"


def _count(number: int, what: str) -> str:
    return f"{number} {what}{'' if number == 1 else 's'}"


# --- out of a file ------------------------------------------------------------------------------------------


def read_alerts(file: str) -> Iterator[AlertReport | SoundReport]:
    """Yield the alerts and sounds of a REPORTS file; BadReports where it is none."""
    for number, topic, said in told(file):
        if topic == _SOUND or topic.startswith(_ALERT):
            try:
                yield _read(topic, said)
            except (ValueError, KeyError, TypeError) as fault:
                raise BadReports(
                    file, number, f"a wrong {topic}", "an alert as --reports writes it"
                ) from fault


def _read(topic: str, said: Json) -> AlertReport | SoundReport:
    at = Instant.parse(said["at"])
    if topic == _SOUND:
        return SoundReport(at, said["alert"], said["revision"], said["pattern"], said["text"])
    name: Any = topic.removeprefix(_ALERT)
    return AlertReport(
        name, at, said["priority"], said["state"], said["text"],
        Instant.parse(said["since"]), said["revision"], said.get("by"),
    )  # fmt: skip
