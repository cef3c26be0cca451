"""Commands about alerts: by order and from the bus alike, each transition of the state diagram, refusals."""

import pytest

from middlewatch.readings.sentences import AlertCommand
from middlewatch.reports import Report
from middlewatch.reports.alert import AlertReport, AlertState, CommandReport, SoundReport
from middlewatch.wire.nmea import Decoder
from navigator.navigating import TRUE_COMPASS, Aboard
from wire.sealing import sealed

IDENTIFIER_OF_HEADING, IDENTIFIER_OF_LOG = 10242, 10243
ONE_BY_ONE = "alerts are acknowledged one by one, each by its identifier and instance"


def silent() -> Aboard:
    """Return a boat whose heading has fallen silent: a warning stands."""
    boat = Aboard()
    boat.sail(5, 90.0, 6.0)
    boat.depart()
    boat.sail(20, None, 6.0)
    assert state(boat) == "active-unacknowledged"
    return boat


def state(boat: Aboard, name: str = "heading") -> AlertState:
    """Return how an alert was last told to stand."""
    return [each for each in boat.said if isinstance(each, AlertReport) and each.name == name][-1].state


def on_the_bus(boat: Aboard, body: str) -> list[Report]:
    """Let a sentence come over the bus; return what is said up to the tick that follows."""
    decoder = Decoder("bridge", checksum_required=True, satellite_talkers=frozenset())
    said = len(boat.said)
    for reading in decoder.read(sealed(body), boat.now_ms + 300):
        assert boat.step(reading) == ()  # what the bus changes is told at the tick
    boat.sail(1, None, 6.0)
    return boat.said[said:]


def outcome(reports: list[Report]) -> CommandReport:
    """Return what came of the one command."""
    (report,) = (each for each in reports if isinstance(each, CommandReport))
    return report


def sounds(boat: Aboard) -> list[SoundReport]:
    """Return all that was heard."""
    return [each for each in boat.said if isinstance(each, SoundReport)]


# --- alike --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("by", "told"), [("order", "order"), ("bus", "CAACN@bridge")])
def test_acknowledged_by_order_and_from_the_bus_alike(by: str, told: str) -> None:
    """The same state, told with who it was; and nothing sounds any more."""
    boat = silent()
    if by == "order":
        boat.order("acknowledge", alert="heading", revision=1)
    else:
        answer = outcome(on_the_bus(boat, f"CAACN,,,{IDENTIFIER_OF_HEADING},1,A,C"))
        assert (answer.accepted, answer.alert, answer.source) == (True, "heading", "CAACN@bridge")
        assert answer.text == "heading warning acknowledged; it still stands"
    heard = len(sounds(boat))
    boat.sail(700, None, 6.0)

    last = boat.alerts("heading")[-1]
    assert (last.state, last.by, last.revision) == ("active-acknowledged", told, 2)
    assert len(sounds(boat)) == heard


def test_silenced_from_the_bus() -> None:
    """Thirty seconds, then it sounds again; for all where identifier and instance are 0."""
    for body in (f"CAACN,,,{IDENTIFIER_OF_HEADING},1,S,C", "CAACN,,,0,0,C,S"):
        boat = silent()
        assert outcome(on_the_bus(boat, body)).accepted
        assert state(boat) == "active-silenced"
        heard = len(sounds(boat))
        boat.sail(28, None, 6.0)
        assert len(sounds(boat)) == heard
        boat.sail(2, None, 6.0)
        assert state(boat) == "active-unacknowledged"
        assert len(sounds(boat)) == heard + 1


def test_said_again_when_asked() -> None:
    """Q is accepted and changes nothing."""
    boat = silent()
    said = on_the_bus(boat, f"CAACN,,,{IDENTIFIER_OF_HEADING},1,Q,C")

    assert outcome(said).accepted
    assert not [each for each in said if isinstance(each, AlertReport)]


def test_the_restart_between_command_and_tick_loses_nothing() -> None:
    """An acknowledgement heard and not yet told is in what a restart takes up."""
    boat = silent()
    boat.step(AlertCommand(boat.now_ms + 300, "CAACN@bridge", "heading", 1, "acknowledge"))
    boat.restart(2, gap_known=True)

    assert state(boat) == "active-acknowledged"
    assert [each.accepted for each in boat.said if isinstance(each, CommandReport)] == [True]


def test_who_acknowledged_is_not_told_of_what_came_later() -> None:
    """Over, and later silent again: that nobody has acknowledged."""
    boat = silent()
    on_the_bus(boat, f"CAACN,,,{IDENTIFIER_OF_HEADING},1,A,C")
    boat.sail(5, 90.0, 6.0)
    over = boat.alerts("heading")[-1]
    boat.sail(20, None, 6.0)

    assert (over.state, over.by) == ("normal", "CAACN@bridge")
    assert (boat.alerts("heading")[-1].state, boat.alerts("heading")[-1].by) == (
        "active-unacknowledged",
        None,
    )


# --- refused ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("fields", "why"),
    [
        (f"{IDENTIFIER_OF_HEADING},1,O,C", "responsibility stays here: acknowledge it, or silence it"),
        ("0,0,O,C", "responsibility stays here: acknowledge it, or silence it"),
        (f"{IDENTIFIER_OF_HEADING},0,A,C", ONE_BY_ONE),
        ("0,0,A,C", ONE_BY_ONE),
        (f"{IDENTIFIER_OF_HEADING},2,A,C", "each alert has only instance 1"),
        (f"{IDENTIFIER_OF_LOG},1,A,C", "no alert log stands"),
        (f"{IDENTIFIER_OF_LOG},1,Q,C", "no alert log stands"),
    ],
)  # fmt: skip
def test_refused_and_told_why(fields: str, why: str) -> None:
    """Nothing changes; the refusal goes out (ARC) with its reason beside it on MQTT."""
    boat = silent()
    said = on_the_bus(boat, f"CAACN,142602.00,,{fields}")

    assert (outcome(said).accepted, outcome(said).text) == (False, why)
    assert state(boat) == "active-unacknowledged"


def test_acknowledged_twice_is_refused() -> None:
    """The second who acknowledges learns that it was done."""
    boat = silent()
    body = f"CAACN,,,{IDENTIFIER_OF_HEADING},1,A,C"
    on_the_bus(boat, body)

    assert outcome(on_the_bus(boat, body)).text == "heading: acknowledged already, nothing to acknowledge"


@pytest.mark.parametrize("legacy", [True, False])
def test_the_legacy_acknowledgement_only_where_it_is_set(legacy: bool) -> None:
    """Its three digits may be another's: unset, it is nothing to us, and not refused either."""
    boat = silent()
    boat.navigator.room.tuning = type(TRUE_COMPASS)(variation=TRUE_COMPASS.variation, legacy_alerts=legacy)
    said = on_the_bus(boat, "IIACK,242")

    assert [each.accepted for each in said if isinstance(each, CommandReport)] == [True] * legacy
    assert state(boat) == ("active-acknowledged" if legacy else "active-unacknowledged")


def test_a_satellite_receiver_acknowledges_nothing() -> None:
    """Whatever a satellite talker sends besides positions is passed over."""
    boat = silent()

    assert not [
        each
        for each in on_the_bus(boat, f"GPACN,,,{IDENTIFIER_OF_HEADING},1,A,C")
        if isinstance(each, CommandReport)
    ]


# --- by order -----------------------------------------------------------------------------------------------


def test_a_revision_with_the_present_words_will_do() -> None:
    """Silenced meanwhile (revision 2), acknowledged as it was read (revision 1): the words are the same."""
    boat = silent()
    boat.order("silence", alert="heading", revision=1)

    boat.order("acknowledge", alert="heading", revision=1)
    assert state(boat) == "active-acknowledged"


def test_a_revision_with_other_words_is_refused() -> None:
    """Over meanwhile: what is acknowledged is to have been read."""
    boat = silent()
    boat.sail(2, 90.0, 6.0)
    answer = boat.enter("order", kind="acknowledge", alert="heading", revision=1)

    assert not answer.accepted
    assert answer.refusal is not None
    assert (answer.refusal.field, answer.refusal.wanted) == ("revision", "2")


def test_quiet_by_order_holds_a_warning_back() -> None:
    """Ten minutes; the warning stands and is told, and is heard when they are over."""
    boat = Aboard()
    boat.sail(5, 90.0, 6.0)
    boat.depart()
    boat.order("quiet")
    boat.sail(595, None, 6.0)
    before = len(sounds(boat))
    boat.sail(10, None, 6.0)

    assert (state(boat), before, len(sounds(boat))) == ("active-unacknowledged", 0, 1)
    # The order came at second 5: ten minutes later, to the second.
    assert sounds(boat)[0].at.ms - boat.said[0].at.ms == 605_000  # type: ignore[union-attr] # a position
