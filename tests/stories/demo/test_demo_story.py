"""The demo's last hour, report by report: drawn off, settled by two sights, true again, trusted by order."""

import asyncio
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from io import StringIO
from typing import TypeVar

import pytest
from rich.console import Console

from middlewatch.practice.demo_passage import CARROW_HEAD, DEMO_STORY, SENROW_LEDGE, demo
from middlewatch.quantities.instants import MS_PER_MINUTE, MS_PER_SECOND, Instant
from middlewatch.quantities.positions import Position
from middlewatch.reports import Report
from middlewatch.reports.advice import AdviceReport
from middlewatch.reports.alert import AlertReport
from middlewatch.reports.answer import Answer
from middlewatch.reports.position import PositionReport
from middlewatch.reports.satellite import SatelliteReport
from middlewatch.runtime.deck_log import DeckLog
from middlewatch.runtime.demo import Telling, run_demo
from middlewatch.runtime.demo_table import DemoTable

SPEED = 5000.0
Kind = TypeVar("Kind", bound=Report)


@dataclass(frozen=True, slots=True)
class Told:
    """Everything the daemon said of one demo, each with when, and the table at its end."""

    reports: tuple[tuple[int, Report], ...]
    table: DemoTable

    def all(self, kind: type[Kind], from_ms: int = 0, until_ms: int = 1 << 62) -> Iterator[Kind]:
        """Yield the reports of a kind said from one moment until another, the latter not included."""
        return (
            report for at, report in self.reports if isinstance(report, kind) and from_ms <= at < until_ms
        )

    def first(self, kind: type[Kind], from_ms: int, holds: Callable[[Kind], bool]) -> Kind:
        """Return the first report of a kind from a moment on of which something holds."""
        return next(report for report in self.all(kind, from_ms) if holds(report))

    def satellite(self, at_ms: int) -> SatelliteReport:
        """Return how the satellites stood in a second."""
        return next(self.all(SatelliteReport, at_ms, at_ms + MS_PER_SECOND))

    def answer(self, id_: str) -> Answer:
        """Return the answer to an entry."""
        return next(answer for answer in self.all(Answer) if answer.id == id_)

    def alert(self, from_ms: int, *words: str) -> AlertReport:
        """Return the first satellite alert from a moment on that has all of these words in it."""
        return self.first(
            AlertReport,
            from_ms,
            lambda alert: alert.name == "satellite" and all(each in alert.text for each in words),
        )

    def settles(self, from_ms: int, until_ms: int) -> list[str | None]:
        """Return the marks that were asked for between two moments to settle it."""
        asked = self.all(AdviceReport, from_ms, until_ms)
        return [report.settles.mark for report in asked if report.settles is not None]


def utc(clock: str) -> int:
    """Return the UTC ms of a time of the passage's evening."""
    return Instant.parse(f"2026-05-02T{clock}Z").ms


SENROW_MS, CARROW_MS = utc("22:55:00"), utc("22:58:00")
TOO_EARLY_MS, TRUSTED_MS = utc("23:20:00"), utc("23:30:00")


@pytest.fixture(scope="module")
def told() -> Told:
    """Play the demo as the command does, through its broker, and keep what is said."""
    reports: list[tuple[int, Report]] = []

    class Listening(Telling):
        def hear(self, at: Instant, report: Report) -> None:
            reports.append((at.ms, report))
            Telling.hear(self, at, report)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("middlewatch.runtime.demo.Telling", Listening)
        log = DeckLog(Console(file=StringIO(), width=100), 100)
        table = asyncio.run(run_demo(log, speed=SPEED))
    return Told(tuple(reports), table)


@pytest.mark.slow
class TestDrawnAwayAndBack:
    """One demo, looked at stage by stage."""

    def test_the_pull_is_a_caution_within_a_minute(self, told: Told) -> None:
        """It begins while they are in step but for their quarantine; what set in is told, and no cause."""
        before = told.satellite(DEMO_STORY.pulled_ms - MS_PER_SECOND)
        caution = told.alert(DEMO_STORY.pulled_ms, "satellites parting")

        assert (before.state, before.also, before.causes) == ("returning", (), ())
        assert (caution.priority, caution.state) == ("caution", "active")
        assert caution.at.ms - DEMO_STORY.pulled_ms < MS_PER_MINUTE
        assert "3.0 kn towards 166 T" in caution.text
        assert "likeliest" not in caution.text

    def test_two_causes_are_named_with_evidence_for_each(self, told: Told) -> None:
        """On one course a pull abeam looks like a wrong compass: both are told, each with its evidence."""
        first = told.first(SatelliteReport, DEMO_STORY.pulled_ms, lambda report: bool(report.causes))
        text = told.alert(DEMO_STORY.pulled_ms, "likeliest").text

        assert [each.cause for each in first.causes[:2]] == ["compass", "satellite"]
        assert 0.5 < first.causes[0].weight < 0.9
        assert first.causes[0].evidence.startswith("it lies across the heading: ")
        assert "towards 165 T since 2245, fixed to the earth" in first.causes[1].evidence
        assert f"likeliest the compass ({100 * first.causes[0].weight:.0f} %: it lies across" in text
        assert f", else the satellites ({100 * first.causes[1].weight:.0f} %: drawn" in text

    def test_the_settling_sight_is_asked_for_before_it_is_taken(self, told: Told) -> None:
        """First when it would settle it, then now; where the mark should bear is not told before."""
        asked = [
            report.settles
            for report in told.all(AdviceReport, DEMO_STORY.pulled_ms, SENROW_MS)
            if report.settles is not None
        ]

        assert {each.mark for each in asked} == {SENROW_LEDGE.name}
        assert asked[0].text.startswith("No sight now would settle it; ")
        assert asked[-1].text.startswith(f"To settle it: a bearing of {SENROW_LEDGE.name} now.")
        assert all(" T" not in each.text and " M" not in each.text for each in asked)

    def test_the_first_sight_shifts_the_causes(self, told: Told) -> None:
        """One line past the satellites leaves them with nearly all of it, and is a caution of its own."""
        before = told.satellite(SENROW_MS)
        after = told.satellite(SENROW_MS + 2 * MS_PER_SECOND)
        text = told.alert(SENROW_MS, "senrow-2255").text

        assert 0.5 < before.causes[0].weight < 0.9
        assert after.causes[0].cause == "satellite"
        assert after.causes[0].weight > 0.99
        assert "bearing senrow-2255 made of the causes: the satellites " in text
        assert "Senrow Ledge (senrow-2255) passes 0.41 nm off the satellite position" in text
        assert told.alert(SENROW_MS, "senrow-2255").priority == "caution"

    def test_another_mark_is_asked_for_and_makes_it_a_warning(self, told: Told) -> None:
        """Two lines that cut exclude the satellites; the causes name both, and nothing more is asked for."""
        assert told.settles(SENROW_MS, CARROW_MS)[-1] == CARROW_HEAD.name
        warning = told.alert(CARROW_MS, "two lines exclude the satellite position")

        assert (warning.priority, warning.state) == ("warning", "active-unacknowledged")
        assert warning.at.ms - CARROW_MS <= MS_PER_SECOND
        assert "they cut at 39; go by the lines, not by the receiver" in warning.text
        evidence = told.satellite(CARROW_MS + 2 * MS_PER_SECOND).causes[0].evidence
        assert evidence.endswith("excluded by Senrow Ledge (senrow-2255), Carrow Head (carrow-2258)")
        assert told.settles(CARROW_MS + 2 * MS_PER_SECOND, utc("23:59:00")) == []

    def test_acknowledged_it_is_not_said_again_until_something_is_new(self, told: Told) -> None:
        """From 2259 on the warning stands acknowledged: no sound is due until the position jumps back."""
        states = {
            alert.state
            for alert in told.all(AlertReport, utc("22:59:00"), DEMO_STORY.let_go_ms)
            if alert.name == "satellite"
        }

        assert states == {"active-acknowledged"}

    def test_the_reckoning_holds_while_they_are_a_mile_and_a_half_off(self, told: Told) -> None:
        """At the pull's last second the EP is a tenth as far off the truth, and the area holds the boat."""
        at_ms = DEMO_STORY.let_go_ms - MS_PER_SECOND
        position = next(told.all(PositionReport, at_ms, at_ms + MS_PER_SECOND))
        satellite = told.satellite(at_ms)
        assert position.ep is not None
        assert position.area is not None
        assert satellite.bearing_deg is not None
        assert satellite.gap_nm is not None
        passage, ep = demo(), Position(position.ep.latitude_deg, position.ep.longitude_deg)
        truth = passage.truth_at(at_ms).position

        assert passage.error_nm(at_ms, ep) < 0.2
        assert passage.error_nm(at_ms, ep.along(satellite.bearing_deg, satellite.gap_nm)) > 1.45
        assert position.area.outline.holds(truth.latitude_deg, truth.longitude_deg)
        assert satellite.ordinary_gap_nm is not None
        assert satellite.gap_nm > satellite.ordinary_gap_nm

    def test_true_again_they_are_in_quarantine(self, told: Told) -> None:
        """The bound back is a jump; a minute later they return, and never count by themselves."""
        jump = told.alert(DEMO_STORY.let_go_ms, "satellites jumped")
        back = told.first(SatelliteReport, DEMO_STORY.let_go_ms, lambda report: report.state == "returning")
        states = {report.state for report in told.all(SatelliteReport, back.at.ms, TRUSTED_MS)}

        assert jump.at.ms - DEMO_STORY.let_go_ms <= 2 * MS_PER_SECOND
        assert back.at.ms - DEMO_STORY.let_go_ms < 2 * MS_PER_MINUTE
        assert states == {"returning"}
        assert back.reason is not None
        assert "10 min of agreement (0 so far) and two lines that cut at 30 degrees or more" in back.reason
        assert told.satellite(TOO_EARLY_MS).causes == ()

    def test_trusted_too_early_is_refused_with_what_is_wanted(self, told: Told) -> None:
        """After less than five minutes, and no line since: both are told, and nothing changes."""
        refusal = told.answer("trust-2320").refusal

        assert refusal is not None
        assert refusal.field == "anyway"
        assert refusal.wanted == (
            "10 min of agreement (3 so far) and two lines that cut at 30 degrees or more and pass by them;"
            " or anyway: true"
        )
        assert told.satellite(TOO_EARLY_MS + 2 * MS_PER_SECOND).state == "returning"

    def test_ten_minutes_and_two_lines_later_they_are_trusted_by_order(self, told: Told) -> None:
        """Just before the order nothing else is wanted; after it they count, and what is past stays past."""
        wanted = told.satellite(TRUSTED_MS - MS_PER_SECOND).reason
        after = {report.state for report in told.all(SatelliteReport, TRUSTED_MS + 2 * MS_PER_SECOND)}
        alerts = [alert for alert in told.all(AlertReport) if alert.name == "satellite"]

        assert wanted is not None
        assert wanted.endswith("; wanted: the order trust_satellites")
        assert told.answer("trust-2330").accepted
        assert after == {"in_step"}
        assert alerts[-1].state == "normal"
        assert alerts[-1].at.ms < TOO_EARLY_MS

    def test_the_table_tells_it_and_misses_nothing(self, told: Told) -> None:
        """Pull, causes, the worst of it, quarantine, refusal and order, with errors from the truth."""
        rows = {row.what: row for row in told.table.rows}

        assert told.table.missing == ()
        assert rows["likeliest wrong"].how.startswith("compass at 2245 (")
        assert rows["likeliest wrong"].how.endswith("satellites at 2314 (over 99 %)")
        assert rows["satellites astray"].off_nm == pytest.approx(1.5, abs=0.01)
        assert rows["satellites return"].how.startswith("in quarantine from 2316")
        assert rows["order trust-2320"].how.startswith("refused, wanted: 10 min of agreement (3 so far)")
        assert rows["order trust-2330"].how == "the satellites count again"
        assert rows["satellites at the end"].off_nm == pytest.approx(0.0, abs=10 / 1852)
