"""The frames of a small clip are the marked ones, each as long as it was; its sound goes with them."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import av
import numpy as np
import pytest

from annotate.deliver.page.small_clip import small_size, write_small_clip
from annotate.errors import Cancelled
from annotate.media.clip import ClipFacts, look
from annotate.media.reader import FrameReader
from tests.made_clips import ClipBox, MadeClip, numbered, read_number


def small(source: Path, frames: range, to: Path) -> Path:
    write_small_clip(look(source), frames, to, lambda: None)
    return to


@pytest.mark.parametrize("first", [0, 11])
def test_the_frames_are_exactly_the_marked_ones(any_clip: MadeClip, tmp_path: Path, first: int) -> None:
    before = look(any_clip.path)
    frames = range(first, first + 9)
    after = look(small(any_clip.path, frames, tmp_path / "small.mp4"))
    with FrameReader(after) as reader:
        said = [read_number(reader.frame(n)) for n in range(len(after.table))]
    assert said == list(any_clip.numbers)[frames.start : frames.stop]
    assert after.shown_size == small_size(before.shown_size)
    assert after.rotation == 0
    lengths = [_lasts(before, n) for n in frames]
    assert [_lasts(after, n) for n in range(9)] == pytest.approx(lengths, abs=1e-4)


def _lasts(facts: ClipFacts, n: int) -> float:
    table = facts.table
    start, end = table.interval(n)
    return float((end - start) * table.time_base)


def test_it_is_what_every_phone_plays_and_its_index_comes_first(clips: ClipBox, tmp_path: Path) -> None:
    path = small(clips.get("constant_25").path, range(5, 30), tmp_path / "small.mp4")
    facts = look(path)
    assert (facts.codec, facts.container) == ("h264", "mp4")
    assert facts.sound is not None
    assert facts.sound.codec == "aac"
    with av.open(str(path)) as made:
        assert made.streams.video[0].codec_context.pix_fmt == "yuv420p"
        assert set(made.metadata) <= {"major_brand", "minor_version", "compatible_brands"}
    data = path.read_bytes()
    assert 0 < data.index(b"moov") < data.index(b"mdat")


@pytest.mark.parametrize(("rate", "channels"), [(44_100, 2), (48_000, 1), (22_050, 1)])
def test_a_click_is_heard_where_it_was(tmp_path: Path, rate: int, channels: int) -> None:
    source = _clicking(tmp_path / "click.mp4", rate, channels, click_s=1.5)
    path = small(source, range(25, 50), tmp_path / "small.mp4")
    at, sound = _heard(path)
    assert at == pytest.approx(0.5, abs=0.005)
    assert sound == pytest.approx(1, abs=0.03)


def test_a_clip_without_sound_has_none(clips: ClipBox, tmp_path: Path) -> None:
    assert look(small(clips.get("constant_30").path, range(4), tmp_path / "small.mp4")).sound is None


def test_a_large_picture_is_made_smaller_in_its_shape(tmp_path: Path) -> None:
    source = numbered(tmp_path / "large.mp4", 4, size=(1280, 720))
    assert look(small(source, range(2), tmp_path / "small.mp4")).shown_size == (640, 360)
    assert small_size((1080, 1920)) == (360, 640)
    assert small_size((321, 201)) == (320, 200)


def test_stopped_it_leaves_nothing(clips: ClipBox, tmp_path: Path) -> None:
    def stop() -> None:
        raise Cancelled

    with pytest.raises(Cancelled):
        write_small_clip(look(clips.get("constant_25").path), range(20), tmp_path / "small.mp4", stop)
    assert list(tmp_path.iterdir()) == []


def _clicking(path: Path, rate: int, channels: int, click_s: float) -> Path:
    """Three seconds of grey at 25 frames a second, silent but for one click."""
    samples = np.zeros((channels, 3 * rate), dtype=np.float32)
    samples[:, int(click_s * rate) : int(click_s * rate) + rate // 200] = 0.9
    with av.open(str(path), "w") as made:
        video = made.add_stream("libx264", rate=25)
        video.width, video.height, video.pix_fmt = 64, 48, "yuv420p"
        audio = made.add_stream("aac", rate=rate)
        audio.layout = "mono" if channels == 1 else "stereo"
        for n in range(75):
            frame = av.VideoFrame.from_ndarray(np.full((48, 64), 100, np.uint8), format="gray")
            frame = frame.reformat(format="yuv420p")
            frame.pts, frame.time_base = n, Fraction(1, 25)
            made.mux(video.encode(frame))
        sound = av.AudioFrame.from_ndarray(samples, format="fltp", layout=audio.layout.name)
        sound.sample_rate, sound.pts, sound.time_base = rate, 0, Fraction(1, rate)
        for stream, last in ((audio, sound), (audio, None), (video, None)):
            made.mux(stream.encode(last))
    return path


def _heard(path: Path) -> tuple[float, float]:
    """Where the loudest moment is, and how long the sound is, in seconds of the clip."""
    pieces, starts = [], []
    with av.open(str(path)) as made:
        for frame in made.decode(audio=0):
            assert frame.pts is not None
            starts.append(float(frame.pts * frame.time_base))
            pieces.append(np.abs(frame.to_ndarray()[0]))
        rate = made.streams.audio[0].rate
    loud = np.concatenate(pieces)
    return starts[0] + float(np.argmax(loud > 0.4)) / rate, starts[0] + len(loud) / rate
