from __future__ import annotations

from fractions import Fraction

import av
import pytest
from hypothesis import given
from hypothesis import strategies as st

from annotate.deliver.reel.coding import Coding
from annotate.deliver.reel.edges import edge_sets
from annotate.deliver.reel.looks import Colour, Look
from annotate.deliver.reel.parameter_sets import (
    NONE,
    ParameterSets,
    packet_of,
    read_record,
    split,
    units,
)
from tests.made_clips import CLIPS, ClipBox, numbered

H264 = [name for name, (suffix, _) in CLIPS.items() if suffix in (".mp4", ".mov") and name != "hevc"]


def record_of(path: object) -> bytes:
    with av.open(str(path)) as container:
        return bytes(container.streams.video[0].codec_context.extradata or b"")


@pytest.mark.parametrize("name", H264)
def test_a_record_that_is_read_is_written_alike(name: str, clips: ClipBox) -> None:
    record = record_of(clips.get(name).path)
    sets = read_record(record)
    assert sets is not None
    assert sets.record() == record
    assert all(one.progressive and one.eight_bit_420 for one in sets.sequences)


@pytest.mark.parametrize(
    ("options", "plain", "progressive"),
    [
        ({"pix_fmt": "yuv422p"}, False, True),
        ({"pix_fmt": "yuv444p"}, False, True),
        ({"pix_fmt": "yuv420p10le"}, False, True),
        ({"x264-params": "tff=1"}, True, False),
        ({"profile": "baseline"}, True, True),
        ({"preset": "slow", "x264-params": "cqm=jvt"}, True, True),
    ],
)
def test_what_a_phone_may_not_play_is_seen(
    options: dict[str, str], plain: bool, progressive: bool, tmp_path: object
) -> None:
    sets = read_record(record_of(numbered(tmp_path / "clip.mp4", 3, **options)))  # type: ignore[operator]
    assert sets is not None
    (one,) = sets.sequences
    assert (one.eight_bit_420, one.progressive, one.number) == (plain, progressive, 0)


def test_sets_of_different_coders_go_into_one_record(clips: ClipBox) -> None:
    copied = read_record(record_of(clips.get("b_frames").path))
    assert copied is not None
    coded = edge_sets(Coding(Look(160, 120, Colour()), copied.free_numbers[0], Fraction(25)))
    assert not copied.clashes(coded)
    both = copied.with_those_of(coded)
    assert read_record(both.record()) == both
    assert [one.number for one in both.sequences] == [0, 1]
    assert both.free_numbers[0] == 2
    assert both.with_those_of(copied) == both


def test_one_number_with_two_meanings_clashes(clips: ClipBox) -> None:
    one, other = (read_record(record_of(clips.get(name).path)) for name in ("b_frames", "only_keyframes"))
    assert one is not None
    assert other is not None
    assert one.clashes(other)
    assert not one.clashes(one)
    assert not NONE.clashes(one)


@given(st.lists(st.binary(min_size=1, max_size=20), max_size=5))
def test_units_come_back_from_a_packet(some: list[bytes]) -> None:
    assert list(units(packet_of(some))) == some


@pytest.mark.parametrize("damaged", [b"\0\0\0\5abc", b"\0\0\0\0", b"\0\0\0\1a\0"])
def test_a_damaged_packet_is_refused(damaged: bytes) -> None:
    with pytest.raises(ValueError, match="do not add up"):
        list(units(damaged))


@given(st.binary(max_size=60))
def test_any_bytes_are_a_record_or_none(some: bytes) -> None:
    assert isinstance(read_record(b"\1\x64\0\x28\xff\xe1" + some), ParameterSets | None)


def test_a_byte_stream_is_split_at_its_start_codes() -> None:
    assert list(split(b"\0\0\0\1ab\0\0\1c\0\0\3d\0\0\0\0\1e")) == [b"ab", b"c\0\0\3d", b"e"]
