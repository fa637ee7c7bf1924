from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from annotate.media.clip import ClipFacts, Picture, look
from annotate.media.frame_table import FrameTable
from annotate.media.player_clock import frame_to_us, player_has_times, seek_ms, us_to_frame
from tests.made_clips import CLIPS, ClipBox, MadeClip


def facts_of(table: FrameTable, container_start: Fraction) -> ClipFacts:
    return ClipFacts(
        path=Path("clip.mp4"),
        container="mp4",
        codec="h264",
        picture=Picture((160, 120), Fraction(1), 0, False),
        container_start=container_start,
        recorded_at=None,
        capture_rate=None,
        stated_rate=None,
        sound=None,
        table=table,
    )


@st.composite
def made_facts(draw: st.DrawFn) -> ClipFacts:
    base = draw(st.sampled_from([Fraction(1, 90000), Fraction(1, 1000), Fraction(1001, 60000)]))
    steps = draw(st.lists(st.integers(1, 5000), min_size=1, max_size=50))
    times = draw(st.integers(-(10**6), 10**9)) + np.cumsum([0, *steps[:-1]])
    table = FrameTable(times, np.array([0]), base, int(times[-1]) + steps[-1])
    return facts_of(table, Fraction(draw(st.integers(-(10**7), 10**10)), 1_000_000))


@given(made_facts())
def test_every_frame_is_found_again_by_the_players_microseconds(facts: ClipFacts) -> None:
    numbers = range(len(facts.table))
    assert [us_to_frame(facts, frame_to_us(facts, n)) for n in numbers] == list(numbers)


@given(made_facts(), st.integers(-5, 5), st.data())
def test_a_microsecond_off_is_still_that_frame(facts: ClipFacts, off: int, data: st.DataObject) -> None:
    n = data.draw(st.integers(0, len(facts.table) - 1))
    assert us_to_frame(facts, frame_to_us(facts, n) + off) == n


@given(made_facts(), st.integers(-(10**12), 10**12))
def test_any_time_is_nearest_to_some_frame(facts: ClipFacts, us: int) -> None:
    off = [abs(frame_to_us(facts, n) - us) for n in range(len(facts.table))]
    assert off[us_to_frame(facts, us)] == min(off)


def test_the_seek_lands_inside_the_frames_time(any_clip: MadeClip) -> None:
    facts = look(any_clip.path)
    for n in range(len(facts.table)):
        start, end = facts.table.interval(n)
        at = seek_ms(facts, n) * Fraction(1, 1000) + facts.container_start
        assert start * facts.time_base < at < end * facts.time_base


def test_the_player_counts_from_the_containers_start(clips: ClipBox) -> None:
    assert frame_to_us(look(clips.get("transport_stream").path), 0) == 0
    assert frame_to_us(look(clips.get("late_start").path), 1) == 40_000
    assert frame_to_us(look(clips.get("picture_after_sound").path), 0) == 82_031


def test_microseconds_are_rounded_as_the_player_rounds_them(clips: ClipBox) -> None:
    facts = look(clips.get("constant_29_97").path)
    assert [frame_to_us(facts, n) for n in range(4)] == [0, 33_367, 66_733, 100_100]


def test_a_seek_asks_for_a_quarter_of_the_frame_but_for_the_start_of_the_last(clips: ClipBox) -> None:
    facts = look(clips.get("constant_25").path)
    assert (seek_ms(facts, 0), seek_ms(facts, 1), seek_ms(facts, 74)) == (10, 50, 2961)


def test_a_very_short_frame_is_asked_for_just_after_its_start() -> None:
    table = FrameTable(np.array([0, 1, 2, 900]), np.array([0]), Fraction(1, 1000), 1000)
    facts = facts_of(table, Fraction(0))
    assert [seek_ms(facts, n) for n in range(3)] == [1, 2, 226]


def test_only_reordered_pictures_in_avi_leave_the_player_without_times(clips: ClipBox) -> None:
    without = [name for name in CLIPS if not player_has_times(look(clips.get(name).path))]
    assert without == ["b_frames_in_avi"]
