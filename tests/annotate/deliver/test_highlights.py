from __future__ import annotations

from dataclasses import replace
from datetime import date
from fractions import Fraction

import pytest

from annotate.behaviours import default_sheet
from annotate.deliver.highlights import ClipFile, Highlight, Material, highlights
from annotate.passages import Passage
from annotate.sessions import PlacedClip, Session
from annotate.tags import Tag

SHEET = default_sheet()
S = 1_000_000_000
BASE = Fraction(1, 90000)


def clip(
    number: int, starts_s: int, length_s: int, *, speed: int = 1, first_s: int = 0, zero_s: int = 0
) -> ClipFile:
    first = first_s * 90000
    placed = PlacedClip(
        number, starts_s * S, BASE, first, first + length_s * speed * 90000, Fraction(speed)
    )
    return ClipFile(placed, f"/home/someone/clip{number}.mp4", Fraction(zero_s))


def material(
    *files: ClipFile, passages: list[Passage], length_s: int = 0, tags: tuple[Tag, ...] = ()
) -> Material:
    session = Session(
        1, "Bramble", date(2026, 5, 4), clips=tuple(f.placed for f in files), length_ns=length_s * S
    )
    return Material(session, tuple(passages), tags, SHEET, files)


def times(rows: tuple[Highlight, ...]) -> list[tuple[object, ...]]:
    """(number, clip, start, end, clip start, clip end) in whole seconds."""
    return [
        (
            row.number,
            row.clip,
            row.start_ns // S,
            row.end_ns // S,
            None if row.clip_start_ns is None else row.clip_start_ns // S,
            None if row.clip_end_ns is None else row.clip_end_ns // S,
        )
        for row in rows
    ]


def test_the_rows_stand_in_the_order_of_the_list_not_of_time() -> None:
    passages = [Passage(0, S, "second", 1), Passage(5 * S, 6 * S, "first", 0)]
    rows = highlights(material(passages=passages, length_s=60))
    assert [(row.number, row.caption) for row in rows] == [(1, "first"), (2, "second")]


def test_without_a_clip_there_is_no_playing_time() -> None:
    rows = highlights(material(passages=[Passage(S, 2 * S)], length_s=60))
    assert times(rows) == [(1, "", 1, 2, None, None)]


def test_a_passage_is_placed_on_its_clips_playing_clock() -> None:
    rows = highlights(material(clip(1, 10, 60), passages=[Passage(15 * S, 20 * S)]))
    assert times(rows) == [(1, "clip1.mp4", 15, 20, 5, 10)]


def test_slow_motion_plays_as_slowly_as_it_was_written() -> None:
    rows = highlights(material(clip(1, 10, 60, speed=8), passages=[Passage(15 * S, 20 * S)]))
    assert times(rows) == [(1, "clip1.mp4", 15, 20, 40, 80)]
    assert rows[0].length_ns == 5 * S


def test_a_clip_whose_clock_starts_late_plays_from_its_containers_start() -> None:
    rows = highlights(material(clip(1, 0, 60, first_s=12, zero_s=10), passages=[Passage(5 * S, 6 * S)]))
    assert times(rows) == [(1, "clip1.mp4", 5, 6, 7, 8)]


def test_a_passage_over_two_clips_is_a_row_for_each() -> None:
    rows = highlights(material(clip(1, 0, 10), clip(2, 15, 10), passages=[Passage(8 * S, 18 * S, "lope")]))
    assert times(rows) == [(1, "clip1.mp4", 8, 10, 8, 10), (1, "clip2.mp4", 15, 18, 0, 3)]
    assert {row.caption for row in rows} == {"lope"}


def test_where_clips_overlap_the_one_that_started_last_shows_it() -> None:
    rows = highlights(material(clip(1, 0, 30), clip(2, 10, 10), passages=[Passage(5 * S, 25 * S)]))
    assert times(rows) == [
        (1, "clip1.mp4", 5, 10, 5, 10),
        (1, "clip2.mp4", 10, 20, 0, 10),
        (1, "clip1.mp4", 20, 25, 20, 25),
    ]


def test_another_camera_shows_only_what_the_first_did_not_see() -> None:
    other = clip(2, 5, 20)
    other = replace(other, placed=replace(other.placed, view=2))
    rows = highlights(material(clip(1, 0, 10), other, clip(3, 20, 10), passages=[Passage(4 * S, 28 * S)]))
    assert [row[1:4] for row in times(rows)] == [
        ("clip1.mp4", 4, 10),
        ("clip2.mp4", 10, 20),
        ("clip3.mp4", 20, 28),
    ]


def test_a_passage_in_a_gap_stays_on_the_list_without_a_clip() -> None:
    rows = highlights(material(clip(1, 0, 10), clip(2, 15, 10), passages=[Passage(11 * S, 14 * S)]))
    assert times(rows) == [(1, "", 11, 14, None, None)]


@pytest.mark.parametrize("caption", ["", " \n"])
def test_a_passage_without_a_caption_is_called_by_its_number(caption: str) -> None:
    assert highlights(material(passages=[Passage(0, S, caption)], length_s=9))[0].caption == "Passage 1"


@pytest.mark.parametrize("name", ["a/b/c.mp4", "C:\\Users\\x\\c.mp4", "c.mp4"])
def test_no_folder_is_handed_on(name: str) -> None:
    assert ClipFile(clip(1, 0, 1).placed, name).file_name == "c.mp4"


def test_each_row_says_what_its_own_stretch_holds() -> None:
    tags = (Tag("walk", 0, 60 * S), Tag("spook", 16 * S))
    rows = highlights(
        material(clip(1, 0, 10), clip(2, 15, 10), passages=[Passage(8 * S, 18 * S)], tags=tags)
    )
    assert [row.tags for row in rows] == ["walk 2 s", "walk 3 s; spook at 0:16.0"]
