"""Contours of the marks file, and the settings that sightings by sextant, light and lead go by."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from middlewatch.navigator.tuning import Doubts
from middlewatch.quantities.positions import Position
from middlewatch.readings.marks import Contour
from middlewatch.settings import SettingsError, defaults, load

Write = Callable[[str], Path]


def line(*coordinates: list[float], **properties: Any) -> dict[str, Any]:
    """Return a GeoJSON line with properties."""
    geometry = {"type": "LineString", "coordinates": list(coordinates)}
    return {"type": "Feature", "geometry": geometry, "properties": properties}


def written(tmp_path: Path, *features: dict[str, Any]) -> None:
    """Write a marks file beside the settings."""
    collection = {"type": "FeatureCollection", "features": list(features)}
    (tmp_path / "marks.geojson").write_text(json.dumps(collection), encoding="utf-8")


def test_a_line_is_a_contour(settings_file: Write, tmp_path: Path) -> None:
    """Longitude first; its doubt and slope have defaults; the navigator is told of it."""
    written(tmp_path, line([-4.0, 50.0], [-3.9, 50.1, 2.0], name="ten metres", depth_m=10))

    loaded = load(settings_file(""))

    points = (Position(50.0, -4.0), Position(50.1, -3.9))
    assert loaded.contours == (Contour("ten metres", 10.0, points, 100.0, 200.0),)
    assert loaded.tuning().contours == loaded.contours
    assert not loaded.marks


@pytest.mark.parametrize(
    ("feature", "told"),
    [
        (line([-4.0, 50.0], name="ten"), "features.ten.geometry.coordinates: found [[-4.0, 50.0]], wanted"),
        (line([-4, 50], [-4, 51], name="ten"), "features.ten.properties.depth_m: found nothing, wanted"),
        (
            line([-4, 50], [-4, 95], name="ten", depth_m=10),
            "features.ten.geometry.coordinates.#2.#2: found 95.0, wanted a latitude from -90 to 90",
        ),
    ],
    ids=["one point", "no depth", "no latitude"],
)
def test_a_contour_amiss_is_refused_in_one_line(
    feature: dict[str, Any], told: str, settings_file: Write, tmp_path: Path
) -> None:
    """File, key, found and wanted, as of a mark."""
    written(tmp_path, feature)
    with pytest.raises(SettingsError) as caught:
        load(settings_file(""))

    said = str(caught.value)
    assert len(said.splitlines()) == 1
    assert told in said


def test_a_contour_and_a_mark_of_one_name_are_refused(settings_file: Write, tmp_path: Path) -> None:
    """A name is one thing in the file."""
    mark = {
        "type": "Feature",
        "geometry": {"type": "Point", "coordinates": [-4, 50]},
        "properties": {"name": "Ten"},
    }
    written(tmp_path, mark, line([-4, 50], [-4, 51], name="ten", depth_m=10))

    with pytest.raises(SettingsError, match="a name that no other mark has"):
        load(settings_file(""))


@pytest.mark.parametrize(
    ("text", "bearing_deg"),
    [
        ("", 2.5),
        ('[observer]\nsea = "calm"', 1.5),
        ('[observer]\nsea = "rough"', 4.5),
        ('[observer]\nsea = "rough"\n[doubts]\nbearing_deg = 2.5', 2.5),
    ],
)
def test_the_sea_sets_what_a_hand_bearing_is_worth(
    text: str, bearing_deg: float, settings_file: Write
) -> None:
    """1.5, 2.5 and 4.5 degrees (common practice, no source); a doubt that is set says more."""
    assert load(settings_file(text)).tuning().doubts.bearing_deg == bearing_deg


@pytest.mark.parametrize(("sea", "part"), [("calm", 0.5), ("moderate", 1.0), ("rough", 2.0)])
def test_the_sea_sets_angles_depths_and_the_lift_of_the_eye(
    sea: str, part: float, settings_file: Write
) -> None:
    """Half and twice what they are in a moderate sea (judgement); what the sea has no part in stays."""
    moderate, doubts = Doubts(), load(settings_file(f'[observer]\nsea = "{sea}"')).tuning().doubts

    for name in ("vertical_angle_min", "horizontal_angle_min", "sounding_m", "eye_lift_m"):
        assert getattr(doubts, name) == getattr(moderate, name) * part, name
    for name in ("range_part", "transit_min", "passing_part", "departure_nm", "sector_deg"):
        assert getattr(doubts, name) == getattr(moderate, name), name


def test_a_doubt_that_is_set_says_more_than_the_sea(settings_file: Write) -> None:
    """What the observer knows of himself stands, whatever the sea."""
    said = "vertical_angle_min = 0.3\nhorizontal_angle_min = 0.4\nsounding_m = 0.1\neye_lift_m = 0.2"
    doubts = load(settings_file(f'[observer]\nsea = "rough"\n[doubts]\n{said}')).tuning().doubts

    set_ = (doubts.vertical_angle_min, doubts.horizontal_angle_min, doubts.sounding_m, doubts.eye_lift_m)
    assert set_ == (0.3, 0.4, 0.1, 0.2)


def test_eye_tide_and_keel_reach_the_navigator(settings_file: Write) -> None:
    """What is set for sextant, light and lead is in the tuning; what is not known is not nil."""
    tuning = load(
        settings_file(
            "[boat]\nheight_of_eye_m = 3.0\nkeel_depth_m = 1.8\ntransducer_depth_m = 0.5\n"
            "[waters]\ntide_range_m = 6.0\nheights_datum_m = 5.2"
        )
    ).tuning()

    assert (tuning.height_of_eye_m, tuning.keel_depth_m, tuning.transducer_depth_m) == (3.0, 1.8, 0.5)
    assert (tuning.tide_range_m, tuning.heights_datum_m) == (6.0, 5.2)
    unset = defaults().tuning()
    assert (unset.keel_depth_m, unset.transducer_depth_m, unset.heights_datum_m) == (None, None, None)
