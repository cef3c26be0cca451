"""The dangers file: GeoJSON points, lines and areas, checked whole."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from middlewatch.quantities.positions import Position
from middlewatch.readings.dangers import ClearingBearing, Danger
from middlewatch.settings import SettingsError, load

TRIANGLE = [[-4.0, 50.0], [-4.1, 50.0], [-4.1, 50.1], [-4.0, 50.0]]


def feature(type_: str, coordinates: object, name: object = "A", **properties: object) -> dict[str, Any]:
    """Return a feature of GeoJSON."""
    return {
        "type": "Feature",
        "geometry": {"type": type_, "coordinates": coordinates},
        "properties": {"name": name, **properties},
    }


def write(folder: Path, *features: object) -> Path:
    """Write a dangers file."""
    file = folder / "dangers.geojson"
    file.write_text(json.dumps({"type": "FeatureCollection", "features": features}), encoding="utf-8")
    return file


def test_points_lines_and_areas_are_read(settings_file: Callable[[str], Path], tmp_path: Path) -> None:
    """In the file's order, longitude first; a hole stands behind its ring; the tuning gets them."""
    hole = [[-4.08, 50.02], [-4.09, 50.02], [-4.09, 50.03], [-4.08, 50.02]]
    write(
        tmp_path,
        feature("Point", [-4.25, 50.5], "Black Rock", clearance_m=300),
        feature("LineString", [[-4.0, 50.0, 7.0], [-4.1, 50.1]], "Shore", clearance_m=0),
        feature("Polygon", [TRIANGLE, hole], "Shoal", clearance_m=150.5),
    )
    ring = (Position(50.0, -4.0), Position(50.0, -4.1), Position(50.1, -4.1), Position(50.0, -4.0))
    inner = (Position(50.02, -4.08), Position(50.02, -4.09), Position(50.03, -4.09), Position(50.02, -4.08))
    settings = load(settings_file("area.warn_nm = 0.6"))

    assert settings.dangers == (
        Danger("Black Rock", "point", ((Position(50.5, -4.25),),), 300.0),
        Danger("Shore", "line", ((Position(50.0, -4.0), Position(50.1, -4.1)),), 0.0),
        Danger("Shoal", "area", (ring, inner), 150.5),
    )
    assert (settings.tuning().dangers, settings.tuning().area_warn_nm) == (settings.dangers, 0.6)


def test_clearing_bearings_are_read(settings_file: Callable[[str], Path], tmp_path: Path) -> None:
    """Of a mark of the marks file; one with both limits is two, and 360 is 000."""
    light = {"type": "Feature", "geometry": {"type": "Point", "coordinates": [-4.0, 50.1]}}
    marks = {"type": "FeatureCollection", "features": [{**light, "properties": {"name": "Light"}}]}
    (tmp_path / "marks.geojson").write_text(json.dumps(marks), encoding="utf-8")
    clearing = [{"mark": "Light", "not_less_than_true_deg": 360, "not_more_than_true_deg": 40.5}]
    write(tmp_path, feature("Point", [-4.25, 50.5], "Black Rock", clearance_m=300, clearing=clearing))

    (rock,) = load(settings_file("")).dangers
    assert rock.clearing == (
        ClearingBearing("Light", "not less than", 0.0),
        ClearingBearing("Light", "not more than", 40.5),
    )


def test_dangers_may_be_none(settings_file: Callable[[str], Path], tmp_path: Path) -> None:
    """The default file may be missing, and an empty name means none; a file that is named has to be there."""
    assert load(settings_file("")).dangers == ()
    write(tmp_path, feature("Point", [1, 2], clearance_m=1))
    assert len(load(settings_file("")).dangers) == 1
    assert load(settings_file("dangers.file = ''")).dangers == ()
    with pytest.raises(SettingsError, match="wanted a file that is there"):
        load(settings_file("dangers.file = 'elsewhere.geojson'"))


@pytest.mark.parametrize(
    ("features", "said"),
    [
        (
            [feature("Point", [1, 2])],
            "features.A.properties.clearance_m: found nothing, wanted a value, for this has no default",
        ),
        (
            [feature("Point", [1, 2], clearance_m=-1)],
            "features.A.properties.clearance_m: found -1, wanted greater than or equal to 0",
        ),
        (
            [feature("Point", [1, 2], clearance_m=1, clearanc_m=2)],
            "features.A.properties.clearanc_m: found an unknown key, wanted clearance_m (did you mean that?)",
        ),
        (
            [feature("Point", [50, 95], clearance_m=1)],
            (
                "features.A.geometry.coordinates.#2: found 95.0, wanted a latitude from -90 to 90 "
                "(GeoJSON has longitude first)"
            ),
        ),
        (
            [feature("Point", [1, 2], clearance_m=1, clearing=[{"mark": "B"}])],
            (
                "features.A.properties.clearing.#1.not_less_than_true_deg: found nothing, wanted this, or "
                "not_more_than_true_deg"
            ),
        ),
        (
            [feature("Point", [1, 2], clearance_m=1, clearing=[{"mark": "B", "not_more_than_true_deg": 9}])],
            'features.A.properties.clearing.#1.mark: found "B", wanted a mark of the marks file',
        ),
        (
            [feature("MultiPoint", [[1, 2]], clearance_m=1)],
            "features.A.geometry.type: found \"MultiPoint\", wanted 'Point', 'LineString' or 'Polygon'",
        ),
        (
            [feature("Polygon", [[*TRIANGLE[:3], [-4.0, 50.2]]], clearance_m=1)],
            (
                "features.A.geometry.coordinates.#1: found [-4.0, 50.2], wanted the ring's first place again "
                "at its end, [-4.0, 50.0]"
            ),
        ),
        (
            [feature("Point", [1, 2], clearance_m=1), feature("Point", [3, 4], "a", clearance_m=1)],
            'features.#2.properties.name: found "a", wanted a name that no other danger has',
        ),
    ],
)
def test_dangers_at_fault_are_refused(
    settings_file: Callable[[str], Path], tmp_path: Path, features: list[object], said: str
) -> None:
    """In one line: file, key, found, wanted."""
    file = write(tmp_path, *features)
    with pytest.raises(SettingsError) as caught:
        load(settings_file(""))

    assert str(caught.value) == f"{file}: {said}"


@pytest.mark.parametrize("warn_nm", ["0", "-1", "61", "true", '"1"'])
def test_how_wide_an_area_is_spoken_of_has_bounds(refusal: Callable[[str], str], warn_nm: str) -> None:
    """Over 0 and up to 60 miles, and a number."""
    assert refusal(f"area.warn_nm = {warn_nm}").startswith("area.warn_nm: found ")
