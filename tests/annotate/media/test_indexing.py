from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import av
import ffmpeg
import numpy as np
import pytest

from annotate.errors import Cancelled, ClipTrouble
from annotate.media.indexing import read_frame_table
from tests.made_clips import ClipBox, MadeClip, irregular_times, numbered, run_ffmpeg, timed


def decoded_times(path: Path) -> list[int]:
    """Every picture's time by plain decoding."""
    times: list[int] = []
    with av.open(str(path)) as container:
        for packet in container.demux(video=0):
            try:
                times += [frame.pts for frame in packet.decode() if frame.pts is not None]
            except av.FFmpegError:
                continue
    return times


def ffmpeg_times(path: Path) -> list[Fraction]:
    """Every picture's time in seconds, as ffmpeg's own program decodes it."""
    graph = ffmpeg.output(
        ffmpeg.input(f"file:{path}").video,
        "pipe:",
        f="framecrc",
        copyts=None,
        fps_mode="passthrough",
        enc_time_base="demux",
    )
    lines = run_ffmpeg(graph).decode().splitlines()
    base = next(Fraction(line.split()[-1]) for line in lines if line.startswith("#tb 0:"))
    return [int(line.split(",")[2]) * base for line in lines if not line.startswith("#")]


def test_the_table_is_what_the_decoder_shows(any_clip: MadeClip) -> None:
    table = read_frame_table(any_clip.path)
    assert table.pts_array.tolist() == sorted(decoded_times(any_clip.path))
    assert len(table) == len(any_clip.numbers)


def test_the_table_is_what_ffmpeg_shows(any_clip: MadeClip) -> None:
    if any_clip.path.suffix == ".avi" and any_clip.name != "photos_in_avi":
        pytest.skip("AVI keeps no presentation times; programs guess them differently")
    if any_clip.path.suffix == ".ts":
        pytest.skip("the ffmpeg 7.0.2 of imageio-ffmpeg 0.6.0 crashes when it reads MPEG-TS")
    table = read_frame_table(any_clip.path)
    assert [table.time(n) for n in range(len(table))] == ffmpeg_times(any_clip.path)


@pytest.mark.parametrize("name", ["transport_stream", "open_gop_in_ts", "no_whole_keyframes"])
def test_a_transport_stream_has_the_times_it_was_made_with(clips: ClipBox, name: str) -> None:
    made = clips.get(name)
    table = read_frame_table(made.path)
    assert [table.time(n) - table.time(0) for n in made.numbers] == [Fraction(n, 25) for n in made.numbers]


def test_irregular_times_come_back_exactly(clips: ClipBox) -> None:
    table = read_frame_table(clips.get("variable").path)
    assert table.time_base == Fraction(1, 90000)
    assert table.pts_array.tolist() == irregular_times(120)
    assert not table.is_constant


@pytest.mark.parametrize(
    ("name", "first"),
    [("transport_stream", Fraction(10)), ("late_start", Fraction(106650, 12800))],
)
def test_a_late_start_is_kept(clips: ClipBox, name: str, first: Fraction) -> None:
    assert read_frame_table(clips.get(name).path).time(0) == first


@pytest.mark.parametrize(
    "name", ["constant_25", "constant_29_97", "constant_29_97_in_ms", "constant_60", "vp9", "hevc"]
)
def test_even_clips_have_a_constant_rate(clips: ClipBox, name: str) -> None:
    assert read_frame_table(clips.get(name).path).is_constant


def test_the_last_frame_ends_after_its_own_duration(clips: ClipBox) -> None:
    table = read_frame_table(clips.get("constant_29_97").path)
    assert table.duration == 90 * Fraction(1001, 30000)


def test_keyframes_are_known(clips: ClipBox) -> None:
    table = read_frame_table(clips.get("far_keyframes").path)
    assert table.keyframes.tolist() == [0, 250]


def test_a_single_frame_is_a_clip(tmp_path: Path) -> None:
    table = read_frame_table(numbered(tmp_path / "one.mp4", 1))
    assert len(table) == 1
    assert table.duration == Fraction(1, 25)


def test_a_file_cut_off_in_its_last_picture_ends_before_it(clips: ClipBox, tmp_path: Path) -> None:
    source = clips.get("b_frames").path
    whole = tmp_path / "whole.mp4"
    run_ffmpeg(ffmpeg.output(ffmpeg.input(str(source)), str(whole), c="copy", movflags="faststart"))
    cut = tmp_path / "cut.mp4"
    cut.write_bytes(whole.read_bytes()[: int(whole.stat().st_size * 0.7)])
    table = read_frame_table(cut)
    assert 20 < len(table) < 100
    assert table.pts_array.tolist() == decoded_times(cut)


def test_progress_ends_at_the_whole_file(tmp_path: Path) -> None:
    path = timed(tmp_path / "many.mp4", [n * 3000 for n in range(500)], Fraction(1, 90000))
    seen: list[tuple[int, int]] = []
    read_frame_table(path, on_progress=lambda done, whole: seen.append((done, whole)))
    size = path.stat().st_size
    assert seen[-1] == (size, size)
    assert len(seen) > 1
    assert [done for done, _ in seen] == sorted(done for done, _ in seen)


def test_reading_stops_when_asked(tmp_path: Path) -> None:
    path = timed(tmp_path / "many.mp4", [n * 3000 for n in range(500)], Fraction(1, 90000))
    with pytest.raises(Cancelled):
        read_frame_table(path, cancelled=lambda: True)


def test_a_clip_without_any_keyframe_is_refused_in_words(clips: ClipBox, tmp_path: Path) -> None:
    path = tmp_path / "no_key.ts"
    source = clips.get("far_keyframes").path
    with av.open(str(source)) as old, av.open(str(path), "w") as new:
        stream = new.add_stream_from_template(old.streams.video[0])
        for number, packet in enumerate(p for p in old.demux(video=0) if p.size):
            if 0 < number < 200:
                packet.stream = stream
                new.mux(packet)
    with pytest.raises(ClipTrouble, match="no picture that can be shown"):
        read_frame_table(path)


def test_the_same_time_twice_is_one_frame(tmp_path: Path) -> None:
    path = tmp_path / "twice.mkv"
    timed(path, [0, 40, 80, 80, 120], Fraction(1, 1000))
    table = read_frame_table(path)
    assert table.pts_array.tolist() == [0, 40, 80, 120]
    assert np.all(np.diff(table.pts_array) > 0)
