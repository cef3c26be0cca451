"""Slips on passages sailed with every error of the model: a short run of the benchmark, seeded."""

from benchmarks.slips import measured


def test_strong_slips_are_mostly_named_first_and_good_entries_left_alone() -> None:
    """48 entries; `benchmarks/slips.py` holds 2,000 against 90 % named first and 2 % accused."""
    tally = measured(6)

    assert tally.met.total() >= 10
    assert tally.named_part >= 0.8
    assert tally.good >= 15
    assert tally.accused == 0
