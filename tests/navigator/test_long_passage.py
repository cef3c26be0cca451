"""A passage longer than what the navigator keeps whole: bounded in memory, and going on as if it kept all."""

from dataclasses import replace

import pytest

from middlewatch.navigator import navigator as navigator_module
from middlewatch.quantities.positions import Position
from middlewatch.readings.marks import Mark
from middlewatch.reports import Report
from middlewatch.reports.fix import FixReport
from middlewatch.reports.position import PositionReport
from middlewatch.wire.payloads import payload
from navigator.navigating import TRUE_COMPASS, Aboard, after, taken_up

HOURS_WHOLE = 1
HOURS = 3
LIGHT = Mark("the light", Position(50.3, -3.9))


@pytest.fixture(autouse=True)
def _keeps_an_hour(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(navigator_module, "WORKED_AGAIN_S", HOURS_WHOLE * 3600)
    monkeypatch.setattr(navigator_module, "FORGET_EVERY_S", 600)


def plotted(said: list[Report]) -> list[Report]:
    """Return positions and fixes, but for the area in them and what hangs on it."""
    return [
        replace(each, area=None, stream=None)
        if isinstance(each, FixReport)
        else replace(each, area=None, ahead=None)
        for each in said
        if isinstance(each, FixReport | PositionReport)
    ]


def sailed() -> Aboard:
    """Return three hours of a passage: a departure, a new course each hour, a bearing in the last."""
    aboard = Aboard(TRUE_COMPASS, marks={LIGHT.name: LIGHT})
    aboard.sail(5, heading_deg=45.0, speed_kn=5.0)
    aboard.depart()
    for hour in range(HOURS):
        aboard.sail(1800, heading_deg=45.0 + 20 * hour, speed_kn=5.0)
        if hour == HOURS - 1:
            aboard.enter(
                "sighting", id="b1", kind="bearing", mark=LIGHT.name, bearing_deg=35, reference="true"
            )
        aboard.sail(1800, heading_deg=45.0 + 20 * hour, speed_kn=5.0)
    return aboard


def test_what_is_forgotten_changes_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    """The reckoning ends where one ends that keeps the whole track, and holds an hour of rows and no more.

    A bearing of the last hour makes its running fix, and an order of the last hour is worked again.
    """
    short = sailed()
    monkeypatch.setattr(navigator_module, "WORKED_AGAIN_S", 48 * 3600)
    whole = sailed()

    for aboard in (short, whole):
        aboard.order("leeway", leeway_deg=5, pushed_to="port", at=after(HOURS * 3600 - 1800))
        aboard.enter("sighting", id="b2", kind="bearing", mark=LIGHT.name, bearing_deg=290, reference="true")

    # Of the cloud's first hour only mean and covariance are left: near the same area, not to the last digit.
    one, other = short.second(), whole.second()
    assert plotted([one]) == plotted([other])
    assert one.area is not None
    assert other.area is not None
    assert one.area.semi_major_nm == pytest.approx(other.area.semi_major_nm, rel=0.05)
    assert plotted(short.said) == plotted(whole.said)
    # The hour, up to ten minutes to the checkpoint before it, and up to ten until it is looked at again.
    assert len(short.navigator.room.track.rows) <= HOURS_WHOLE * 3600 + 1200
    assert len(whole.navigator.room.track.rows) > HOURS * 3600


def test_a_restart_goes_on_from_what_is_kept_whole() -> None:
    """Taken up again, it says what it would have said, the fix with an earlier bearing included."""
    aboard = sailed()
    again = taken_up(aboard.navigator, aboard.navigator.freeze(), aboard.navigator.drain())
    went_on = Aboard(TRUE_COMPASS, begin=False)
    went_on.navigator, went_on.now_ms = again, aboard.now_ms
    aboard.said.clear()

    for each in (aboard, went_on):
        each.order("by_hand", heading_deg=100, reference="true", at=after(HOURS * 3600 - 1500))
        each.enter("sighting", id="b2", kind="bearing", mark=LIGHT.name, bearing_deg=290, reference="true")
        each.sail(20, heading_deg=85.0, speed_kn=5.0)

    assert [payload(report) for report in went_on.said] == [payload(report) for report in aboard.said]
    assert went_on.navigator.freeze() == aboard.navigator.freeze()


def test_an_entry_of_the_forgotten_time_is_refused() -> None:
    """What cannot be worked again is not taken, and the answer says from when on it can be."""
    aboard = sailed()

    answer = aboard.enter("order", kind="leeway", leeway_deg=5, pushed_to="port", at=after(60))

    assert not answer.accepted
    assert answer.refusal is not None
    assert answer.refusal.field == "at"
    assert answer.refusal.reason == "the water track that can be worked again begins later"
