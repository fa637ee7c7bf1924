from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import av
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from annotate.clock import NS_PER_S
from annotate.errors import ClipTrouble, Trouble
from annotate.lining_up import Lag, lag_by_sound, start_by_frame, start_by_lag
from annotate.media.sound import RATE, Sound, read_sound
from annotate.sessions import PlacedClip

TICK = Fraction(1, 90_000)


def yard(seconds: float, seed: int = 3) -> NDArray[np.float32]:
    """Invented sound of work: noise with hoof beats and a call now and then."""
    chance = np.random.default_rng(seed)
    sound = chance.normal(0, 0.01, int(seconds * RATE))
    for at in chance.uniform(0, seconds, int(seconds * 2)):
        start = int(at * RATE)
        beat = chance.normal(0, chance.uniform(0.1, 0.6), 400) * np.exp(-np.arange(400) / 80)
        sound[start : start + 400] += beat[: len(sound) - start]
    return sound.astype(np.float32)


def heard(work: NDArray[np.float32], start_s: float, end_s: float, loud: float, seed: int) -> Sound:
    """What another microphone hears of it: a part, more or less loud, with its own noise."""
    part = work[int(start_s * RATE) : int(end_s * RATE)] * loud
    noise = np.random.default_rng(seed).normal(0, 0.01, len(part))
    return Sound((part + noise).astype(np.float32), Fraction(0))


@pytest.mark.parametrize("start_s", [0, 3.5, 12.345, 40])
def test_two_microphones_are_lined_up_to_the_millisecond(start_s: float) -> None:
    work = yard(60)
    first, second = heard(work, 0, 50, 1, 1), heard(work, start_s, 60, 0.3, 2)
    lag = lag_by_sound(first, second)
    assert abs(float(lag.seconds) - start_s) <= 0.002
    assert lag.sureness > 1.5
    back = lag_by_sound(second, first)
    assert abs(float(back.seconds) + start_s) <= 0.002


def test_sounds_of_different_work_are_not_lined_up() -> None:
    with pytest.raises(Trouble, match="Line the clips up by hand"):
        lag_by_sound(Sound(yard(40, 1), Fraction(0)), Sound(yard(40, 2), Fraction(0)))


@pytest.mark.parametrize("samples", [0, 100, RATE])
def test_sounds_that_are_too_short_are_not_lined_up(samples: int) -> None:
    with pytest.raises(Trouble, match="too short"):
        lag_by_sound(Sound(yard(40), Fraction(0)), Sound(yard(40)[:samples], Fraction(0)))


def test_silence_is_not_lined_up() -> None:
    with pytest.raises(Trouble, match="by hand"):
        lag_by_sound(Sound(yard(40), Fraction(0)), Sound(np.zeros(40 * RATE, np.float32), Fraction(0)))


def test_sound_that_begins_later_than_the_picture_is_counted() -> None:
    work = yard(60)
    first, second = heard(work, 0, 50, 1, 1), heard(work, 10, 60, 1, 2)
    later = Sound(second.samples, Fraction(1, 4))
    assert abs(float(lag_by_sound(first, later).seconds) - 9.75) <= 0.002


def test_a_lag_places_the_second_clip() -> None:
    first = PlacedClip(1, 5 * NS_PER_S, TICK, 900, 90_000 * 60)
    second = PlacedClip(2, 0, TICK, 90_000, 90_000 * 60, view=2)
    start = start_by_lag(first, second, Lag(Fraction(10), 2.0))
    assert start == 5 * NS_PER_S + 10 * NS_PER_S + NS_PER_S - NS_PER_S // 100


def test_slow_motion_is_lined_up_by_hand_only() -> None:
    slow = PlacedClip(1, 0, TICK, 0, 90_000, Fraction(8))
    with pytest.raises(Trouble, match="by hand"):
        start_by_lag(slow, slow, Lag(Fraction(0), 2.0))


@given(
    st.integers(0, 60 * 90_000),
    st.integers(0, 60 * 90_000),
    st.sampled_from([Fraction(1), Fraction(8), Fraction(240, 30)]),
    st.integers(0, 100 * NS_PER_S),
)
def test_two_frames_that_show_one_instant_meet(
    first_pts: int, second_pts: int, speed: Fraction, starts_ns: int
) -> None:
    first = PlacedClip(1, starts_ns, TICK, 0, 61 * 90_000)
    second = PlacedClip(2, 0, TICK, 0, 61 * 90_000, speed, 2)
    start = start_by_frame(first, first_pts, second, second_pts)
    moved = PlacedClip(2, start, TICK, 0, 61 * 90_000, speed, 2)
    assert moved.session_ns(second_pts) == first.session_ns(first_pts)


def written(path: Path, samples: NDArray[np.float32], *, rate: int = RATE, picture: bool = True) -> Path:
    """A clip with that sound, in Matroska."""
    with av.open(str(path), "w") as container:
        if picture:
            video = container.add_stream("mpeg4", rate=25)
            video.width, video.height, video.pix_fmt = 64, 48, "yuv420p"
        sound = container.add_stream("pcm_s16le", rate=rate)
        sound.layout = "mono"
        if picture:
            for n in range(len(samples) * 25 // rate):
                frame = av.VideoFrame.from_ndarray(np.zeros((48, 64, 3), np.uint8), format="rgb24")
                frame.pts = n
                container.mux(video.encode(frame))
            container.mux(video.encode())
        whole = np.clip(samples * 32767, -32768, 32767).astype(np.int16)
        for at in range(0, len(whole), 1024):
            piece = av.AudioFrame.from_ndarray(whole[None, at : at + 1024], format="s16", layout="mono")
            piece.sample_rate, piece.pts, piece.time_base = rate, at, Fraction(1, rate)
            container.mux(sound.encode(piece))
        container.mux(sound.encode())
    return path


def test_the_sound_of_two_clips_lines_them_up(tmp_path: Path) -> None:
    work = yard(30)
    one = written(tmp_path / "one.mkv", heard(work, 0, 25, 1, 1).samples)
    other = written(tmp_path / "other.mkv", heard(work, 6.4, 30, 0.4, 2).samples)
    lag = lag_by_sound(read_sound(one), read_sound(other))
    assert abs(float(lag.seconds) - 6.4) <= 0.003


def test_a_clip_without_sound_says_so(tmp_path: Path) -> None:
    from tests.made_clips import ClipBox

    with pytest.raises(ClipTrouble, match="no sound"):
        read_sound(ClipBox(tmp_path).get("constant_30").path)
