"""The frames of a reel are exactly those marked: each says its own number in its pixels."""

from __future__ import annotations

import os
import re
import struct
from fractions import Fraction
from pathlib import Path

import av
import pytest

from annotate.deliver.reel.reel import Reel, write_reel
from annotate.deliver.watch import Watch
from annotate.errors import Cancelled, Trouble
from tests.annotate.deliver.reel.reels import cuts_of, shown_times, watch
from tests.made_clips import CLIPS, ClipBox, numbered
from tests.store.children import without_room

CLOSE = Fraction(1, 20_000)
OF_THE_FORM = {
    "major_brand",
    "minor_version",
    "compatible_brands",
    "encoder",
    "language",
    "handler_name",
}


def made(clips: ClipBox, names: list[str], ranges: list[tuple[int, int, int]], to: Path) -> tuple[int, int]:
    """Makes a reel and checks every frame of it; gives how many frames it has and how many were copied."""
    some = cuts_of([clips.get(name).path for name in names], ranges)
    reel = write_reel(some, to)
    seen = watch(to)
    wanted = [n for clip, first, last in ranges for n in clips.get(names[clip]).numbers[first : last + 1]]
    assert seen.numbers == wanted
    assert len(seen.times) == reel.frames
    for time, expected in zip(seen.times, shown_times(some), strict=True):
        assert abs(time - expected) < CLOSE
    assert abs(seen.sound_start) < Fraction(1, 1000)
    assert abs(Fraction(seen.sound.shape[1], 48000) - some[-1].reel_end) < Fraction(20, 1000)
    return reel.frames, reel.copied_frames


@pytest.mark.parametrize("name", CLIPS)
def test_every_frame_is_the_marked_one_whatever_the_clip(name: str, clips: ClipBox, tmp_path: Path) -> None:
    count = len(clips.get(name).numbers)
    ranges = [(0, count // 2, count - 4), (0, 3, count // 2 + 4), (0, count - 1, count - 1)]
    made(clips, [name], ranges, tmp_path / "reel.mp4")


@pytest.mark.parametrize(("first", "last"), [(25, 90), (30, 89), (31, 59), (29, 30), (0, 99), (33, 77)])
def test_cuts_anywhere_about_the_keyframes_are_exact(
    first: int, last: int, clips: ClipBox, tmp_path: Path
) -> None:
    made(clips, ["b_frames"], [(0, first, last)], tmp_path / "reel.mp4")


def test_clips_of_all_kinds_join_without_a_frame_lost_or_doubled(clips: ClipBox, tmp_path: Path) -> None:
    names = ["b_frames", "hevc", "turned_90", "constant_25", "variable", "edit_list", "transport_stream"]
    ranges = [(0, 5, 60), (1, 10, 30), (0, 61, 99), (0, 0, 29), (2, 3, 30), (3, 10, 50), (4, 50, 110)]
    ranges += [(5, 2, 60), (6, 7, 70), (0, 30, 30), (0, 30, 95)]
    frames, copied = made(clips, names, ranges, tmp_path / "reel.mp4")
    assert 0 < copied < frames


def test_passages_that_touch_run_on_as_the_clip_did(clips: ClipBox, tmp_path: Path) -> None:
    ranges = [(0, 10, 43), (0, 44, 44), (0, 45, 80)]
    some = cuts_of([clips.get("b_frames").path], ranges)
    write_reel(some, tmp_path / "reel.mp4")
    seen = watch(tmp_path / "reel.mp4")
    assert seen.numbers == list(range(10, 81))
    assert {b - a for a, b in zip(seen.times, seen.times[1:], strict=False)} == {Fraction(1, 25)}


def test_inside_a_passage_the_stream_is_copied_and_only_its_edges_are_coded(
    clips: ClipBox, tmp_path: Path
) -> None:
    frames, copied = made(clips, ["b_frames"], [(0, 25, 95)], tmp_path / "reel.mp4")
    assert (frames, copied) == (71, 65)


def test_nothing_is_coded_where_every_frame_is_a_keyframe(clips: ClipBox, tmp_path: Path) -> None:
    assert made(clips, ["only_keyframes"], [(0, 7, 40), (0, 3, 20)], tmp_path / "reel.mp4") == (52, 52)


@pytest.mark.parametrize(
    ("name", "why"),
    [
        ("hevc", "coded as HEVC"),
        ("turned_90", "lying on their side"),
        ("mirrored", "mirrored"),
        ("wide_pixels", "pixels are not square"),
        ("transport_stream", r"\(mpegts\)"),
        ("open_gop", "no keyframe that a copy can begin at"),
    ],
)
def test_what_cannot_be_copied_is_coded_anew_and_the_reason_is_said(
    name: str, why: str, clips: ClipBox, tmp_path: Path
) -> None:
    reel = write_reel(cuts_of([clips.get(name).path], [(0, 5, 45)]), tmp_path / "reel.mp4")
    assert reel.copied_frames == 0
    assert re.search(why, reel.reasons[1])
    assert f"Passage 1: coded anew, as {reel.reasons[1]}." in reel.words


def test_reasons_that_many_passages_share_are_said_once() -> None:
    reel = Reel(Path("reel.mp4"), 90, 0, {**dict.fromkeys([1, 2, 3, 4, 6, 8, 9], "of this"), 5: "of that"})
    assert reel.words == (
        "The reel has 90 frames: 0 copied, 90 coded anew. Passages 1 to 4, 6, 8, 9: coded anew, as of this. "
        "Passage 5: coded anew, as of that."
    )


def test_a_clip_coded_otherwise_under_the_same_number_is_not_copied(
    clips: ClipBox, tmp_path: Path
) -> None:
    frames, copied = made(
        clips, ["only_keyframes", "b_frames"], [(0, 5, 20), (1, 20, 90)], tmp_path / "reel.mp4"
    )
    assert (frames, copied) == (87, 61)


def test_the_size_is_that_of_most_of_the_reel(tmp_path: Path) -> None:
    large = numbered(tmp_path / "large.mp4", 60, size=(320, 240), g=10)
    small = numbered(tmp_path / "small.mp4", 30)
    some = cuts_of([large, small], [(0, 3, 50), (1, 0, 9), (0, 5, 20)])
    reel = write_reel(some, tmp_path / "reel.mp4")
    seen = watch(tmp_path / "reel.mp4")
    assert seen.size == (320, 240)
    assert seen.numbers == [*range(3, 51), *range(10), *range(5, 21)]
    assert "size differs" in reel.reasons[2]


def test_a_wide_picture_in_a_square_reel_has_bars(tmp_path: Path) -> None:
    square = numbered(tmp_path / "square.mp4", 40, size=(160, 160), g=5)
    wide = numbered(tmp_path / "wide.mp4", 20)
    write_reel(cuts_of([square, wide], [(0, 3, 33), (1, 4, 8)]), tmp_path / "reel.mp4")
    with av.open(str(tmp_path / "reel.mp4")) as container:
        last = [frame.to_ndarray(format="gray") for frame in container.decode(video=0)][-1]
    assert last.shape == (160, 160)
    assert last[:18].max() < 30
    assert last[-18:].max() < 30
    assert last[22:48, 2:38].mean() > 200


def test_the_reel_is_what_every_phone_plays(clips: ClipBox, tmp_path: Path) -> None:
    paths = [clips.get(name).path for name in ("b_frames", "hevc")]
    write_reel(cuts_of(paths, [(0, 5, 60), (1, 5, 30)]), tmp_path / "reel.mp4")
    data = (tmp_path / "reel.mp4").read_bytes()
    boxes = outer_boxes(data)
    assert boxes.index("moov") < boxes.index("mdat")
    assert data.count(b"avc1") >= 1
    with av.open(str(tmp_path / "reel.mp4")) as container:
        picture, sound = container.streams.video[0], container.streams.audio[0]
        assert (picture.codec_context.name, picture.codec_context.pix_fmt) == ("h264", "yuv420p")
        assert (sound.codec_context.name, sound.codec_context.sample_rate) == ("aac", 48000)
        assert sound.codec_context.channels == 2
        assert len(container.streams) == 2
        told = {**container.metadata, **picture.metadata, **sound.metadata}
    assert set(told) <= OF_THE_FORM


def outer_boxes(data: bytes) -> list[str]:
    """The names of the outermost boxes (ISO/IEC 14496-12)."""
    names: list[str] = []
    at = 0
    while at < len(data):
        size, name = struct.unpack_from(">I4s", data, at)
        if size == 1:
            (size,) = struct.unpack_from(">Q", data, at + 8)
        names.append(name.decode("latin-1"))
        at += size
    return names


ODD_NAMES = ["-i concat:a|b.mp4", "http:x.mp4", "pipe:0", "a'b \"c\" %d;[x],=\\.mp4", "two\nlines.mp4", "ü 🐴.mp4"]


@pytest.mark.parametrize("name", ODD_NAMES)
def test_names_of_clips_and_reels_are_only_names(name: str, clips: ClipBox, tmp_path: Path) -> None:
    odd = tmp_path / name
    odd.write_bytes(clips.get("b_frames").path.read_bytes())
    reel = tmp_path / f"reel {name.removesuffix('.mp4')}.mp4"
    write_reel(cuts_of([odd], [(0, 20, 70)]), reel)
    assert watch(reel).numbers == list(range(20, 71))


def test_a_reel_beside_the_working_folder_may_begin_with_a_dash(
    clips: ClipBox, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    write_reel(cuts_of([clips.get("hevc").path], [(0, 20, 30)]), Path("-y.mp4"))
    assert os.listdir(tmp_path) == ["-y.mp4"]  # noqa: PTH208 - the names, not the paths


def test_progress_counts_frames_to_the_last(clips: ClipBox, tmp_path: Path) -> None:
    told: list[tuple[int, int]] = []
    some = cuts_of([clips.get("b_frames").path], [(0, 5, 60)])
    write_reel(some, tmp_path / "reel.mp4", watch=Watch(on_progress=lambda *at: told.append(at)))
    assert told[-1] == (56, 56)
    assert [done for done, _ in told] == sorted(done for done, _ in told)
    assert len(told) > 50


@pytest.mark.parametrize("names", [["b_frames"], ["hevc"]])
@pytest.mark.parametrize("after", [0, 1, 30])
def test_a_cancelled_reel_leaves_nothing_and_the_old_one_untouched(
    names: list[str], after: int, clips: ClipBox, tmp_path: Path
) -> None:
    asked = 0

    def is_cancelled() -> bool:
        nonlocal asked
        asked += 1
        return asked > after

    (tmp_path / "reel.mp4").write_text("old")
    some = cuts_of([clips.get(name).path for name in names], [(0, 5, 55)])
    with pytest.raises(Cancelled):
        write_reel(some, tmp_path / "reel.mp4", watch=Watch(is_cancelled=is_cancelled))
    assert (tmp_path / "reel.mp4").read_text() == "old"
    assert [path.name for path in tmp_path.iterdir()] == ["reel.mp4"]


@pytest.mark.skipif(os.name == "nt", reason="the limit of a file's size is set as POSIX has it")
@pytest.mark.parametrize("name", ["b_frames", "hevc"])
@pytest.mark.parametrize("room", [100, 15_000, 30_000])
def test_a_full_disk_leaves_nothing_and_is_said(name: str, room: int, clips: ClipBox, tmp_path: Path) -> None:
    some = cuts_of([clips.get(name).path], [(0, 0, 55)] * 3)
    said = without_room(lambda: write_reel(some, tmp_path / "reel.mp4"), room)
    assert re.fullmatch(r"Trouble: .*reel\.mp4 could not be written: the disk cannot hold .*", said)
    assert list(tmp_path.iterdir()) == []


def test_a_clip_that_is_gone_is_said(tmp_path: Path) -> None:
    clip = numbered(tmp_path / "clip.mp4", 30)
    some = cuts_of([clip], [(0, 3, 20)])
    clip.unlink()
    with pytest.raises(Trouble, match="There is no file"):
        write_reel(some, tmp_path / "reel.mp4")
    assert list(tmp_path.iterdir()) == []


def test_nothing_to_show_is_said(tmp_path: Path) -> None:
    with pytest.raises(Trouble, match="no clip to make a reel from"):
        write_reel([], tmp_path / "reel.mp4")
