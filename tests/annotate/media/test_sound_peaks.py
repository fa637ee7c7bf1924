"""The peaks of a sound: where they lie, what they say, and that they are kept whole."""

from __future__ import annotations

import subprocess
import wave
from datetime import date
from fractions import Fraction
from pathlib import Path

import imageio_ffmpeg
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from annotate.clock import NS_PER_S
from annotate.errors import Cancelled, ClipTrouble
from annotate.heard import heard
from annotate.media.clip import ClipFacts, look
from annotate.media.sound_peaks import STRETCH, SoundPeaks, keep_peaks, kept_peaks, read_peaks
from annotate.sessions import PlacedClip, Session
from tests.made_clips import numbered

RATE = 8000
DAY = date(2026, 5, 4)


def clip_with_bang(
    folder: Path,
    *,
    bang_s: float,
    length_s: int = 3,
    sound_from: str = "0",
    picture_from: str = "0",
    name: str = "bang.mov",
    codec: str = "pcm_s16le",
) -> ClipFacts:
    """A clip whose sound is one bang of 10 ms, `bang_s` after the sound begins."""
    samples = np.zeros(length_s * RATE, np.int16)
    first = round(bang_s * RATE)
    samples[first : first + RATE // 100] = 32767
    sound = folder / f"{name}.wav"
    with wave.open(str(sound), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(RATE)
        file.writeframes(samples.tobytes())
    silent = numbered(folder / f"silent_{name}.mp4", 25 * length_s)
    path = folder / name
    command = [imageio_ffmpeg.get_ffmpeg_exe(), "-nostdin", "-loglevel", "error", "-y"]
    command += ["-itsoffset", picture_from, "-i", str(silent), "-itsoffset", sound_from, "-i", str(sound)]
    command += ["-map", "0:v", "-map", "1:a", "-c:v", "copy", "-c:a", codec, str(path)]
    subprocess.run(command, check=True, capture_output=True)
    return look(path)


def loud_from_s(peaks: SoundPeaks) -> float:
    """When it first becomes loud, on the clip's clock."""
    return float(peaks.first + int(np.flatnonzero(peaks.highs > 100)[0]) * STRETCH)


def peaks_of(*highs: int, first: Fraction = Fraction(0)) -> SoundPeaks:
    high = np.array(highs, np.int8)
    return SoundPeaks(first, -high, high)


@pytest.mark.parametrize("bang_s", [0.0, 0.5, 1.2525])
def test_a_bang_lies_in_its_stretch(tmp_path: Path, bang_s: float) -> None:
    peaks = read_peaks(clip_with_bang(tmp_path, bang_s=bang_s))
    assert loud_from_s(peaks) == pytest.approx(bang_s, abs=1e-9)
    assert int((peaks.highs > 100).sum()) == 4


@pytest.mark.parametrize("name", ["late.mov", "late.mkv"])
def test_sound_that_begins_later_than_the_picture_lies_later(tmp_path: Path, name: str) -> None:
    facts = clip_with_bang(tmp_path, bang_s=0.5, sound_from="0.75", name=name)
    begins = float(facts.table.time(0))
    assert loud_from_s(read_peaks(facts)) - begins == pytest.approx(1.25, abs=float(STRETCH))


def test_a_clip_whose_clock_begins_late_has_its_sound_on_that_clock(tmp_path: Path) -> None:
    options = {"picture_from": "8.333", "sound_from": "8.333", "name": "late.mkv"}
    facts = clip_with_bang(tmp_path, bang_s=1, **options)
    assert loud_from_s(read_peaks(facts)) - float(facts.table.time(0)) == pytest.approx(1, abs=0.003)


def test_packed_sound_is_found_within_a_few_stretches(tmp_path: Path) -> None:
    facts = clip_with_bang(tmp_path, bang_s=1, name="packed.mp4", codec="aac")
    assert loud_from_s(read_peaks(facts)) == pytest.approx(1, abs=4 * float(STRETCH))


def test_sound_beyond_the_last_frame_is_left_out(tmp_path: Path) -> None:
    facts = clip_with_bang(tmp_path, bang_s=0.5, sound_from="1.5")
    assert read_peaks(facts).end <= facts.table.end_pts * facts.time_base + STRETCH


def test_a_clip_without_sound_says_so(tmp_path: Path) -> None:
    with pytest.raises(ClipTrouble, match="has no sound"):
        read_peaks(look(numbered(tmp_path / "still.mp4", 10)))


def test_reading_stops_when_it_is_asked_to(tmp_path: Path) -> None:
    facts = clip_with_bang(tmp_path, bang_s=0.5)
    with pytest.raises(Cancelled):
        read_peaks(facts, cancelled=lambda: True)


def test_reading_tells_how_far_it_is(tmp_path: Path) -> None:
    told: list[tuple[int, int]] = []
    read_peaks(clip_with_bang(tmp_path, bang_s=0.5, length_s=7), lambda done, of: told.append((done, of)))
    assert told
    assert told == sorted(told)
    assert {of for _, of in told} == {7}


# -- columns


def test_a_column_has_the_peaks_of_what_lies_in_it() -> None:
    peaks = peaks_of(1, 9, 2, 3, 4, 50, 6, 7)
    lows, highs, is_sound = peaks.columns(np.array([0, 4, 8]) * float(STRETCH))
    assert highs.tolist() == [9, 50]
    assert lows.tolist() == [-9, -50]
    assert is_sound.all()


def test_a_column_narrower_than_a_stretch_has_that_stretch() -> None:
    columns = peaks_of(5, 9).columns(np.array([1.1, 1.3, 1.5]) * float(STRETCH))
    assert columns[1].tolist() == [9, 9]


def test_columns_before_and_after_the_sound_have_none() -> None:
    peaks = peaks_of(5, 9, first=Fraction(1))
    _, highs, is_sound = peaks.columns(np.array([0.5, 0.75, 1.0, 1.0025, 1.005, 2.0, 3.0]))
    assert is_sound.tolist() == [False, False, True, True, False, False]
    assert highs.tolist() == [0, 0, 5, 9, 0, 0]


@given(
    st.lists(st.integers(0, 127), min_size=1, max_size=400),
    st.integers(1, 60),
    st.integers(-30, 400),
    st.integers(1, 40),
)
def test_wide_columns_agree_with_the_stretches_one_by_one(
    highs: list[int], width: int, start: int, count: int
) -> None:
    edges = start + width * np.arange(count + 1)
    _, found, _ = peaks_of(*highs).columns(edges * float(STRETCH))
    for column, high in enumerate(found.tolist()):
        first, last = edges[column], edges[column + 1]
        exact = max(highs[max(0, first) : max(0, last)], default=0)
        # A level above the finest may reach over a column's edge, by less than an eighth of it.
        around = max(highs[max(0, first - width // 8) : max(0, last + width // 8)], default=0)
        assert exact <= high <= around


# -- on the session's clock


def placed(clip_id: int, starts_s: int, *, capture: int = 1, view: int = 1) -> PlacedClip:
    """Two seconds of clip that begins with its clock at 5 s."""
    pts = 5000
    return PlacedClip(
        clip_id, starts_s * NS_PER_S, Fraction(1, 1000), pts, pts + 2000, Fraction(capture), view
    )


def test_slow_motion_is_heard_as_fast_as_the_horse_moved() -> None:
    clip = placed(1, 10, capture=2)
    highs = np.zeros(800, np.int8)
    highs[432:] = 100
    peaks = {1: SoundPeaks(Fraction(5), -highs, highs)}
    session = Session(1, "Thistle", DAY, 1, (clip,))
    edges = np.arange(0, 12_000_000_001, NS_PER_S // 4)
    found = heard(session, peaks, edges)
    assert np.flatnonzero(found.is_sound).tolist() == [40, 41, 42, 43]
    assert found.highs[40:44].tolist() == [0, 0, 100, 100]


def test_a_gap_between_clips_has_no_sound() -> None:
    clips = (placed(1, 0), placed(2, 4))
    peaks = {n: SoundPeaks(Fraction(5), -np.ones(800, np.int8), np.ones(800, np.int8)) for n in (1, 2)}
    session = Session(1, "Thistle", DAY, 1, clips)
    found = heard(session, peaks, np.arange(0, 7 * NS_PER_S, NS_PER_S))
    assert found.is_sound.tolist() == [True, True, False, False, True, True]


def test_of_two_cameras_the_first_is_heard() -> None:
    clips = (placed(1, 0), placed(2, 0, view=2))
    peaks = {n: SoundPeaks(Fraction(5), np.zeros(800, np.int8), np.full(800, n, np.int8)) for n in (1, 2)}
    session = Session(1, "Thistle", DAY, 1, clips)
    assert heard(session, peaks, np.array([0, NS_PER_S])).highs.tolist() == [1]


# -- keeping


def test_kept_peaks_come_back_as_they_were(tmp_path: Path) -> None:
    peaks = peaks_of(*range(100), first=Fraction(1, 3))
    assert keep_peaks(tmp_path / "new", "abc", peaks)
    back = kept_peaks(tmp_path / "new", "abc")
    assert back is not None
    assert (back.first, back.lows.tolist(), back.highs.tolist()) == (
        peaks.first,
        peaks.lows.tolist(),
        peaks.highs.tolist(),
    )


@pytest.mark.parametrize("kept", [b"", b"PKS1", b"x" * 400])
def test_a_damaged_file_counts_as_none(tmp_path: Path, kept: bytes) -> None:
    (tmp_path / "abc.peaks").write_bytes(kept)
    assert kept_peaks(tmp_path, "abc") is None


def test_a_byte_that_changed_is_noticed() -> None:
    kept = bytearray(peaks_of(*range(100)).to_bytes())
    kept[-3] ^= 1
    with pytest.raises(ValueError, match="damaged"):
        SoundPeaks.from_bytes(bytes(kept))


def test_a_disk_that_refuses_is_no_trouble(tmp_path: Path) -> None:
    (tmp_path / "file").write_bytes(b"")
    assert not keep_peaks(tmp_path / "file", "abc", peaks_of(1))
