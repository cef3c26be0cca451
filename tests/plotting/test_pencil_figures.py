"""What is to be pencilled, drawn again with geographiclib from the words alone, leads to the place."""

import re
from dataclasses import replace

import pytest
from geographiclib.geodesic import Geodesic

from middlewatch.plotting.pencil_this import pencil_this
from middlewatch.plotting.plot import Charted, Dr, Plot
from middlewatch.quantities.positions import Position
from plotting.bounded import BOUNDED, DARK, DIPPED, RAISED, SECTOR
from plotting.conftest import Sailed
from plotting.everything import BEACON, BOAT, CHARTED, LIGHT, PLOT, at

# Half a degree of direction and half a tenth of a mile: what three figures and one decimal leave open.
HALF_DEG, HALF_TENTH_NM = 0.5, 0.05


def dues(plot: Plot, charted: Charted) -> dict[str, list[str]]:
    """Return the lines below each heading."""
    found: dict[str, list[str]] = {}
    head = ""
    for line in pencil_this(plot, charted):
        if line.startswith("  "):
            found[head].append(line[2:])
        else:
            head = line
            found[head] = []
    return found


def laid_off(mark: Position, direction_deg: float, miles: float) -> Position:
    """Return where a direction and distance from a mark lead, by geographiclib."""
    end = Geodesic.WGS84.Direct(mark.latitude_deg, mark.longitude_deg, direction_deg, miles * 1852.0)
    return Position(end["lat2"], end["lon2"])


def apart_nm(one: Position, other: Position) -> float:
    """Return how far two places are apart, by geographiclib."""
    way = Geodesic.WGS84.Inverse(one.latitude_deg, one.longitude_deg, other.latitude_deg, other.longitude_deg)
    return float(way["s12"]) / 1852.0


def room_nm(miles: float) -> float:
    """Return how far off a place may come out that was written in whole degrees and tenths of a mile."""
    return HALF_TENTH_NM + HALF_DEG / 57.3 * (miles + HALF_TENTH_NM) + 0.001


def test_each_fix_and_dr_is_where_its_bearing_and_distance_from_the_mark_lead(sailed: Sailed) -> None:
    """Laid off from the nearest mark as written, every fix and every DR due comes out where it is."""
    plot, charted = sailed.plot, sailed.charted
    points = [(point.at, point.place) for dr in plot.drs for point in dr.points]
    places = [*points, *((fix.at, Position(fix.latitude_deg, fix.longitude_deg)) for fix in plot.fixes)]
    checked = 0
    for head, lines in dues(plot, charted).items():
        for line in lines:
            told = re.fullmatch(r"lay off from (.+) (\d{3}) T, (\d{3}) M, ([\d.]+) nm", line)
            if told is None:
                continue
            name, true, magnetic, miles = told.groups()
            end = laid_off(charted.marks[name].position, float(true), float(miles))
            wanted = [place for when, place in places if when.clock == head[:4]]
            assert min(apart_nm(end, place) for place in wanted) < room_nm(float(miles))
            assert charted.variation is not None
            # True less east variation is magnetic; both are rounded.
            turned = (float(true) - float(magnetic) - charted.variation.value_deg + 180.0) % 360.0 - 180.0
            assert abs(turned) <= 1.0
            checked += 1
    assert checked == len(dues(plot, charted))


def test_the_line_of_a_running_fix_drawn_as_written_passes_the_fix(sailed: Sailed) -> None:
    """From the mark, moved by the run as written, the direction as written leads past the fix."""
    checked = 0
    for fix in sailed.plot.fixes:
        head = next(
            h for h in dues(sailed.plot, sailed.charted) if h.startswith(f"{fix.at.clock} {fix.label}")
        )
        place = Position(fix.latitude_deg, fix.longitude_deg)
        for line in dues(sailed.plot, sailed.charted)[head]:
            told = re.match(
                r"from (.+?)(?: moved ([\d.]+) nm (\d{3}) T by the run since \d{4})? draw (\d{3}) T", line
            )
            if told is None:
                continue
            name, run, along, drawn = told.groups()
            mark = sailed.charted.marks[name].position
            foot = mark if run is None else laid_off(mark, float(along), float(run))
            off = apart_nm(foot, place)
            moved_nm = 0.0 if run is None else float(run) * HALF_DEG / 57.3 + 0.005
            # Half a degree of the direction drawn, what the run was rounded by, and the meridians' own turn.
            assert apart_nm(laid_off(foot, float(drawn), off), place) < off * 0.7 / 57.3 + moved_nm + 0.01
            checked += 1
    assert checked == 2 * len(sailed.plot.fixes)


def test_each_due_has_what_the_trade_asks_for(sailed: Sailed) -> None:
    """Hour, alteration, fix: time, place, label, course T and M, bearing and distance of a mark."""
    for head, lines in dues(sailed.plot, sailed.charted).items():
        assert re.match(r"\d{4} (DR, |(R )?Fix at )", head)
        assert re.search(r"\d\d \d\d(\.\d+)? N \d{3} \d\d(\.\d+)? W; label \d{4}", head)
        assert any(re.fullmatch(r".+ bears \d{3} T, \d{3} M, [\d.]+ nm off", line) for line in lines)
        if " DR, " in head:
            assert any(
                re.match(r"from there course \d{3} T, \d{3} M, speed [\d.]+ kn", line) for line in lines
            )
        else:
            assert any(line.startswith("DR at the fix ") for line in lines)
            assert any(re.search(r"label \d{4}-\d{4}", line) for line in lines)
            assert any(line.startswith("area, 95 in 100: ") for line in lines)


def test_a_change_of_speed_is_due_too() -> None:
    """A DR plotted where the speed was altered says so, with the new speed."""
    dr = PLOT.drs[0]
    slowed = replace(dr.points[1], due="speed", speed_kn=3.0)
    plot = Plot(at=PLOT.at, drs=(replace(dr, points=(dr.points[0], slowed)),))

    assert any(head.startswith("2150 DR, altered speed: ") for head in dues(plot, CHARTED))


def test_the_set_at_a_fix_is_told_from_the_dr_then() -> None:
    """Where set and drift were measured, the DR they were measured from is given with them."""
    lines = dues(PLOT, CHARTED)["2200 R Fix at 46 57.9 N 034 00.6 W; label 2200 R Fix"]

    assert any(
        line.startswith("DR at the fix 46 57.1 N 034 00.4 W; label 2200; from it set 350 T, ")
        for line in lines
    )


def test_the_sights_of_a_withdrawn_fix_are_still_told() -> None:
    """Her lines stay on the chart though the fix is struck through; what was withdrawn is struck itself."""
    told = dues(PLOT, CHARTED)

    assert "2210 bearing withdrawn: strike it through, do not rub it out" in told
    sights = tuple(replace(each, withdrawn=False) for each in PLOT.sights)
    assert any(head.startswith("2210 bearing: from ") for head in dues(replace(PLOT, sights=sights), CHARTED))


def test_at_a_mark_no_bearing_is_made_up() -> None:
    """Within half a tenth of a mile of the nearest mark she is at it."""
    start = replace(PLOT.drs[0].points[0], place=BEACON.position.moved(40.0, 0.0))
    plot = Plot(at=at("2100"), drs=(Dr(PLOT.drs[0].origin, (start.place,), (start,)),))

    (lines,) = dues(plot, CHARTED).values()
    assert "at Orran Perch" in lines
    assert not any(" bears " in line for line in lines)


# --- what bounds the boat ---------------------------------------------------------------------------


def test_a_sector_is_told_by_its_limits() -> None:
    """The limits as they bear from the boat, true and magnetic, how far they may be out, and the label."""
    assert (
        "2205 sector: draw the limits on which Carrow <Head> & light bears 340 T, 351 M and 020 T, 031 M: "
        "the boat is between them, clockwise; each may be 2.0° out (95 in 100); label 2205"
    ) in pencil_this(BOUNDED, CHARTED)
    assert SECTOR.sd_deg == pytest.approx(2.0 / 1.96, abs=0.03)


def test_of_several_gaps_each_is_told() -> None:
    """A light that was dark: between these limits, or between those."""
    plot = replace(BOUNDED, sights=(replace(BOUNDED.sights[0], line=DARK),))
    (line,) = [line for line in pencil_this(plot, CHARTED) if line.startswith("2206 sector")]

    assert "bears 340 T, 351 M and 010 T, 021 M, or 060 T, 071 M and 300 T, 311 M: the boat" in line
    all_round = replace(plot, sights=(replace(BOUNDED.sights[0], line=replace(SECTOR, to_deg=340.0)),))
    assert any("shows so all round: no limit to draw" in line for line in pencil_this(all_round, CHARTED))


def test_lights_raised_and_dipped_are_told_with_their_side() -> None:
    """At or inside the arc, or on it, and how far the arc may be out."""
    lines = pencil_this(BOUNDED, CHARTED)
    raised, dipped = (f"draw an arc of {line.radius_nm:.2f} nm: the boat is " for line in (RAISED, DIPPED))

    assert any(raised + "at or inside it, which may be 0.5 nm out" in line for line in lines)
    assert any(dipped + "on it, which may be 0.3 nm out" in line for line in lines)
    assert apart_nm(BOAT, LIGHT.position) == pytest.approx((RAISED.radius_nm or 0.0) - 0.4, abs=1e-6)


def test_a_sounding_is_told_by_its_contour() -> None:
    """Which contour, about where, and how far off it she may be."""
    assert any(
        "trace the 10 m contour about 46 59.25 N 034 00.00 W: the boat is near it, up to 0.39 nm off it"
        in line
        for line in pencil_this(BOUNDED, CHARTED)
    )


def test_lone_sights_that_are_withdrawn_or_open_are_told_as_such() -> None:
    """Struck through, not rubbed out; drawn dashed while doubtful."""
    sector, raised, *_ = BOUNDED.sights
    plot = replace(BOUNDED, sights=(replace(sector, withdrawn=True), replace(raised, open=True)))
    told = dues(plot, CHARTED)

    assert "2205 sector withdrawn: strike it through, do not rub it out" in told
    (opened,) = [lines for head, lines in told.items() if head.startswith("2207 raised: ")]
    assert opened == ["doubtful and open: draw it dashed"]
