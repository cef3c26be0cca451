"""Mercator's projection against two independent ways to it, and against a published example."""

from math import radians

import pytest
from hypothesis import given
from hypothesis import strategies as st

from middlewatch.plotting.mercator import Mercator, isometric, latitude_of
from middlewatch.quantities.positions import Position
from plotting.by_hand import HandMercator, stretched, summed_up

latitudes = st.floats(-84.0, 84.0)
places = st.builds(Position, latitudes, st.floats(-180.0, 179.99))


def test_the_independent_form_gives_the_published_example() -> None:
    """Mercator (variant A) of IOGP Guidance Note 7-2, its worked example (from memory), to a centimetre.

    Bessel 1841, latitude 3 S, longitude 10 E of the central meridian, k 0.997: E 5009726.58, N 569150.82.
    """
    a, f, k = 6377397.155, 1 / 299.1528128, 0.997
    north = 900_000.0 + a * k * stretched(-3.0, f)
    east = 3_900_000.0 + a * k * radians(10.0)

    assert north == pytest.approx(569_150.82, abs=0.01)
    assert east == pytest.approx(5_009_726.58, abs=0.01)


@given(latitudes)
def test_isometric_latitude_agrees_with_two_other_ways(latitude_deg: float) -> None:
    """The isometric latitude agrees with Snyder's form, and up to 70 degrees with the meridian summed up."""
    assert isometric(latitude_deg) == pytest.approx(stretched(latitude_deg), abs=1e-9)
    if abs(latitude_deg) <= 70.0:
        assert isometric(latitude_deg) == pytest.approx(summed_up(latitude_deg), abs=1e-7)


@given(latitudes)
def test_there_and_back(latitude_deg: float) -> None:
    """The latitude of an isometric latitude is the one it came from, to a centimetre on the earth."""
    assert latitude_of(isometric(latitude_deg)) == pytest.approx(latitude_deg, abs=1e-7)


@given(places, st.floats(-0.4, 0.4), st.floats(-0.4, 0.4))
def test_places_lie_where_an_independent_sheet_has_them(centre: Position, north: float, east: float) -> None:
    """At 1:75 000 places lie within a hundredth of a millimetre of an independent sheet, across 180 too."""
    sheet = Mercator(75_000.0, centre.latitude_deg, centre, 100.0, 140.0)
    hand = HandMercator(
        75_000.0, centre.latitude_deg, (centre.latitude_deg, centre.longitude_deg), (100.0, 140.0)
    )
    place = Position(centre.latitude_deg + north, centre.longitude_deg + east)

    drawn, wanted = sheet.at(place), hand.at(centre.latitude_deg + north, centre.longitude_deg + east)

    assert drawn == pytest.approx(wanted, abs=0.01)


@given(places, st.floats(-300.0, 300.0), st.floats(-300.0, 300.0))
def test_a_dot_on_the_paper_is_a_place(centre: Position, x_mm: float, y_mm: float) -> None:
    """The place at a dot comes to lie at that dot."""
    sheet = Mercator(75_000.0, centre.latitude_deg, centre, 0.0, 0.0)

    assert sheet.at(sheet.place(x_mm, y_mm)) == pytest.approx((x_mm, y_mm), abs=1e-3)


def test_a_mile_at_the_true_latitude_is_to_scale() -> None:
    """At the latitude of true scale a mile is 1852 m over the scale: 24.69 mm at 1:75 000."""
    sheet = Mercator(75_000.0, 47.0, Position(47.0, -34.0), 0.0, 0.0)

    assert sheet.nm_mm(47.0) == pytest.approx(24.693, abs=0.001)
    assert sheet.nm_mm(48.0) > sheet.nm_mm(47.0)
