from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction

import pytest

from annotate.clock import NS_PER_S
from annotate.errors import BarnTrouble
from annotate.passages import Passage
from annotate.tagging import Change
from annotate.tags import FrameMark, Tag
from store.barn import Barn
from store.rows import NewClip
from tests.store.made_barns import BOTH, FIRST_PTS, MAY_4, TICKS_PER_S, event, put, state

engines = BOTH


@pytest.fixture
def filmed(barn: Barn, clip: Callable[..., NewClip]) -> int:
    """A session with a clip from 0 to 60 s and one from 100 to 160 s."""
    return barn.add_session("Juniper", MAY_4, [clip("a.mp4"), clip("b.mp4", starts_s=100)])


def frame(barn: Barn, session_id: int, which: int, second: int) -> FrameMark:
    return FrameMark(barn.session(session_id).clips[which].id, FIRST_PTS + second * TICKS_PER_S)


def on_frames(barn: Barn, session_id: int, what: str, start: tuple[int, int], end: tuple[int, int]) -> Tag:
    """A state between frames, each named as (clip, second in it)."""
    clips = barn.session(session_id).clips
    marks = [frame(barn, session_id, *edge) for edge in (start, end)]
    start_ns, end_ns = (clips[edge[0]].session_ns(m.pts) for edge, m in zip((start, end), marks, strict=True))
    return Tag(what, start_ns, end_ns, start_frame=marks[0], end_frame=marks[1])


def seconds(barn: Barn, session_id: int) -> list[tuple[str, float, float | None]]:
    return [
        (tag.what, tag.start_ns / NS_PER_S, tag.end_ns / NS_PER_S if tag.end_ns is not None else None)
        for tag in barn.tags(session_id)
    ]


def test_tags_go_along_with_their_clip(barn: Barn, filmed: int) -> None:
    put(barn, filmed, on_frames(barn, filmed, "walk", (1, 10), (1, 20)))
    barn.place_clip(barn.clips(filmed)[1].id, 130 * NS_PER_S, Fraction(1))
    assert seconds(barn, filmed) == [("walk", 140, 150)]
    assert barn.session(filmed).end_ns == 190 * NS_PER_S


def test_tags_on_other_clips_and_on_the_clock_stay(barn: Barn, filmed: int) -> None:
    put(barn, filmed, on_frames(barn, filmed, "walk", (0, 10), (0, 20)), event("spook", 110))
    barn.place_clip(barn.clips(filmed)[1].id, 130 * NS_PER_S, Fraction(1))
    assert seconds(barn, filmed) == [("walk", 10, 20), ("spook", 110, None)]


def test_each_edge_goes_along_with_its_own_clip(barn: Barn, filmed: int) -> None:
    put(barn, filmed, on_frames(barn, filmed, "walk", (0, 10), (1, 20)))
    barn.place_clip(barn.clips(filmed)[1].id, 130 * NS_PER_S, Fraction(1))
    assert seconds(barn, filmed) == [("walk", 10, 150)]


def test_an_edge_without_a_frame_goes_along_with_its_partner(barn: Barn, filmed: int) -> None:
    put(barn, filmed, replace(on_frames(barn, filmed, "walk", (1, 10), (1, 20)), end_frame=None))
    barn.place_clip(barn.clips(filmed)[1].id, 70 * NS_PER_S, Fraction(1))
    assert seconds(barn, filmed) == [("walk", 80, 90)]


def test_slow_motion_shortens_what_was_tagged_on_it(barn: Barn, filmed: int) -> None:
    put(barn, filmed, on_frames(barn, filmed, "walk", (1, 16), (1, 32)))
    barn.place_clip(barn.clips(filmed)[1].id, 100 * NS_PER_S, Fraction(8))
    assert seconds(barn, filmed) == [("walk", 102, 104)]
    assert barn.sessions()[0].length_ns == round(107.5 * NS_PER_S)


def test_a_second_look_goes_along_too(barn: Barn, filmed: int) -> None:
    barn.apply(filmed, Change((), (on_frames(barn, filmed, "walk", (1, 10), (1, 20)),)), look=2)
    barn.place_clip(barn.clips(filmed)[1].id, 130 * NS_PER_S, Fraction(1))
    assert [tag.start_ns for tag in barn.tags(filmed, look=2)] == [140 * NS_PER_S]


def test_passages_go_along_with_their_clip(barn: Barn, filmed: int) -> None:
    start = frame(barn, filmed, 1, 10)
    kept = Passage(110 * NS_PER_S, 115 * NS_PER_S, "first flag", 0, start_frame=start)
    barn.keep_passages(filmed, [kept])
    barn.place_clip(barn.clips(filmed)[1].id, 130 * NS_PER_S, Fraction(1))
    assert barn.passages(filmed) == (replace(kept, start_ns=140 * NS_PER_S, end_ns=145 * NS_PER_S),)


def test_a_clip_is_not_placed_where_its_tags_would_overlap_others(barn: Barn, filmed: int) -> None:
    put(
        barn,
        filmed,
        on_frames(barn, filmed, "walk", (0, 10), (0, 50)),
        on_frames(barn, filmed, "trot", (1, 10), (1, 20)),
    )
    before = barn.tags(filmed)
    with pytest.raises(BarnTrouble, match=r"overlaps walk.*Nothing was changed"):
        barn.place_clip(barn.clips(filmed)[1].id, 30 * NS_PER_S, Fraction(1))
    assert barn.tags(filmed) == before
    assert barn.clips(filmed)[1].placed.starts_ns == 100 * NS_PER_S


def test_a_clip_is_not_placed_where_a_tag_would_end_before_it_starts(barn: Barn, filmed: int) -> None:
    put(barn, filmed, on_frames(barn, filmed, "walk", (0, 50), (1, 5)))
    with pytest.raises(BarnTrouble, match="walk must end after it starts"):
        barn.place_clip(barn.clips(filmed)[1].id, 0, Fraction(1))


def test_a_clip_is_not_placed_where_a_passage_would_end_before_it_starts(barn: Barn, filmed: int) -> None:
    edges = frame(barn, filmed, 0, 50), frame(barn, filmed, 1, 5)
    barn.keep_passages(filmed, [Passage(50 * NS_PER_S, 105 * NS_PER_S, "flag", 0, *edges)])
    with pytest.raises(BarnTrouble, match="'flag' would not fit"):
        barn.place_clip(barn.clips(filmed)[1].id, 0, Fraction(1))


def test_faults_that_were_there_before_do_not_stop_a_clip(barn: Barn, filmed: int) -> None:
    put(barn, filmed, state("walk", 0, 10), state("trot", 5, 20))
    barn.place_clip(barn.clips(filmed)[1].id, 130 * NS_PER_S, Fraction(1))
    assert barn.clips(filmed)[1].placed.starts_ns == 130 * NS_PER_S


def test_a_camera_that_was_moved_before_the_start_goes_back_with_the_clock_and_all_that_is_on_it(
    barn: Barn, clip: Callable[..., NewClip]
) -> None:
    session_id = barn.add_session("Juniper", MAY_4, [clip("a.mp4"), replace(clip("b.mp4", starts_s=5), view=2)])
    put(barn, session_id, on_frames(barn, session_id, "walk", (1, 10), (1, 20)), event("spook", 30))
    before = barn.session(session_id), barn.tags(session_id)
    later_ns = barn.shift_view(session_id, 2, -12 * NS_PER_S)
    assert later_ns == 7 * NS_PER_S
    assert seconds(barn, session_id) == [("walk", 10, 20), ("spook", 37, None)]
    assert barn.shift_view(session_id, 2, 12 * NS_PER_S, sooner_ns=later_ns) == 0
    assert (barn.session(session_id), barn.tags(session_id)) == before


def test_a_clock_that_has_something_at_its_start_by_now_does_not_begin_later_again(
    barn: Barn, clip: Callable[..., NewClip]
) -> None:
    session_id = barn.add_session("Juniper", MAY_4, [clip("a.mp4"), replace(clip("b.mp4", starts_s=5), view=2)])
    later_ns = barn.shift_view(session_id, 2, -12 * NS_PER_S)
    put(barn, session_id, event("spook", 3))
    before = barn.session(session_id), barn.tags(session_id)
    with pytest.raises(BarnTrouble, match="Nothing was changed"):
        barn.shift_view(session_id, 2, 12 * NS_PER_S, sooner_ns=later_ns)
    assert (barn.session(session_id), barn.tags(session_id)) == before


def test_an_unknown_clip_cannot_be_placed(barn: Barn) -> None:
    with pytest.raises(BarnTrouble, match="no clip 5"):
        barn.place_clip(5, 0, Fraction(1))
