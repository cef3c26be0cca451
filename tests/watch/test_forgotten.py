"""What stands by hand while its sensor shows something new is asked after, once."""

from entries.entering import Aboard
from middlewatch.navigator.tuning import Tuning


def by_hand(**order: object) -> Aboard:
    """Return a boat that has had something by hand for five minutes, her sensors showing 095 M and 6.0 kn."""
    boat = Aboard(Tuning(area_warn_nm=5.0))
    boat.run(10)
    boat.depart()
    boat.run(50)
    boat.order(kind="by_hand", **order)
    boat.run(300)
    return boat


def test_a_speed_by_hand_is_asked_after_once_the_log_shows_another() -> None:
    """Ordered right at 6 kn; she slows down to 4, and two minutes later it is asked, with both figures."""
    boat = by_hand(speed_kn=6)
    before = boat.alerts("log")
    boat.speed_kn = 4.0
    boat.run(120)
    not_yet = boat.alerts("log")
    boat.run(120)
    asked = boat.alerts("log")
    boat.order(kind="by_hand", speed_kn=None)
    boat.run(5)

    assert before == not_yet == []
    assert [(each.priority, each.state) for each in asked] == [("caution", "active")]
    assert asked[0].text.startswith(
        "speed 6.0 kn by hand since 0101, when the log showed 6.0 kn; it shows 4."
    )
    assert boat.alerts("log")[-1].state == "normal"


def test_a_log_that_is_ordered_against_is_left_in_peace() -> None:
    """It showed 6 kn when 4 was ordered, and shows that still: the skipper knows why."""
    boat = by_hand(speed_kn=4)
    boat.run(1800)

    assert boat.alerts("log") == []


def test_waves_are_nothing_new() -> None:
    """A log that swings by a knot and a half each four seconds."""
    boat = by_hand(speed_kn=6)
    for second in range(1200):
        boat.speed_kn = 6.0 + (1.5 if second % 8 < 4 else -1.5)
        boat.second()

    assert boat.alerts("log") == []


def test_a_sensor_that_is_heard_again_is_told() -> None:
    """The compass was silent when the heading was ordered; two minutes after it is back it is asked."""
    boat = Aboard(Tuning(area_warn_nm=5.0))
    boat.run(10)
    boat.depart()
    boat.heading_magnetic_deg = None
    boat.run(60)
    boat.order(kind="by_hand", heading_deg=90, reference="true")
    boat.run(60)
    boat.heading_magnetic_deg = 95.0
    boat.run(100)
    not_yet = [each for each in boat.alerts("heading") if "by hand since" in each.text]
    boat.run(60)
    asked = [each for each in boat.alerts("heading") if "by hand since" in each.text]

    assert not_yet == []
    assert asked[0].text.startswith(
        "0104 heading 090 by hand since 0101, when the compass showed nothing; it shows 095 now:"
        " still so, or give it back"
    )


def test_a_heading_by_hand_is_asked_after_a_tack_not_after_a_shift() -> None:
    """A turn by 20 degrees is steering; one by 80 is a tack that the order does not know of."""
    boat = by_hand(heading_deg=90, reference="true")
    boat.heading_magnetic_deg = 115.0
    boat.run(600)
    shifted = boat.alerts("heading")
    boat.heading_magnetic_deg = 15.0
    boat.run(300)

    assert shifted == []
    assert boat.alerts("heading")[-1].text.startswith(
        "heading 090 by hand since 0101, when the compass showed 095; it"
    )
