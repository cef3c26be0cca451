"""Variation's source and the deviation cards."""

from collections.abc import Callable
from pathlib import Path

import pytest

from middlewatch.settings import load


@pytest.mark.parametrize(
    ("card", "taken"),
    [
        ("[]", ()),
        ("[[90, 2]]", ((90.0, 2.0),)),
        ("[[0, 1.5], [180, -1.5]]", ((0.0, 1.5), (180.0, -1.5))),
        ("[[90, 1], [360, 3]]", ((0.0, 3.0), (90.0, 1.0))),
        ("[[0, 3], [90, 1], [360, 3]]", ((0.0, 3.0), (90.0, 1.0))),
    ],
)
def test_a_card_is_taken_with_north_once(
    settings_file: Callable[[str], Path], card: str, taken: tuple[tuple[float, float], ...]
) -> None:
    """A card may name north 0, 360 or both; the navigator has it once, as 0."""
    assert load(settings_file(f"compass.steering_card = {card}")).compass.steering_card == taken


@pytest.mark.parametrize(
    ("card", "said"),
    [
        ("[[0, 1], [0, 2]]", ".#2: found 0.0, wanted headings that increase: one past 0"),
        ("[[90, 1], [45, 2]]", ".#2: found 45.0, wanted headings that increase: one past 90"),
        ("[[361, 1]]", ".#1: found 361.0, wanted a heading from 0 to 360"),
        ("[[-5, 1]]", ".#1: found -5.0, wanted a heading from 0 to 360"),
        ("[[0, 46]]", ".#1: found 46.0, wanted a deviation from -45 to 45, E+"),
        ("[[0, 1], [90, 2], [360, 4]]", ".#3: found 4.0, wanted the deviation given at 0, 1: 360 is 0"),
        ("[[0, nan]]", ".#1.#2: found NaN, wanted a finite number"),
        ("[[0, '1']]", '.#1.#2: found "1", wanted a number'),
        ("[[0]]", ".#1.#2: found nothing, wanted a value, for this has no default"),
        ("[[0, 1, 2]]", ".#1: found [0, 1, 2], wanted at most 2 items"),
        ("[0, 1]", ".#1: found 0, wanted a list"),
        ("'none'", ': found "none", wanted a list'),
    ],
)
def test_a_card_at_fault_is_refused_at_its_point(refusal: Callable[[str], str], card: str, said: str) -> None:
    """A card with a slip in it is refused, with the point where the slip is."""
    assert refusal(f"compass.sensor_card = {card}") == f"compass.sensor_card{said}"


@pytest.mark.parametrize(
    ("variation", "said"),
    [
        ("{source = 'rose'}", ".source: found \"rose\", wanted 'model', 'chart' or 'bus'"),
        ("{source = 'chart', value_deg = 4.5, year = 2020}",
         ".annual_change_min: found nothing, wanted what the chart's rose says (source is chart)"),
        ("{value_deg = 4.5}", ".value_deg: found 4.5, wanted no value_deg where the source is model"),
        ("{source = 'chart', value_deg = 4.5, year = 20, annual_change_min = 9}",
         ".year: found 20, wanted greater than or equal to 1900"),
        ("{source = 'bus', anual_change_min = 9}",
         ".anual_change_min: found an unknown key, wanted annual_change_min (did you mean that?)"),
    ],
)  # fmt: skip
def test_a_rose_belongs_to_a_chart_and_is_whole(
    refusal: Callable[[str], str], variation: str, said: str
) -> None:
    """A chart's rose is never half given, and never given to be passed over."""
    assert refusal(f"compass.variation = {variation}") == f"compass.variation{said}"
