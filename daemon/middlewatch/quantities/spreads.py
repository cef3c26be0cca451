"""Spreads: what one standard deviation an axis says about 95 and 99 boats in 100."""

RADIUS_95 = 2.448
"""Radius holding 95 % of a round normal cloud, in standard deviations: sqrt(-2 ln 0.05)."""

RADIUS_99 = 3.03
"""Radius holding 99 % of a round normal cloud, in standard deviations: sqrt(-2 ln 0.01), rounded as usual."""
