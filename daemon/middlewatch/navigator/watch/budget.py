"""The false-alarm budget: which odds the watch works with for so many hours to a false alarm.

The table is made by `python -m benchmarks.watch calibrate` from simulated passages with everything well.
"""

from middlewatch.navigator.watch.pull import Odds

CAUTIONS = ((3.4, 15.0), (6.0, 17.0), (7.2, 18.0), (7.7, 19.0), (8.3, 20.0), (9.3, 22.0), (10.2, 25.0))
"""Hours to a false caution, and the squared miss from which a change is told: 500 h, half of them coasting
with a tide line in five hours. A line is a change, so that hardly any threshold makes them fewer still."""

WARNINGS = ((100.0, 0.8), (600.0, 1.0))
"""Hours to a false warning, and from how many times the ordinary gap on one is given: 6 and 1 in 600 h."""


def odds(false_warning_h: float, false_caution_h: float) -> Odds:
    """Return the odds for a budget; beyond the table's ends those of its ends."""
    return Odds(
        parting=round(_between(CAUTIONS, false_caution_h), 2),
        gap_factor=round(_between(WARNINGS, false_warning_h), 2),
    )


def _between(table: tuple[tuple[float, float], ...], hours: float) -> float:
    """Return the table's value at so many hours, linear between its rows."""
    (before, value), *rest = table
    if hours <= before:
        return value
    for after, next_value in rest:
        if hours <= after:
            return value + (next_value - value) * (hours - before) / (after - before)
        before, value = after, next_value
    return value
