"""What a receiver says of its own position: by mode letter and quality, never by A or V alone."""

import pytest

from middlewatch.readings.sentences import Satellite, Word
from middlewatch.wire.nmea import Decoder
from wire.sealing import sealed

# IEC 61162-1 edition 6, mode indicator: autonomous, differential, precise, RTK fixed, RTK float; then
# estimated, manual, simulator, not valid.
MODES = [
    *((mode, Word.GOOD) for mode in "ADPRF"),
    ("E", Word.ESTIMATED),
    ("M", Word.MANUAL),
    ("S", Word.SIMULATOR),
    ("N", Word.NONE),
]


def satellite(body: str) -> Satellite:
    """Return the one `Satellite` of a sentence."""
    gate = Decoder("bow", checksum_required=True, satellite_talkers=frozenset())
    (reading,) = gate.read(sealed(body), 7)
    assert isinstance(reading, Satellite)
    return reading


def rmc(status: str, tail: str) -> Satellite:
    """Return what an RMC with this status, and with this behind its variation, says."""
    return satellite(f"GPRMC,114055.22,{status},4529.9912,N,01334.6180,E,2.64,8.2,161022,,{tail}")


def gll(status: str, tail: str) -> Satellite:
    """Return what a GLL with this status, and with this behind it, says."""
    return satellite(f"GPGLL,4529.9912,N,01334.6180,E,114055.22,{status}{tail}")


@pytest.mark.parametrize(("mode", "word"), MODES)
@pytest.mark.parametrize("status", ["A", "V", ""])
def test_the_mode_letter_decides_whatever_the_status(mode: str, word: Word, status: str) -> None:
    """Receivers in dead reckoning send E with status A or V: the letter counts, in RMC, GLL and VTG alike."""
    assert rmc(status, f",{mode}").word is word
    assert gll(status, f",{mode}").word is word
    assert satellite(f"GPVTG,8.2,T,,M,2.64,N,,K,{mode}").word is word


@pytest.mark.parametrize("tail", ["", ",", ",,"])
def test_without_a_mode_letter_v_is_none_and_a_says_nothing(tail: str) -> None:
    """Before version 2.3 there is no mode: V is no fix, A alone is never taken for good."""
    assert rmc("V", tail).word is Word.NONE
    assert rmc("A", tail).word is Word.UNSAID
    assert gll("V", tail).word is Word.NONE
    assert gll("A", tail).word is Word.UNSAID


def test_sentences_that_carry_neither_leave_it_unsaid() -> None:
    """A GLL of position alone, a VTG before 2.3, an empty quality."""
    assert satellite("GPGLL,4529.9912,N,01334.6180,E").word is Word.UNSAID
    assert satellite("GPVTG,8.2,T,,M,2.64,N,,K").word is Word.UNSAID
    assert satellite("GPGGA,114055.22,4529.9912,N,01334.6180,E,,08,1.0").word is Word.UNSAID


def test_a_letter_the_standard_does_not_know_says_nothing() -> None:
    """An unknown mode or quality is never taken for good."""
    assert rmc("A", ",X").word is Word.UNSAID
    assert rmc("V", ",X").word is Word.NONE
    assert satellite("GPGGA,114055.22,4529.9912,N,01334.6180,E,9,08,1.0").word is Word.UNSAID
    assert satellite("GNGNS,114055.22,4529.9912,N,01334.6180,E,X,08,1.0").word is Word.UNSAID


@pytest.mark.parametrize(
    ("quality", "word"),
    [
        ("0", Word.NONE),
        *((quality, Word.GOOD) for quality in "12345"),
        ("6", Word.ESTIMATED),
        ("7", Word.MANUAL),
        ("8", Word.SIMULATOR),
    ],
)
def test_gga_quality(quality: str, word: Word) -> None:
    """Quality 1 to 5 is a satellite fix; 0, 6, 7 and 8 are not (IEC 61162-1 edition 6)."""
    assert satellite(f"GPGGA,114055.22,4529.9912,N,01334.6180,E,{quality},08,1.0").word is word


@pytest.mark.parametrize(
    ("modes", "word"),
    [
        ("A", Word.GOOD),
        ("AN", Word.GOOD),
        ("NNNR", Word.GOOD),
        ("EA", Word.GOOD),
        ("EN", Word.ESTIMATED),
        ("NM", Word.MANUAL),
        ("SN", Word.SIMULATOR),
        ("EMS", Word.ESTIMATED),
        ("NN", Word.NONE),
        ("", Word.UNSAID),
    ],
)
def test_gns_has_a_letter_for_each_system(modes: str, word: Word) -> None:
    """One system with a fix makes it good; short strings are the leading systems only."""
    assert satellite(f"GNGNS,114055.22,4529.9912,N,01334.6180,E,{modes},08,1.0").word is word


@pytest.mark.parametrize(
    ("nav", "caution"), [("S", False), ("C", True), ("U", True), ("V", False), ("", False)]
)
def test_navigational_status(nav: str, caution: bool) -> None:
    """C and U are the receiver's own caution; V, which most receivers send, only says that it cannot tell."""
    gns = satellite(f"GNGNS,114055.22,4529.9912,N,01334.6180,E,AA,08,1.0,,,,,{nav}")

    assert rmc("A", f",A,{nav}").caution is caution
    assert gns.caution is caution
    assert rmc("A", f",A,{nav}").word is gns.word is Word.GOOD


@pytest.mark.parametrize(
    ("mode", "caution"),
    [("A", True), ("D", True), ("P", False), ("R", False), ("F", False), ("E", False), ("N", False)],
)
def test_status_v_beside_a_fix(mode: str, caution: bool) -> None:
    """V beside A or D contradicts itself: a caution. Beside P, R and F older wording asks for V."""
    assert rmc("V", f",{mode}").caution is caution
    assert gll("V", f",{mode}").caution is caution
    assert rmc("A", f",{mode}").caution is False
