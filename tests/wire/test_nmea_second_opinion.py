"""pynmeagps, another reader of the same standard, as second opinion on decoding."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pynmeagps import NMEAReader

from middlewatch.readings.sentences import Heading, Satellite, WaterSpeed
from middlewatch.wire.nmea import Decoder
from wire.sealing import sealed

TENTHS = st.integers(0, 3599)


def arcs(degrees: int, letters: str) -> st.SearchStrategy[str]:
    """Make angles as sentences write them: `ddmm.mmmm,N`."""
    digits = len(str(degrees))
    return st.builds(
        lambda whole, minutes, letter: f"{whole:0{digits}d}{minutes / 10_000:07.4f},{letter}",
        st.integers(0, degrees - 1),
        st.integers(0, 599_999),
        st.sampled_from(letters),
    )


BODIES = {
    "RMC": "GPRMC,114055.22,A,{},2.64,8.2,161022,3.8,E,A",
    "GGA": "GPGGA,114055.22,{},1,08,1.0,0.0,M,0.0,M,,",
    "GLL": "GPGLL,{},114055.22,A,A",
    "GNS": "GNGNS,114055.22,{},AA,12,0.9,0.0,0.0,,,S",
}


def heard(line: bytes) -> object:
    """Return the one reading of a line."""
    (reading,) = Decoder("bow", checksum_required=True, satellite_talkers=frozenset()).read(line, 0)
    return reading


@given(arcs(90, "NS"), arcs(180, "EW"), st.sampled_from(sorted(BODIES)))
def test_positions_agree_with_pynmeagps(latitude: str, longitude: str, formatter: str) -> None:
    """Any position reads the same in both, in each sentence that has one, to pynmeagps's ten decimals."""
    line = sealed(BODIES[formatter].format(f"{latitude},{longitude}"))

    reading, other = heard(line), NMEAReader.parse(line)

    assert isinstance(reading, Satellite)
    assert reading.latitude_deg == pytest.approx(other.lat, abs=1e-10)
    assert reading.longitude_deg == pytest.approx(other.lon, abs=1e-10)


@given(TENTHS, TENTHS, st.integers(0, 300), st.sampled_from("EW"))
def test_headings_and_speeds_agree_with_pynmeagps(true: int, heading: int, speed: int, letter: str) -> None:
    """Heading, variation and speed through the water read the same in both."""
    hdg = sealed(f"HCHDG,{heading / 10},,,{speed / 20},{letter}")
    vhw = sealed(f"VWVHW,{true / 10},T,,M,{speed / 10},N,,K")

    reading, other = heard(hdg), NMEAReader.parse(hdg)
    assert isinstance(reading, Heading)
    assert reading.heading_deg == other.headingM
    assert reading.variation_deg == (other.variation if letter == "E" else -other.variation)

    gate = Decoder("bow", checksum_required=True, satellite_talkers=frozenset())
    true_reading, speed_reading = gate.read(vhw, 0)
    assert isinstance(true_reading, Heading)
    assert isinstance(speed_reading, WaterSpeed)
    assert (true_reading.heading_deg, speed_reading.speed_kn) == (true / 10, NMEAReader.parse(vhw).spdN)
