"""Clucks and kisses among thuds and wind; the sounds are made here."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.signal import butter, sosfilt

from annotate.motion.cues import RATE, band_levels, bursts, cues_among
from annotate.motion.seen import Sound

Signal = NDArray[np.float64]
RNG = np.random.default_rng(8)


def wind(seconds: float) -> Signal:
    """A low hum that swells."""
    low = sosfilt(butter(2, [80, 450], "bandpass", fs=RATE, output="sos"), RNG.standard_normal(int(seconds * RATE)))
    swell = 1 + 0.5 * np.sin(np.arange(len(low)) / RATE * 1.3)
    return np.asarray(0.02 * low * swell + 0.0004 * RNG.standard_normal(len(low)))


def put(track: Signal, sound: Signal, at_s: float) -> None:
    """Adds a sound."""
    start = round(at_s * RATE)
    track[start : start + len(sound)] += sound


def click() -> Signal:
    """A click of the tongue: two hundredths of a second between 1 and 4 kHz."""
    t = np.arange(int(0.04 * RATE)) / RATE
    band = butter(2, [1000, 4000], "bandpass", fs=RATE, output="sos")
    return np.asarray(0.25 * sosfilt(band, RNG.standard_normal(len(t))) * np.exp(-t / 0.008))


def smooch() -> Signal:
    """A rising squeak with a hiss, two tenths of a second."""
    t = np.arange(int(0.2 * RATE)) / RATE
    hiss = sosfilt(butter(2, [2500, 7000], "bandpass", fs=RATE, output="sos"), RNG.standard_normal(len(t)))
    squeak = np.sin(2 * np.pi * (2600 * t + 4000 * t * t))
    return np.asarray(0.1 * (hiss + squeak) * np.sin(np.pi * t / 0.2))


def thud() -> Signal:
    """A hoof: low, with a little grit."""
    t = np.arange(int(0.15 * RATE)) / RATE
    low = np.sin(2 * np.pi * 90 * t) * np.exp(-t / 0.03)
    return np.asarray(0.4 * low + 0.01 * RNG.standard_normal(len(t)) * np.exp(-t / 0.02))


def heard(track: Signal) -> list[Sound]:
    """The cues in a track."""
    return cues_among(bursts(band_levels(track)))


def test_two_clicks_are_one_cluck_at_the_first() -> None:
    """A sixth of a second between them."""
    track = wind(10)
    put(track, click(), 4.0)
    put(track, click(), 4.17)
    found = heard(track)
    assert [sound.what for sound in found] == ["cluck"]
    assert abs(found[0].at_s - 4.0) < 0.03


def test_a_smooch_is_a_kiss() -> None:
    """Longer and higher."""
    track = wind(10)
    put(track, smooch(), 6.0)
    found = heard(track)
    assert [sound.what for sound in found] == ["kiss"]
    assert abs(found[0].at_s - 6.0) < 0.08


def test_hooves_and_wind_are_no_cues() -> None:
    """Fifteen seconds of trot."""
    track = wind(15)
    for k in range(40):
        put(track, thud(), 0.3 + 0.36 * k)
    assert heard(track) == []


def test_a_cluck_is_heard_through_the_hooves() -> None:
    """Both at once."""
    track = wind(15)
    for k in range(40):
        put(track, thud(), 0.3 + 0.36 * k)
    put(track, click(), 7.1)
    put(track, click(), 7.26)
    assert [sound.what for sound in heard(track)] == ["cluck"]


def test_silence_has_none() -> None:
    """And does not fail."""
    assert heard(np.zeros(5 * RATE)) == []
    assert heard(np.zeros(10)) == []
