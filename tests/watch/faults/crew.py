"""What the crew of a fault passage sees and enters: the departure, the stream, and bearings of marks."""

import numpy as np

from area.model import Chance
from middlewatch.quantities.instants import Instant
from middlewatch.readings.marks import Mark
from watch.faults.draft import ADOPTED_AFTER_S, BEGINS, NM, SECOND_BEARING_S, START, Draft, Entered
from watch.faults.sea import Needs
from watch.sailed import Complex

DEPARTS_S = 20
"""The instruments are heard by then."""
DEPARTURE_NM = 0.05
NAMES = ("Ash Point", "Birch Head", "Cedar Rock", "Elm Ness", "Fir Island", "Gorse Beacon")
FIRST, SECOND, NEIGHBOUR = "Holm Light", "Ivy Light", "Juniper Light"
SEEN_NM, LEAST_CUT_DEG = 12.0, 35.0
CLEAR_OF_ONSET_S = 420
"""So shortly before or after the bearings of the onset no others are taken."""
STREAM_FOR_S = 3 * 3600
"""So long an atlas's stream is taken to hold: to the end."""


class Crew:
    """A crew, its habits drawn: whether there are marks in sight, and whether the stream is allowed for.

    `well_m` is the boat's way over the ground with all well, which the marks are laid beside.
    """

    def __init__(self, draw: Chance, draft: Draft, needs: Needs, well_m: Complex) -> None:
        self._draw, self._draft = draw, draft
        sees = bool(draw.random() < 0.6) if needs.marks is None else needs.marks
        self._allows = bool(draw.random() < 0.3) and draft.entries == []
        self._adopts = bool(draw.random() < 0.7)
        self._doubt_deg = draw.uniform(2.0, 3.0)
        self._off_nm = [complex(*draw.normal(0.0, DEPARTURE_NM, 2)) for _ in range(2)]
        self._allowed = draw.normal(0.0, 15.0), draw.normal(0.0, 0.2)
        self._at = self._sight_times() if sees else []
        self._misses = draw.normal(0.0, self._doubt_deg, (len(self._at) + 2, 2)).tolist()
        self.places = self._coast(well_m) if sees else {}
        self.places |= self._lights(well_m)

    def marks(self) -> dict[str, Mark]:
        """Return the marks file."""
        return {
            name: Mark(name, START.moved(place.real, place.imag), height_m=30.0, range_nm=15.0)
            for name, place in self.places.items()
        }

    def entries(self, ground_m: Complex) -> list[Entered]:
        """Return all that is entered on a passage, in order of time; `ground_m`: her true way."""
        draft = self._draft
        made = [self._departure(DEPARTS_S, ground_m, self._off_nm[0]), *draft.entries]
        if self._allows:
            made.append(self._stream())
        if draft.departs:
            off_nm = self._off_nm[1] + draft.departs_off_nm
            made.append(self._departure(draft.onset, ground_m, off_nm))
        for number, at in enumerate(self._at):
            made += self._two_bearings(at, ground_m, self._misses[number])
        if draft.lights is not None:
            made += self._bearings_of_lights(ground_m)
        return sorted(made, key=lambda each: each.second)

    # --- orders ---------------------------------------------------------------------------------------------

    def _departure(self, second: int, ground_m: Complex, off_nm: complex) -> Entered:
        there = complex(ground_m[second]) + off_nm * NM
        place = START.moved(there.real, there.imag)
        where = {"latitude_deg": round(place.latitude_deg, 6), "longitude_deg": round(place.longitude_deg, 6)}
        return Entered(second, "order", {"id": f"d{second}", "kind": "departure", **where})

    def _stream(self) -> Entered:
        """Order the stream as it is at the start, as well as an atlas knows it."""
        stream, (turned_deg, more_kn) = self._draft.stream_kn[DEPARTS_S], self._allowed
        set_deg = round(float(np.degrees(np.angle(stream))) + turned_deg) % 360
        drift_kn = round(max(0.1, abs(stream) + more_kn), 1)
        until = str(Instant(BEGINS.ms + STREAM_FOR_S * 1000))
        body = {"id": "s1", "kind": "stream", "set_deg": set_deg, "drift_kn": drift_kn, "until": until}
        return Entered(DEPARTS_S + 10, "order", body)

    # --- sights ---------------------------------------------------------------------------------------------

    def _sight_times(self) -> list[int]:
        """Return when bearings are taken: every 15 to 40 minutes."""
        at, times, seconds = self._draw.uniform(600, 1500), [], self._draft.seconds
        while at < seconds - 120:
            if self._draft.lights is None or abs(at - self._draft.onset) > CLEAR_OF_ONSET_S:
                times.append(int(at))
            at += self._draw.uniform(15 * 60, 40 * 60)
        return times

    def _coast(self, well_m: Complex) -> dict[str, complex]:
        """Lay marks along one side of her way, 3 to 7 nm off."""
        side, places = self._draw.choice((-1j, 1j)), {}
        ahead = well_m[-1] - well_m[0]
        ahead /= max(1.0, abs(ahead))
        for name, place in zip(NAMES, np.linspace(0, well_m.size - 1, len(NAMES)), strict=True):
            off_nm = self._draw.uniform(-1.5, 1.5) + side * self._draw.uniform(3.0, 7.0)
            places[name] = complex(well_m[int(place)] + ahead * off_nm * NM)
        return places

    def _lights(self, well_m: Complex) -> dict[str, complex]:
        lights = self._draft.lights
        if lights is None:
            return {}
        here = complex(well_m[self._draft.onset])
        laid = {
            FIRST: (lights.first_deg, lights.first_nm),
            SECOND: (lights.second_deg, lights.second_nm),
            NEIGHBOUR: (lights.neighbour_deg, lights.neighbour_nm),
        }
        return {
            name: here + off_nm * NM * complex(np.exp(1j * np.radians(off_deg)))
            for name, (off_deg, off_nm) in laid.items()
        }

    def answer(self, at: int, ground_m: Complex) -> list[Entered]:
        """Return the two bearings that are taken because an alert asks for one; `ground_m`: her true way."""
        return self._two_bearings(at, ground_m, self._misses[-1])

    def _two_bearings(self, at: int, ground_m: Complex, misses_deg: tuple[float, float]) -> list[Entered]:
        """Take the two marks in sight that cut best; none where none do."""
        here = complex(ground_m[at])
        seen = {name: place - here for name, place in self.places.items() if abs(place - here) < SEEN_NM * NM}
        pairs = [
            (abs(np.sin(np.angle(seen[two] / seen[one]))), one, two)
            for one in seen
            for two in seen
            if one < two
        ]
        best = max(pairs, default=(0.0, "", ""))
        if best[0] < np.sin(np.radians(LEAST_CUT_DEG)):
            return []
        one_off, two_off = misses_deg
        return [
            self._bearing(at, ground_m, best[1], one_off),
            self._bearing(at + SECOND_BEARING_S, ground_m, best[2], two_off, adopts=self._adopts),
        ]

    def _bearings_of_lights(self, ground_m: Complex) -> list[Entered]:
        """Take the two lights of the onset; if mistaken, the second by its neighbour's bearing."""
        one_off, two_off = self._misses[-2]
        seen = NEIGHBOUR if self._draft.mistaken else SECOND
        at = self._draft.onset + 1
        second = at + SECOND_BEARING_S
        return [
            self._bearing(at, ground_m, FIRST, one_off),
            self._bearing(second, ground_m, SECOND, two_off, seen=seen, adopts=True),
        ]

    def _bearing(
        self,
        second: int,
        ground_m: Complex,
        name: str,
        off_deg: float,
        *,
        seen: str | None = None,
        adopts: bool = False,
    ) -> Entered:
        """Enter a bearing as that of a mark; `seen`: of which it really is."""
        boat, mark = (START.moved(each.real, each.imag) for each in (
            complex(ground_m[second]), self.places[seen or name],
        ))  # fmt: skip
        bearing_deg = round(boat.to(mark)[0] + off_deg) % 360
        body: dict[str, object] = {
            "id": f"b{second}", "kind": "bearing", "mark": name, "bearing_deg": bearing_deg,
            "reference": "true",
        }  # fmt: skip
        return Entered(second, "sighting", body, adopts)


def adopts_at(entered: Entered) -> int:
    """Return when the fix that an entry makes is adopted."""
    return entered.second + ADOPTED_AFTER_S - SECOND_BEARING_S
