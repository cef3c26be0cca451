"""What is counted in the benchmarks is what is said aboard: passages through `step` give the same areas."""

import pytest

from area.families import FAMILIES
from area.passages import sail
from area.stepping import stepped


@pytest.mark.parametrize("name", ["one_light_with_a_turn", "range_only", "eddy_zone_known", "narrow_cut"])
def test_the_navigator_says_what_the_clouds_functions_draw(name: str) -> None:
    """To the last digits but rounding, at each time asked: a turn, ranges, a zone, a narrow cut."""
    passage = sail(FAMILIES[name], 1, seed=7).passage(0)

    gaps = list(stepped(passage, samples=2_000).gaps())

    assert len(gaps) == len(passage.asked_s)
    assert max(gaps) < 1e-12
