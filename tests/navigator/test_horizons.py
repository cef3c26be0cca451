"""Horizons, lights and vertical angles agree with what is printed of them."""

from math import hypot, log, radians, tan

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
from middlewatch.quantities.lengths import METRES_PER_NM
from reference.sight_cases import (
    BY_FEET_NM,
    DAY_LX,
    FOOT_M,
    L01_NIGHT_CD,
    L03_DAY_CD,
    L05_CD,
    L07_CD,
    L07_NOMINAL_NM,
    L14_NOMINAL_NM,
    L16_RANGES_NM,
    L18,
    LUMINOUS_NM,
    NIGHT_LX,
    V01_NM,
    V06_NM,
)


def carried_nm(intensity_cd: float, illuminance_lx: float, transmitted_a_mile: float) -> float:
    """Return how far a light of an intensity gives an illuminance, by Allard's law halved down on."""
    near, far = 0.0, 200.0
    while far - near > 1e-9:
        middle = (near + far) / 2.0
        lit_lx = intensity_cd * transmitted_a_mile**middle / (middle * METRES_PER_NM) ** 2
        near, far = (middle, far) if lit_lx > illuminance_lx else (near, middle)
    return near


def intensity_cd(range_nm: float, illuminance_lx: float, transmitted_a_mile: float) -> float:
    """Return the intensity that gives an illuminance at a range: I = E D^2 / T^D."""
    left: float = transmitted_a_mile**range_nm
    return illuminance_lx * (range_nm * METRES_PER_NM) ** 2 / left


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


def test_a_light_is_seen_no_farther_than_it_is_bright() -> None:
    """L-14 (NAVEDTRA 14220): geographic range 17.4, nominal 10: in ten miles of visibility it is seen 10."""
    _, _, eye_ft, light_ft, _ = BY_FEET_NM[1]
    over_nm = geographic_range_nm(light_ft * FOOT_M, eye_ft * FOOT_M)

    assert min(over_nm, luminous_range_nm(L14_NOMINAL_NM, 10.0)) == pytest.approx(L14_NOMINAL_NM, abs=1e-4)


@pytest.mark.parametrize(("height_ft", "distance_nm"), V01_NM)
def test_horizon_by_the_larger_factor_is_within_the_doubt(height_ft: float, distance_nm: float) -> None:
    """V-01 (NAVEDTRA 14220): 1.17 for the root of a foot is more than ours, by less than one sigma."""
    ours_nm = horizon_nm(height_ft * FOOT_M)

    assert ours_nm < distance_nm <= ours_nm * (1.0 + HORIZON_PART)


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


@pytest.mark.parametrize(
    ("case", "bands_cd", "illuminance_lx"), [("L-01", L01_NIGHT_CD, NIGHT_LX), ("L-03", L03_DAY_CD, DAY_LX)]
)
def test_nominal_range_is_the_printed_one(
    case: str, bands_cd: dict[int, tuple[float, float]], illuminance_lx: float
) -> None:
    """L-01, L-03 (IALA R0202): each band of intensity, at both its ends, rounds to the printed range."""
    for range_nm, band_cd in bands_cd.items():
        for end_cd in band_cd:
            # In the visibility that nominal ranges are for, a light carries just so far.
            nominal_nm = carried_nm(end_cd, illuminance_lx, transmitted(10.0))
            assert nominal_nm == pytest.approx(range_nm, abs=0.5001), (case, range_nm, end_cd)
            assert luminous_range_nm(nominal_nm, 10.0) == pytest.approx(nominal_nm, abs=1e-4)


@pytest.mark.parametrize(("range_nm", "printed_cd", "within_cd"), L05_CD)
def test_intensity_of_a_steaming_light(range_nm: float, printed_cd: float, within_cd: float) -> None:
    """L-05 (COLREGS 72, annex I): 0.8 left a mile, 13.4 miles of visibility; carried as far as printed."""
    wanted_cd = intensity_cd(range_nm, NIGHT_LX, 0.8)
    visibility_nm = log(0.05) / log(0.8)
    nominal_nm = carried_nm(wanted_cd, NIGHT_LX, transmitted(10.0))

    assert wanted_cd == pytest.approx(printed_cd, abs=within_cd)
    assert transmitted(visibility_nm) == pytest.approx(0.8, abs=1e-12)
    assert luminous_range_nm(nominal_nm, visibility_nm) == pytest.approx(range_nm, abs=1e-4)


@pytest.mark.parametrize(("range_nm", "visibility_nm", "illuminance_lx", "printed_cd"), L07_CD)
def test_intensity_wanted(
    range_nm: float, visibility_nm: float, illuminance_lx: float, printed_cd: float
) -> None:
    """L-07 (IALA G1148, example): to the candela."""
    wanted_cd = intensity_cd(range_nm, illuminance_lx, transmitted(visibility_nm))

    assert wanted_cd == pytest.approx(printed_cd, abs=1.0)


def test_a_light_for_eight_miles_in_five_of_visibility() -> None:
    """L-07 (IALA G1148, example): 5298 candela are 13 miles nominal, and carry 8 in a visibility of 5."""
    nominal_nm = carried_nm(L07_CD[1][3], NIGHT_LX, transmitted(10.0))

    assert round(nominal_nm) == L07_NOMINAL_NM
    assert luminous_range_nm(nominal_nm, 5.0) == pytest.approx(8.0, abs=1e-3)


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
