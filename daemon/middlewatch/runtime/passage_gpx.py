"""A passage as GPX 1.1: the EP as tracks with times, the fixes as waypoints (schema: from memory).

The schema wants its elements in its own order: metadata, wpt, rte, trk; within a point time, name, cmt, desc,
src, type. A reckoning has no place in the element `fix`, which is for satellites, and leaves it out.
"""

from itertools import groupby
from xml.etree.ElementTree import Element, SubElement, indent, tostring

from middlewatch.quantities.positions import longitude
from middlewatch.runtime.passage import Passage, Point, Track, superseded
from middlewatch.runtime.passage_geojson import CAUTION
from middlewatch.runtime.reports_told import Json

NAMESPACE = "http://www.topografix.com/GPX/1/1"
_SCHEMA = f"{NAMESPACE} {NAMESPACE}/gpx.xsd"
_INSTANCE = "http://www.w3.org/2001/XMLSchema-instance"
_SOURCE = "dead reckoning by heading and log; not by satellite"


def gpx(passage: Passage, boat: str) -> str:
    """Return the passage as a GPX document; only the newest of each fix's revisions, none withdrawn."""
    root = Element(
        "gpx",
        {
            "version": "1.1",
            "creator": "middlewatch",
            "xmlns": NAMESPACE,
            "xmlns:xsi": _INSTANCE,
            "xsi:schemaLocation": _SCHEMA,
        },
    )
    eps = [track for track in passage.tracks if track.of == "ep"]
    metadata = SubElement(root, "metadata")
    _texts(metadata, name=f"Passage of {boat} by dead reckoning", desc=CAUTION)
    if eps:
        _texts(metadata, time=str(eps[0].whole[0].at))
    gone = superseded(passage)
    for fix in passage.fixes.values():
        if fix["id"] not in gone:
            _waypoint(root, fix)
    for origin, tracks in groupby(eps, key=lambda track: track.origin):
        _track(root, str(origin).split()[0], list(tracks))
    indent(root, space=" ")
    return '<?xml version="1.0" encoding="UTF-8"?>\n' + tostring(root, encoding="unicode") + "\n"


def _waypoint(root: Element, fix: Json) -> None:
    waypoint = _at(root, "wpt", fix["latitude_deg"], fix["longitude_deg"])
    clock = fix["at"][11:16].replace(":", "")
    _texts(
        waypoint,
        time=fix["at"],
        name=f"{fix['label']} {clock}",
        cmt=fix["worth"],
        desc=f"{fix['id']} by {', '.join(fix['sightings'])}. {CAUTION}",
        src="lines of position",
        type=fix["label"],
    )


def _track(root: Element, origin: str, tracks: list[Track]) -> None:
    track = SubElement(root, "trk")
    _texts(track, name=f"EP since {origin}", desc=CAUTION, src=_SOURCE, type="EP")
    for each in tracks:
        segment = SubElement(track, "trkseg")
        for point in each.whole:
            _track_point(segment, point)


def _track_point(segment: Element, point: Point) -> None:
    _texts(_at(segment, "trkpt", point.place.latitude_deg, point.place.longitude_deg), time=str(point.at))


def _at(parent: Element, name: str, latitude_deg: float, longitude_deg: float) -> Element:
    # 180 itself is no longitude of the schema: the same meridian is -180 there.
    east = longitude(round(longitude_deg, 7))
    return SubElement(parent, name, {"lat": f"{latitude_deg:.7f}", "lon": f"{east:.7f}"})


def _texts(parent: Element, **texts: str) -> None:
    for name, text in texts.items():
        SubElement(parent, name).text = text
