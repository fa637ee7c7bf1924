from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from annotate.deliver.cuts import rate_of
from annotate.passages import Passage
from tests.annotate.deliver.some_cuts import S, cut, facts, material, steady


def test_a_passage_holds_the_frames_that_begin_in_it() -> None:
    (one,) = cut(material(steady(Fraction(25), 100), passages=[Passage(S, 2 * S)]))
    assert one.frames == range(25, 50)
    assert (one.start, one.end) == (1, 2)


def test_a_frame_that_begins_at_the_end_is_not_in_it() -> None:
    (one,) = cut(material(steady(Fraction(25), 100), passages=[Passage(S, 2 * S + 1)]))
    assert one.frames == range(25, 51)


def test_a_frame_that_began_before_is_not_in_it() -> None:
    (one,) = cut(material(steady(Fraction(25), 100), passages=[Passage(S + 1, 2 * S)]))
    assert one.frames == range(26, 50)


def test_a_passage_within_one_frame_shows_that_frame() -> None:
    (one,) = cut(material(steady(Fraction(25), 100), passages=[Passage(S + 1, S + 2)]))
    assert one.frames == range(25, 26)


def test_slow_motion_is_cut_by_the_horses_time_and_runs_at_its_playing_speed() -> None:
    (one,) = cut(material(steady(Fraction(25), 200), speed=4, passages=[Passage(S, 2 * S)]))
    assert one.frames == range(100, 200)
    assert one.length == 4


def test_times_are_those_of_a_player() -> None:
    clip = facts([900, 1000, 1100], Fraction(1, 100), end=1200, container_start=Fraction(9))
    (one,) = cut(material(clip, passages=[Passage(S, 2 * S)]))
    assert (one.frames, one.start, one.end) == (range(1, 2), 1, 2)


def test_cuts_follow_each_other_in_the_reel() -> None:
    some = material(
        steady(Fraction(25), 100),
        steady(Fraction(30), 120),
        passages=[Passage(3 * S, 5 * S), Passage(0, S, position=1)],
    )
    assert [(one.row.clip, one.reel_start, one.reel_end) for one in cut(some)] == [
        ("clip1.mp4", 0, 1),
        ("clip2.mp4", 1, 2),
        ("clip1.mp4", 2, 3),
    ]


def test_what_no_clip_shows_is_not_cut() -> None:
    some = material(steady(Fraction(25), 100), passages=[Passage(10 * S, 11 * S)])
    assert cut(some) == ()


def test_a_session_without_clips_is_cut_on_its_own_clock() -> None:
    (one,) = cut(material(passages=[Passage(10 * S, 11 * S)], length_s=60))
    assert (one.frames, one.start, one.end, one.rate) == (None, 10, 11, None)


def test_the_rate_is_that_of_most_of_the_time() -> None:
    some = material(
        steady(Fraction(25), 100),
        steady(Fraction(30), 120),
        passages=[Passage(0, 2 * S), Passage(5 * S, 6 * S)],
    )
    assert rate_of(cut(some)) == 25
    assert rate_of([]) == 30


@given(
    st.lists(st.integers(1, 5000), min_size=2, max_size=40),
    st.lists(st.integers(1, 10**9), min_size=2, max_size=6, unique=True),
    st.sampled_from([1, 3, 8]),
)
def test_passages_that_touch_share_no_frame_and_lose_none(
    steps: list[int], edges: list[int], speed: int
) -> None:
    pts = [sum(steps[:n]) for n in range(len(steps))]
    clip = facts(pts, Fraction(1, 90000), end=sum(steps))
    (whole,) = cut(material(clip, speed=speed, passages=[Passage(0, 10**12)]))
    assert whole.frames == range(len(pts))
    end_ns = material(clip, speed=speed, passages=[]).session.end_ns
    inner = sorted({edge * end_ns // 10**9 for edge in edges} - {0, end_ns})
    bounds = [0, *inner, end_ns]
    touching = [Passage(a, b) for a, b in pairwise(bounds)]
    begins = [material(clip, speed=speed, passages=[]).files[0].placed.session_ns(at) for at in pts]
    for passage, one in zip(touching, cut(material(clip, speed=speed, passages=touching)), strict=True):
        inside = [n for n, at in enumerate(begins) if passage.start_ns <= at < passage.end_ns]
        if inside:
            assert list(one.frames or []) == inside
