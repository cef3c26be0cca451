"""The boat's scale runs on, its label may jump; and what a jump does to entries and to the reckoning."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from middlewatch.navigator.timescale import Timescale
from middlewatch.quantities.instants import Instant
from middlewatch.readings.watch import ClockChange, Started
from navigator.navigating import DEPARTURE, START, Aboard, after, dr_of, ep_of
from reference.rhumb import metres_apart, rhumb_arrival

HOUR_MS = 3_600_000
T = START.ms
centimetre = 0.01


def test_the_label_follows_each_setting() -> None:
    """Set on by an hour, then back by ten minutes: each moment bears the label it was given."""
    scale = Timescale()
    scale.set_on(T, HOUR_MS)
    scale.set_on(T + 5_000, -600_000)

    assert scale.utc(T - 1).ms == T - 1
    assert scale.utc(T).ms == T + HOUR_MS
    assert scale.utc(T + 5_000).ms == T + 5_000 + HOUR_MS - 600_000


def test_a_time_that_was_jumped_over_is_the_moment_of_the_jump() -> None:
    """The clock set on by an hour: every UTC in between belongs to the moment it was set."""
    scale = Timescale()
    scale.set_on(T, HOUR_MS)

    for into_ms in (0, 1, HOUR_MS // 2, HOUR_MS - 1, HOUR_MS):
        assert scale.scale_ms(Instant(T + into_ms)) == T
    assert scale.scale_ms(Instant(T + HOUR_MS + 1)) == T + 1
    assert scale.scale_ms(Instant(T - 1)) == T - 1


def test_a_time_that_came_twice_is_the_newer() -> None:
    """The clock set back by an hour: a UTC that stood on the clock twice means the second time."""
    scale = Timescale()
    scale.set_on(T, -HOUR_MS)

    assert scale.scale_ms(Instant(T - HOUR_MS)) == T
    assert scale.scale_ms(Instant(T - 1)) == T + HOUR_MS - 1
    assert scale.scale_ms(Instant(T - HOUR_MS - 1)) == T - HOUR_MS - 1


@given(
    st.lists(st.tuples(st.integers(0, 50_000), st.integers(-30_000, 30_000)), max_size=6),
    st.integers(0, 400_000),
)
def test_a_label_leads_back_to_a_moment_that_bears_it(settings: list[tuple[int, int]], at_ms: int) -> None:
    """The label of a moment leads back to that moment, or to a later one with the same label."""
    scale, now = Timescale(), T
    for wait_ms, by_ms in settings:
        now += wait_ms
        scale.set_on(now, by_ms)
    moment = T + at_ms

    found = scale.scale_ms(scale.utc(moment))

    assert found >= moment
    assert scale.utc(found) == scale.utc(moment)


# --- aboard -------------------------------------------------------------------------------------------------


def underway() -> Aboard:
    """Return a boat at her departure, 090 at 5 kn."""
    boat = Aboard()
    boat.sail(2, 90.0, 5.0)
    boat.depart()
    return boat


@pytest.mark.parametrize(
    ("by_ms", "label_ms"),
    [(2 * HOUR_MS, 2 * HOUR_MS), (-2 * HOUR_MS, -2 * HOUR_MS), (700, 1000), (HOUR_MS - 300, HOUR_MS)],
)
def test_the_label_jumps_and_the_reckoning_does_not(by_ms: int, label_ms: int) -> None:
    """A clock set under way moves the labels of the reports from then on, and nothing else.

    It moves by whole seconds, so that the ticks stay on whole seconds of UTC; DR, EP and runs go on.
    """
    boat, other = underway(), underway()
    for each in (boat, other):
        each.order("stream", set_deg=0.0, drift_kn=1.0)
        each.sail(600, 90.0, 5.0)

    boat.step(ClockChange(boat.now_ms, by_ms, "network time"))
    jumped, steady = boat.sail(1200, 90.0, 5.0), other.sail(1200, 90.0, 5.0)

    assert jumped.at.ms - steady.at.ms == label_ms
    assert (dr_of(jumped), ep_of(jumped)) == (dr_of(steady), ep_of(steady))
    assert boat.navigator.room.reckoning.now == other.navigator.room.reckoning.now


def test_while_the_clock_is_doubtful_at_is_refused() -> None:
    """`at` is refused with the reason and what to say instead; `ago_s`, or neither, is taken."""
    boat = underway()
    boat.sail(600, 90.0, 5.0)
    boat.step(ClockChange(boat.now_ms, HOUR_MS, "network time"))
    boat.sail(5, 90.0, 5.0)

    refused = boat.enter("order", kind="leeway", leeway_deg=5, pushed_to="port", at=after(100))
    by_ago = boat.order("stream", set_deg=0.0, drift_kn=1.0, ago_s=300)
    by_now = boat.order("way", way="manoeuvring")

    assert refused.refusal is not None
    assert (refused.refusal.field, refused.refusal.wanted) == ("at", "ago_s, or neither")
    assert "doubtful" in refused.refusal.reason
    assert by_ago.at is not None
    # Five minutes ago the clock had not been set yet: its label then.
    assert by_ago.at.ms == boat.now_ms - 300_000
    assert by_now.accepted


def test_ago_counts_on_the_scale_whatever_the_label() -> None:
    """Ten minutes before arrival is ten minutes of the boat's own time, across a jump too."""
    boat = underway()
    boat.sail(600, 90.0, 5.0)
    boat.step(ClockChange(boat.now_ms, HOUR_MS, "network time"))
    boat.sail(300, 90.0, 5.0)

    boat.order("by_hand", heading_deg=0.0, reference="true", ago_s=600)

    now = boat.navigator.room.reckoning.now
    assert now.dr is not None
    # 300 s on 090, then 600 s on 000, at 5 kn.
    east = rhumb_arrival(*DEPARTURE, 90.0, 5 * 300 / 3600)
    assert metres_apart(now.dr, rhumb_arrival(*east, 0.0, 5 * 600 / 3600)) < centimetre


def test_the_clock_by_order_ends_the_doubt() -> None:
    """`clock` with the UTC at arrival: the label is set, the doubt is over, and `at` is taken again."""
    boat = underway()
    boat.step(Started(boat.now_ms, "boot", gap_known=True, clock_doubt="it stands before the build date"))
    doubted = boat.standing("clock")
    right = Instant(boat.now_ms + 86_400_000)

    answer = boat.order("clock", utc=str(right))
    position = boat.sail(1, 90.0, 5.0)

    assert doubted is not None
    assert "before the build date" in doubted
    assert answer.effect is not None
    assert "86400.0 s" in answer.effect
    assert boat.standing("clock") is None
    assert position.at.ms == right.ms + 1000
    assert boat.enter("order", kind="way", way="anchored", at=str(right)).accepted
