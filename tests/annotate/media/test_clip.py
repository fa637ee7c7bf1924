from __future__ import annotations

from datetime import UTC, datetime, timedelta, timezone
from fractions import Fraction
from pathlib import Path

import ffmpeg
import numpy as np
import pytest

from annotate.errors import ClipTrouble
from annotate.media.clip import fingerprint, look
from annotate.media.reader import FrameReader
from tests.made_clips import ClipBox, repacked, run_ffmpeg


def with_entry(clips: ClipBox, path: Path, entry: str) -> Path:
    return repacked(clips.get("constant_30").path, path, metadata=entry, movflags="use_metadata_tags")


@pytest.mark.parametrize(
    ("name", "rotation", "mirrored", "coded", "shown"),
    [
        ("constant_30", 0, False, (160, 120), (160, 120)),
        ("turned_90", 90, False, (120, 160), (160, 120)),
        ("turned_180", 180, False, (160, 120), (160, 120)),
        ("turned_270", 270, False, (120, 160), (160, 120)),
        ("mirrored", 0, True, (160, 120), (160, 120)),
        ("wide_pixels", 0, False, (160, 120), (213, 120)),
        ("wide_pixels_turned", 90, False, (120, 160), (160, 160)),
    ],
)
def test_sizes_follow_rotation_and_pixel_shape(
    clips: ClipBox,
    name: str,
    rotation: int,
    mirrored: bool,
    coded: tuple[int, int],
    shown: tuple[int, int],
) -> None:
    facts = look(clips.get(name).path)
    assert (facts.rotation, facts.mirrored) == (rotation, mirrored)
    assert (facts.coded_size, facts.shown_size) == (coded, shown)


def test_a_mirrored_and_turned_clip_is_shown_as_ffmpeg_shows_it(clips: ClipBox, tmp_path: Path) -> None:
    both = {"display_hflip": None, "display_rotation": 90}
    path = repacked(clips.get("constant_30").path, tmp_path / "both.mp4", before=both)
    graph = ffmpeg.output(
        ffmpeg.input(f"file:{path}").video, "pipe:", f="rawvideo", pix_fmt="rgb24", vframes=1
    )
    shown = np.frombuffer(run_ffmpeg(graph), dtype=np.uint8).reshape(160, 120, 3)
    facts = look(path)
    assert facts.mirrored
    with FrameReader(facts) as reader:
        assert np.array_equal(reader.frame(0), shown)


@pytest.mark.parametrize(
    ("name", "container", "codec"),
    [
        ("constant_25", "mp4", "h264"),
        ("constant_60", "mov", "h264"),
        ("constant_29_97_in_ms", "matroska", "h264"),
        ("vp9", "webm", "vp9"),
        ("hevc", "mp4", "hevc"),
        ("photos_in_avi", "avi", "mjpeg"),
        ("transport_stream", "mpegts", "h264"),
        ("programme_stream", "mpeg", "mpeg2video"),
    ],
)
def test_container_and_codec_are_named(clips: ClipBox, name: str, container: str, codec: str) -> None:
    facts = look(clips.get(name).path)
    assert (facts.container, facts.codec) == (container, codec)


@pytest.mark.parametrize(
    ("name", "start"),
    [
        ("constant_25", Fraction(0)),
        ("transport_stream", Fraction(10)),
        ("late_start", Fraction("8.332031")),
        ("picture_after_sound", Fraction(0)),
    ],
)
def test_the_containers_start_is_kept(clips: ClipBox, name: str, start: Fraction) -> None:
    assert look(clips.get(name).path).container_start == start


def test_a_stated_rate_that_the_times_keep_is_the_rate(clips: ClipBox) -> None:
    assert look(clips.get("constant_29_97_in_ms").path).rate == Fraction(30000, 1001)


def test_the_rate_of_uneven_times_is_their_average(clips: ClipBox) -> None:
    facts = look(clips.get("variable").path)
    assert facts.rate == facts.table.average_rate


def test_sound_is_described(clips: ClipBox) -> None:
    sound = look(clips.get("picture_after_sound").path).sound
    assert sound is not None
    assert (sound.codec, sound.rate, sound.channels, sound.first) == ("aac", 48000, 1, 0)


def test_a_silent_clip_has_no_sound(clips: ClipBox) -> None:
    assert look(clips.get("constant_30").path).sound is None


def test_the_time_of_day_comes_from_the_file(clips: ClipBox, tmp_path: Path) -> None:
    path = with_entry(clips, tmp_path / "dated.mp4", "creation_time=2026-05-01T10:00:00Z")
    assert look(path).recorded_at == datetime(2026, 5, 1, 10, tzinfo=UTC)


def test_the_local_time_zone_is_kept(clips: ClipBox, tmp_path: Path) -> None:
    entry = "com.apple.quicktime.creationdate=2026-05-01T12:00:00+0200"
    at = look(with_entry(clips, tmp_path / "dated.mov", entry)).recorded_at
    assert at == datetime(2026, 5, 1, 12, tzinfo=timezone(timedelta(hours=2)))
    assert at is not None
    assert at.utcoffset() == timedelta(hours=2)


@pytest.mark.parametrize("stated", ["1970-01-01T00:00:00Z", "1904-01-01T00:00:00Z", "yesterday: no"])
def test_a_clock_that_was_never_set_is_no_time_of_day(clips: ClipBox, tmp_path: Path, stated: str) -> None:
    path = with_entry(clips, tmp_path / "dated.mkv", f"date={stated}")
    assert look(path).recorded_at is None


def test_slow_motion_says_how_fast_it_was_filmed(clips: ClipBox, tmp_path: Path) -> None:
    path = with_entry(clips, tmp_path / "slow.mp4", "com.android.capture.fps=240.0")
    assert look(path).capture_rate == 240


def test_a_known_table_is_taken_without_reading_it_again(clips: ClipBox) -> None:
    path = clips.get("variable").path
    facts = look(path)

    def never(_done: int, _whole: int) -> None:
        raise AssertionError("the packets were read again")

    assert look(path, table=facts.table, on_progress=never) == facts


def test_a_renamed_clip_keeps_its_fingerprint(clips: ClipBox, tmp_path: Path) -> None:
    source = clips.get("constant_30").path
    (tmp_path / "other name.mp4").write_bytes(source.read_bytes())
    assert fingerprint(tmp_path / "other name.mp4") == fingerprint(source)


def test_other_content_has_another_fingerprint(tmp_path: Path) -> None:
    content = bytes(5 << 20)
    prints = set()
    for place in (None, 0, len(content) // 2, len(content) - 1):
        changed = bytearray(content)
        if place is not None:
            changed[place] = 1
        (tmp_path / "clip").write_bytes(changed)
        prints.add(fingerprint(tmp_path / "clip"))
    (tmp_path / "clip").write_bytes(content + b"\0")
    prints.add(fingerprint(tmp_path / "clip"))
    assert len(prints) == 5


def test_a_missing_file_has_no_fingerprint(tmp_path: Path) -> None:
    with pytest.raises(ClipTrouble, match="cannot be read"):
        fingerprint(tmp_path / "gone.mp4")
