"""The receiver's noise on two axes, learnt from noise of a known kind."""

from cmath import exp, pi

import numpy as np
import pytest

from area.model import chance
from middlewatch.navigator.watch.receiver_noise import LEAST, MOST, ReceiverNoise, noise_gone
from watch.sailed import NOISE_M, noise

ASSUMED_M = 5.25


def learnt(track: np.ndarray, known: ReceiverNoise | None = None) -> ReceiverNoise:
    """Let it hear a track (complex metres, each second)."""
    known, tens = known or ReceiverNoise(), []
    for place in track[::10].tolist():
        tens.append((place.real, place.imag))
        known.learn(tens, ASSUMED_M)
    return known


@pytest.mark.parametrize("seed", range(4))
def test_a_yachts_noise_is_found_on_both_axes(seed: int) -> None:
    """Noise of 0.08 and 0.17 kn, as in a yacht's recording (Adriatic, 2022): each axis within a half."""
    known = learnt(noise(chance(seed, 9), 3 * 3600))

    assert known.most == pytest.approx((NOISE_M[1] / ASSUMED_M) ** 2, rel=0.5)
    assert known.taken.least == pytest.approx((NOISE_M[0] / ASSUMED_M) ** 2, rel=0.5)


def test_turned_about_it_is_the_same_noise() -> None:
    """Turn the whole track: its axes turn with it, and are as long as they were."""
    track = noise(chance(5, 9), 3600)
    plain, about = learnt(track), learnt(track * exp(1j * pi / 5))

    assert about.most == pytest.approx(plain.most, abs=2e-3)
    assert about.taken.least == pytest.approx(plain.taken.least, abs=2e-3)


def test_a_stream_is_no_noise() -> None:
    """Carried off at five knots, evenly: a receiver without noise is taken to have the least."""
    known = learnt(2.57 * np.arange(3600) * exp(0.3j))

    assert known.most == pytest.approx(LEAST, abs=1e-3)
    assert known.taken.least == pytest.approx(LEAST, abs=1e-3)


def test_one_step_teaches_little() -> None:
    """A position that steps by a hundred metres is no noise: less than half as much again, for a while."""
    known = learnt(noise(chance(6, 9), 3600))
    before = known.most
    after = learnt(np.where(np.arange(60) < 30, 0.0, 100.0).astype(complex), known)

    assert after.most < 2.0 * max(before, 1.0)


def test_a_receiver_that_grows_restless_is_believed_at_once() -> None:
    """Ten metres of noise where there was a tenth: within three minutes it is taken for what it is."""
    known = learnt(0.1 * noise(chance(7, 9), 3600))
    draw = chance(8, 9)
    wild = 10.0 * (draw.normal(size=180) + 1j * draw.normal(size=180))

    assert learnt(wild, known).most > 4.0
    assert learnt(wild, known).most <= MOST


def test_noise_goes_far_in_little_time_and_no_further_in_more() -> None:
    """By a minute it has gone what it is named for; ever slower after that, for it is bounded."""
    assert noise_gone(60) == 1.0
    assert noise_gone(10) < noise_gone(30) < 1.0 < noise_gone(600) < 2.5
    assert noise_gone(900) - noise_gone(600) < 0.01
