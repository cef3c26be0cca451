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

LUMINOUS_NM = (("L-09", LIST_OF_LIGHTS, 15, 11, 16), ("L-10, answer from memory", LIST_OF_LIGHTS, 15, 1, 3))
"""Nominal range, visibility, luminous range to the whole mile."""

L18 = ((10, 10, 1.856), (30, 20, 2.784), (80, 30, 4.949))
"""SEXTANT_ANGLES: height (m), angle (minutes), distance (nm), to 0.003."""

V06_NM = ((2, 2.87, 3.0), (3, 3.52, 3.67), (10, 6.42, 6.7))
"""Height of eye (m), and the least and greatest distance to the horizon that the factors in use give."""
