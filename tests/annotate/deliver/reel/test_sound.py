"""The sound of a reel: where it is, how loud it is, and that it stays with the pictures to the end."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import ffmpeg
import numpy as np
import pytest
from numpy.typing import NDArray

from annotate.deliver.loudness import COMMON_LUFS, loudness
from annotate.deliver.reel.reel import write_reel
from annotate.media.clip import look
from tests.annotate.deliver.reel.reels import Watched, cuts_of, heard, watch
from tests.made_clips import irregular_times, numbered, run_ffmpeg, timed

BURST = 25
"""A short tone begins with each 25th frame."""


def sounding(
    path: Path,
    *,
    pictures: str = "25",
    rate: int = 48000,
    channels: int = 2,
    codec: str = "aac",
    volume: float = 0.5,
) -> Path:
    """A clip of 250 frames, with a tone of a fifth of a second from each 25th frame on."""
    silent = numbered(path.with_name(f"silent_{path.stem}.mp4"), 250, g=25, rate=pictures)
    period = float(BURST / Fraction(pictures))
    time = np.arange(round(10 * period * rate)) / rate
    tone = (volume * np.sin(2 * np.pi * 1000 * time) * (time % period < 0.2)).astype("<f4")
    sound = ffmpeg.input("pipe:", f="f32le", ar=rate, ac=channels)
    picture = ffmpeg.input(str(silent)).video
    made = ffmpeg.output(picture, sound.audio, str(path), **{"c:v": "copy", "c:a": codec})
    run_ffmpeg(made, np.repeat(tone, channels).tobytes())
    return path


def toned(silent: Path, path: Path, *, rate: int, channels: int, turn: int = 0) -> Path:
    """The same pictures, with a tone from wherever each 25th frame is shown, at whatever rate they come."""
    table = look(silent).table
    count = len(table.pts_array)
    time = np.arange(round(float(table.duration) * rate)) / rate
    tone = np.zeros(time.shape, "<f4")
    for number in range(0, count, BURST):
        begins = float(table.time(number) - table.time(0))
        here = (time >= begins) & (time < begins + 0.2)
        tone[here] = 0.5 * np.sin(2 * np.pi * 1000 * (time[here] - begins))
    sound = ffmpeg.input("pipe:", f="f32le", ar=rate, ac=channels)
    picture = ffmpeg.input(str(silent), **({"display_rotation": turn} if turn else {})).video
    made = ffmpeg.output(picture, sound.audio, str(path), **{"c:v": "copy", "c:a": "aac"})
    run_ffmpeg(made, np.repeat(tone, channels).tobytes())
    return path


def onsets(sound: NDArray[np.float32]) -> list[float]:
    """The seconds at which a tone begins after silence."""
    loud = np.abs(sound).max(axis=0) > 0.05
    at = np.flatnonzero(loud)
    begins = [at[0], *at[1:][np.diff(at) > 4800]]
    return [float(sample / 48000) for sample in begins]


def shown_bursts(seen: Watched) -> list[float]:
    """The seconds at which the frames with a tone are shown."""
    pictures = zip(seen.numbers, seen.times, strict=True)
    return [float(time) for number, time in pictures if number % BURST == 0]


@pytest.mark.parametrize(("rate", "channels"), [(48000, 2), (44100, 2), (48000, 1), (44100, 1)])
def test_sound_stays_with_the_pictures_to_the_end(rate: int, channels: int, tmp_path: Path) -> None:
    clip = sounding(tmp_path / "clip.mp4", rate=rate, channels=channels)
    write_reel(cuts_of([clip], [(0, 63, 137), (0, 12, 88), (0, 161, 237)]), tmp_path / "reel.mp4")
    seen = watch(tmp_path / "reel.mp4")
    shown = shown_bursts(seen)
    heard_at = onsets(seen.sound)
    assert len(heard_at) == len(shown) == 9
    assert np.abs(np.array(heard_at) - np.array(shown)).max() < 0.02


def test_many_passages_of_mixed_sound_do_not_drift(tmp_path: Path) -> None:
    clips = [
        sounding(tmp_path / "a.mp4", pictures="30000/1001", rate=44100, channels=1),
        sounding(tmp_path / "b.mkv", rate=48000, channels=2),
        sounding(tmp_path / "c.mov", pictures="24000/1001", rate=44100, codec="pcm_s16le"),
    ]
    ranges = [(n % 3, 8 + 25 * (n % 4), 39 + 25 * (n % 4) + n) for n in range(24)]
    some = cuts_of(clips, ranges)
    write_reel(some, tmp_path / "reel.mp4")
    seen = watch(tmp_path / "reel.mp4")
    shown = shown_bursts(seen)
    heard_at = onsets(seen.sound)
    assert len(heard_at) == len(shown) > 24
    assert np.abs(np.array(heard_at) - np.array(shown)).max() < 0.02
    assert abs(Fraction(seen.sound.shape[1], 48000) - some[-1].reel_end) < Fraction(20, 1000)


def test_sound_stays_with_pictures_of_variable_rate_of_hevc_and_on_their_side(tmp_path: Path) -> None:
    hevc = {"c:v": "libx265", "x265-params": "log-level=none:pools=1"}
    variable = timed(tmp_path / "variable.mp4", irregular_times(120), Fraction(1, 90000))
    coded = numbered(tmp_path / "hevc.mp4", 110, rate="30000/1001", **hevc)  # type: ignore[arg-type]
    lying = numbered(tmp_path / "lying.mp4", 110, filters=[("transpose", "cclock")])
    clips = [
        toned(variable, tmp_path / "v.mp4", rate=44100, channels=1),
        toned(coded, tmp_path / "h.mp4", rate=44100, channels=2),
        toned(lying, tmp_path / "l.mp4", rate=48000, channels=1, turn=-90),
        numbered(tmp_path / "silent.mp4", 60),
    ]
    ranges = [(0, 20, 119), (1, 13, 88), (3, 1, 20), (2, 40, 109), (0, 43, 90), (2, 12, 57), (1, 60, 109)]
    some = cuts_of(clips, ranges)
    write_reel(some, tmp_path / "reel.mp4")
    seen = watch(tmp_path / "reel.mp4")
    assert seen.numbers == [n for _, first, last in ranges for n in range(first, last + 1)]
    pictures = zip(seen.numbers, seen.times, strict=True)
    silent_s = [some[2].reel_start, some[2].reel_end]
    shown = [float(at) for n, at in pictures if n % BURST == 0 and not silent_s[0] <= at < silent_s[1]]
    heard_at = onsets(seen.sound)
    assert len(heard_at) == len(shown) == 16
    assert np.abs(np.array(heard_at) - np.array(shown)).max() < 0.02
    assert abs(Fraction(seen.sound.shape[1], 48000) - some[-1].reel_end) < Fraction(20, 1000)


def test_a_clip_without_sound_is_silent_and_keeps_its_time(tmp_path: Path) -> None:
    with_sound = sounding(tmp_path / "with.mp4")
    without = numbered(tmp_path / "without.mp4", 60)
    write_reel(cuts_of([with_sound, without], [(0, 0, 24), (1, 0, 24), (0, 0, 24)]), tmp_path / "reel.mp4")
    sound = watch(tmp_path / "reel.mp4").sound
    assert np.abs(sound[:, 50_000:94_000]).max() < 0.01
    assert onsets(sound) == [pytest.approx(0, abs=0.02), pytest.approx(2, abs=0.02)]


def test_a_reel_without_any_sound_has_a_silent_track(tmp_path: Path) -> None:
    without = numbered(tmp_path / "without.mp4", 60)
    write_reel(cuts_of([without], [(0, 0, 49)]), tmp_path / "reel.mp4")
    sound, _ = heard(tmp_path / "reel.mp4")
    assert abs(sound.shape[1] - 96_000) <= 512
    assert np.abs(sound).max() < 0.001


def test_loud_and_quiet_clips_are_levelled(tmp_path: Path) -> None:
    loud = sounding(tmp_path / "loud.mp4", volume=0.9)
    quiet = sounding(tmp_path / "quiet.mp4", volume=0.1)
    write_reel(cuts_of([loud, quiet], [(0, 0, 99), (1, 0, 99)]), tmp_path / "reel.mp4")
    sound, _ = heard(tmp_path / "reel.mp4")
    first, second = (loudness(part) for part in (sound[:, :192_000], sound[:, 192_000:]))
    assert first == pytest.approx(COMMON_LUFS, abs=1)
    assert second == pytest.approx(first, abs=0.7)


def test_sound_that_begins_after_the_picture_is_silent_until_then(tmp_path: Path) -> None:
    clip = sounding(tmp_path / "clip.mp4")
    late = tmp_path / "late.mkv"
    picture = ffmpeg.input(str(clip)).video
    sound = ffmpeg.input(str(clip), itsoffset=0.5).audio
    run_ffmpeg(ffmpeg.output(picture, sound, str(late), c="copy"))
    write_reel(cuts_of([late], [(0, 0, 49)]), tmp_path / "reel.mp4")
    assert onsets(heard(tmp_path / "reel.mp4")[0]) == [
        pytest.approx(0.5, abs=0.02),
        pytest.approx(1.5, abs=0.02),
    ]


def test_a_join_does_not_click(tmp_path: Path) -> None:
    clip = sounding(tmp_path / "clip.mp4")
    write_reel(cuts_of([clip], [(0, 2, 51), (0, 1, 50)]), tmp_path / "reel.mp4")
    sound, _ = heard(tmp_path / "reel.mp4")
    assert np.abs(sound[:, 95_990:96_010]).max() < 0.1
