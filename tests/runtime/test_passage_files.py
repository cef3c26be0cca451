"""A passage written down for other programs: what is in it, that its form is sound, and what is refused."""

import json
import shlex
from collections import Counter
from itertools import pairwise
from pathlib import Path
from typing import Any
from xml.etree import ElementTree as ET

import pytest
from typer.testing import CliRunner, Result

from middlewatch.cli import app
from middlewatch.runtime.passage import passage_of
from middlewatch.runtime.passage_geojson import CAUTION, geojson
from middlewatch.runtime.passage_gpx import NAMESPACE, gpx
from stories.story import after, stamped_second, whole_second

Json = dict[str, Any]
LASTS_S = 240
LIGHT = {"latitude_deg": 50.05, "longitude_deg": -4.25}
OTHER = {"latitude_deg": 50.0, "longitude_deg": -4.1}
ENTRIES: tuple[Json, ...] = (
    {"id": "d1", "kind": "departure", "latitude_deg": 50.0, "longitude_deg": -4.2, "heard_at": after(5)},
    {
        "id": "b1",
        "kind": "bearing",
        "mark": LIGHT,
        "bearing_deg": 326,
        "reference": "true",
        "heard_at": after(20),
    },
    {
        "id": "b2",
        "kind": "bearing",
        "mark": OTHER,
        "bearing_deg": 90,
        "reference": "true",
        "heard_at": after(40),
    },
    {"id": "a1", "kind": "adopt", "fix": "f-b2", "heard_at": after(50)},
    {"id": "r1", "kind": "range", "mark": LIGHT, "distance_nm": 3.5, "heard_at": after(100)},
    {"id": "w1", "kind": "withdraw", "entry": "r1", "heard_at": after(120)},
)


def typed(line: str) -> Result:
    """Run the command line as a shell would."""
    return CliRunner().invoke(app, shlex.split(line), prog_name="middlewatch")


@pytest.fixture(scope="module")
def reports(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Sail four minutes and return the reports."""
    folder = tmp_path_factory.mktemp("passage")
    bus, entries, out = folder / "bus.nmea", folder / "entries.jsonl", folder / "reports.jsonl"
    bus.write_bytes(b"".join(map(stamped_second, range(LASTS_S))) + whole_second(LASTS_S))
    entries.write_text("".join(f"{json.dumps(entry)}\n" for entry in ENTRIES))
    done = typed(f"replay {bus} --sightings {entries} --reports {out}")
    assert done.exit_code == 0, done.output
    return out


@pytest.fixture(scope="module")
def features(reports: Path) -> list[Json]:
    """Return the features of the passage as GeoJSON, with two marks."""
    folder = reports.parent
    (folder / "marks.geojson").write_text(json.dumps({"type": "FeatureCollection", "features": [
        {"type": "Feature", "geometry": {"type": "Point", "coordinates": [-4.25, 50.05]},
         "properties": {"name": "Light"}},
    ]}))  # fmt: skip
    (folder / "boat.toml").write_text("")
    done = typed(f"passage {reports} --settings {folder / 'boat.toml'} --geojson {folder / 'p.geojson'}")
    assert done.exit_code == 0, done.output
    document = json.loads((folder / "p.geojson").read_text())
    assert document["type"] == "FeatureCollection"
    assert document["caution"] == CAUTION
    return list(document["features"])


def of_kind(features: list[Json], kind: str) -> list[Json]:
    """Return the features of a kind."""
    return [each for each in features if each["properties"]["kind"] == kind]


def test_everything_that_a_navigator_would_draw_is_there(features: list[Json]) -> None:
    """DR and EP of both origins, the DR that the adoption replaced, satellites, mark, lines, fix, areas."""
    tracks = Counter(each["properties"]["of"] for each in of_kind(features, "track"))

    assert tracks == {"dr": 2, "ep": 2, "former_dr": 1, "satellite": 1}
    assert [each["properties"]["name"] for each in of_kind(features, "mark")] == ["Light"]
    assert {each["properties"].get("id") for each in of_kind(features, "line")} >= {"b1", "b2", "r1"}
    assert "f-b2" in {each["properties"]["id"] for each in of_kind(features, "fix")}
    assert {"f-b2", None} <= {each["properties"]["fix"] for each in of_kind(features, "area")}


def test_tracks_are_where_the_reports_told_them(features: list[Json], reports: Path) -> None:
    """The last place of the EP's track is the last EP told, and each place has its time."""
    lines = [json.loads(line) for line in reports.read_text().splitlines()]
    last = [line["report"] for line in lines if line["topic"] == "position"][-1]
    track = [each for each in of_kind(features, "track") if each["properties"]["of"] == "ep"][-1]

    assert track["geometry"]["coordinates"][-1] == [last["ep"]["longitude_deg"], last["ep"]["latitude_deg"]]
    assert track["properties"]["times"][-1] == track["properties"]["to"] == last["at"]
    assert len(track["properties"]["times"]) == len(track["geometry"]["coordinates"])


def test_what_was_withdrawn_is_shown_as_withdrawn(features: list[Json]) -> None:
    """Neither the line nor what it made is dropped in silence, nor drawn as if it stood."""
    lines = {each["properties"].get("id"): each["properties"] for each in of_kind(features, "line")}

    assert lines["r1"]["withdrawn"] is True
    assert "withdrawn" not in lines["b1"]
    gone = {each["properties"]["id"]: each["properties"]["superseded"] for each in of_kind(features, "fix")}
    assert gone["f-b2"] is False
    assert all(gone[id_] for id_ in gone if id_.startswith("f-r1"))


def test_the_form_is_sound(features: list[Json]) -> None:
    """RFC 7946: every feature has geometry and properties; rings closed and anticlockwise, lines of two."""
    for each in features:
        assert each["type"] == "Feature"
        assert isinstance(each["properties"], dict)
        geometry = each["geometry"]
        kind, places = geometry["type"], geometry["coordinates"]
        assert kind in {"Point", "LineString", "Polygon"}, "nothing here lies across 180 degrees"
        if kind == "Polygon":
            assert all(ring[0] == ring[-1] and len(ring) >= 4 for ring in places)
            (outer, *_) = places
            assert sum(a[0] * b[1] - b[0] * a[1] for a, b in pairwise(outer)) > 0.0
        elif kind == "LineString":
            assert len(places) >= 2


# Children in the order of the schema, GPX 1.1 (from memory).
ORDER = {
    "gpx": ["metadata", "wpt", "rte", "trk", "extensions"],
    "metadata": ["name", "desc", "author", "copyright", "link", "time", "keywords", "bounds", "extensions"],
    "wpt": ["ele", "time", "magvar", "geoidheight", "name", "cmt", "desc", "src", "link", "sym", "type",
            "fix", "sat", "hdop", "vdop", "pdop", "ageofdgpsdata", "dgpsid", "extensions"],
    "trk": ["name", "cmt", "desc", "src", "link", "number", "type", "extensions", "trkseg"],
    "trkseg": ["trkpt", "extensions"],
}  # fmt: skip
ORDER["trkpt"] = ORDER["wpt"]


def in_schema_order(element: ET.Element) -> None:
    """Check an element and all below it."""
    name = element.tag.removeprefix(f"{{{NAMESPACE}}}")
    children = [child.tag.removeprefix(f"{{{NAMESPACE}}}") for child in element]
    places = [ORDER[name].index(child) for child in children] if children else []
    assert places == sorted(places), (name, children)
    if name in {"wpt", "trkpt"}:
        assert -90.0 <= float(element.attrib["lat"]) <= 90.0
        assert -180.0 <= float(element.attrib["lon"]) < 180.0
    for child in element:
        in_schema_order(child)


def test_gpx_is_in_the_order_of_its_schema(reports: Path, tmp_path: Path) -> None:
    """A track of the EP for each origin, its times never going back; a waypoint for each fix that stands."""
    done = typed(f"passage {reports} --gpx {tmp_path / 'p.gpx'}")
    assert done.exit_code == 0, done.output
    root = ET.fromstring((tmp_path / "p.gpx").read_text())  # noqa: S314 -- our own file

    in_schema_order(root)
    name = {"g": NAMESPACE}
    assert root.attrib["version"] == "1.1"
    assert CAUTION in root.findtext("g:metadata/g:desc", "", name)
    assert [each.findtext("g:name", "", name) for each in root.findall("g:trk", name)] == [
        "EP since d1", "EP since f-b2",
    ]  # fmt: skip
    for track in root.findall("g:trk", name):
        times = [each.text or "" for each in track.iterfind(".//g:time", name)]
        assert times == sorted(times)
        assert len(times) > 3
    waypoints = root.findall("g:wpt", name)
    assert [each.findtext("g:type", "", name) for each in waypoints] == ["Fix"]
    assert all(CAUTION in each.findtext("g:desc", "", name) for each in waypoints)


def position(at: str, longitude: float, since: str = "2026-05-03T01:00:00.000Z") -> tuple[str, Json]:
    """Return a position's report, as far as a track needs it."""
    place = {"latitude_deg": -17.0, "longitude_deg": longitude}
    return "position", {
        "at": at, "dr": place, "ep": place, "area": None, "origin": {"id": "d1", "at": since},
    }  # fmt: skip


def test_across_the_date_line_the_track_is_cut_and_not_drawn_round_the_earth() -> None:
    """GeoJSON cuts it in two; GPX only wants its longitudes from -180 up to 180."""
    passage = passage_of([
        position("2026-05-03T01:00:10.000Z", 179.9999),
        position("2026-05-03T01:00:20.000Z", -179.9999),
    ])  # fmt: skip

    (dr, _) = json.loads(geojson(passage, {}))["features"]
    assert dr["geometry"]["type"] == "MultiLineString"
    in_schema_order(ET.fromstring(gpx(passage, "kittiwake")))  # noqa: S314 -- our own text


def test_a_track_ends_where_nothing_was_told_for_a_minute() -> None:
    """Over a gap no line is drawn: nobody knows where she went."""
    passage = passage_of(
        position(f"2026-05-03T01:{minute:02d}:00.000Z", 0.001 * minute) for minute in (0, 1, 2, 5, 6)
    )

    lengths = [len(track.whole) for track in passage.tracks if track.of == "ep"]
    assert lengths == [3, 2]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "found no position, wanted the reports of a passage with a departure"),
        ("departure\n", "line 1: found departure, wanted a report as --reports writes it"),
        ('{"topic": "position"}\n', "wanted a report as --reports writes it"),
    ],
)
def test_a_file_that_is_no_reports_is_refused_in_one_line(tmp_path: Path, text: str, said: str) -> None:
    """Exit 2, with the file and what was wanted; nothing is written."""
    (tmp_path / "r.jsonl").write_text(text)

    done = typed(f"passage {tmp_path / 'r.jsonl'} --gpx {tmp_path / 'p.gpx'}")

    assert done.exit_code == 2
    assert len(done.output.splitlines()) == 1
    assert said in done.output
    assert not (tmp_path / "p.gpx").exists()


def test_to_write_nothing_is_refused(reports: Path) -> None:
    """A passage to no file is a slip."""
    done = typed(f"passage {reports}")

    assert done.exit_code == 2
    assert "found neither --geojson nor --gpx" in done.output
