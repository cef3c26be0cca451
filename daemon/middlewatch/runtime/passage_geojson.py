"""A passage as GeoJSON (RFC 7946): each thing that a navigator would draw, with the reports' own keys."""

import json
from collections.abc import Iterable, Iterator, Mapping

from middlewatch.quantities.positions import Position
from middlewatch.readings.marks import Mark
from middlewatch.runtime import passage_shapes as shapes
from middlewatch.runtime.passage import Area, Passage, Track, superseded
from middlewatch.runtime.reports_told import Json

CAUTION = (
    "An aid only: chart, lookout, local rules and licensed practice come first. A reckoning sees no other "
    "vessel, no floating thing, nothing that was not entered, and no chart."
)

_RAY_BEYOND = 1.5
_RAY_NM = 10.0
"""How far a ray is drawn: half as far again as the EP was from the mark, or so far where no EP was known."""

_FIX_KEYS = (
    "id", "at", "label", "sightings", "cut_deg", "distance_off_nm", "set_deg", "drift_kn", "drift_sd_kn",
    "over_s", "flags", "worth", "revises", "withdrawn",
)  # fmt: skip
_LINE_KEYS = (
    "shape", "latitude_deg", "longitude_deg", "bearing_deg", "radius_nm", "sd_deg", "sd_nm", "at",
    "transferred_to", "inside", "from_deg", "to_deg", "others", "depth_m",
)  # fmt: skip
_AREA_KEYS = ("probability", "shape", "semi_major_nm", "semi_minor_nm", "orientation_deg")


def geojson(passage: Passage, marks: Mapping[str, Mark]) -> str:
    """Return the passage as one FeatureCollection, a feature a line; `marks` are drawn with it."""
    gone = superseded(passage)
    features = [
        *_tracks(passage.tracks),
        *(_mark(mark) for mark in marks.values()),
        *(_area(area, gone) for area in passage.areas),
        *_lines(passage),
        *(_fix(fix, gone) for fix in passage.fixes.values()),
    ]
    inside = ",\n".join(json.dumps(each, ensure_ascii=False, allow_nan=False) for each in features)
    caution = json.dumps(CAUTION)
    return f'{{"type": "FeatureCollection", "caution": {caution}, "features": [\n{inside}\n]}}\n'


def _feature(geometry: Json | None, kind: str, properties: Json) -> Json:
    return {"type": "Feature", "geometry": geometry, "properties": {"kind": kind, **properties}}


def _tracks(tracks: Iterable[Track]) -> Iterator[Json]:
    for track in tracks:
        points = track.whole
        if len(points) < 2:
            continue
        ends: Json = {"from": str(points[0].at), "to": str(points[-1].at)}
        # A track that is cut has one time more for each cut than places were told.
        origin = None if track.origin is None else track.origin.split()[0]
        times = [str(point.at) for point in points]
        said = {"of": track.of, "origin": origin, **ends, "times": times}
        yield _feature(shapes.line(point.place for point in points), "track", said)


def _mark(mark: Mark) -> Json:
    return _feature(shapes.point(mark.position), "mark", {"name": mark.name})


def _area(area: Area, gone: frozenset[str]) -> Json:
    rings = [[Position(*corner) for corner in polygon] for polygon in area.report["outline"]]
    belongs = {"fix": area.fix, "superseded": area.fix in gone}
    said = {"at": str(area.at), **belongs, **{key: area.report[key] for key in _AREA_KEYS}}
    return _feature(shapes.areas(rings), "area", said)


def _fix(fix: Json, gone: frozenset[str]) -> Json:
    said = {key: fix[key] for key in _FIX_KEYS if key in fix}
    place = Position(fix["latitude_deg"], fix["longitude_deg"])
    return _feature(shapes.point(place), "fix", {**said, "superseded": fix["id"] in gone})


def _lines(passage: Passage) -> Iterator[Json]:
    for id_, sighted in passage.sightings.items():
        answer = sighted.answer
        said = {"id": id_, "sighting": answer["kind"], "used": answer["used"], "open": answer["open"]}
        if sighted.withdrawn:
            said["withdrawn"] = True
        yield _line(answer["line"], sighted.ep, said)
    for fix in passage.fixes.values():
        carried = [line for line in fix["lines"] if line.get("transferred_to") is not None]
        place = Position(fix["latitude_deg"], fix["longitude_deg"])
        yield from (_line(line, place, {"fix": fix["id"]}) for line in carried)


def _line(line: Json, seen_from: Position | None, said: Json) -> Json:
    shown = {key: line[key] for key in _LINE_KEYS if key in line}
    return _feature(_drawn(line, seen_from), "line", {**said, **shown})


def _drawn(line: Json, seen_from: Position | None) -> Json:
    """Draw a ray, a circle, the limits of a wedge, or a contour; of one that is told without, its place."""
    place = Position(line["latitude_deg"], line["longitude_deg"])
    length_nm = _RAY_NM if seen_from is None else max(1.0, _RAY_BEYOND * place.to(seen_from)[1])
    if line["shape"] == "ray":
        return shapes.line(shapes.ray(place, line["bearing_deg"], length_nm))
    if line["shape"] == "circle":
        return shapes.line(shapes.circle(place, line["radius_nm"]))
    if line["shape"] == "wedge" and (limits := _limits(line)):
        return shapes.lines(shapes.ray(place, limit_deg, length_nm) for limit_deg in limits)
    if line["shape"] == "contour" and line.get("points"):
        return shapes.line(Position(each["latitude_deg"], each["longitude_deg"]) for each in line["points"])
    return shapes.point(place)


def _limits(line: Json) -> list[float]:
    """Return the limits of a wedge, true and from seaward; none of one that is all round."""
    arcs = [line, *(line.get("others") or ())]
    told = [(arc["from_deg"], arc["to_deg"]) for arc in arcs if arc.get("from_deg") is not None]
    return [limit for arc in told if arc[0] != arc[1] for limit in arc]
