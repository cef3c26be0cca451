"""Variation is the World Magnetic Model's for the place and date, or the chart's brought up to date."""

from typing import Never

import pytest
from hypothesis import given
from hypothesis import strategies as st

from middlewatch.navigator.reckoning.variation import _MODELS, chart_is_old, chart_variation, model_variation
from middlewatch.navigator.tuning import VariationChoice
from middlewatch.quantities.instants import MS_PER_DAY, Instant
from middlewatch.quantities.positions import Position
from reference.variation_cases import (
    MODEL_ROUNDING_DEG,
    ROSES,
    WMM2010_DECLINATION,
    WMM2020,
    WMM2025,
    ModelValue,
    Rose,
)

PLYMOUTH_SOUND = Position(50.1, -4.2)
SPRING_2026 = Instant.parse("2026-04-20T12:00:00Z")


def instant_of(decimal_year: float) -> Instant:
    """Return the instant of a decimal year, to the hour."""
    year = int(decimal_year)
    first, following = (Instant.parse(f"{y}-01-01T00:00:00Z").ms for y in (year, year + 1))
    hour_ms = MS_PER_DAY // 24
    return Instant(first + round((decimal_year - year) * (following - first) / hour_ms) * hour_ms)


def rose(printed: Rose) -> VariationChoice:
    """Return the settings for a published rose."""
    return VariationChoice("chart", printed.value_deg, printed.year, printed.annual_change_min)


@pytest.mark.parametrize("value", [*WMM2025, *WMM2020], ids=str)
def test_the_models_are_the_published_ones(value: ModelValue) -> None:
    """At every height the model of the year gives the published declination and inclination (C-30, C-32)."""
    field = _MODELS[int(value.year // 5) * 5].calculate(
        glat=value.latitude_deg, glon=value.longitude_deg, alt=value.height_km, time=value.year
    )

    assert field.d == pytest.approx(value.declination_deg, abs=MODEL_ROUNDING_DEG)
    assert field.i == pytest.approx(value.inclination_deg, abs=MODEL_ROUNDING_DEG)


@pytest.mark.parametrize("value", [value for value in WMM2025 if value.height_km == 0.0], ids=str)
def test_variation_at_sea_level(value: ModelValue) -> None:
    """Where a boat can be, variation is the published declination for the date (C-30)."""
    found = model_variation(Position(value.latitude_deg, value.longitude_deg), instant_of(value.year))

    assert found is not None
    assert found.value_deg == pytest.approx(value.declination_deg, abs=MODEL_ROUNDING_DEG)


@pytest.mark.parametrize(("year", "latitude", "longitude", "declination"), WMM2010_DECLINATION)
def test_variation_of_an_old_recording(
    year: float, latitude: float, longitude: float, declination: float
) -> None:
    """A recording of years ago is worked with the model of its own date (WMM2010's test values)."""
    found = model_variation(Position(latitude, longitude), instant_of(year))

    assert found is not None
    assert found.value_deg == pytest.approx(declination, abs=MODEL_ROUNDING_DEG)


@pytest.mark.parametrize(
    ("utc", "model"),
    [
        ("2010-01-01T00:00:00Z", "WMM2010"),
        ("2014-12-31T23:59:59Z", "WMM2010"),
        ("2015-01-01T00:00:00Z", "WMM2015"),
        ("2019-12-31T23:59:59Z", "WMM2015"),
        ("2020-01-01T00:00:00Z", "WMM2020"),
        ("2025-01-01T00:00:00Z", "WMM2025"),
        ("2029-12-31T23:59:59.999Z", "WMM2025"),
    ],
)
def test_each_model_serves_its_own_five_years(utc: str, model: str) -> None:
    """The model is the one made for the date, and the words name it."""
    found = model_variation(PLYMOUTH_SOUND, Instant.parse(utc))

    assert found is not None
    assert found.source.startswith(f"{model} at ")
    # Cut to the tenth, not rounded: the last day of a model is not yet the next model's year.
    assert int(found.source[-6:-2]) == Instant.parse(utc).decimal_year // 1


@pytest.mark.parametrize("utc", ["1970-01-01T00:00:00Z", "2009-12-31T23:59:59Z", "2030-01-01T00:00:00Z"])
def test_no_model_no_variation(utc: str) -> None:
    """Before the first model and after the last, variation by the model is unknown."""
    assert model_variation(PLYMOUTH_SOUND, Instant.parse(utc)) is None


@pytest.mark.parametrize("new_year", ["2015-01-01T00:00:00Z", "2020-01-01T00:00:00Z", "2025-01-01T00:00:00Z"])
def test_the_change_of_model_is_small(new_year: str) -> None:
    """From one model to the next variation changes by less than a quarter of a degree (judgement)."""
    after = Instant.parse(new_year)
    for latitude, longitude in ((50.1, -4.2), (43.0, 16.0), (-34.0, 151.0), (36.0, -75.0), (1.0, 104.0)):
        old = model_variation(Position(latitude, longitude), Instant(after.ms - 1))
        new = model_variation(Position(latitude, longitude), after)

        assert old is not None
        assert new is not None
        assert old.value_deg == pytest.approx(new.value_deg, abs=0.25)


def test_no_compass_near_a_magnetic_pole() -> None:
    """At the north magnetic pole (85.8 N 139 E in 2025; the model's report, from memory) there is none."""
    assert model_variation(Position(85.8, 139.0), SPRING_2026) is None


def test_a_weak_field_is_said() -> None:
    """Where the horizontal field is weak but not hopeless, the variation comes with a word of warning."""
    found = model_variation(Position(75.0, -100.0), SPRING_2026)

    assert found is not None
    assert found.source == "WMM2025 at 75 00 N 100 00 W, 2026.3, weak field: compass unreliable"


@pytest.mark.parametrize(
    ("position", "place"),
    [
        (Position(50.1, -4.2), "50 06 N 004 12 W"),
        (Position(-33.9999, 151.9999), "34 00 S 152 00 E"),
        (Position(0.001, -0.001), "00 00 N 000 00 E"),
        (Position(12.5, -180.0), "12 30 N 180 00 W"),
    ],
)
def test_the_place_is_in_the_words(position: Position, place: str) -> None:
    """The words give the place to the minute and the year to the tenth."""
    found = model_variation(position, SPRING_2026)

    assert found is not None
    assert found.source == f"WMM2025 at {place}, 2026.3"


@given(st.floats(-60.0, 60.0), st.floats(-180.0, 180.0), st.integers(2010, 2029))
def test_what_was_asked_before_does_not_matter(latitude: float, longitude: float, year: int) -> None:
    """The same place and date give the same variation to the last digit, whatever was asked between."""
    first = model_variation(PLYMOUTH_SOUND, SPRING_2026)
    model_variation(Position(latitude, longitude), instant_of(year))

    assert model_variation(PLYMOUTH_SOUND, SPRING_2026) == first


def test_no_file_is_opened(monkeypatch: pytest.MonkeyPatch) -> None:
    """The coefficients are part of the program: asking for a variation opens nothing."""

    def refuse(*_: object, **__: object) -> Never:
        raise AssertionError("a file was opened")

    monkeypatch.setattr("builtins.open", refuse)

    assert model_variation(PLYMOUTH_SOUND, SPRING_2026) is not None


@pytest.mark.parametrize("printed", ROSES, ids=lambda printed: printed.case)
def test_the_rose_is_brought_up_to_date(printed: Rose) -> None:
    """Value and annual change make the variation of another year, through nil where it leads there."""
    found = chart_variation(rose(printed), instant_of(printed.asked_year))

    assert found.value_deg == pytest.approx(printed.expected_deg, abs=printed.tolerance_deg)


@pytest.mark.parametrize(
    ("value", "change", "words"),
    [
        (4.5, 9.0, "chart rose 4.50 E in 2020, 9' E a year"),
        (-10.5, -7.5, "chart rose 10.50 W in 2020, 7.5' W a year"),
        (-1.0, 0.0, "chart rose 1.00 W in 2020, no annual change"),
    ],
)
def test_the_rose_in_words(value: float, change: float, words: str) -> None:
    """The words repeat what stands on the chart."""
    assert chart_variation(VariationChoice("chart", value, 2020.0, change), SPRING_2026).source == words


@pytest.mark.parametrize("source", ["model", "bus"])
def test_only_the_chart_has_a_rose(source: str) -> None:
    """Variation chosen by the model or the bus is never answered with a rose of nil."""
    choice = VariationChoice("model") if source == "model" else VariationChoice("bus")

    with pytest.raises(ValueError, match=f"variation by {source} has no rose"):
        chart_variation(choice, SPRING_2026)


@pytest.mark.parametrize(
    ("source", "year", "old"), [("chart", 2016, False), ("chart", 2010, True), ("model", 0, False)]
)
def test_a_chart_grows_old(source: str, year: float, old: bool) -> None:
    """A rose more than ten years old is old; what is no chart is none."""
    choice = VariationChoice("chart", 4.5, year, 9) if source == "chart" else VariationChoice()

    assert chart_is_old(choice, Instant.parse("2026-01-01T00:00:00Z")) is old
