"""The fault passages are what they say: well until the onset, and then the fault of the size drawn."""

from dataclasses import fields
from itertools import islice

import numpy as np
import pytest

from middlewatch.quantities.positions import offset_m
from watch.faults.aboard import Aboard
from watch.faults.crew import NEIGHBOUR, SECOND
from watch.faults.draft import NM, START, Entered, Kind, unit
from watch.faults.kinds import BY_NAME, KINDS, QUIET
from watch.faults.sea import STRONGEST_KN
from watch.faults.voyage import EARLIEST_S, LATEST_S, LIMIT_NM, MATTERS_BY_S, Voyage, voyage
from watch.sailed import KN, Complex

SEEDS = range(4)
each_kind = pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.name)
each_seed = pytest.mark.parametrize("seed", SEEDS)


def pair(name: str, seed: int) -> tuple[Voyage, Voyage]:
    """Return a passage with its fault, and the same one with all well."""
    return voyage(BY_NAME[name], seed), voyage(BY_NAME[name], seed, faulty=False)


def drawn_away_nm(faulty: Voyage, well: Voyage) -> Complex:
    """Return by how much the receiver is drawn off beside its own noise, nautical miles."""
    off_m = (faulty.told_m - faulty.ground_m) - (well.told_m - well.ground_m)
    return np.asarray(off_m / NM)


def entered_at(sailed: Voyage, kind: str, since: int) -> list[Entered]:
    """Return what of one kind is entered from a second on."""
    return [each for each in sailed.entries if each.body["kind"] == kind and each.second >= since]


def arrays(sailed: Voyage, until: int | None = None) -> dict[str, np.ndarray]:
    """Return all that is heard and true, up to a second."""
    named = ((each.name, getattr(sailed, each.name)) for each in fields(sailed))
    return {name: value[:until] for name, value in named if isinstance(value, np.ndarray)}


# --- all kinds ----------------------------------------------------------------------------------------------


@each_kind
def test_same_seed_same_passage(kind: Kind) -> None:
    """To the last digit, entries and marks included; another seed is another passage."""
    one, again, other = voyage(kind, 3), voyage(kind, 3), voyage(kind, 4)

    assert (one.entries, one.marks, one.onset) == (again.entries, again.marks, again.onset)
    assert all(np.array_equal(value, arrays(again)[name]) for name, value in arrays(one).items())
    assert not np.array_equal(one.heading_deg[:1000], other.heading_deg[:1000])


@each_kind
@each_seed
def test_all_is_well_before_the_onset(kind: Kind, seed: int) -> None:
    """Until then nothing heard or entered differs from the passage that stays well."""
    faulty, well = voyage(kind, seed), voyage(kind, seed, faulty=False)
    onset = faulty.onset
    before = [[each for each in sailed.entries if each.second < onset] for sailed in (faulty, well)]
    alike = {name: np.array_equal(value, arrays(well)[name]) for name, value in arrays(faulty).items()}

    assert EARLIEST_S <= onset <= LATEST_S
    assert all(np.array_equal(v, arrays(well, onset)[name]) for name, v in arrays(faulty, onset).items())
    assert before[0] == before[1]
    assert not all(alike.values()) or faulty.entries != well.entries


@each_kind
@each_seed
def test_the_stream_is_never_more_than_the_settings_say(kind: Kind, seed: int) -> None:
    """Tide and tide line together, before the onset and after."""
    assert np.abs(voyage(kind, seed).stream_kn).max() <= STRONGEST_KN


@each_kind
@each_seed
def test_it_is_long_enough_to_be_judged(kind: Kind, seed: int) -> None:
    """Ten minutes are left after the fault has come to matter, which takes half an hour at most."""
    sailed = voyage(kind, seed)

    assert sailed.onset <= sailed.felt <= sailed.matters <= sailed.onset + MATTERS_BY_S
    assert sailed.matters + 600 < sailed.seconds - 1


def test_faults_have_an_equal_share() -> None:
    """Each of the five causes is among the kinds, and no name stands twice."""
    assert {kind.cause for kind in KINDS} == {"entry", "satellite", "log", "compass", "stream"}
    assert len(BY_NAME) == len(KINDS) + 1
    assert QUIET.cause is None


# --- satellite ----------------------------------------------------------------------------------------------


@each_seed
def test_pulled(seed: int) -> None:
    """The receiver goes off at 1 to 5 kn on one bearing; boat, compass and log are as they were."""
    faulty, well = pair("pulled", seed)
    away = drawn_away_nm(faulty, well)[faulty.onset :]
    minutes = np.diff(away[::60])

    assert np.ptp(np.abs(minutes)) < 1e-6
    assert 1.0 <= abs(minutes[0]) * 60 <= 5.0
    assert np.array_equal(faulty.ground_m, well.ground_m)
    assert abs(away[faulty.matters - faulty.onset]) == pytest.approx(LIMIT_NM, abs=0.01)


@each_seed
def test_jumped(seed: int) -> None:
    """It is off by 0.3 to 3 nm from one second to the next, and stays so."""
    faulty, well = pair("jumped", seed)
    away = drawn_away_nm(faulty, well)

    assert away[faulty.onset] == 0.0
    assert 0.3 <= abs(away[faulty.onset + 1]) <= 3.0
    assert np.ptp(np.abs(away[faulty.onset + 1 :])) < 1e-9


@each_seed
def test_frozen(seed: int) -> None:
    """It says one place for ever, and the boat sails on."""
    sailed = voyage(BY_NAME["frozen"], seed)

    assert np.unique(sailed.told_m[sailed.onset :]).size == 1
    assert abs(sailed.ground_m[sailed.onset + 600] - sailed.ground_m[sailed.onset]) > 200.0


# --- log ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "least", "most"),
    [("log stopped", 0.0, 0.0), ("log fouled", 1 / 3, 2 / 3), ("log over-reading", 4 / 3, 4 / 3)],
)
@each_seed
def test_log(name: str, least: float, most: float, seed: int) -> None:
    """It shows that part of what it would, within 20 s of the onset, its total with it; the boat goes on."""
    faulty, well = pair(name, seed)
    after = slice(faulty.onset + 21, None)
    part = faulty.log_kn[after] / well.log_kn[after]

    # Both are rounded to hundredths of a knot.
    assert least - 0.02 <= part.min() <= part.max() <= most + 0.02
    assert np.ptp(part) < 0.03
    assert np.array_equal(faulty.ground_m, well.ground_m)
    if faulty.total_nm is not None:
        grown = np.diff(faulty.total_nm[[faulty.onset + 21, -1]])[0]
        assert grown == pytest.approx(faulty.log_kn[faulty.onset + 22 :].sum() / 3600, abs=0.011)


# --- compass ------------------------------------------------------------------------------------------------


@each_seed
def test_compass_stepped_by_hand(seed: int) -> None:
    """What it shows steps by 12 to 40 degrees; the boat goes straight on."""
    faulty, well = pair("compass stepped, by hand", seed)
    stepped = np.degrees(np.angle(unit(faulty.heading_deg - well.heading_deg)))[faulty.onset + 1 :]

    assert not faulty.autopilot
    assert 12.0 - 0.1 <= np.abs(stepped).min() <= np.abs(stepped).max() <= 40.0 + 0.1
    assert np.ptp(stepped) < 0.21
    assert np.array_equal(faulty.ground_m, well.ground_m)


@each_seed
def test_compass_stepped_under_autopilot(seed: int) -> None:
    """The boat turns by 12 to 40 degrees, and the compass shows what it showed."""
    faulty, well = pair("compass stepped, autopilot", seed)
    after = slice(faulty.onset + 60, None)
    water = [np.diff(each.ground_m)[after] / KN - each.stream_kn[1:][after] for each in (faulty, well)]
    turned = np.degrees(np.angle(water[0] / water[1]))

    assert faulty.autopilot
    assert np.array_equal(faulty.heading_deg, well.heading_deg)
    # Leeway is another on the other heading: up to 8 degrees by the wind, times a factor.
    assert 6.0 < np.abs(np.median(turned)) < 60.0
    if faulty.angle_deg is not None and well.angle_deg is not None:
        felt = np.degrees(np.angle(unit(faulty.angle_deg - well.angle_deg)))[after]
        assert np.sign(np.median(felt)) == -np.sign(np.median(turned))


@each_seed
def test_compass_stuck(seed: int) -> None:
    """It shows one heading, and within ten minutes the boat has turned by 30 degrees or more."""
    faulty, well = pair("compass stuck", seed)
    off = np.abs(np.degrees(np.angle(unit(well.heading_deg - faulty.heading_deg))))

    assert np.unique(faulty.heading_deg[faulty.onset + 1 :]).size == 1
    assert off[faulty.onset + 480 : faulty.onset + 600].mean() > 30.0
    assert np.array_equal(faulty.ground_m, well.ground_m)


# --- stream -------------------------------------------------------------------------------------------------


@each_seed
def test_tide_turns(seed: int) -> None:
    """After 40 minutes it runs the other way at 0.8 to 1.6 kn, and it never changes abruptly."""
    sailed = voyage(BY_NAME["tide turns"], seed)
    before, after = sailed.stream_kn[sailed.onset], sailed.stream_kn[sailed.onset + 2400]
    by_minute = np.abs(np.diff(sailed.stream_kn[sailed.onset :: 60]))

    assert abs(np.angle(-after / before)) < 1e-6
    assert 0.8 <= abs(after) <= 1.6
    assert by_minute.max() < 0.26  # 3.2 kn in 20 minutes, half as fast again in the middle: pi / 2 times 0.16


@each_seed
def test_tide_line(seed: int) -> None:
    """Within three minutes the stream is another by half a knot to one."""
    faulty, well = pair("tide line", seed)
    changed = np.abs(faulty.stream_kn - well.stream_kn)

    assert changed[faulty.onset] == 0.0
    assert 0.5 <= changed[faulty.onset + 180] <= 1.0
    assert np.ptp(changed[faulty.onset + 180 :]) < 1e-9


# --- entry --------------------------------------------------------------------------------------------------


@each_seed
def test_departure_wrong(seed: int) -> None:
    """Latitude or longitude as typed is off by half a mile to two miles; all else is as it was."""
    faulty, well = pair("departure wrong", seed)
    (typed,), (meant,) = (entered_at(each, "departure", each.onset) for each in (faulty, well))
    places = [
        (float(str(e.body["latitude_deg"])), float(str(e.body["longitude_deg"]))) for e in (meant, typed)
    ]
    off_nm = np.abs(offset_m(*places)) / NM

    assert 0.5 - 0.01 <= off_nm.max() <= 2.0 + 0.01
    assert off_nm.min() < 0.01
    assert np.array_equal(faulty.told_m, well.told_m)


@each_seed
def test_wrong_light(seed: int) -> None:
    """The second bearing is that of the light's neighbour, 5 to 20 degrees off, and its fix is adopted."""
    faulty, well = pair("wrong light", seed)
    wrong, right = (entered_at(each, "bearing", each.onset)[1] for each in (faulty, well))
    here = faulty.ground_m[wrong.second]
    boat = START.moved(here.real, here.imag)
    seen, meant = (boat.to(faulty.marks[name].position)[0] for name in (NEIGHBOUR, SECOND))
    off_deg = abs(
        (float(str(wrong.body["bearing_deg"])) - float(str(right.body["bearing_deg"])) + 180) % 360 - 180
    )

    assert wrong.body["mark"] == right.body["mark"] == SECOND
    assert wrong.adopts
    assert off_deg == pytest.approx(abs((seen - meant + 180) % 360 - 180), abs=1.01)
    assert 5.0 - 1.5 <= off_deg <= 20.0 + 1.5


@each_seed
def test_stream_backwards(seed: int) -> None:
    """The stream is ordered as it runs, but for half a circle."""
    faulty, well = pair("stream backwards", seed)
    (wrong,), (right,) = (entered_at(each, "stream", each.onset) for each in (faulty, well))
    set_deg = float(str(right.body["set_deg"]))
    runs = faulty.stream_kn[faulty.onset]

    assert wrong.body == {**right.body, "set_deg": (set_deg + 180.0) % 360.0}
    assert abs((set_deg - np.degrees(np.angle(runs)) + 180) % 360 - 180) < 60.0
    assert abs(runs) > 0.79


@each_seed
def test_by_hand_forgotten(seed: int) -> None:
    """The speed by hand was right when it was ordered; she slows by a knot and a half and it stands."""
    faulty, well = pair("by hand forgotten", seed)
    ordered = [entered_at(each, "by_hand", 0) for each in (faulty, well)]
    by_hand_kn = float(str(ordered[0][0].body["speed_kn"]))
    slowed = (
        well.log_kn[faulty.onset - 60 : faulty.onset].mean() - well.log_kn[faulty.onset + 30 :][:60].mean()
    )

    assert [len(each) for each in ordered] == [1, 2]
    assert (ordered[1][1].second, ordered[1][1].body["speed_kn"]) == (faulty.onset, None)
    assert by_hand_kn == pytest.approx(faulty.log_kn[ordered[0][0].second], abs=0.051)
    assert 1.0 < slowed < 3.0


# --- the sea, and the door ----------------------------------------------------------------------------------


@each_seed
def test_apparent_wind_is_the_true_wind_and_her_way(seed: int) -> None:
    """Taken together with her true way over the ground it gives one wind, whatever she steers."""
    sailed = next(
        each for each in (voyage(QUIET, seed + 10 * n) for n in range(9)) if each.angle_deg is not None
    )
    assert sailed.angle_deg is not None
    assert sailed.wind_kn is not None
    # The compass is off by a few degrees, which is nothing to a wind.
    felt = sailed.wind_kn * unit(sailed.angle_deg + sailed.heading_deg)
    blows = (felt[1:] - np.diff(sailed.ground_m) / KN)[60:]

    assert np.degrees(np.std(np.angle(blows / blows.mean()))) < 15.0
    assert 3.0 < abs(blows.mean()) < 25.0


def test_bearings_that_answer_an_alert_are_taken_of_what_is_there() -> None:
    """Two marks that cut well, within the doubt of a hand bearing of where they bear, 40 s apart."""
    sailed = next(each for each in (voyage(BY_NAME["pulled"], n) for n in range(20)) if each.marks)
    sights = sailed.crew.answer(sailed.onset + 200, sailed.ground_m)
    here = [sailed.ground_m[each.second] for each in sights]
    truly = [
        START.moved(at.real, at.imag).to(sailed.marks[str(each.body["mark"])].position)[0]
        for at, each in zip(here, sights, strict=True)
    ]
    off = [
        abs((float(str(each.body["bearing_deg"])) - bearing + 180) % 360 - 180)
        for each, bearing in zip(sights, truly, strict=True)
    ]

    assert [each.second - sailed.onset for each in sights] == [200, 240]
    assert abs(np.sin(np.radians(truly[1] - truly[0]))) > np.sin(np.radians(34.0))
    assert max(off) < 4 * 3.0


@pytest.mark.parametrize("name", ["wrong light", "by hand forgotten", "quiet"])
def test_the_navigator_takes_all_that_is_entered(name: str) -> None:
    """Through its own door: nothing is refused, fixes are adopted, and the honest gap is about the limit."""
    sailed = voyage(BY_NAME[name], 2, faulty=False)
    boat = Aboard(sailed, samples=500)
    gaps_nm = [told.satellite.gap_nm for told in islice(boat.sail(), sailed.onset + 300)]

    assert boat.refused == []
    assert boat.fixes
    assert gaps_nm[0] is None
    assert max(gap for gap in gaps_nm if gap is not None) < 3.0
