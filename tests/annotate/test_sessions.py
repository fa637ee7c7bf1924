from __future__ import annotations

from datetime import date
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from annotate.clock import NS_PER_S, Span, Spans
from annotate.errors import Trouble
from annotate.sessions import (
    PlacedClip,
    Session,
    clean_name,
    parse_capture_speed,
    parse_day,
    parse_length,
)

DAY = date(2026, 5, 4)
BASE = Fraction(1, 90000)


def clip(number: int, starts_s: int, length_s: int, speed: int = 1) -> PlacedClip:
    return PlacedClip(number, starts_s * NS_PER_S, BASE, 900, 900 + length_s * speed * 90000, Fraction(speed))


placed = st.builds(
    PlacedClip,
    id=st.just(1),
    starts_ns=st.integers(0, 10**13),
    time_base=st.sampled_from([BASE, Fraction(1001, 30000), Fraction(1, 1000)]),
    first_pts=st.integers(-(10**6), 10**6),
    end_pts=st.just(10**9),
    capture_speed=st.sampled_from([Fraction(1), Fraction(8), Fraction(240, 29), Fraction(1, 2)]),
)


def test_a_clip_covers_the_session_from_its_first_frame_to_its_last_frames_end() -> None:
    assert clip(1, 10, 5).span == Span(10 * NS_PER_S, 15 * NS_PER_S)


def test_slow_motion_counts_as_the_horse_lived_it() -> None:
    slow = clip(1, 10, 5, speed=8)
    assert slow.session_ns(900 + 8 * 90000) == 11 * NS_PER_S
    assert slow.span.length_ns == 5 * NS_PER_S


@given(placed, st.integers(-(10**7), 10**7))
def test_a_frame_comes_back_from_the_session_clock(one: PlacedClip, pts: int) -> None:
    assert one.pts_at(one.session_ns(pts)) == pts


@given(placed, st.integers(0, 10**13))
def test_the_tick_at_an_instant_is_the_last_that_has_begun(one: PlacedClip, at_ns: int) -> None:
    pts = one.pts_at(at_ns)
    assert one.session_ns(pts) <= at_ns < one.session_ns(pts + 1)


def test_without_clips_the_stated_length_is_observed() -> None:
    session = Session(1, "Bramble", DAY, length_ns=600)
    assert (session.end_ns, session.observed, session.gaps) == (600, Spans([Span(0, 600)]), Spans())


def test_a_session_without_anything_has_no_time() -> None:
    session = Session(1, "Bramble", DAY)
    assert (session.end_ns, session.observed, session.gaps) == (0, Spans(), Spans())


def test_time_between_clips_is_a_gap_that_nobody_observed() -> None:
    session = Session(1, "Bramble", DAY, clips=(clip(1, 0, 10), clip(2, 15, 10)), length_ns=30 * NS_PER_S)
    assert session.end_ns == 30 * NS_PER_S
    assert list(session.gaps) == [
        Span(10 * NS_PER_S, 15 * NS_PER_S),
        Span(25 * NS_PER_S, 30 * NS_PER_S),
    ]


def test_a_session_lasts_at_least_to_the_end_of_its_clips() -> None:
    assert Session(1, "Bramble", DAY, clips=(clip(1, 0, 10),), length_ns=5).end_ns == 10 * NS_PER_S


def test_where_clips_overlap_the_one_that_started_last_is_shown() -> None:
    session = Session(1, "Bramble", DAY, clips=(clip(1, 0, 10), clip(2, 5, 10), clip(3, 20, 5)))
    shown = [session.clip_at(s * NS_PER_S) for s in (4, 5, 9, 14, 15, 20)]
    assert [one.id if one else None for one in shown] == [1, 2, 2, 2, None, 3]


def test_a_clip_is_found_by_its_number() -> None:
    session = Session(1, "Bramble", DAY, clips=(clip(7, 0, 10),))
    assert session.clip(7).id == 7
    with pytest.raises(Trouble, match="Bramble/2026-05-04 has no clip 8"):
        session.clip(8)


def test_the_second_session_of_a_day_is_named_by_its_number() -> None:
    assert Session(1, "Bramble", DAY).name == "Bramble/2026-05-04"
    assert Session(1, "Bramble", DAY, number=2).name == "Bramble/2026-05-04/2"


def test_a_person_names_a_session_by_horse_and_day() -> None:
    assert Session(1, "Bramble", DAY).called == "Bramble, 4 May 2026"
    assert Session(1, "Bramble", DAY, number=2).called == "Bramble, 4 May 2026, session 2"


def test_a_day_is_read() -> None:
    assert parse_day(" 2026-05-04 ") == parse_day("4 May 2026") == DAY


@pytest.mark.parametrize(
    "text", ["", "2026-02-29", "4.5.2026", "20260504", "2026-W18-1", "2026-5-4", "２０２６-05-04"]
)
def test_what_is_not_a_day_is_refused(text: str) -> None:
    with pytest.raises(Trouble, match="is not a day"):
        parse_day(text)


@pytest.mark.parametrize(("text", "speed"), [("8", 8), ("240/30", 8), ("119.88 / 29.97", 4), ("0.5", "1/2")])
def test_a_capture_speed_is_read_exactly(text: str, speed: int | str) -> None:
    assert parse_capture_speed(text) == Fraction(speed)


@pytest.mark.parametrize("text", ["", "fast", "8/0", "1/0.0", "-8", "1_0", "nan", "8/2/2", "1e100000000"])
def test_what_is_not_a_capture_speed_is_refused(text: str) -> None:
    with pytest.raises(Trouble, match="is not a capture speed"):
        parse_capture_speed(text)


@pytest.mark.parametrize("text", ["0", "1001", "1/101"])
def test_a_capture_speed_that_no_camera_has_is_refused(text: str) -> None:
    with pytest.raises(Trouble, match="is not possible"):
        parse_capture_speed(text)


@pytest.mark.parametrize(("text", "ns"), [("600", 600 * NS_PER_S), ("86400", 86400 * NS_PER_S)])
def test_a_length_is_read(text: str, ns: int) -> None:
    assert parse_length(text) == ns


@pytest.mark.parametrize("text", ["0", "-1", "86400.000000001"])
def test_a_session_lasts_more_than_nothing_and_at_most_a_day(text: str) -> None:
    with pytest.raises(Trouble, match="at most a day"):
        parse_length(text)


def test_a_name_loses_stray_space() -> None:
    assert clean_name("  Old   Bramble\n", "A horse") == "Old Bramble"


@pytest.mark.parametrize("text", ["", "  ", "a/b", "a\x07b", "x" * 101])
def test_a_name_that_cannot_be_used_is_refused(text: str) -> None:
    with pytest.raises(Trouble, match="A horse"):
        clean_name(text, "A horse")
