"""Late equals in time: the order in which entries are heard changes no line, no fix and no DR."""

from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from entries.entering import FIVE_WEST, MARKS, Aboard, utc
from entries.history import Told, deck_log, plotted, reckoned
from middlewatch.navigator.tuning import Tuning

SAIL_S = 620
"""Long enough for two alterations of course, running fixes, and a checkpoint to go back to."""

A_FEW = settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])

_marks = st.sampled_from(sorted(MARKS))
_directions = st.floats(0, 359).map(lambda degrees: round(degrees, 1))
_sightings: st.SearchStrategy[dict[str, Any]] = st.one_of(
    st.fixed_dictionaries(
        {
            "kind": st.just("bearing"),
            "mark": _marks,
            "bearing_deg": _directions,
            "reference": st.sampled_from(["magnetic", "true", "relative"]),
        }
    ),
    st.fixed_dictionaries(
        {"kind": st.just("bearing"), "bearing_deg": _directions, "note": st.just("a light not known")}
    ),
    st.fixed_dictionaries(
        {"kind": st.just("range"), "mark": _marks, "distance_nm": st.sampled_from([1.5, 5, 6.5, 8.4])}
    ),
    st.fixed_dictionaries(
        {"kind": st.just("passing"), "mark": _marks, "side": st.sampled_from(["port", "starboard"])},
        optional={},
    ).map(lambda body: body | {"distance_m": 400}),
    st.just({"kind": "transit", "mark": "Gammon Beacon", "rear_mark": "Stoke Point"}),
    st.just(
        {"kind": "position", "latitude_deg": 50.01, "longitude_deg": -3.99, "sd_nm": 0.2, "source": "radar"}
    ),
)
_orders: st.SearchStrategy[dict[str, Any]] = st.one_of(
    st.just({"kind": "departure", "latitude_deg": 50.0, "longitude_deg": -4.0}),
    st.fixed_dictionaries(
        {
            "kind": st.just("departure"),
            "mark": _marks,
            "bearing_deg": _directions,
            "reference": st.sampled_from(["magnetic", "relative"]),
            "distance_nm": st.just(3),
        }
    ),
    st.fixed_dictionaries(
        {"kind": st.just("leeway"), "leeway_deg": st.sampled_from([3, 12]), "pushed_to": st.just("port")}
    ),
    st.just({"kind": "leeway", "leeway_deg": None}),
    st.fixed_dictionaries({"kind": st.just("stream"), "set_deg": _directions, "drift_kn": st.just(2)}),
    st.fixed_dictionaries(
        {"kind": st.just("by_hand"), "heading_deg": _directions, "reference": st.just("magnetic")}
    ),
    st.just({"kind": "by_hand", "speed_kn": 3.5}),
    st.just({"kind": "by_hand", "heading_deg": None, "speed_kn": None}),
    st.sampled_from([120.0, 120.4, 121.1]).map(lambda log: {"kind": "by_hand", "log_nm": log}),
    st.sampled_from(["hove_to", "anchored", "under_way", "manoeuvring"]).map(
        lambda way: {"kind": "way", "way": way}
    ),
    st.just({"kind": "course", "heading_deg": 80, "reference": "true"}),
    st.just({"kind": "remark", "text": "reefed"}),
)
_times = st.integers(5_000, 580_000) | st.sampled_from([60_000, 60_200, 60_800, 300_000, 300_500])


@st.composite
def told(draw: st.DrawFn) -> list[Told]:
    """Draw some entries, each with a time of its own and a later second at which it is heard."""
    bodies = draw(
        st.lists(
            st.tuples(st.booleans(), _sightings, _orders, _times, st.integers(0, 600)), min_size=2, max_size=9
        )
    )
    history = []
    for number, (is_order, sighting, order, at_ms, later_s) in enumerate(bodies):
        body = {"id": f"n{number}", **(order if is_order else sighting)}
        heard_s = min(at_ms // 1000 + later_s, SAIL_S - 2)
        history.append(Told(at_ms / 1000, "order" if is_order else "sighting", body, heard_s))
    return history


def in_time(history: list[Told]) -> list[Told]:
    """Return the same entries heard at their own times."""
    return [Told(each.at_s, each.channel, each.body) for each in history]


@A_FEW
@given(history=told(), model=st.booleans())
def test_late_equals_in_time(history: list[Told], model: bool) -> None:
    """Whenever they are heard: equal lines, fixes (id and `revises` apart), DR and EP, to the digit."""
    tuning = Tuning(same_time_s=60) if model else Tuning(same_time_s=60, variation=FIVE_WEST)
    prompt = deck_log(in_time(history), SAIL_S, tuning)
    late = deck_log(history, SAIL_S, tuning)

    assert plotted(late) == plotted(prompt)
    assert reckoned(late) == reckoned(prompt)


def test_a_bearing_in_the_second_of_a_departure_goes_with_it() -> None:
    """The departure is moved by a heading told late; variation and bearing go along."""
    bearing = {"kind": "bearing", "mark": "Bolt Head", "bearing_deg": 0.0, "reference": "magnetic"}
    relative = {"mark": "Stoke Point", "reference": "relative", "bearing_deg": 237.8, "distance_nm": 3}
    by_hand = {"id": "n5", "kind": "by_hand", "reference": "magnetic", "heading_deg": 212.2}
    history = [
        Told(60.0, "sighting", {"id": "n0", **bearing}, 527),
        Told(60.8, "order", {"id": "n4", "kind": "departure", **relative}, 386),
        Told(23.678, "order", by_hand, 590),
    ]
    tuning = Tuning(same_time_s=60)

    assert plotted(deck_log(history, SAIL_S, tuning)) == plotted(deck_log(in_time(history), SAIL_S, tuning))


@pytest.mark.parametrize("order", [(0, 1, 2, 3), (3, 2, 1, 0), (1, 3, 0, 2), (2, 0, 3, 1)])
def test_every_order_of_hearing_makes_the_same_plot(order: tuple[int, ...]) -> None:
    """A departure, two bearings and a stream, heard in any order at the end: one running fix, one DR."""
    history = [
        Told(30, "order", {"id": "d1", "kind": "departure", "latitude_deg": 50, "longitude_deg": -4}),
        Told(60, "sighting", {"id": "b1", "kind": "bearing", "mark": "Start Point", "bearing_deg": 342}),
        Told(240, "order", {"id": "s1", "kind": "stream", "set_deg": 10, "drift_kn": 2}),
        Told(500, "sighting", {"id": "b2", "kind": "bearing", "mark": "Stoke Point", "bearing_deg": 48}),
    ]
    heard = [
        Told(each.at_s, each.channel, each.body, 510 + place)
        for place, each in zip(order, history, strict=True)
    ]
    prompt = deck_log(history, SAIL_S)
    late = deck_log(heard, SAIL_S)

    lines, fixes = plotted(late)
    assert sorted(lines) == ["b1", "b2"]
    assert fixes["b2"].label == "R Fix"
    assert (lines, fixes) == plotted(prompt)
    assert reckoned(late) == reckoned(prompt)


def test_the_same_second_is_worked_by_millisecond_then_id() -> None:
    """Two marks sighted in one second before a departure: the earlier gives the variation."""
    history = [
        Told(60.2, "sighting", {"id": "z", "kind": "bearing", "mark": "Bolt Head", "bearing_deg": 250}),
        Told(60.8, "sighting", {"id": "a", "kind": "bearing", "mark": "Stoke Point", "bearing_deg": 50}),
    ]
    heard = [Told(60.2, "sighting", history[0].body, 100), Told(60.8, "sighting", history[1].body, 90)]
    prompt, late = deck_log(history, 200, Tuning()), deck_log(heard, 200, Tuning())

    assert plotted(late) == plotted(prompt)
    assert reckoned(late) == reckoned(prompt)


def test_a_log_reading_by_hand_works_the_fixes_since_the_reading_before_again() -> None:
    """The second reading makes the speed between the two: the DR of a fix between them is another."""
    history = [
        Told(5, "order", {"id": "d1", "kind": "departure", "latitude_deg": 50, "longitude_deg": -4}),
        Told(100, "order", {"id": "h1", "kind": "by_hand", "log_nm": 120.0}),
        Told(
            150,
            "sighting",
            {"id": "p1", "kind": "passing", "mark": "Bolt Head", "side": "port", "distance_m": 99},
        ),
        Told(200, "order", {"id": "h2", "kind": "by_hand", "log_nm": 120.4}),
    ]
    heard = [Told(each.at_s, each.channel, each.body, 300 - place) for place, each in enumerate(history)]

    assert plotted(deck_log(history, 310)) == plotted(deck_log(heard, 310))


def test_two_departures_of_one_second_do_not_lean_on_each_other() -> None:
    """Each takes the variation at its own mark, whichever was heard first."""
    first = {"id": "n1", "kind": "departure", "mark": "Gammon Beacon", "bearing_deg": 324.2, "distance_nm": 3}
    second = {"id": "n2", "kind": "departure", "mark": "Start Point", "bearing_deg": 166.6, "distance_nm": 3}
    prompt = deck_log([Told(100, "order", first), Told(100, "order", second)], 150, Tuning())
    late = deck_log([Told(100, "order", first, 130), Told(100, "order", second, 120)], 150, Tuning())

    assert reckoned(late) == reckoned(prompt)


def test_a_late_entry_is_answered_at_its_own_time() -> None:
    """`at` is its own, `heard_at` when it came."""
    boat = deck_log([], 300)
    answer = boat.sighting(id="b1", kind="bearing", mark="Start Point", bearing_deg=342, at=utc(60.25))

    assert (str(answer.at), str(answer.heard_at)) == (utc(60.25), utc(300))


def test_a_late_sighting_is_told_the_fix_it_made() -> None:
    """The fix is named after its newest sighting; the late one that made it possible is told that name."""
    boat = Aboard()
    boat.run(10)
    boat.depart()
    boat.run(90)
    boat.sighting(id="b2", kind="bearing", mark="Stoke Point", bearing_deg=48)
    late = boat.sighting(id="b1", kind="bearing", mark="Start Point", bearing_deg=342, ago_s=30)

    assert late.sighting is not None
    assert late.sighting.fix == "f-b2"
