"""What is offered to be seen abreast, and how two clocks stay lined up."""

from __future__ import annotations

from datetime import date
from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from annotate.abreast import LinedUp, Pair, Spot, only_clips, overlapping, pairs_of
from annotate.behaviours import default_sheet
from annotate.clock import NS_PER_S
from annotate.sessions import PlacedClip, Session
from annotate.tags import Tag

S = NS_PER_S
SHEET = default_sheet()
times = st.integers(-(10**13), 10**13)


def session(number: int, day: int, *clips: PlacedClip) -> Session:
    return Session(number, "Thistle", date(2026, 5, day), 1, clips, 600 * S)


def clip(number: int, start_s: int, end_s: int, view: int = 1) -> PlacedClip:
    return PlacedClip(number, start_s * S, Fraction(1, 1000), 0, (end_s - start_s) * 1000, view=view)


def flag(start_s: int, end_s: int, side: str = "") -> Tag:
    return Tag("flag_on", start_s * S, end_s * S, side=side)


@given(times, times, times)
def test_what_is_lined_up_stays_so(first: int, second: int, ns: int) -> None:
    lined_up = LinedUp(first, second)
    assert lined_up.on_second(first) == second
    assert lined_up.on_first(lined_up.on_second(ns)) == ns
    assert lined_up.on_second(ns + 1) - lined_up.on_second(ns) == 1


def test_the_first_and_the_last_exposure_of_a_horse_are_offered() -> None:
    early, late = session(7, 4), session(3, 20)
    pairs = pairs_of([(late, [flag(5, 9), flag(50, 60)]), (early, [flag(30, 40), flag(10, 20)])], SHEET)
    assert pairs == (Pair("flag", Spot(7, 10 * S), Spot(3, 50 * S)),)


def test_an_exposure_that_only_changes_its_tag_is_one() -> None:
    pairs = pairs_of([(session(1, 4), [flag(10, 20), flag(20, 30)])], SHEET)
    assert pairs == ()


def test_the_same_stimulus_on_the_other_side_is_another_exposure() -> None:
    [pair] = pairs_of([(session(1, 4), [flag(10, 20, "left"), flag(20, 30, "right")])], SHEET)
    assert (pair.first.ns, pair.second.ns) == (10 * S, 20 * S)


def test_the_first_and_the_last_reaction_of_a_kind_are_offered() -> None:
    tags = [Tag("spook", at * S) for at in (40, 10, 90)]
    assert pairs_of([(session(1, 4), tags)], SHEET) == (Pair("spook", Spot(1, 10 * S), Spot(1, 90 * S)),)


def test_what_happened_once_is_not_offered() -> None:
    assert pairs_of([(session(1, 4), [flag(1, 2), Tag("buck", 5)])], SHEET) == ()


def test_two_cameras_are_offered_from_where_both_show_the_work() -> None:
    work = session(1, 4, clip(1, 0, 60), clip(2, 70, 100), clip(3, 20, 90, view=2))
    assert overlapping(work) == (Pair("", Spot(1, 20 * S, (1, 2)), Spot(1, 20 * S, (3,))),)


def test_clips_of_one_camera_that_overlap_are_each_seen_alone() -> None:
    work = session(1, 4, clip(1, 0, 60), clip(2, 50, 100))
    assert overlapping(work) == (Pair("", Spot(1, 50 * S, (1,)), Spot(1, 50 * S, (2,))),)


def test_clips_one_after_the_other_are_not_offered() -> None:
    assert overlapping(session(1, 4, clip(1, 0, 60), clip(2, 60, 100))) == ()


def test_a_session_with_fewer_clips_keeps_its_length() -> None:
    work = session(1, 4, clip(1, 0, 700), clip(2, 0, 60, view=2))
    seen = only_clips(work, (2,))
    assert [one.id for one in seen.clips] == [2]
    assert seen.end_ns == work.end_ns
    assert only_clips(work, ()) is work
