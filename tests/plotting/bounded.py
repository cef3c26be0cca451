"""A plot of what bounds the boat: a sector, lights raised and dipped, a sounding; the coast is invented."""

from dataclasses import replace

from middlewatch.plotting.plot import Plot, Sight
from middlewatch.reports.fix import LimitsReport, LineReport
from plotting.everything import BEACON, BOAT, CHARTED, LIGHT, PLOT, at, place_report

BEARS_DEG, OFF_NM = BOAT.to(LIGHT.position)
_LIGHT = LIGHT.position.latitude_deg, LIGHT.position.longitude_deg
_BEACON = BEACON.position.latitude_deg, BEACON.position.longitude_deg

SECTOR = replace(LineReport("wedge", *_LIGHT, None, None, 1.0, None, at("2205")), from_deg=340.0, to_deg=20.0)
DARK = replace(
    LineReport("wedge", *_LIGHT, None, None, 1.0, None, at("2206")),
    from_deg=340.0, to_deg=10.0, others=(LimitsReport(60.0, 300.0),),
)  # fmt: skip
RAISED = replace(LineReport("circle", *_LIGHT, None, OFF_NM + 0.4, None, 0.25, at("2207")), inside=True)
DIPPED = LineReport("circle", *_BEACON, None, BOAT.to(BEACON.position)[1], None, 0.15, at("2208"))
TEN = CHARTED.contours[0]
SOUNDED = replace(
    LineReport("contour", 46.9875, -34.0, None, None, None, 0.2, at("2209")),
    depth_m=10.0, points=tuple(place_report(point) for point in TEN.points),
)  # fmt: skip

SIGHTS = (
    Sight("sector", "sector", SECTOR, None, BOAT, open=False),
    Sight("raised", "raised", RAISED, None, BOAT, open=False),
    Sight("dipped", "dipped", DIPPED, None, BOAT, open=False),
    Sight("sounded", "depth", SOUNDED, None, BOAT, open=False),
)
BOUNDED = Plot(at=PLOT.at, drs=PLOT.drs[:1], sights=SIGHTS, position=PLOT.position)
