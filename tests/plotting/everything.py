"""A plot with everything on it that a sheet can bear, made by hand; the coast is invented."""

from dataclasses import replace
from typing import Literal

from geographiclib.geodesic import Geodesic

from middlewatch.plotting.plot import Charted, Dr, DrPoint, Plot, Sight, Variation
from middlewatch.quantities.instants import Instant
from middlewatch.quantities.positions import Position, offset_m
from middlewatch.readings.dangers import Danger
from middlewatch.readings.marks import Contour, Mark, Sector
from middlewatch.reports.answer import ChainReport
from middlewatch.reports.area import AreaReport, Outline
from middlewatch.reports.fix import CockedHatReport, FixReport, LineReport
from middlewatch.reports.place import PlaceReport
from middlewatch.reports.position import (
    BasisReport,
    DrReport,
    EpReport,
    OriginReport,
    PositionReport,
    SourceReport,
)
from middlewatch.reports.satellite import SatelliteReport

LIGHT = Mark(
    name="Carrow <Head> & light",
    position=Position(47.02, -34.0),
    range_nm=15.0,
    character="Fl WRG 5s 15M",
    sectors=(Sector("red", 300.0, 340.0), Sector("white", 340.0, 20.0), Sector("green", 20.0, 60.0)),
)
BEACON = Mark(name="Orran Perch", position=Position(46.99, -33.93))
BOAT = Position(46.965, -34.01)
SHORE = (Position(47.0, -34.08), Position(47.005, -34.05), Position(47.0, -34.02))
BANK = (
    Position(46.95, -33.99),
    Position(46.95, -33.96),
    Position(46.935, -33.96),
    Position(46.935, -33.99),
    Position(46.95, -33.99),
)
CHARTED = Charted(
    boat="kittiwake",
    marks={mark.name: mark for mark in (LIGHT, BEACON)},
    contours=(Contour("ten", 10.0, (Position(46.99, -34.1), Position(46.985, -33.9)), 50.0, 100.0),),
    dangers=(
        Danger("Garvel Rock", "point", ((Position(46.975, -34.06),),), 300.0),
        Danger("Harrack shore", "line", (SHORE,), 200.0),
        Danger("Skerran bank", "area", (BANK,), 150.0),
    ),
    variation=Variation(-11.0, "made up"),
)


def at(clock: str) -> Instant:
    """Return a time of the evening, given as `2230`."""
    return Instant.parse(f"2026-05-02T{clock[:2]}:{clock[2:]}:00Z")


def bearing(boat: Position, mark: Position) -> float:
    """Return what a mark bears, degrees true, by the geodesic."""
    way = Geodesic.WGS84.Inverse(boat.latitude_deg, boat.longitude_deg, mark.latitude_deg, mark.longitude_deg)
    return float(way["azi1"]) % 360.0


def ray(boat: Position, mark: Position, clock: str) -> LineReport:
    """Return the line of a bearing without error."""
    where = mark.latitude_deg, mark.longitude_deg
    return LineReport("ray", *where, bearing(boat, mark), None, 2.5, None, at(clock))


def carried(line: LineReport, north_m: float, east_m: float, clock: str) -> LineReport:
    """Return a line carried on by a run."""
    mark = Position(line.latitude_deg, line.longitude_deg).moved(north_m, east_m)
    return replace(
        line, latitude_deg=mark.latitude_deg, longitude_deg=mark.longitude_deg, transferred_to=at(clock)
    )


def fix(id_: str, clock: str, place: Position, lines: dict[str, LineReport], **more: object) -> FixReport:
    """Return a fix of these lines."""
    usual = FixReport(
        id=id_, at=at(clock), label="Fix", latitude_deg=place.latitude_deg, longitude_deg=place.longitude_deg,
        sightings=tuple(lines), lines=tuple(lines.values()), cut_deg=60.0, distance_off_nm=3.0, set_deg=None,
        drift_kn=None, drift_sd_kn=None, over_s=None, area=None, dr=None, flags=(), worth="",
    )  # fmt: skip
    return replace(usual, **more)  # type: ignore[arg-type]  # whatever a test gives is a field of it


def place_report(place: Position) -> PlaceReport:
    """Return a place as reports have it."""
    return PlaceReport(place.latitude_deg, place.longitude_deg)


BEFORE = BOAT.moved(-900.0, 5200.0)
RUN_M = offset_m((BEFORE.latitude_deg, BEFORE.longitude_deg), (BOAT.latitude_deg, BOAT.longitude_deg))
EARLY, LATE, SECOND = (
    ray(BEFORE, LIGHT.position, "2130"),
    ray(BOAT, LIGHT.position, "2200"),
    ray(BOAT, BEACON.position, "2200"),
)
RANGE = LineReport(
    "circle",
    LIGHT.position.latitude_deg,
    LIGHT.position.longitude_deg,
    None,
    BOAT.to(LIGHT.position)[1],
    None,
    0.1,
    at("2201"),
)
PASSED = LineReport("point", 46.968, -33.945, None, None, None, 0.05, at("2125"))
CHAIN = ChainReport(None, None, 12.0, -11.0, "made up", 1.0)
HAT = CockedHatReport(
    tuple(place_report(BOAT.moved(*step)) for step in ((400.0, 0.0), (-200.0, 350.0), (-200.0, -350.0))), 0.4
)


def area(centre: Position, half_m: float) -> AreaReport:
    """Return an area whose outline is a square standing on a corner."""
    corners = (complex(half_m, 0), complex(0, half_m), complex(-half_m, 0), complex(0, -half_m))
    where = centre.latitude_deg, centre.longitude_deg
    outline = Outline(*where, (corners,))
    return AreaReport(
        *where, half_m / 1852, half_m / 1852, 0.0, 0.95, "ellipse", outline, PlaceReport(*where)
    )  # fmt: skip


def origin(kind: Literal["departure", "fix"], id_: str, clock: str, place: Position) -> OriginReport:
    """Return an origin of the DR."""
    where = place.latitude_deg, place.longitude_deg
    return OriginReport(kind, id_, at(clock), *where, "made up", None)


START = BOAT.moved(-1500.0, 9000.0)
TURN = BOAT.moved(-900.0, 2000.0)
OLD_END = BOAT.moved(-800.0, -3000.0)
NEW_END = BOAT.moved(100.0, -4000.0)
EP_END = NEW_END.moved(700.0, -200.0)
DR_OLD = Dr(
    origin("departure", "departure-2100", "2100", START),
    (START, TURN, OLD_END),
    (
        DrPoint(at("2100"), "departure", START, None, 275.0, 5.0, 0.2),
        DrPoint(at("2150"), "course", TURN, TURN.moved(500.0, 0.0), 271.0, 5.0, 0.5),
        DrPoint(at("2200"), "hour", BOAT.moved(-890.0, 500.0), BOAT.moved(-300.0, 400.0), 271.0, 5.0, 0.6),
    ),
    replaced=at("2205"),
    left=BOAT.moved(-880.0, -300.0),
)
DR_NEW = Dr(
    origin("fix", "f-late", "2200", BOAT),
    (BOAT, NEW_END),
    (DrPoint(at("2200"), "fix", BOAT, None, 271.0, 5.0, 0.3),),
)
POSITION = PositionReport(
    at=at("2230"),
    way="under_way",
    dr=DrReport(NEW_END.latitude_deg, NEW_END.longitude_deg, at("2200"), 2.2),
    ep=EpReport(EP_END.latitude_deg, EP_END.longitude_deg, ("stream 000 T 0.9 kn until 2345",)),
    area=area(EP_END, 1400.0),
    allowance_nm=None,
    heading_true_deg=271.0,
    speed_kn=5.0,
    speed_reference="water",
    basis=BasisReport(SourceReport("HCHDG@bow", 0.4), SourceReport("VWVHW@bow", 0.4)),
    origin=DR_NEW.origin,
)
SATELLITE = SatelliteReport(
    at("2230"), "apart", ("wide",), at("2215"), 1.2, 200.0, 0.5, 0.5, None, None, None, reason=None
)
GONE = ray(BOAT.moved(600, 0), BEACON.position, "2210")
PLOT = Plot(
    at=at("2230"),
    drs=(DR_OLD, DR_NEW),
    sights=(
        Sight("early", "bearing", EARLY, CHAIN, BEFORE, open=False),
        Sight("passed", "passing", PASSED, None, None, open=False),
        Sight("late", "bearing", LATE, CHAIN, BOAT, open=False),
        Sight("second", "bearing", SECOND, CHAIN, BOAT, open=False),
        Sight("range", "range", RANGE, None, BOAT, open=True),
        Sight("gone", "bearing", GONE, CHAIN, BOAT, open=False, withdrawn=True),
    ),
    fixes=(
        fix(
            "f-late", "2200", BOAT, {"early": carried(EARLY, *RUN_M, "2200"), "late": LATE},
            label="R Fix", set_deg=350.0, drift_kn=0.9, drift_sd_kn=0.3, over_s=3600.0,
            dr=place_report(BOAT.moved(-1400.0, 300.0)), area=area(BOAT, 600.0),
        ),
        fix(
            "f-range", "2201", BOAT, {"late": LATE, "second": SECOND, "range": RANGE}, cocked_hat=HAT,
            rival=place_report(BOAT.moved(900.0, 2500.0)), flags=("cocked hat 0.4 nm",),
            area=area(BOAT, 250.0),
        ),
        fix("f-gone", "2210", BOAT.moved(500.0, -900.0), {"gone": SECOND}, withdrawn=True),
    ),
    position=POSITION,
    satellite=SATELLITE,
)  # fmt: skip
