"""Loudness against ITU-R BS.1770-4 and ffmpeg's own meter (filter ebur128)."""

from __future__ import annotations

import re
import subprocess

import imageio_ffmpeg
import numpy as np
import pytest

from annotate.deliver.loudness import COMMON_LUFS, RATE, Sound, levelled, loudness


def tone(hertz: float, peak: float, seconds: float, channels: int = 1) -> Sound:
    wave = peak * np.sin(2 * np.pi * hertz * np.arange(round(seconds * RATE)) / RATE)
    return np.tile(wave.astype(np.float32), (channels, 1))


def noise(seconds: float, *, level: float = 0.05) -> Sound:
    wave = np.random.default_rng(7).normal(0, level, (2, round(seconds * RATE)))
    return wave.clip(-1, 1).astype(np.float32)


def theirs(sound: Sound) -> float:
    command = [imageio_ffmpeg.get_ffmpeg_exe(), "-nostdin", "-hide_banner"]
    command += ["-f", "f32le", "-ar", str(RATE), "-ac", str(len(sound)), "-i", "pipe:0"]
    command += ["-af", "ebur128", "-f", "null", "-"]
    said = subprocess.run(command, input=sound.T.tobytes(), capture_output=True, check=True).stderr.decode()
    return float(re.findall(r"I:\s+(-?[0-9.]+) LUFS", said)[-1])


def test_a_full_997_hz_tone_in_one_channel_is_3_01_below_zero() -> None:
    # BS.1770-4, annex 1: "a 0 dB FS 997 Hz sine wave ... the indicated loudness will equal -3.01 LKFS".
    assert loudness(tone(997, 1.0, 5)) == pytest.approx(-3.01, abs=0.01)


@pytest.mark.parametrize("sound", [noise(6), tone(100, 0.3, 4, 2), tone(4000, 0.05, 4, 2)])
def test_ffmpegs_meter_says_the_same(sound: Sound) -> None:
    assert loudness(sound) == pytest.approx(theirs(sound), abs=0.15)


def test_pauses_do_not_count() -> None:
    loud = noise(4)
    with_pause = np.concatenate([loud, loud * np.float32(0.001), loud], axis=1)
    assert loudness(with_pause) == pytest.approx(loudness(loud) or 0, abs=0.3)
    assert loudness(with_pause) == pytest.approx(theirs(with_pause), abs=0.15)


def test_silence_and_what_is_too_short_have_no_loudness() -> None:
    assert loudness(np.zeros((2, RATE), np.float32)) is None
    assert loudness(tone(997, 1, 0.3)) is None


@pytest.mark.parametrize("level", [0.02, 0.05, 0.2])
def test_levelled_sound_has_the_common_loudness(level: float) -> None:
    assert loudness(levelled(noise(5, level=level))) == pytest.approx(COMMON_LUFS, abs=0.6)


def test_levelling_never_leaves_the_scale_nor_shouts_what_was_hardly_there() -> None:
    assert np.abs(levelled(noise(5, level=0.2))).max() < 1
    quiet = noise(5, level=0.001)
    assert np.abs(levelled(quiet)).max() == pytest.approx(10 * np.abs(quiet).max(), rel=1e-3)
