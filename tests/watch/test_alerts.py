"""Alerts: one a subject, said once, acknowledged and silenced as IMO MSC.302(87) orders it."""

from dataclasses import dataclass, field

import pytest
from hypothesis import given
from hypothesis import strategies as st

from middlewatch.navigator.timescale import Timescale
from middlewatch.navigator.watch.alerts import Alerts, Matter
from middlewatch.quantities.instants import Instant
from middlewatch.reports.alert import AlertName, AlertReport, AlertState, Priority

AT_0142 = Instant.parse("2026-05-03T01:42:00Z").ms
MINUTE = 60_000


def said(alerts: Alerts, at_ms: int = AT_0142) -> tuple[AlertReport, ...]:
    """Return what the alerts say now, on a scale that is UTC."""
    return alerts.said(at_ms, Timescale())


def one(alerts: Alerts, at_ms: int = AT_0142) -> AlertReport:
    """Return the one alert that is said."""
    (report,) = said(alerts, at_ms)
    return report


def raised(priority: Priority) -> Alerts:
    """Return alerts with one condition of the log, said."""
    alerts = Alerts()
    alerts.raise_("log", "held", priority, "the log is silent", AT_0142)
    said(alerts)
    return alerts


# --- states -------------------------------------------------------------------------------------------------


def test_a_matter_stands_while_there_are_words_for_it() -> None:
    """With words it is raised, without it is cleared; one that never stood is not spoken of."""
    alerts, held, stopped = Alerts(), Matter("log", "held", "caution"), Matter("log", "wheel", "warning")
    alerts.stand(held, "the log is silent", AT_0142)
    alerts.stand(stopped, None, AT_0142)
    standing = one(alerts)
    alerts.stand(held, None, AT_0142 + MINUTE)

    assert (standing.priority, standing.state, standing.text) == ("caution", "active", "the log is silent")
    assert one(alerts, AT_0142 + MINUTE).state == "normal"


@pytest.mark.parametrize(
    ("priority", "state"),
    [("caution", "active"), ("warning", "active-unacknowledged"), ("alarm", "active-unacknowledged")],
)
def test_raised(priority: Priority, state: AlertState) -> None:
    """MSC.302(87): a caution is active; a warning or alarm is active and unacknowledged."""
    alerts = Alerts()
    alerts.raise_("log", "held", priority, "the log is silent", AT_0142)

    assert one(alerts) == AlertReport(
        "log", Instant(AT_0142), priority, state, "the log is silent", Instant(AT_0142), 1
    )


@pytest.mark.parametrize(
    ("priority", "acts", "state"),
    [
        ("caution", "clear", "normal"),
        ("warning", "clear", "rectified-unacknowledged"),
        ("warning", "acknowledge", "active-acknowledged"),
        ("warning", "silence", "active-silenced"),
        ("warning", "silence clear", "rectified-unacknowledged"),
        ("warning", "silence acknowledge", "active-acknowledged"),
        ("warning", "acknowledge clear", "normal"),
        ("warning", "clear acknowledge", "normal"),
        ("warning", "clear raise", "active-unacknowledged"),
        ("warning", "acknowledge clear raise", "active-unacknowledged"),
        ("warning", "silence wait", "active-unacknowledged"),
        ("alarm", "clear", "rectified-unacknowledged"),
        ("caution", "clear raise", "active"),
    ],
)
def test_states(priority: Priority, acts: str, state: AlertState) -> None:
    """The state table of MSC.302(87), as INTERFACE words its states."""
    alerts = raised(priority)
    revision = 1
    for act in acts.split():
        match act:
            case "clear":
                alerts.clear("log", "held", AT_0142)
            case "raise":
                alerts.raise_("log", "held", priority, "the log is silent", AT_0142)
            case "acknowledge":
                alerts.acknowledge("log")
            case "silence":
                alerts.silence("log", AT_0142)
            case "wait":
                alerts.tick(AT_0142 + 30_000)
        report = one(alerts)
        revision += 1
        assert report.revision == revision

    assert alerts.standing["log"].state == state
    assert report.state == state
    assert report.priority == priority


def test_a_caution_wants_no_acknowledging() -> None:
    """Acknowledged all the same, nothing changes and the words say why."""
    alerts = raised("caution")

    assert alerts.acknowledge("log") == "log: a caution, nothing to acknowledge"
    assert alerts.silence("log", AT_0142) == "log: a caution, nothing sounds"
    assert said(alerts) == ()


def test_acknowledged_after_it_was_over() -> None:
    """Rectified: acknowledging ends it, and the words say that it was over."""
    alerts = raised("warning")
    alerts.clear("log", "held", AT_0142 + MINUTE)
    over = one(alerts, AT_0142 + MINUTE)
    words = alerts.acknowledge("log")

    assert (over.state, over.text) == ("rectified-unacknowledged", "the log is silent (over at 0143)")
    assert words == "log warning acknowledged; it was over already"
    assert one(alerts).text == "over at 0143: the log is silent"


def test_silence_lasts_thirty_seconds_and_no_longer() -> None:
    """29.999 s: silent; 30 s: unacknowledged again, one revision on."""
    alerts = raised("warning")
    alerts.silence("log", AT_0142)
    assert one(alerts).state == "active-silenced"

    alerts.tick(AT_0142 + 29_999)
    assert said(alerts) == ()
    alerts.tick(AT_0142 + 30_000)
    assert one(alerts).state == "active-unacknowledged"
    alerts.tick(AT_0142 + 60_000)
    assert said(alerts) == ()


def test_a_new_warning_breaks_the_silence() -> None:
    """Silence was for what was known; a second warning of the subject sounds."""
    alerts = raised("warning")
    alerts.silence("log", AT_0142)
    said(alerts)
    alerts.raise_("log", "absent", "warning", "no speed is heard", AT_0142 + MINUTE)

    assert one(alerts).state == "active-unacknowledged"


def test_a_new_warning_wants_acknowledging_anew() -> None:
    """The first was acknowledged, the second not; clearing that leaves it rectified, not lost."""
    alerts = raised("warning")
    alerts.acknowledge("log")
    said(alerts)
    alerts.raise_("log", "absent", "warning", "no speed is heard", AT_0142 + MINUTE)
    assert one(alerts).state == "active-unacknowledged"

    alerts.clear("log", "absent", AT_0142 + 2 * MINUTE)
    report = one(alerts)
    assert report.state == "active-unacknowledged"
    assert report.text == "0142 the log is silent; 0143 no speed is heard (over at 0144)"


# --- one a subject ------------------------------------------------------------------------------------------


def test_one_alert_a_subject_with_all_it_has_to_say() -> None:
    """The gravest first, each with its time; the priority is the gravest one's."""
    alerts = Alerts()
    alerts.raise_("satellite", "wide", "caution", "past the limit", AT_0142)
    said(alerts)
    alerts.raise_("satellite", "jumped", "warning", "jumped 0.4 nm", AT_0142 + MINUTE)

    report = one(alerts, AT_0142 + MINUTE)
    assert report.priority == "warning"
    assert report.text == "0143 jumped 0.4 nm; 0142 past the limit"
    assert report.since == Instant(AT_0142)


def test_a_warning_nobody_saw_is_not_lost_beside_a_caution() -> None:
    """The jump is over before anyone acknowledged it, the caution stands: the warning stays, as rectified."""
    alerts = Alerts()
    alerts.raise_("satellite", "wide", "caution", "past the limit", AT_0142)
    alerts.raise_("satellite", "jumped", "warning", "jumped 0.4 nm", AT_0142)
    said(alerts)
    alerts.clear("satellite", "jumped", AT_0142 + MINUTE)

    report = one(alerts)
    assert (report.priority, report.state) == ("warning", "rectified-unacknowledged")
    # What stands is read first, though what is over was graver.
    assert report.text == "0142 past the limit; 0142 jumped 0.4 nm (over at 0143)"
    alerts.acknowledge("satellite")
    report = one(alerts)
    assert (report.priority, report.state, report.text) == ("caution", "active", "past the limit")


def test_said_once() -> None:
    """Raised again and again with other figures it is said once; a graver priority is said."""
    alerts = Alerts()
    alerts.raise_("log", "held", "caution", "the log shows 7 kn", AT_0142)
    said(alerts)
    for knots in range(5):
        alerts.raise_("log", "held", "caution", f"the log shows {knots} kn", AT_0142 + knots)
    assert said(alerts) == ()

    alerts.raise_("log", "held", "warning", "the log shows 9 kn", AT_0142 + 9)
    assert one(alerts).text == "the log shows 9 kn"


def test_what_changes_twice_between_two_reports_is_said_once() -> None:
    """One caution gives way to another within a second: one report, one revision on."""
    alerts = Alerts()
    alerts.raise_("satellite", "wide", "caution", "past the limit", AT_0142)
    said(alerts)
    alerts.clear("satellite", "wide", AT_0142)
    alerts.raise_("satellite", "parted", "warning", "more than is ordinary", AT_0142)

    assert one(alerts).revision == 2


def test_what_came_and_went_unsaid_is_not_said() -> None:
    """Never raised, as far as anybody knows: not published."""
    alerts = Alerts()
    alerts.raise_("log", "held", "caution", "the log is silent", AT_0142)
    alerts.clear("log", "held", AT_0142)

    assert said(alerts) == ()


def test_clearing_what_does_not_stand_says_nothing() -> None:
    """Each tick clears all that is well."""
    alerts = raised("warning")
    alerts.clear("log", "absent", AT_0142)
    alerts.clear("heading", "held", AT_0142)
    alerts.clear("log", "held", AT_0142)
    said(alerts)
    alerts.clear("log", "held", AT_0142 + MINUTE)

    assert said(alerts) == ()


def test_revisions_run_from_1_to_99_and_begin_again() -> None:
    """99 is followed by 1."""
    alerts = Alerts()
    revisions = []
    for _ in range(51):
        alerts.raise_("log", "held", "caution", "the log is silent", AT_0142)
        revisions.append(one(alerts).revision)
        alerts.clear("log", "held", AT_0142)
        revisions.append(one(alerts).revision)

    assert revisions == [*range(1, 100), 1, 2, 3]


def test_said_again_after_a_restart_under_the_same_revision() -> None:
    """The broker may have lost what it retained: all is said as it stood, no revision on."""
    alerts = raised("warning")
    alerts.say_again()

    assert one(alerts).revision == 1
    assert said(alerts) == ()


# --- the law ------------------------------------------------------------------------------------------------

_NAMES: list[AlertName] = ["satellite", "log"]
_KEYS = ["a", "b", "c"]
_acts = st.one_of(
    st.tuples(
        st.just("raise"),
        st.sampled_from(_NAMES),
        st.sampled_from(_KEYS),
        st.sampled_from(["caution", "warning"]),
    ),
    st.tuples(st.just("clear"), st.sampled_from(_NAMES), st.sampled_from(_KEYS)),
    st.tuples(st.just("acknowledge"), st.sampled_from(_NAMES)),
    st.tuples(st.just("silence"), st.sampled_from(_NAMES)),
    st.tuples(st.just("tick"), st.integers(1, 40)),
)


@dataclass
class Bystander:
    """One who keeps count in his own way: what is wrong, and what nobody has acknowledged yet."""

    wrong: dict[tuple[AlertName, str], Priority] = field(default_factory=dict)
    unacknowledged: set[tuple[AlertName, str]] = field(default_factory=set)

    def see(self, act: tuple[object, ...]) -> None:
        """Follow one act."""
        match act:
            case ("raise", ("satellite" | "log") as name, str(key), ("caution" | "warning") as priority):
                was = self.wrong.get((name, key))
                self.wrong[name, key] = priority
                if priority == "warning" and was != "warning":
                    self.unacknowledged.add((name, key))
                if priority == "caution":
                    self.unacknowledged.discard((name, key))
            case ("clear", ("satellite" | "log") as name, str(key)):
                self.wrong.pop((name, key), None)
            case ("acknowledge", ("satellite" | "log") as name):
                self.unacknowledged = {each for each in self.unacknowledged if each[0] != name}

    def expects(self, name: AlertName) -> set[AlertState]:
        """Return the states that a subject may be in."""
        priorities = [priority for (of, _), priority in self.wrong.items() if of == name]
        if any(of == name for of, _ in self.unacknowledged):
            if "warning" in priorities:
                return {"active-unacknowledged", "active-silenced"}
            return {"rectified-unacknowledged"}
        if "warning" in priorities:
            return {"active-acknowledged"}
        return {"active"} if priorities else {"normal"}


@given(acts=st.lists(_acts, max_size=40))
def test_no_alert_is_lost_or_doubled(acts: list[tuple[object, ...]]) -> None:
    """Whatever is raised, cleared, acknowledged and silenced: the state last said is the one that is so.

    Each report differs from the one before it of its subject, and is one revision on; every wrong thing is
    named in the text exactly once.
    """
    alerts, bystander, now_ms = Alerts(), Bystander(), AT_0142
    last: dict[AlertName, AlertReport] = {}
    for act in acts:
        now_ms += 1000
        match act:
            case ("raise", ("satellite" | "log") as name, str(key), ("caution" | "warning") as priority):
                alerts.raise_(name, key, priority, f"<{key}>", now_ms)
            case ("clear", ("satellite" | "log") as name, str(key)):
                alerts.clear(name, key, now_ms)
            case ("acknowledge", ("satellite" | "log") as name) if name in alerts.standing:
                alerts.acknowledge(name)
            case ("silence", ("satellite" | "log") as name) if name in alerts.standing:
                alerts.silence(name, now_ms)
            case ("tick", int(seconds)):
                now_ms += seconds * 1000
                alerts.tick(now_ms)
        bystander.see(act)
        for report in said(alerts, now_ms):
            before = last.get(report.name)
            assert report.revision == (1 if before is None else before.revision % 99 + 1)
            assert before is None or (before.state, before.text, before.priority) != (
                report.state,
                report.text,
                report.priority,
            )
            last[report.name] = report
        for subject in _NAMES:
            state: AlertState = last[subject].state if subject in last else "normal"
            assert state in bystander.expects(subject)
            named = {key for of, key in {*bystander.wrong, *bystander.unacknowledged} if of == subject}
            if named:
                assert [key for key in _KEYS if last[subject].text.count(f"<{key}>") == 1] == sorted(named)
