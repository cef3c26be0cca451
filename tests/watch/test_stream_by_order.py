"""A stream by order that does not show: who says so, when, and who keeps quiet."""

from collections.abc import Iterator
from dataclasses import replace
from math import hypot

import pytest
from scipy.stats import multivariate_normal  # type: ignore[import-untyped]  # it ships no types

from area.model import chance
from entries.entering import START, utc
from entries.entering import Aboard as Hand
from middlewatch.navigator.tuning import Tuning
from middlewatch.navigator.watch.explaining import FEWEST
from middlewatch.navigator.watch.ordered import FIRST_SPELLS, NOISE_KN, shown
from middlewatch.navigator.watch.spells import KEPT, Spell, StreamByOrder
from middlewatch.navigator.watch.weighing import SURELY
from middlewatch.reports.alert import AlertReport
from middlewatch.reports.satellite import SatelliteReport
from watch.faults.aboard import Aboard
from watch.faults.draft import Entered
from watch.faults.kinds import BY_NAME
from watch.faults.voyage import Voyage, voyage
from watch.sailed import KN

STRONGEST_KN = 2.0
ORDER = StreamByOrder(90.0, 1.4, 0.62)


def spell(second: int, apart: complex, ordered: StreamByOrder | None, laid: complex = 0j + 1.4j) -> Spell:
    """Return half a minute of five knots due north, with what the receiver made and what is laid off."""
    return Spell(
        second, (apart.real, apart.imag), (5.0, 0.0), (laid.real, laid.imag), 0.0,
        log_stepped=False, turned=False, heading_by_hand=False, speed_by_hand=False, ordered=ordered,
    )  # fmt: skip


def spells(*aparts: complex, ordered: StreamByOrder | None = ORDER) -> list[Spell]:
    """Return spells under one order."""
    return [spell(30 * n, apart, ordered) for n, apart in enumerate(aparts)]


def test_the_odds_are_those_of_two_normal_densities() -> None:
    """As scipy has the densities: about what was ordered, and about no stream, as wide as the sea's."""
    found = shown(spells(*[-0.2 - 1.1j] * 8), STRONGEST_KN)
    right, wrong = hypot(ORDER.sd_kn, NOISE_KN), hypot(0.45 * STRONGEST_KN, NOISE_KN)
    as_ordered = multivariate_normal([0.0, 1.4], right**2).logpdf([-0.2, -1.1])
    as_any = multivariate_normal([0.0, 0.0], wrong**2).logpdf([-0.2, -1.1])

    assert found is not None
    assert found.odds == pytest.approx(as_any - as_ordered, rel=1e-9)


def test_a_right_order_is_surely_wrong_once_in_thousands() -> None:
    """Of 20,000 streams that are what was ordered, as well as that is known, under 1 in 1,000 is accused."""
    draw = chance(5, 0)
    off = (draw.normal(size=20_000) + 1j * draw.normal(size=20_000)) * ORDER.sd_kn
    accused = sum(
        found is not None and found.odds > SURELY
        for found in (shown(spells(*[1.4j + complex(each)] * FEWEST), STRONGEST_KN) for each in off)
    )

    assert 0 < accused < 20


def test_only_the_order_that_stands_is_judged_by_its_first_ten_minutes() -> None:
    """What came before another order, or after ten minutes, is not held against it."""
    before, other = spells(*[-1.4j] * 30), StreamByOrder(270.0, 1.4, 0.62)
    after = [spell(900 + 30 * n, -1.4j, other, -1.4j) for n in range(FIRST_SPELLS)]
    later = [spell(1500 + 30 * n, 1.4j, other, -1.4j) for n in range(30)]
    found = shown(before + after + later, STRONGEST_KN)

    assert found is not None
    assert found.odds < 0.0
    assert "1.4 kn towards 270 T is ordered" in found.words
    assert shown(spells(*[-1.4j] * (FEWEST - 1)), STRONGEST_KN) is None
    assert shown(spells(*[-1.4j] * 9, ordered=None), STRONGEST_KN) is None


def test_an_order_whose_beginning_is_kept_no_more_is_not_judged_anew() -> None:
    """With three quarters of an hour of spells under one order the oldest of them are not its first."""
    kept = spells(*[1.4j] * KEPT)
    from_the_start = [shown(each, STRONGEST_KN) for each in (kept[1:], spells(1.4j, ordered=None) + kept[1:])]

    assert all(each is not None and each.from_the_start for each in from_the_start)
    found = shown(kept, STRONGEST_KN)
    assert found is not None
    assert not found.from_the_start


# --- through the navigator ----------------------------------------------------------------------------------


def questioned(sailed: Voyage) -> Iterator[tuple[int, AlertReport]]:
    """Sail a passage; yield when an alert questions the stream by order, from its onset on."""
    for told in Aboard(sailed, 500).sail():
        for alert in told.raised:
            if told.second > sailed.onset and "is ordered, the satellites made it" in alert.text:
                yield told.second, alert


def amended(sailed: Voyage, after_s: int) -> Voyage:
    """Return the passage with the stream's order amended to the other way some time after it."""
    order = next(each for each in sailed.entries if each.body["kind"] == "stream")
    right_deg = (float(str(order.body["set_deg"])) + 180.0) % 360.0
    body: dict[str, object] = {
        "id": "right", "kind": "amend", "entry": order.body["id"], "change": {"set_deg": right_deg},
    }  # fmt: skip
    change = Entered(sailed.onset + after_s, "order", body)
    return replace(sailed, entries=tuple(sorted((*sailed.entries, change), key=lambda each: each.second)))


def test_a_stream_ordered_backwards_is_questioned_in_minutes() -> None:
    """A caution names the order and both streams, before the gap has passed any limit."""
    sailed = voyage(BY_NAME["stream backwards"], 63)
    second, alert = next(questioned(sailed))

    assert second - sailed.onset <= 300 < sailed.matters - sailed.onset
    assert alert.priority == "caution"
    assert f"look at the order (o{sailed.onset})" in alert.text


def test_amended_it_is_questioned_no_more() -> None:
    """Amended to the right way, the caution ends and does not come again."""
    sailed = amended(voyage(BY_NAME["stream backwards"], 63), 400)
    boat = Aboard(sailed, 500)
    alerts = boat.navigator.room.alerts
    stood = [told.second - sailed.onset for told in boat.sail() if alerts.stands("satellite", "ordered")]

    assert boat.refused == []
    assert 60 < stood[0] <= 300
    assert stood[-1] <= 405


def test_an_order_to_blame_stays_so_when_its_beginning_is_kept_no_more() -> None:
    """Backwards, not so plainly that it is questioned: after an hour it is not the stream that is wrong."""
    boat = Hand(Tuning(area_warn_nm=9.0))
    boat.satellites = lambda second: START.moved(0.1 * (second % 7), 7.2 * KN * (second - 10))
    boat.run(10)
    boat.depart()
    boat.order(id="st", kind="stream", set_deg=270, drift_kn=1.2, until=utc(3 * 3600))
    boat.run(1200)
    assert boat.satellite.causes[0].cause == "entry"
    boat.run(2700)

    first = boat.satellite.causes[0]
    assert (first.cause, first.weight > 0.9) == ("entry", True)


@pytest.mark.parametrize("seed", [63, 13, 21, 29])
def test_a_stream_ordered_rightly_is_not_questioned(seed: int) -> None:
    """The same passages with the order as it should be."""
    sailed = voyage(BY_NAME["stream backwards"], seed, faulty=False)

    assert any(each.body["kind"] == "stream" for each in sailed.entries)
    assert list(questioned(sailed)) == []


def test_a_receiver_that_does_what_no_sea_does_is_no_word_against_an_order() -> None:
    """It goes north at 4 kn while she goes north-east at 5.5: it is blamed, not the half knot ordered."""
    boat = Hand(Tuning(area_warn_nm=5.0), satellites=lambda second: START.moved(3.9 * KN * second, 0.0))
    boat.heading_magnetic_deg, boat.speed_kn = 50.0, 5.5
    boat.run(10)
    boat.depart()
    boat.order(id="s1", kind="stream", set_deg=90, drift_kn=0.5)
    boat.run(600)
    told = next(each for each in reversed(boat.said) if isinstance(each, SatelliteReport))

    assert [each for each in boat.alerts("satellite") if "look at the order" in each.text] == []
    assert told.causes[0].cause == "satellite"
