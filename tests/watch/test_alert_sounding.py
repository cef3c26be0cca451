"""When alerts are heard, and how: notes, warnings that come again, alarms, quiet, silence."""

from dataclasses import dataclass, field
from typing import Any, get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from middlewatch.navigator.freezing import frozen, thawed
from middlewatch.navigator.timescale import Timescale
from middlewatch.navigator.watch.alerts import Alerts
from middlewatch.quantities.instants import Instant
from middlewatch.reports.alert import (
    AlertName,
    AlertReport,
    AlertState,
    CommandReport,
    Pattern,
    Priority,
    SoundReport,
)

AT_0142 = Instant.parse("2026-05-03T01:42:00Z").ms
MINUTE_S = 60


@dataclass
class Bridge:
    """Alerts with a second hand: `heard` is (second, pattern) of each sound, `said` all that was said."""

    alerts: Alerts = field(default_factory=Alerts)
    second: int = 0
    quiet_until_ms: int | None = None
    heard: list[tuple[int, Pattern]] = field(default_factory=list)
    said: list[AlertReport | SoundReport | CommandReport] = field(default_factory=list)

    @property
    def now_ms(self) -> int:
        """The present second of the scale."""
        return AT_0142 + self.second * 1000

    def tell(self) -> tuple[AlertReport | SoundReport | CommandReport, ...]:
        """Let be said and heard what there is."""
        told = self.alerts.told(self.now_ms, Timescale(), self.quiet_until_ms)
        self.said += told
        self.heard += [(self.second, each.pattern) for each in told if isinstance(each, SoundReport)]
        return told

    def raise_(self, priority: Priority, text: str = "the log is silent", key: str = "held") -> None:
        """Raise a condition of the log."""
        self.alerts.raise_("log", key, priority, text, self.now_ms)
        self.tell()

    def pass_(self, seconds: int) -> None:
        """Let so many seconds pass, each with its tick."""
        for _ in range(seconds):
            self.second += 1
            self.alerts.tick(self.now_ms)
            self.tell()


# --- the design's section 9 ---------------------------------------------------------------------------------


def test_a_caution_sounds_one_soft_note_once() -> None:
    """However long it stands."""
    bridge = Bridge()
    bridge.raise_("caution")
    bridge.pass_(3600)

    assert bridge.heard == [(0, "note")]


@pytest.mark.parametrize(("name", "notes"), [("position", [0, 3600]), ("danger", [0, 1200, 2400, 3600])])
def test_a_caution_that_comes_and_goes_is_noted_once_an_hour(name: AlertName, notes: list[int]) -> None:
    """Over and back each twenty minutes, as an area too wide between sights; a danger's is not held back."""
    bridge = Bridge()
    for _ in range(4):
        bridge.alerts.raise_(name, "area", "caution", "the area is wide", bridge.now_ms)
        bridge.tell()
        bridge.pass_(600)
        bridge.alerts.clear(name, "area", bridge.now_ms)
        bridge.pass_(600)

    assert bridge.heard == [(second, "note") for second in notes]
    assert len([each for each in bridge.said if isinstance(each, AlertReport)]) == 8


def test_said_again_it_is_two_sentences() -> None:
    """At first all there is; again the gravest with newest figures and the next act, the rest by its head.

    What is new, and what has been acknowledged, is said in full.
    """
    bridge = Bridge()
    bridge.raise_("caution", "gap 0.52 nm (limit 0.50 nm; ordinary 0.85 nm): past the limit", "wide")
    bridge.raise_("warning", "drawn 0.8 kn: an apparent stream; take a bearing")
    causes = "likeliest the log (61 %: it fell), else a stream (30 %: slow)"
    bridge.alerts.beside("log", causes, "likeliest the log (61 %)")
    bridge.pass_(1)
    first = bridge.alerts.standing["log"].text(Timescale())
    bridge.alerts.raise_(
        "log", "held", "warning", "drawn 0.9 kn: an apparent stream; take a bearing", bridge.now_ms
    )
    bridge.pass_(60)
    again = bridge.alerts.standing["log"].text(Timescale())
    bridge.alerts.acknowledge("log")

    assert first == (
        "0142 drawn 0.8 kn: an apparent stream; take a bearing; 0142 gap 0.52 nm (limit 0.50 nm; ordinary"
        " 0.85 nm): past the limit; likeliest the log (61 %: it fell), else a stream (30 %: slow)"
    )
    assert again == (
        "0142 drawn 0.9 kn: an apparent stream; take a bearing. "
        "Also gap 0.52 nm since 0142, likeliest the log (61 %)"
    )
    assert [each.text for each in bridge.said if isinstance(each, SoundReport)][-1] == again
    assert "else a stream" in bridge.alerts.standing["log"].text(Timescale())


def test_what_is_said_beside_it_has_its_newest_figures_each_time_it_sounds() -> None:
    """Other figures are not said by themselves; a minute on, as it sounds again, they are those of then."""
    bridge = Bridge()
    bridge.raise_("warning", "the gap is past the limit")
    bridge.alerts.beside("log", "likeliest the log (51 %), else a stream (49 %)", "likeliest the log (51 %)")
    bridge.pass_(30)
    bridge.alerts.beside("log", "likeliest the log (97 %), else a stream (3 %)", "likeliest the log (97 %)")
    bridge.pass_(29)
    texts = [each.text for each in bridge.said if isinstance(each, AlertReport)]
    bridge.pass_(1)

    assert texts == [
        "the gap is past the limit",
        "the gap is past the limit; likeliest the log (51 %), else a stream (49 %)",
    ]
    assert isinstance(bridge.said[-1], SoundReport)
    assert bridge.said[-1].text == "the gap is past the limit. Also likeliest the log (97 %)"


def test_one_thing_said_again_is_said_as_it_is() -> None:
    """Nothing is cut of a condition that stands alone."""
    bridge = Bridge()
    bridge.raise_("warning", "log 0, check wheel: nothing turns; order speed by hand")
    bridge.pass_(400)

    assert (
        bridge.alerts.standing["log"].text(Timescale())
        == "log 0, check wheel: nothing turns; order speed by hand"
    )


def test_a_warning_sounds_again_after_a_minute_and_then_each_five() -> None:
    """0, 1, 6, 11 minutes, with the newest words each time and none between."""
    bridge = Bridge()
    bridge.raise_("warning", "gap 0.52 nm")
    for hundredth in range(53, 53 + 12 * MINUTE_S):
        bridge.pass_(1)
        bridge.alerts.raise_("log", "held", "warning", f"gap 0.{hundredth} nm", bridge.now_ms)

    assert bridge.heard == [(minute * MINUTE_S, "warning") for minute in (0, 1, 6, 11)]
    sounds = [each for each in bridge.said if isinstance(each, SoundReport)]
    alerts = [each for each in bridge.said if isinstance(each, AlertReport)]
    # What was raised a second before is the newest that is known at the tick.
    assert [each.text for each in sounds] == [
        "gap 0.52 nm", "gap 0.111 nm", "gap 0.411 nm", "gap 0.711 nm",
    ]  # fmt: skip
    assert [each.text for each in alerts] == [each.text for each in sounds]
    assert [each.revision for each in alerts] == [each.revision for each in sounds] == [1, 2, 3, 4]


def test_a_warning_that_comes_again_in_the_same_words_is_heard_and_not_said() -> None:
    """Said once: only the sound comes, under the revision that stands."""
    bridge = Bridge()
    bridge.raise_("warning")
    bridge.pass_(61)

    assert [type(each) for each in bridge.said] == [AlertReport, SoundReport, SoundReport]
    assert bridge.said[-1] == SoundReport(Instant(AT_0142 + 60_000), "log", 1, "warning", "the log is silent")


def test_an_alarm_sounds_until_it_is_acknowledged() -> None:
    """Each ten seconds (judgement), and not once more after the acknowledgement."""
    bridge = Bridge()
    bridge.raise_("alarm")
    bridge.pass_(35)
    bridge.alerts.acknowledge("log")
    bridge.pass_(600)

    assert bridge.heard == [(0, "alarm"), (10, "alarm"), (20, "alarm"), (30, "alarm")]


def test_an_alarm_has_the_newest_words_each_minute() -> None:
    """Not each ten seconds: who reads it is not to chase its revision."""
    bridge = Bridge()
    bridge.raise_("alarm", "rock 100 m off")
    for metres in range(99, -26, -1):
        bridge.alerts.raise_("log", "held", "alarm", f"rock {metres} m off", bridge.now_ms)
        bridge.pass_(1)

    texts = [each.text for each in bridge.said if isinstance(each, AlertReport)]
    assert texts == ["rock 100 m off", "rock 40 m off", "rock -20 m off"]


def test_time_makes_nothing_graver() -> None:
    """A caution stays one, a warning too: hours later their priority is what it was."""
    for priority in ("caution", "warning"):
        bridge = Bridge()
        bridge.raise_(priority)
        bridge.pass_(4 * 3600)
        assert {each.priority for each in bridge.said if isinstance(each, AlertReport)} == {priority}


def test_its_judge_makes_it_graver() -> None:
    """Caution, warning, alarm: each sounds as it comes, and the escalation is counted."""
    bridge = Bridge()
    for priority in ("caution", "warning", "alarm"):
        bridge.raise_(priority)
        bridge.pass_(1)

    assert bridge.heard == [(0, "note"), (1, "warning"), (2, "alarm")]
    reports = [each for each in bridge.said if isinstance(each, AlertReport)]
    assert [(each.priority, each.escalation) for each in reports] == [
        ("caution", 0), ("warning", 1), ("alarm", 2),
    ]  # fmt: skip


def test_what_becomes_less_is_not_heard_anew() -> None:
    """An acknowledged warning that its judge lets fall to a caution makes no note."""
    bridge = Bridge()
    bridge.raise_("warning")
    bridge.alerts.acknowledge("log")
    bridge.pass_(60)
    bridge.raise_("caution")
    bridge.pass_(600)

    assert bridge.heard == [(0, "warning")]


def test_rectified_makes_no_sound() -> None:
    """What is over waits, silent, to be acknowledged (MSC.302(87))."""
    bridge = Bridge()
    bridge.raise_("warning")
    bridge.alerts.clear("log", "held", bridge.now_ms)
    bridge.pass_(3600)

    assert bridge.alerts.standing["log"].state == "rectified-unacknowledged"
    assert bridge.heard == [(0, "warning")]


def test_silenced_for_thirty_seconds_and_no_longer() -> None:
    """It sounds again as the silence ends, then in its rhythm."""
    bridge = Bridge()
    bridge.raise_("alarm")
    bridge.pass_(5)
    bridge.alerts.silence("log", bridge.now_ms)
    bridge.pass_(40)

    assert bridge.heard == [(0, "alarm"), (35, "alarm"), (45, "alarm")]


def test_a_caution_beside_an_unacknowledged_warning_makes_no_note_of_its_own() -> None:
    """One subject, one sound: the warning's."""
    bridge = Bridge()
    bridge.raise_("warning")
    bridge.raise_("caution", "the log's total has stopped", key="total")

    bridge.pass_(60)

    assert bridge.heard == [(0, "warning"), (60, "warning")]


# --- another reason -----------------------------------------------------------------------------------------


def test_another_reason_is_another_alert() -> None:
    """Acknowledged, then raised again for another reason: new words, heard, to be acknowledged anew."""
    bridge = Bridge()
    bridge.alerts.raise_("log", "held", "warning", "log 0, check wheel", bridge.now_ms, reason="wheel")
    bridge.tell()
    bridge.alerts.acknowledge("log")
    bridge.pass_(60)
    bridge.alerts.raise_("log", "held", "warning", "log half, weed on it", bridge.now_ms, reason="weed")
    bridge.tell()

    assert bridge.heard == [(0, "warning"), (60, "warning")]
    standing = bridge.alerts.standing["log"]
    assert (standing.state, standing.text(Timescale())) == ("active-unacknowledged", "log half, weed on it")


def test_a_reason_with_other_figures_is_the_same() -> None:
    """HDOP 9.3 and 9.4 are no two reasons."""
    bridge = Bridge()
    for hdop in (9.3, 9.4, 11.0):
        bridge.alerts.raise_("log", "held", "warning", "doubtful", bridge.now_ms, reason=f"HDOP {hdop}")
        bridge.tell()
        bridge.pass_(1)

    assert bridge.heard == [(0, "warning")]


def test_other_words_without_a_reason_are_said_unheard() -> None:
    """The rock ahead is another one now: the caution names it at once, and makes no note."""
    bridge = Bridge()
    bridge.raise_("caution", "Black Rock 2.1 nm off")
    bridge.pass_(60)
    bridge.raise_("caution", "White Rock 1.9 nm off")
    bridge.raise_("caution", "White Rock 1.8 nm off")

    texts = [each.text for each in bridge.said if isinstance(each, AlertReport)]
    assert texts == ["Black Rock 2.1 nm off", "White Rock 1.9 nm off"]
    assert bridge.heard == [(0, "note")]


# --- quiet --------------------------------------------------------------------------------------------------


def test_quiet_holds_back_warnings_and_notes_until_it_ends() -> None:
    """What still stands at its end is heard then, in its newest words; what is over is not."""
    bridge = Bridge()
    bridge.quiet_until_ms = AT_0142 + 600_000
    bridge.raise_("warning", "gap 0.52 nm")
    bridge.alerts.raise_("clock", "doubtful", "caution", "set by 3 s", bridge.now_ms)
    bridge.alerts.raise_("heading", "held", "warning", "silent", bridge.now_ms)
    bridge.pass_(300)
    bridge.alerts.clear("heading", "held", bridge.now_ms)
    bridge.raise_("warning", "gap 0.71 nm")
    bridge.pass_(299)
    before = list(bridge.heard)
    bridge.pass_(10)

    assert before == []
    assert bridge.heard == [(600, "warning"), (600, "note")]


@pytest.mark.parametrize(
    ("name", "priority"),
    [("danger", "caution"), ("danger", "warning"), ("danger", "alarm"), ("log", "alarm")],
)
def test_alarms_and_danger_break_through_quiet(name: AlertName, priority: Priority) -> None:
    """The design's section 9: a key away from quiet nobody is to run aground."""
    bridge = Bridge()
    bridge.quiet_until_ms = AT_0142 + 600_000
    bridge.alerts.raise_(name, "ahead", priority, "rock", bridge.now_ms)
    bridge.tell()

    assert len(bridge.heard) == 1


# --- laws ---------------------------------------------------------------------------------------------------

_NAMES: list[AlertName] = ["satellite", "danger", "log"]
_acts = st.one_of(
    st.tuples(
        st.just("raise"),
        st.sampled_from(_NAMES),
        st.sampled_from("ab"),
        st.sampled_from(["caution", "warning", "alarm"]),
        st.sampled_from(["one", "two", None]),
    ),
    st.tuples(st.just("clear"), st.sampled_from(_NAMES), st.sampled_from("ab")),
    st.tuples(st.just("acknowledge"), st.sampled_from(_NAMES)),
    st.tuples(st.just("silence"), st.sampled_from(_NAMES)),
    st.tuples(st.just("quiet")),
    st.tuples(st.just("tick"), st.integers(1, 400)),
)
_SOUNDS_IN: dict[Pattern, set[AlertState]] = {
    "note": {"active", "active-acknowledged", "rectified-unacknowledged"},
    "warning": {"active-unacknowledged"},
    "alarm": {"active-unacknowledged"},
}
_LONGEST_S: dict[Pattern, int] = {"warning": 300, "alarm": 10}


def act_on(bridge: Bridge, act: tuple[Any, ...]) -> None:
    """Do one act; what nobody ever raised is neither acknowledged nor silenced."""
    alerts, (what, *of) = bridge.alerts, act
    match what:
        case "raise":
            name, key, priority, reason = of
            alerts.raise_(name, key, priority, f"<{key}> {bridge.second}", bridge.now_ms, reason=reason)
        case "clear":
            name, key = of
            alerts.clear(name, key, bridge.now_ms)
        case "acknowledge" if of[0] in alerts.standing:
            alerts.acknowledge(of[0])
        case "silence" if of[0] in alerts.standing:
            alerts.silence(of[0], bridge.now_ms)
        case "quiet":
            bridge.quiet_until_ms = bridge.now_ms + 600_000
        case "tick":
            bridge.pass_(of[0])
    bridge.tell()


def played(acts: list[tuple[Any, ...]], *, frozen_between: bool = False) -> Bridge:
    """Let a bridge go through acts; `frozen_between`: it is stowed and taken up again after each."""
    bridge = Bridge()
    for act in acts:
        act_on(bridge, act)
        if frozen_between:
            bridge.alerts = thawed(Alerts, frozen(bridge.alerts))
    return bridge


@given(acts=st.lists(_acts, max_size=25))
def test_whatever_happens_it_sounds_only_where_it_may(acts: list[tuple[Any, ...]]) -> None:
    """Every state is one of the six; nothing sounds that is acknowledged, silenced, rectified or normal."""
    bridge = played(acts)

    state: dict[AlertName, AlertReport] = {}
    for each in bridge.said:
        if isinstance(each, AlertReport):
            assert each.state in get_args(AlertState)
            state[each.name] = each
        elif isinstance(each, SoundReport):
            assert state[each.alert].state in _SOUNDS_IN[each.pattern]
            assert (each.revision, each.text) == (state[each.alert].revision, state[each.alert].text)


@given(acts=st.lists(_acts, max_size=25))
def test_what_nobody_acknowledged_never_falls_silent(acts: list[tuple[Any, ...]]) -> None:
    """Left alone, with no quiet on, an unacknowledged warning is heard in 5 min and an alarm in 10 s."""
    bridge = played(acts)
    bridge.quiet_until_ms = None
    unheeded = {
        name: standing.pattern
        for name, standing in bridge.alerts.standing.items()
        if standing.state in ("active-unacknowledged", "active-silenced")
    }
    bridge.pass_(31)  # any silence is over
    for name in unheeded:
        pattern = bridge.alerts.standing[name].pattern
        assert pattern in _LONGEST_S
        said = len(bridge.said)
        bridge.pass_(_LONGEST_S[pattern])
        after = bridge.said[said:]
        assert any(isinstance(each, SoundReport) and each.alert == name for each in after)


@given(acts=st.lists(_acts, max_size=25))
def test_a_restart_changes_nothing(acts: list[tuple[Any, ...]]) -> None:
    """Stowed and taken up again after each act, the same is said and heard: replay is live."""
    assert played(acts, frozen_between=True).said == played(acts).said


def test_said_again_what_stands_comes_before_what_is_over() -> None:
    """A jump that is over, unacknowledged, leaves the next act to the warning that stands."""
    bridge = Bridge()
    bridge.raise_("warning", "satellites jumped (GP@bow); take a bearing", "jumped")
    bridge.pass_(1)
    bridge.alerts.clear("log", "jumped", bridge.now_ms)
    bridge.raise_("warning", "two lines exclude the satellites; go by the lines", "excluded")
    bridge.pass_(400)

    text = bridge.alerts.standing["log"].text(Timescale())
    assert text.startswith("0142 two lines exclude the satellites; go by the lines. Also satellites jumped")
