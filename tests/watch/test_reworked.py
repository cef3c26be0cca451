"""An order that changes the past: what was seen of the receiver is held against the run as it now is."""

from math import hypot

import pytest

from entries.entering import Aboard
from middlewatch.navigator.watch.pull import OPENED_S
from watch.test_when_satellites_lie import aboard

NOISE_KN = 0.3
"""What a receiver's last digits and a spell cut short make of half a minute."""


def blamed(boat: Aboard) -> str | None:
    """Return which cause is the likeliest; None: none is weighed."""
    causes = boat.satellite.causes
    return causes[0].cause if causes else None


def most_apart_kn(boat: Aboard) -> float:
    """Return how fast the receiver moved beyond the run at most, of the spells that are kept."""
    return max(hypot(*each.apart) for each in boat.navigator.room.check.spells.kept)


@pytest.mark.parametrize("mended", ["withdrawn", "amended"])
@pytest.mark.parametrize(
    ("wrong", "right"),
    [
        ({"heading_deg": 130, "reference": "magnetic"}, {"heading_deg": 95}),
        ({"speed_kn": 9}, {"speed_kn": 6}),
    ],
)
def test_an_order_by_hand_that_is_mended_is_blamed_no_more(
    wrong: dict[str, object], right: dict[str, object], mended: str
) -> None:
    """While it stood the entry was to blame; taken back, the parting is over in minutes, blamed on nobody."""
    boat = aboard()
    boat.order(id="h", kind="by_hand", **wrong)
    boat.run(300)
    assert (boat.satellite.state, blamed(boat)) == ("parting", "entry")

    if mended == "withdrawn":
        boat.order(kind="withdraw", entry="h")
    else:
        boat.order(kind="amend", entry="h", change=right)
    assert most_apart_kn(boat) < NOISE_KN
    boat.run(1)
    assert blamed(boat) != "entry"
    boat.run(OPENED_S + 60)
    assert (boat.satellite.state, blamed(boat)) == ("in_step", None)


def test_a_stream_that_is_withdrawn_is_blamed_no_more() -> None:
    """Laid off the wrong way round while the receiver is drawn off, it was to blame; withdrawn, it is not."""
    boat = aboard(pull_kn=1.2)
    boat.order(id="s", kind="stream", set_deg=120, drift_kn=1.3)
    boat.run(300)
    assert blamed(boat) == "entry"

    boat.order(kind="withdraw", entry="s")
    boat.run(1)
    assert blamed(boat) not in {"entry", None}
    assert all(each.ordered is None for each in boat.navigator.room.check.spells.kept)


def test_a_heading_by_hand_told_late_is_held_against_what_was_seen() -> None:
    """Entered with its time five minutes late, it is to blame for as long as it has stood."""
    boat = aboard()
    boat.order(id="h", kind="by_hand", heading_deg=130, reference="magnetic", ago_s=300)

    kept = boat.navigator.room.check.spells.kept
    stood = [each for each in kept if each.heading_by_hand]
    assert 9 <= len(stood) <= 10
    # The first may hold a while of before it.
    assert all(hypot(*each.apart) > 3.0 for each in stood[1:])
    assert all(hypot(*each.apart) < NOISE_KN for each in kept if not each.heading_by_hand)


def test_an_order_in_time_changes_nothing_that_was_seen() -> None:
    """What was kept of the receiver's way stands to the last digit."""
    boat = aboard()
    before = list(boat.navigator.room.check.spells.kept)
    boat.order(kind="by_hand", heading_deg=130, reference="magnetic")
    boat.order(kind="stream", set_deg=120, drift_kn=1.3)

    assert boat.navigator.room.check.spells.kept == before
