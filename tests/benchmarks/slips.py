"""How many slips are named, and how many good entries are accused: seeded, on simulated passages.

    PYTHONPATH=daemon:tests python -m benchmarks.slips [passages [seed ...]]

Each passage is two hours at 5 kn on three legs, sailed by `area.passages` with every error of the model, and
reckoned by a navigator of its own through `step`. Eight entries are made of five marks, whole degrees and
tenths of a mile; one in two with a slip, each kind that applies as often as any other. What was entered by a
slip is withdrawn once it has been answered, so that each entry meets a crew that has mended the last one.

The signature of a slip is how far it moves the entry, in standard deviations of what was to be expected. A
slip is named first where it stands with the first value offered: half a circle, and two digits swapped, may
come to the same figure, and nobody could tell them apart. Told beside it is how often the value, or the mark,
was the one meant too. The shares of `area/slips.py` were chosen on seed 1.
"""

import sys
from collections import Counter
from collections.abc import Callable, Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field, replace
from functools import lru_cache, partial
from math import cos, degrees, radians
from multiprocessing import get_context

import numpy as np

from area.model import Chance, Places, chance
from area.passages import Family, Passages, sail
from area.tracks import Leg
from entries.entering import START, Aboard, utc
from middlewatch.navigator.area.unusual import Outlook
from middlewatch.navigator.navigator import Navigator
from middlewatch.navigator.position.misread import digits_swapped
from middlewatch.navigator.reckoning.card import Card
from middlewatch.navigator.tuning import Tuning, VariationChoice
from middlewatch.quantities.angles import direction, turn
from middlewatch.quantities.positions import Position
from middlewatch.readings.marks import Mark, Sector
from middlewatch.reports.answer import SlipReport
from middlewatch.wire import entries

SIGHTS_S = (4200, 4650, 5100, 5550, 6000, 6400, 6800, 7200)
LEGS = (Leg(45.0, 70.0), Leg(40.0, 115.0), Leg(36.0, 40.0))
FAMILY = Family(
    "slips", LEGS, asked_s=tuple(sorted({each - ago for each in SIGHTS_S for ago in (0, 600, 3600)}))
)
STEERING_CARD = ((0.0, 6.0), (60.0, 14.0), (120.0, 9.0), (200.0, -8.0), (300.0, -12.0))
VARIATIONS = (-16.0, -11.0, 9.0, 14.0)
STRONG_SIGMA = 4.0
STALE_S = 600
_ROUNDED = 1.0
_CONFUSIONS = 12
HOUR_S = 3600


@dataclass(slots=True)
class Tally:
    """What came of the entries: good ones, accused; by slip with a strong signature, met and named first.

    `right`: named first with the value, or the mark, that was meant; `instead`: (slip, what was named).
    """

    good: int = 0
    accused: int = 0
    weak: int = 0
    met: Counter[str] = field(default_factory=Counter)
    named: Counter[str] = field(default_factory=Counter)
    right: Counter[str] = field(default_factory=Counter)
    instead: Counter[tuple[str, str]] = field(default_factory=Counter)

    def add(self, other: "Tally") -> None:
        """Count another tally in."""
        self.good, self.accused = self.good + other.good, self.accused + other.accused
        self.weak += other.weak
        self.met += other.met
        self.named += other.named
        self.right += other.right
        self.instead += other.instead

    @property
    def named_part(self) -> float:
        """Which part of the slips with a strong signature was named first."""
        return self.named.total() / self.met.total()

    @property
    def accused_part(self) -> float:
        """Which part of the good entries was accused."""
        return self.accused / self.good


@dataclass(frozen=True, slots=True)
class Entered:
    """An entry of the benchmark: its body, its second, and by which slip; `moved`: by how much, deg or nm.

    `meant`: the value without the slip, where that is another; `seen`: the mark, where that was another.
    """

    body: dict[str, object]
    second: int
    slip: str | None = None
    moved: float = 0.0
    meant: float | None = None
    seen: str | None = None


class Crew:
    """A boat on one of the passages: she reckons, her crew sees what the truth shows, and slips at times."""

    def __init__(self, sailed: Passages, number: int, drawn: Chance) -> None:
        self._sailed, self._number, self._drawn = sailed, number, drawn
        self._variation_deg = float(drawn.choice(VARIATIONS))
        choice = VariationChoice("chart", self._variation_deg, 2026.0)
        tuning = Tuning(variation=choice, steering_card=STEERING_CARD, seed=number)
        self.boat = Aboard(tuning)
        self._marks = dict(self._coast())
        self.boat.navigator = Navigator(tuning, self._marks, entries)
        self._card = Card(STEERING_CARD)

    def sail(self) -> Iterator[Entered]:
        """Sail the passage; yield each entry when it is to be made."""
        boat = self.boat
        boat.heading_magnetic_deg, boat.speed_kn = direction(LEGS[0].heading_deg - self._variation_deg), 5.0
        boat.second()
        boat.depart()
        begun = boat.seconds
        ends = np.cumsum([leg.minutes * 60 for leg in LEGS])
        for second in range(1, SIGHTS_S[-1] + 1):
            leg = LEGS[int(np.searchsorted(ends, second))]
            boat.heading_magnetic_deg = direction(leg.heading_deg - self._variation_deg)
            boat.second()
            if second in SIGHTS_S:
                yield self._entered(second, begun)

    def _coast(self) -> Iterator[tuple[str, Mark]]:
        for name in ("Anvil", "Bell", "Crag", "Drum", "Ewe"):
            place = START.along(float(self._drawn.uniform(0, 360)), 0.0).along(75.0, 8.0)
            mark = place.along(float(self._drawn.uniform(0, 360)), float(self._drawn.uniform(3.0, 9.0)))
            yield name, Mark(name, mark)

    # --- what the crew sees -----------------------------------------------------------------------------

    def _boat_at(self, second: int, begun: int) -> Position:
        ep = self.boat.ep_at(begun + second)
        deviation: Places = self._sailed.deviation[self._number]
        off = complex(deviation[FAMILY.asked_s.index(second)])
        return ep.moved(off.real, off.imag)

    def _bearing_deg(self, mark: str, second: int, begun: int) -> float:
        """Return a bearing by the hand-bearing compass, turned to true, with all its errors."""
        errors, number = self._sailed.errors, self._number
        shared = float(errors.hand[number] - errors.variation[number])
        true_deg = self._boat_at(second, begun).to(self._marks[mark].position)[0]
        return direction(true_deg + degrees(shared) + 2.5 * float(self._drawn.standard_normal()))

    def _range_nm(self, mark: str, second: int, begun: int) -> float:
        off_nm = self._boat_at(second, begun).to(self._marks[mark].position)[1]
        return off_nm * (1.0 + 0.05 * float(self._drawn.standard_normal()))

    # --- what she enters --------------------------------------------------------------------------------

    def _entered(self, second: int, begun: int) -> Entered:
        mark = str(self._drawn.choice(list(self._marks)))
        if self._drawn.random() < 0.2:
            return self._range(mark, second, begun)
        reference = str(self._drawn.choice(["magnetic", "magnetic", "true"]))
        by = {"magnetic": self._variation_deg, "true": 0.0}[reference]
        value = float(round(self._bearing_deg(mark, second, begun) - by) % 360)
        body: dict[str, object] = {
            "kind": "bearing",
            "mark": mark,
            "bearing_deg": value,
            "reference": reference,
        }
        honest = Entered(body, begun + second)
        if self._drawn.random() < 0.5:
            return honest
        slips = self._bearing_slips(honest, second, begun)
        return slips[str(self._drawn.choice(sorted(slips)))]()

    def _range(self, mark: str, second: int, begun: int) -> Entered:
        value = round(self._range_nm(mark, second, begun), 1)
        body: dict[str, object] = {"kind": "range", "mark": mark, "distance_nm": value}
        honest = Entered(body, begun + second)
        if self._drawn.random() < 0.5:
            return honest
        slip = str(self._drawn.choice(["longitude scale", "other mark", "stale"]))
        other = self._other(mark)
        entered = {
            "longitude scale": value / cos(radians(START.latitude_deg)),
            "other mark": self._range_nm(other, second, begun),
            "stale": self._range_nm(mark, second - STALE_S, begun),
        }[slip]
        return replace(
            honest,
            body={**body, "distance_nm": round(entered, 1)},
            slip=slip,
            moved=round(entered, 1) - value,
            meant=value if slip == "longitude scale" else None,
            seen=other if slip == "other mark" else None,
        )

    def _bearing_slips(self, honest: Entered, second: int, begun: int) -> dict[str, Callable[[], Entered]]:
        """Return the slips that can be made of a bearing, each to be made on call."""
        value, mark, reference = (honest.body[key] for key in ("bearing_deg", "mark", "reference"))
        assert isinstance(value, float)
        assert isinstance(mark, str)
        to_true = self._variation_deg if reference == "magnetic" else 0.0
        # As read it wants no variation; as true it wants it added once.
        variation = -self._variation_deg if reference == "magnetic" else self._variation_deg
        swapped = digits_swapped(value, 3, 360.0)
        hundreds = [each for each in (value - 100, value + 100) if 0 <= each < 360]
        sign = float(self._drawn.choice([-1.0, 1.0]))

        def slipped(slip: str, entered: float) -> Callable[[], Entered]:
            body = {**honest.body, "bearing_deg": float(round(entered) % 360)}
            moved = abs(turn(value, entered))
            return lambda: replace(honest, body=body, slip=slip, moved=moved, meant=value)

        def of_another(slip: str, which: str, when: int) -> Callable[[], Entered]:
            entered = slipped(slip, self._bearing_deg(which, when, begun) - to_true)
            return lambda: replace(entered(), meant=None, seen=None if which == mark else which)

        slips = {
            "reciprocal": slipped("reciprocal", value + 180),
            "variation not applied": slipped("variation not applied", value - variation),
            "variation wrong way": slipped("variation wrong way", value - 2 * variation),
            "ten out": slipped("ten out", value + 10 * sign),
            "hundred out": slipped("hundred out", float(self._drawn.choice(hundreds))),
            "other mark": of_another("other mark", self._other(mark), second),
            "stale": of_another("stale", mark, second - STALE_S),
            "hour out": lambda: self._hour_out(honest, mark, second, begun),
            "deviation": lambda: self._deviation(mark, second, begun),
            "light from seaward": lambda: self._from_the_light(honest, mark, second, begun),
        }
        if swapped:
            slips["digits swapped"] = slipped("digits swapped", float(self._drawn.choice(swapped)))
        return slips

    def _hour_out(self, honest: Entered, mark: str, second: int, begun: int) -> Entered:
        then = honest.second - HOUR_S
        was, is_ = (
            self._boat_at(when, begun).to(self._marks[mark].position)[0] for when in (second - HOUR_S, second)
        )
        body = {**honest.body, "at": utc(then)}
        return Entered(body, then, "hour out", abs(turn(was, is_)))

    def _deviation(self, mark: str, second: int, begun: int) -> Entered:
        """Enter a bearing by the ship's compass from which its deviation was taken off already."""
        errors, number, head = self._sailed.errors, self._number, radians(self._head_true_deg())
        steering = (
            errors.compass + errors.variation + errors.sine * np.sin(head) + errors.cosine * np.cos(head)
        )
        true_deg = self._boat_at(second, begun).to(self._marks[mark].position)[0]
        seen_deg = true_deg - degrees(float(steering[number])) + 2.5 * float(self._drawn.standard_normal())
        magnetic_deg = self.boat.heading_magnetic_deg or 0.0
        deviation = self._card.deviation_at(self._card.compass(magnetic_deg))
        compass_deg = seen_deg - self._variation_deg - deviation
        body: dict[str, object] = {
            "kind": "bearing",
            "mark": mark,
            "bearing_deg": float(round(compass_deg + deviation) % 360),
            "reference": "compass",
        }
        return Entered(body, begun + second, "deviation", abs(deviation), meant=direction(compass_deg))

    def _head_true_deg(self) -> float:
        return direction((self.boat.heading_magnetic_deg or 0.0) + self._variation_deg)

    def _from_the_light(self, honest: Entered, mark: str, second: int, begun: int) -> Entered:
        """Enter the limit of a sector, on which she is, as it is seen from the light."""
        limit = float(round(self._boat_at(second, begun).to(self._marks[mark].position)[0]) % 360)
        sectors = (Sector("white", limit, direction(limit + 40.0)),)
        self._marks[mark] = replace(self._marks[mark], sectors=sectors)
        body = {**honest.body, "bearing_deg": direction(limit + 180.0), "reference": "true"}
        return replace(honest, body=body, slip="light from seaward", moved=180.0, meant=limit)

    def _other(self, mark: str) -> str:
        return str(self._drawn.choice([name for name in self._marks if name != mark]))

    def signature(self, entered: Entered, id_: str) -> float:
        """Return how far a slip has moved the entry, in standard deviations of what was to be expected."""
        room = self.boat.navigator.room
        line = room.plot.lines[id_]
        cloud = room.area.before(line.order, line.second)
        assert cloud is not None
        doubt = Outlook(cloud, room.tuning.seed).of(room.area.seen(line)).doubt
        return abs(entered.moved) / (degrees(doubt) if line.kind == "bearing" else doubt / 1852.0)


def measured(passages: int, seed: int = 1) -> Tally:
    """Return what comes of the entries of so many passages, whatever order they are worked in."""
    whole = Tally()
    with ProcessPoolExecutor(mp_context=get_context("spawn")) as workers:
        for tally in workers.map(partial(_passage, passages, seed), range(passages)):
            whole.add(tally)
    return whole


@lru_cache(maxsize=1)
def _sailed(passages: int, seed: int) -> Passages:
    return sail(FAMILY, passages, seed)


def _passage(passages: int, seed: int, number: int) -> Tally:
    tally, crew = Tally(), Crew(_sailed(passages, seed), number, chance(seed, 1000 + number))
    for entered in crew.sail():
        _enter(crew, entered, tally)
    return tally


def _enter(crew: Crew, entered: Entered, tally: Tally) -> None:
    answer = crew.boat.sighting(**entered.body)
    assert answer.sighting is not None, answer.refusal
    assert answer.id is not None
    if entered.slip is None:
        tally.good += 1
        tally.accused += answer.open
        return
    strong = crew.signature(entered, answer.id) > STRONG_SIGMA
    crew.boat.order(kind="withdraw", entry=answer.id)
    if not strong:
        tally.weak += 1
        return
    first = [slip for slip in answer.sighting.slips if _alike(slip, answer.sighting.slips[0])]
    tally.met[entered.slip] += 1
    if entered.slip in {slip.slip for slip in first}:
        tally.named[entered.slip] += 1
        tally.right[entered.slip] += _as_meant(first[0], entered)
        return
    # It may not have been accused at all; or it was, and nothing known explained it.
    nothing = "nothing" if answer.open else "not accused"
    tally.instead[entered.slip, first[0].slip if first else nothing] += 1


def _alike(one: SlipReport, other: SlipReport) -> bool:
    """Tell whether two slips come to the same value, of the same mark, at the same time."""
    return (one.value, one.mark, one.at) == (other.value, other.mark, other.at)


def _as_meant(slip: SlipReport, entered: Entered) -> bool:
    """Tell whether value and mark are those meant; figures are rounded when they are entered."""
    if entered.meant is not None and abs(turn(entered.meant, slip.value)) > _ROUNDED:
        return False
    return entered.seen is None or entered.seen == slip.mark


def _print(seed: int, tally: Tally) -> None:
    write = sys.stdout.write
    write(f"seed {seed}\ngood entries: {tally.good}, accused {tally.accused}: {tally.accused_part:.1%}\n")
    write(
        f"slips with a signature over {STRONG_SIGMA:g} sigma: {tally.met.total()} (and {tally.weak} weaker)\n"
    )
    for slip, met in sorted(tally.met.items()):
        part = tally.named[slip] / met
        write(f"  {slip:22} {tally.named[slip]:4} of {met:4} {part:4.0%}, as meant {tally.right[slip]:4}\n")
    write("commonest confusions:\n")
    for (slip, first), number in tally.instead.most_common(_CONFUSIONS):
        write(f"  {slip}: {first} {number}\n")
    right = tally.right.total() / tally.met.total()
    write(f"named first: {tally.named_part:.1%}; with the value and the mark meant: {right:.1%}\n")


if __name__ == "__main__":
    passages, *seeds = map(int, sys.argv[1:]) if len(sys.argv) > 1 else (250,)
    for seed in seeds or [1]:
        _print(seed, measured(passages, seed))
