"""Horizons, lights and vertical angles agree with what is printed of them."""

from math import hypot, radians, tan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from middlewatch.navigator.position.horizons import (
    HORIZON_PART,
    beyond_horizon_nm,
    dip_min,
    distance_by_vertical_angle_nm,
    geographic_range_nm,
    horizon_nm,
    luminous_range_nm,
    transmitted,
)
from reference.sight_cases import BY_FEET_NM, FOOT_M, L16_RANGES_NM, L18, LUMINOUS_NM, V06_NM


def test_geographic_range_is_the_printed_one() -> None:
    """IALA G1065 table 1 (L-16, V-03): to the tenth of a mile, by its own factor."""
    for eye_m, ranges_nm in L16_RANGES_NM.items():
        for height_m, range_nm in enumerate(ranges_nm):
            assert geographic_range_nm(height_m, eye_m) == pytest.approx(range_nm, abs=0.06)


@pytest.mark.parametrize(("case", "source", "eye_ft", "light_ft", "range_nm"), BY_FEET_NM)
def test_the_larger_factor_in_use_is_within_the_doubt(
    case: str, source: str, eye_ft: float, light_ft: float, range_nm: float
) -> None:
    """Tables by 1.17 for the root of a foot give more than ours, by less than one standard deviation."""
    ours_nm = geographic_range_nm(light_ft * FOOT_M, eye_ft * FOOT_M)

    assert ours_nm < range_nm <= ours_nm * (1.0 + HORIZON_PART), (case, source)


@pytest.mark.parametrize(("eye_m", "least_nm", "most_nm"), V06_NM)
def test_horizon_is_within_the_factors_in_use(eye_m: float, least_nm: float, most_nm: float) -> None:
    """V-06: the interval of the factors 2.03 to 2.12, printed to the hundredth."""
    assert least_nm <= round(horizon_nm(eye_m), 2) <= most_nm


def test_dip_of_ten_feet() -> None:
    """V-05 (astronomyclub.xyz, 0.97 root feet): 3.1 minutes from 10 feet."""
    assert dip_min(10 * FOOT_M) == pytest.approx(3.1, abs=0.06)


@pytest.mark.parametrize(("case", "source", "nominal_nm", "visibility_nm", "luminous_nm"), LUMINOUS_NM)
def test_luminous_range_is_the_printed_one(
    case: str, source: str, nominal_nm: float, visibility_nm: float, luminous_nm: float
) -> None:
    """L-09, L-10: read off the diagram to the whole mile."""
    assert luminous_range_nm(nominal_nm, visibility_nm) == pytest.approx(luminous_nm, abs=0.5), (case, source)


def test_transmittance_of_ten_miles_visibility() -> None:
    """L-12 (IES, nominal range): 0.74 a mile."""
    assert transmitted(10.0) == pytest.approx(0.74, abs=0.005)


@given(st.floats(1, 40), st.floats(0.5, 40))
def test_a_light_is_as_bright_at_its_luminous_range_as_at_its_nominal(
    nominal_nm: float, visibility_nm: float
) -> None:
    """Allard's law (33 CFR 84.15: I = 3.43e6 T D^2 K^-D), written out, wants one intensity at both ranges."""
    luminous_nm = luminous_range_nm(nominal_nm, visibility_nm)

    at_nominal = nominal_nm**2 * 0.05 ** (-nominal_nm / 10.0)
    assert luminous_nm**2 * 0.05 ** (-luminous_nm / visibility_nm) == pytest.approx(at_nominal, rel=1e-4)


@pytest.mark.parametrize(("height_m", "angle_min", "distance_nm"), L18)
def test_vertical_angle_within_the_horizon(height_m: float, angle_min: float, distance_nm: float) -> None:
    """L-18: 1.856 H / a, seen from an eye so high that the waterline is in sight."""
    assert distance_by_vertical_angle_nm(angle_min, height_m, 9.0) == pytest.approx(distance_nm, abs=0.003)


def test_top_on_the_level_beyond_the_horizon() -> None:
    """L-19 (Bowditch): 100 feet over the eye and no angle over the level, 11.7 miles."""
    assert beyond_horizon_nm(0.0, 100 * FOOT_M) == pytest.approx(11.7, abs=0.06)


def test_both_formulas_meet_at_the_horizon() -> None:
    """A mark whose waterline is on the horizon is as far by either; the factors differ by some 4 in 100."""
    eye_m, height_m = 4.0, 60.0
    angle_min = 1.8562 * height_m / horizon_nm(eye_m)

    beyond_nm = beyond_horizon_nm(angle_min - dip_min(eye_m), height_m - eye_m)

    assert beyond_nm == pytest.approx(horizon_nm(eye_m), rel=0.01)


def test_taking_the_waterline_for_in_sight_would_put_the_boat_too_far_off() -> None:
    """40 m under 13.4' from 2 m: 5.5 miles by the short one, 5.4 for a waterline beyond the horizon."""
    short_nm = 1.8562 * 40.0 / 13.4

    distance_nm = distance_by_vertical_angle_nm(13.4, 40.0, 2.0)

    # The formula of L-19, written out in feet.
    slope = tan(radians((13.4 - 1.76 * 2**0.5) / 60)) / 0.0002419
    assert distance_nm == pytest.approx(hypot(slope, (38 / FOOT_M / 0.7349) ** 0.5) - slope, abs=1e-6)
    assert distance_nm is not None
    assert distance_nm < short_nm


def test_a_mark_that_never_stands_so_is_nowhere() -> None:
    """A mark lower than the eye does not rise over the horizon."""
    assert distance_by_vertical_angle_nm(0.5, 1.0, 2.0) is None
