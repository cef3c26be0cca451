"""Published figures of horizons, lights and vertical angles, each with where it was read."""

FOOT_M = 0.3048

IALA_G1065 = "IALA Guideline G1065 ed. 4.2 (2021), table 1: geographic range, 2.03 (root h + root H)"
IALA_G1148 = "IALA Guideline G1148 ed. 1.1 (2021), section 5, example"
NAVEDTRA = "US Navy NAVEDTRA 14220, Quartermaster 1 & C, how to compute the visibility of a light"
LIGHT_LIST = "US Light List, geographic range, as quoted at nauticalinformation.blogspot.com 2007/11"
LIST_OF_LIGHTS = "List of Lights, luminous range diagram, as quoted at oceannavigation.blogspot.com 2009/03"
SEXTANT_ANGLES = "yachting-life.net, 'Sextant angles': D = 1.856 H / a; its three uses are ours"
BOWDITCH = "Bowditch 1981, table 9, spot value as quoted on NavList, fer3.com"

L16_RANGES_NM = {
    1: (2.0, 4.1, 4.9, 5.5, 6.1, 6.6, 7.0),
    5: (4.5, 6.6, 7.4, 8.1, 8.6, 9.1, 9.5),
    10: (6.4, 8.5, 9.3, 9.9, 10.5, 11.0, 11.4),
    30: (11.1, 13.2, 14.0, 14.6, 15.2, 15.7, 16.1),
}
"""IALA_G1065: geographic range by height of eye (m), of lights 0 to 6 m high; V-03 is its first column."""

BY_FEET_NM = (
    ("L-13", NAVEDTRA, 50, 90, 19.4),
    ("L-14", NAVEDTRA, 35, 80, 17.4),
    ("L-15", LIGHT_LIST, 35, 65, 16.3),
)
"""Geographic range by heights of eye and light in feet, by a factor of 1.17 (2.12 a metre)."""

V01_NM = ((50, 8.3), (90, 11.1), (65, 9.4))
"""NAVEDTRA and LIGHT_LIST: height (ft), distance to the horizon (nm), by a factor of 1.17."""

L14_NOMINAL_NM = 10.0
"""NAVEDTRA: the nominal range of the light of L-14, and how far it is seen."""

LUMINOUS_NM = (("L-09", LIST_OF_LIGHTS, 15, 11, 16), ("L-10, answer from memory", LIST_OF_LIGHTS, 15, 1, 3))
"""Nominal range, visibility, luminous range to the whole mile."""

L18 = ((10, 10, 1.856), (30, 20, 2.784), (80, 30, 4.949))
"""SEXTANT_ANGLES: height (m), angle (minutes), distance (nm), to 0.003."""

V06_NM = ((2, 2.87, 3.0), (3, 3.52, 3.67), (10, 6.42, 6.7))
"""Height of eye (m), and the least and greatest distance to the horizon that the factors in use give."""

NIGHT_LX, DAY_LX = 2e-7, 1e-3
"""The illuminance an eye wants by night and by day: IALA Recommendation R0202."""

IALA_R0202 = "IALA Recommendation R0202 (E200-2) ed. 2.1 (2017/2020), annex A: nominal range by intensity"

L01_NIGHT_CD = {
    1: (1.0, 2.0), 2: (3.0, 9.0), 3: (10.0, 23.0), 5: (54.0, 107.0), 7: (204.0, 364.0), 9: (633.0, 1060.0),
    11: (1760.0, 2840.0), 13: (4540.0, 7130.0), 15: (11_200.0, 17_100.0), 17: (26_200.0, 39_700.0),
    19: (60_000.0, 89_800.0), 21: (134e3, 198e3), 23: (294e3, 432e3), 25: (635e3, 926e3),
    27: (1.36e6, 1.96e6), 29: (2.85e6, 4.11e6), 31: (5.94e6, 8.53e6), 33: (12.3e6, 17.5e6),
    35: (25.2e6, 35.9e6), 37: (51.3e6, 72.9e6), 39: (104e6, 147e6),
}  # fmt: skip
"""IALA_R0202, by night: the nominal range to the whole mile, and the intensities it is printed for (cd)."""

L03_DAY_CD = {
    1: (1000.0, 12_000.0), 3: (45_400.0, 119e3), 5: (268e3, 538e3), 7: (1.02e6, 1.82e6),
    9: (3.17e6, 5.32e6), 11: (8.79e6, 14.2e6), 13: (22.7e6, 35.6e6), 15: (55.6e6, 85.6e6),
    17: (131e6, 198e6),
}  # fmt: skip
"""IALA_R0202, by day."""

COLREGS = "COLREGS 72, annex I, section 8 / 33 CFR 84.15: I = 3.43e6 T D^2 K^-D, with K of 0.8"
L05_CD = ((1, 0.9, 0.05), (2, 4.3, 0.05), (3, 12.0, 0.5))
"""COLREGS: range (nm), the intensity printed for it (cd), and how far off that may be."""

L07_CD = ((1.0, 20.0, 1e-2, 39_841.0), (8.0, 5.0, NIGHT_LX, 5298.0))
"""IALA_G1148: range (nm), visibility (nm), illuminance (lx), the intensity wanted (cd, to the whole one)."""
L07_NOMINAL_NM = 13
"""IALA_G1148: the nominal range of the second of them."""
