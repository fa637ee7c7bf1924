from __future__ import annotations

import random
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
import pytest

from annotate.errors import ClipTrouble
from annotate.media.clip import ClipFacts, look
from annotate.media.reader import FrameReader, first_picture
from tests.made_clips import HEIGHT, WIDTH, ClipBox, MadeClip, read_number

FRAME_BYTES = WIDTH * HEIGHT * 3 // 2


def damaged(clips: ClipBox, path: Path) -> tuple[ClipFacts, list[int]]:
    """A clip with a hole in its pixels, and the numbers of the frames that a plain decoder loses."""
    source = clips.get("b_frames").path
    whole = bytearray(source.read_bytes())
    with av.open(str(source)) as container:
        hit = [packet for packet in container.demux(video=0) if packet.size][43:46]
        for packet in hit:
            assert packet.pos is not None
            whole[packet.pos : packet.pos + packet.size] = bytes(packet.size)
    path.write_bytes(whole)
    facts = look(path)
    shown = set()
    with av.open(str(path)) as container:
        for packet in container.demux(video=0):
            try:
                shown |= {frame.pts for frame in packet.decode()}
            except av.FFmpegError:
                continue
    lost = [n for n in range(len(facts.table)) if facts.table.pts(n) not in shown]
    return facts, lost


def test_every_frame_shows_its_number_in_any_order(any_clip: MadeClip) -> None:
    facts = look(any_clip.path)
    order = list(range(len(facts.table)))
    random.Random(7).shuffle(order)
    with FrameReader(facts, cache_bytes=8 * FRAME_BYTES) as reader:
        assert [read_number(reader.frame(n)) for n in order] == [any_clip.numbers[n] for n in order]


def test_stepping_back_through_a_clip_shows_every_number(any_clip: MadeClip) -> None:
    facts = look(any_clip.path)
    with FrameReader(facts, cache_bytes=40 * FRAME_BYTES) as reader:
        back = [read_number(reader.frame(n)) for n in reversed(range(len(facts.table)))]
    assert back == list(reversed(any_clip.numbers))


def test_the_frame_on_the_screen_is_the_last_that_has_begun(any_clip: MadeClip) -> None:
    facts = look(any_clip.path)
    table = facts.table
    with FrameReader(facts) as reader:
        for n in range(0, len(table), 7):
            start, end = table.interval(n)
            for at in (Fraction(start), Fraction(start + end, 2), end - Fraction(1, 10**6)):
                shown = reader.frame_at(at * table.time_base)
                assert read_number(shown) == any_clip.numbers[n]


def test_outside_the_clip_nothing_is_shown(clips: ClipBox) -> None:
    facts = look(clips.get("transport_stream").path)
    with FrameReader(facts) as reader:
        for at in (Fraction(0), Fraction(14)):
            with pytest.raises(ClipTrouble, match=r"it lasts from 10\.000 s to 14\.000 s"):
                reader.frame_at(at)


def test_a_frame_that_is_not_there_is_named(clips: ClipBox) -> None:
    with FrameReader(look(clips.get("constant_30").path)) as reader:
        for n in (-1, 60):
            with pytest.raises(ClipTrouble, match=f"There is no frame {n}"):
                reader.frame(n)


def test_a_picture_is_a_plain_array_that_one_may_change(any_clip: MadeClip) -> None:
    facts = look(any_clip.path)
    with FrameReader(facts) as reader:
        picture = reader.frame(3)
        assert picture.dtype == np.uint8
        assert picture.shape == (facts.shown_size[1], facts.shown_size[0], 3)
        assert picture.flags.c_contiguous
        before = picture.copy()
        picture[:] = 0
        assert np.array_equal(reader.frame(3), before)


def test_kept_frames_stay_within_their_bytes(clips: ClipBox) -> None:
    with FrameReader(look(clips.get("far_keyframes").path), cache_bytes=10 * FRAME_BYTES) as reader:
        for n in (200, 5, 120, 299, 121):
            reader.frame(n)
            assert reader.held_bytes <= 10 * FRAME_BYTES


def test_reading_back_keeps_the_frames_before_for_the_next_steps(clips: ClipBox) -> None:
    facts = look(clips.get("far_keyframes").path)
    with FrameReader(facts, cache_bytes=0) as reader:
        reader.frame(0)
        one = reader.held_bytes
    with FrameReader(facts, cache_bytes=50 * one) as reader:
        reader.frame(240)
        assert [n for n in range(300) if reader.holds(n)] == list(range(191, 241))


def test_one_frame_is_kept_even_without_room(clips: ClipBox) -> None:
    with FrameReader(look(clips.get("constant_30").path), cache_bytes=0) as reader:
        assert read_number(reader.frame(9)) == 9
        assert reader.holds(9)


def test_a_smaller_picture_fits_and_keeps_its_shape(clips: ClipBox) -> None:
    with FrameReader(look(clips.get("wide_pixels").path)) as reader:
        assert reader.frame(5, max_size=(107, 1000)).shape == (60, 107, 3)
        assert reader.frame(5, max_size=(1000, 30)).shape == (30, 53, 3)
        assert read_number(reader.frame(5, max_size=(107, 1000))) == 5


def test_a_picture_is_never_made_larger(clips: ClipBox) -> None:
    with FrameReader(look(clips.get("turned_90").path)) as reader:
        assert reader.frame(5, max_size=(4000, 4000)).shape == (120, 160, 3)


def test_a_smaller_turned_picture_is_upright(clips: ClipBox) -> None:
    with FrameReader(look(clips.get("turned_90").path)) as reader:
        small = reader.frame(5, max_size=(80, 80))
        assert small.shape == (60, 80, 3)
        assert read_number(small) == 5


def test_a_damaged_frame_is_named_and_no_other_shown(clips: ClipBox, tmp_path: Path) -> None:
    facts, lost = damaged(clips, tmp_path / "damaged.mp4")
    assert 0 < len(lost) < 10
    with FrameReader(facts) as reader:
        for n in lost:
            with pytest.raises(ClipTrouble, match=f"Frame {n} of .* is damaged"):
                reader.frame(n)


def test_damage_hides_no_frame_that_can_be_decoded(clips: ClipBox, tmp_path: Path) -> None:
    facts, lost = damaged(clips, tmp_path / "damaged.mp4")
    whole = [n for n in range(len(facts.table)) if n not in lost]
    with FrameReader(facts, cache_bytes=0) as reader:
        for n in whole:
            reader.frame(n)
        assert read_number(reader.frame(whole[-1])) == whole[-1]


def test_a_closed_reader_reads_no_more(clips: ClipBox) -> None:
    reader = FrameReader(look(clips.get("constant_30").path))
    reader.close()
    reader.close()
    assert reader.held_bytes == 0
    with pytest.raises(ValueError, match="closed"):
        reader.frame(0)


def test_the_first_picture_is_frame_0(any_clip: MadeClip) -> None:
    with FrameReader(look(any_clip.path)) as reader:
        assert np.array_equal(first_picture(any_clip.path), reader.frame(0))


def test_a_clip_that_has_gone_says_so(clips: ClipBox, tmp_path: Path) -> None:
    path = tmp_path / "going.mp4"
    path.write_bytes(clips.get("constant_30").path.read_bytes())
    facts = look(path)
    path.unlink()
    with pytest.raises(ClipTrouble, match="There is no file"):
        FrameReader(facts)
