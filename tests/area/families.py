"""The families of passages: what was steered, which marks were there, what was seen when, and what was true.

Typical coastal passages: 5 kn, 2 to 6 hours, lights 3 to 10 miles off. Within a family the reckoned track and
the seconds of the sightings are the same for all; marks, errors and what was seen are drawn for each.
"""

from dataclasses import dataclass, field
from typing import Literal

from area.model import Model
from area.streams import Eddy, Stream, Tide, Turning
from area.tracks import Leg

BY_HAND_COMPASS_DEG = 2.5
"""Noise of a hand bearing in a moderate sea; 1.5 calm, 4.5 rough."""
BY_EYE_OR_RADAR = 0.05
"""Noise of a range, as a part of it."""
BY_SEXTANT = 0.02
"""Noise of a range by vertical angle, as a part of it."""


@dataclass(frozen=True, slots=True)
class MarkPlan:
    """Where a mark is drawn: `off_nm` from the EP of `second`, evenly between the two.

    `relative_deg`: on the bow between these, to the side given; or, with `apart_from` (the number of an
    earlier mark), so far from that mark's bearing.
    """

    second: int
    off_nm: tuple[float, float] = (3.0, 10.0)
    relative_deg: tuple[float, float] = (50.0, 130.0)
    side: Literal["either", "port", "starboard"] = "either"
    apart_from: int | None = None


@dataclass(frozen=True, slots=True)
class Sight:
    """A sighting of the plan; `sd` of its noise: degrees for a bearing, a part of it for a range."""

    second: int
    mark: int = 0
    kind: Literal["bearing", "range"] = "bearing"
    sd: float = BY_HAND_COMPASS_DEG


@dataclass(frozen=True, slots=True)
class Weed:
    """The log reads `reads` of the truth between two seconds."""

    from_s: int
    to_s: int
    reads: float


@dataclass(frozen=True, slots=True)
class Truth:
    """How the truth differs from the model; as it is, not at all.

    `stream`: instead of the model's, or on top of it. `leeway_deg`: to leeway on each tack, evenly between.
    `log_off`: the log's factor is out by a part between these, either way. `swing_deg`: the compass swings
    by an amplitude between these; `quadrantal_deg`: sd of its part that goes with twice the heading.
    `blunder`: part of the entries; `same_slip`: repeated, a blunder is out by the same again.
    `twin_sightings`: so many first sightings of mark 0 are of a twin `twin_nm` away.
    """

    stream: Stream | None = None
    leeway_deg: tuple[float, float] | None = None
    log_off: tuple[float, float] | None = None
    swing_deg: tuple[float, float] | None = None
    quadrantal_deg: float = 0.0
    weed: Weed | None = None
    blunder: float | None = None
    same_slip: bool = False
    twin_sightings: int = 0
    twin_nm: tuple[float, float] = (1.0, 3.0)

    def run_over_log(self, second: int) -> float:
        """Return how many miles the boat runs for one on the log, weed alone considered."""
        fouled = self.weed is not None and self.weed.from_s <= second < self.weed.to_s
        return 1.0 / self.weed.reads if fouled and self.weed is not None else 1.0


@dataclass(frozen=True, slots=True)
class Family:
    """One kind of passage.

    `legs` and `model`: what the navigator holds. `asked_s`: when the area is held against the truth.
    `floor`: the least coverage promised where the truth breaks the model; None: printed without a floor.
    `holds`: the truth is the model's.
    """

    name: str
    legs: tuple[Leg, ...]
    marks: tuple[MarkPlan, ...] = ()
    sights: tuple[Sight, ...] = ()
    asked_s: tuple[int, ...] = ()
    model: Model = field(default_factory=Model)
    truth: Truth = field(default_factory=Truth)
    floor: float | None = None

    @property
    def holds(self) -> bool:
        """Whether the truth is drawn from the model."""
        return self.truth == Truth()


def _at(hours: float) -> int:
    return round(hours * 3600)


def _hourly(last: int) -> tuple[int, ...]:
    return tuple(_at(hour) for hour in range(1, last + 1))


def _with(hours: tuple[int, ...], *also: int) -> tuple[int, ...]:
    return tuple(sorted({*hours, *also}))


def _bearings(mark: int, *hours: float, sd: float = BY_HAND_COMPASS_DEG) -> tuple[Sight, ...]:
    return tuple(Sight(_at(hour), mark, sd=sd) for hour in hours)


def _in_order(*sights: Sight) -> tuple[Sight, ...]:
    return tuple(sorted(sights, key=lambda sight: sight.second))


_UNSURE = Model(departure_nm=1.0)

_HOLDING = (
    Family(
        "one_light_two_bearings",
        (Leg(180, 20, wind="free"),),
        (MarkPlan(_at(1.0)),),
        _bearings(0, 0.5, 1.5),
        _with(_hourly(3), _at(1.5)),
        _UNSURE,
    ),
    Family(
        "one_light_with_a_turn",
        (Leg(60, 0, leeway_deg=2.5, wind="told"), Leg(90, 120, leeway_deg=-5.0, wind="told")),
        (MarkPlan(_at(1.0), relative_deg=(20.0, 120.0), side="starboard"),),
        _bearings(0, 0.6, 1.5),
        _with(_hourly(2), _at(1.5), _at(2.5)),
        _UNSURE,
    ),
    Family(
        "three_bearings",
        (Leg(180, 250, wind="none"),),
        (MarkPlan(_at(1.0)),),
        _bearings(0, 0.5, 1.0, 1.6, sd=1.5),
        _with(_hourly(3), _at(1.6)),
        Model(departure_nm=0.5),
    ),
    Family(
        "range_only",
        (Leg(180, 310, wind="free"),),
        (MarkPlan(_at(1.0)),),
        (
            Sight(_at(0.75), kind="range", sd=BY_EYE_OR_RADAR),
            Sight(_at(1.75), kind="range", sd=BY_EYE_OR_RADAR),
        ),
        _with(_hourly(3), _at(1.75)),
        _UNSURE,
    ),
    Family(
        "narrow_cut",
        (Leg(180, 90, leeway_deg=3.0, wind="ordered"),),
        (MarkPlan(_at(1.0)), MarkPlan(_at(1.0), relative_deg=(20.0, 20.0), apart_from=0)),
        (*_bearings(0, 0.975), *_bearings(1, 1.0), *_bearings(0, 1.975), *_bearings(1, 2.0)),
        _hourly(3),
        Model(departure_nm=0.5),
    ),
    Family(
        "bursts",
        (Leg(240, 45, wind="free"),),
        (MarkPlan(_at(2.0)),),
        tuple(Sight(start + 20 * place) for start in (_at(1.0), _at(2.5)) for place in range(6)),
        _with(_hourly(4), _at(2.5) + 100),
        Model(departure_nm=0.5),
    ),
    Family(
        "vertical_angles",
        (Leg(90, 200, wind="none"), Leg(90, 160, wind="none")),
        (MarkPlan(_at(1.25), off_nm=(3.0, 6.0)),),
        tuple(Sight(_at(hour), kind="range", sd=BY_SEXTANT) for hour in (0.75, 1.25, 1.75)),
        _with(_hourly(3), _at(1.75)),
        Model(departure_nm=0.5),
    ),
    Family(
        "nothing_for_six_hours",
        (
            Leg(120, 30, leeway_deg=5.0, wind="told"),
            Leg(60, 30, speed_kn=1.0),
            Leg(180, 330, leeway_deg=-5.0, wind="told"),
        ),
        asked_s=_hourly(6),
    ),
)

_TWO_LIGHTS = (MarkPlan(_at(1.5), side="port"), MarkPlan(_at(3.0), side="starboard"))
_WATCHED = _in_order(*_bearings(0, 0.75, 1.75, 2.25), *_bearings(1, 2.25 + 1 / 60, 3.25, 3.75))


def _springs(strongest_kn: float) -> Family:
    return Family(
        f"springs_{strongest_kn:g}_kn",
        (Leg(300, 75, strongest_kn=strongest_kn, wind="free"),),
        _TWO_LIGHTS,
        _WATCHED,
        _hourly(5),
        truth=Truth(stream=Tide(strongest_kn)),
        floor=0.90,
    )


def _eddy(name: str, strongest_kn: float, floor: float | None) -> Family:
    zone = Leg(60, 75, strongest_kn=strongest_kn, wind="free")
    outside = Leg(90, 75, wind="free")
    return Family(
        name,
        (outside, zone, outside),
        _TWO_LIGHTS,
        _in_order(*_bearings(0, 0.75, 1.25), *_bearings(1, 2.75, 3.5)),
        _with(_hourly(4), _at(2.5)),
        truth=Truth(stream=Eddy(_at(2.0))),
        floor=floor,
    )


def _turning(name: str, half_rate_s: float, floor: float | None) -> Family:
    return Family(
        name,
        (Leg(240, 110, wind="free"),),
        _TWO_LIGHTS,
        _in_order(*_bearings(0, 0.75, 1.75), *_bearings(1, 2.75, 3.25)),
        _hourly(4),
        truth=Truth(stream=Turning(1.5, _at(2.0), half_rate_s)),
        floor=floor,
    )


def _tacks() -> tuple[Leg, ...]:
    """Twelve tacks of 20 minutes, the wind in the north: on the starboard tack the boat is set to port."""
    starboard = Leg(20, 315, leeway_deg=-5.0, wind="told")
    port = Leg(20, 45, leeway_deg=5.0, wind="told")
    return (starboard, port) * 6


_BREAKING = (
    *(_springs(strongest_kn) for strongest_kn in (1.0, 1.5, 2.5, 4.0)),
    _eddy("eddy_zone_known", 4.0, 0.90),
    _eddy("eddy_zone_unknown", 1.5, None),
    Family(
        "twelve_tacks",
        _tacks(),
        (MarkPlan(_at(2.0), side="port"),),
        _bearings(0, 1.25, 2.75),
        _hourly(4),
        truth=Truth(leeway_deg=(3.0, 12.0)),
        floor=0.90,
    ),
    Family(
        "no_card_box",
        (
            Leg(60, 0, wind="free"),
            Leg(60, 90, wind="free"),
            Leg(60, 180, wind="free"),
            Leg(60, 270, wind="free"),
        ),
        (MarkPlan(_at(2.0), side="port"),),
        _bearings(0, 0.75, 1.75, 2.75, 3.75),
        _hourly(4),
        Model(log=0.10, compass_deg=2.0, swing_deg=4.0),
        Truth(log_off=(0.0, 0.15), swing_deg=(2.0, 8.0), quadrantal_deg=1.5),
        floor=0.90,
    ),
    Family(
        "weed_on_the_log",
        (Leg(75, 160, wind="free"), Leg(60, 160, speed_kn=2.5, wind="free"), Leg(105, 160, wind="free")),
        _TWO_LIGHTS,
        _in_order(*_bearings(0, 0.75, 1.75), *_bearings(1, 2.75, 3.25)),
        _hourly(4),
        truth=Truth(weed=Weed(_at(1.25), _at(2.25), 0.5)),
    ),
    _turning("tide_turns_mid_leg", 3600.0, 0.90),
    # From three quarters one way to three quarters the other in 40 minutes: more than a stream with a memory
    # of three hours does.
    _turning("tide_turns_abruptly", 660.0, None),
    Family(
        "blunders",
        (Leg(300, 75, wind="free"),),
        _TWO_LIGHTS,
        _WATCHED,
        _hourly(5),
        truth=Truth(blunder=0.05, same_slip=True),
        floor=0.90,
    ),
    Family(
        "twin_light",
        (Leg(240, 220, wind="free"),),
        (MarkPlan(_at(1.0)), MarkPlan(_at(2.5))),
        _in_order(*_bearings(0, 0.75, 1.25), *_bearings(1, 2.25, 3.25)),
        _hourly(4),
        truth=Truth(twin_sightings=2),
    ),
)

FAMILIES = {family.name: family for family in (*_HOLDING, *_BREAKING)}
"""All families by name: those where the model holds first."""
