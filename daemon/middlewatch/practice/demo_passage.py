"""The demo's story: a night passage off a coast of our own invention.

The coast, its lights and its harbour mark are invented, and so are their names. They are laid in mid-ocean,
hundreds of miles from any land, so that nobody can take them for real ones; only the earth's magnetic field
there is real.

She leaves Orran Perch at 2100 UTC and stands along the coast to the westward, Carrow Head on the starboard
bow. A stream that nobody on board knows sets her towards the land. Two bearings of the one light, with an
alteration of course between them, make a running fix that shows it; a third makes the fix that is adopted.
The satellite position is lost for twelve minutes and comes back.

Later it is drawn off the land at three knots, while the receiver goes on saying that all is well. Steering
one course she cannot tell that from a compass gone wrong. Senrow Ledge, a small light to seaward, has come up
by then: a bearing of it settles the matter, and one of Carrow Head makes it a warning. After half an hour the
receiver is let go and is true again at a bound; that alone does not make it trusted.
"""

from dataclasses import dataclass

from middlewatch.navigator.reckoning.card import Card
from middlewatch.navigator.reckoning.variation import model_variation
from middlewatch.navigator.tuning import CardPoints
from middlewatch.practice.instruments import Compass, Instruments, Log, Wind
from middlewatch.practice.passage import Passage, make_passage
from middlewatch.practice.satellites import Lost, Pull, Receiver
from middlewatch.practice.skipper import Action, Depart, TakeBearing, Write
from middlewatch.practice.truth import Leg, Plan, RectilinearTide
from middlewatch.quantities.instants import MS_PER_SECOND, Instant
from middlewatch.quantities.positions import Position
from middlewatch.readings.marks import Mark

# A middling seed, whose bearing at 2200 is 001, so that "361" may well be typed. Over seeds 1 to 24 the
# running fix of 2200, which knows of no stream, is 0.26 to 0.80 nm out, half of them over 0.47; here 0.44.
_SEED = 19
_START = Position(47.0, -34.0)
_INVENTED = "invented for the demo; there is no such coast"

CARROW_HEAD = Mark(
    name="Carrow Head",
    position=Position(47.0271, -34.1451),
    height_m=38.0,
    range_nm=19.0,
    character="Fl(2) 12s 38m 19M",
    source=_INVENTED,
)
ORRAN_PERCH = Mark(name="Orran Perch", position=Position(47.0055, -33.9960), source=_INVENTED)
SENROW_LEDGE = Mark(
    name="Senrow Ledge",
    position=Position(46.9600, -34.3167),
    height_m=11.0,
    range_nm=4.0,
    character="Fl 4s 11m 4M",
    source=_INVENTED,
)
DEMO_MARKS = (CARROW_HEAD, ORRAN_PERCH, SENROW_LEDGE)

DEMO_SENSOR_CARD: CardPoints = (
    (0.0, -1.5),
    (45.0, 0.5),
    (90.0, 2.0),
    (135.0, 2.5),
    (180.0, 1.5),
    (225.0, -0.5),
    (270.0, -2.0),
    (315.0, -2.5),
)
"""The deviation card of the boat's heading sensor, as the skipper has it."""


def _on_the_day(clock: str) -> int:
    """Return the UTC ms of a time `hh:mm:ss` of the passage's evening."""
    return Instant.parse(f"2026-05-02T{clock}Z").ms


@dataclass(frozen=True, slots=True)
class Story:
    """What befalls the satellite position, and when (UTC, ms); `let_go_ms`: from when it is true again."""

    starts_ms: int
    lost_ms: int
    back_ms: int
    pulled_ms: int
    pulled_towards_deg: float
    pulled_kn: float
    let_go_ms: int
    ends_ms: int


DEMO_STORY = Story(
    starts_ms=_on_the_day("20:58:00"),
    lost_ms=_on_the_day("22:12:00"),
    back_ms=_on_the_day("22:24:00"),
    pulled_ms=_on_the_day("22:45:00"),
    pulled_towards_deg=165.0,
    pulled_kn=3.0,
    let_go_ms=_on_the_day("23:15:00"),
    ends_ms=_on_the_day("23:33:00"),
)

_ALTERS_MS = _on_the_day("21:48:00")


def demo() -> Passage:
    """Return the demo's passage: the same to the byte each time."""
    return make_passage(_plan(), _instruments(), _actions(), _SEED)


def _plan() -> Plan:
    variation = model_variation(_START, Instant(DEMO_STORY.starts_ms))
    if variation is None:
        raise ValueError("the magnetic model does not reach the demo's date")
    first_s = (_ALTERS_MS - DEMO_STORY.starts_ms) // MS_PER_SECOND
    second_s = (DEMO_STORY.ends_ms - _ALTERS_MS) // MS_PER_SECOND
    return Plan(
        start_ms=DEMO_STORY.starts_ms,
        start=_START,
        legs=(
            Leg(first_s, heading_deg=261.0, speed_kn=5.4, leeway_deg=3.0, reference="magnetic"),
            Leg(second_s, heading_deg=279.0, speed_kn=5.6, leeway_deg=3.0, reference="magnetic"),
        ),
        stream=RectilinearTide(set_deg=350.0, drift_kn=0.85, greatest_ms=_on_the_day("22:00:00")),
        variation_deg=variation.value_deg,
    )


def _instruments() -> Instruments:
    return Instruments(
        compass=Compass(Card(DEMO_SENSOR_CARD), constant_error_deg=0.7),
        log=Log(factor=1.03, total_nm=1482.6),
        wind=Wind(from_true_deg=160.0, speed_kn=12.0),
        depth_m=_depth_m,
        receiver=Receiver(
            lost=(Lost(DEMO_STORY.lost_ms, DEMO_STORY.back_ms),),
            pulls=(
                Pull(
                    DEMO_STORY.pulled_ms,
                    DEMO_STORY.let_go_ms,
                    DEMO_STORY.pulled_towards_deg,
                    DEMO_STORY.pulled_kn,
                    DEMO_STORY.let_go_ms,
                ),
            ),
        ),
    )


def _depth_m(position: Position) -> float:
    """Return the invented sea's depth: 25 m under the land, 18 m more each mile to the southward."""
    south_nm = (CARROW_HEAD.position.latitude_deg - position.latitude_deg) * 60.0
    return 25.0 + 18.0 * max(0.0, south_nm)


def _actions() -> tuple[Action, ...]:
    return (*_outward(), *_past_the_light(), *_while_drawn_away(), *_when_they_return())


def _outward() -> tuple[Action, ...]:
    return (
        Depart("departure-2100", _on_the_day("21:00:00"), ORRAN_PERCH),
        _order("21:00:40", "course-2100", kind="course", heading_deg=261, reference="magnetic"),
        _order(
            "21:06:00",
            "remark-2106",
            kind="remark",
            text="Wind south-south-east 4, clear. Log 1483.3, watch set.",
        ),
        TakeBearing(
            "carrow-2128", _on_the_day("21:28:00"), CARROW_HEAD, note="Two flashes every twelve seconds."
        ),
        _order("21:47:50", "course-2148", kind="course", heading_deg=279, reference="magnetic"),
    )


def _past_the_light() -> tuple[Action, ...]:
    return (
        _sighting(
            "22:00:12",
            "slip-2200",
            kind="bearing",
            mark=CARROW_HEAD.name,
            bearing_deg=361,
            reference="magnetic",
        ),
        TakeBearing("carrow-2200", _on_the_day("22:00:00"), CARROW_HEAD, entered_after_s=40),
        _order(
            "22:05:00",
            "stream-2205",
            kind="stream",
            set_deg=0,
            drift_kn=0.9,
            until="2026-05-02T23:45:00.000Z",
            note="By the running fix of 2200, our leeway taken off.",
        ),
        TakeBearing("carrow-2231", _on_the_day("22:31:00"), CARROW_HEAD),
        _order("22:36:00", "adopt-2236", kind="adopt", fix="f-carrow-2231"),
        TakeBearing(
            "carrow-2234",
            _on_the_day("22:34:00"),
            CARROW_HEAD,
            entered_after_s=600,
            note="Written on the slate, entered late.",
        ),
    )


def _while_drawn_away() -> tuple[Action, ...]:
    return (
        TakeBearing("senrow-2255", _on_the_day("22:55:00"), SENROW_LEDGE),
        TakeBearing("carrow-2258", _on_the_day("22:58:00"), CARROW_HEAD),
        _order("22:59:00", "heard-2259", kind="acknowledge", alert="satellite"),
        _order("23:00:00", "remark-2300", kind="remark", text="Going by the lights and the reckoning."),
    )


def _when_they_return() -> tuple[Action, ...]:
    return (
        _order("23:15:40", "heard-2315", kind="acknowledge", alert="satellite"),
        _order("23:20:00", "trust-2320", kind="trust_satellites"),
        TakeBearing("senrow-2325", _on_the_day("23:25:30"), SENROW_LEDGE),
        TakeBearing("carrow-2328", _on_the_day("23:28:00"), CARROW_HEAD),
        _order("23:30:00", "trust-2330", kind="trust_satellites"),
    )


def _order(clock: str, entry_id: str, **words: object) -> Write:
    return Write(_on_the_day(clock), "order", {"id": entry_id, **words})


def _sighting(clock: str, entry_id: str, **words: object) -> Write:
    return Write(_on_the_day(clock), "sighting", {"id": entry_id, **words})
