from __future__ import annotations

from datetime import UTC, date, datetime, timedelta, timezone
from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st

from annotate.card import CardClip, Proposal, join, leave_out, propose, split

MINUTE = timedelta(minutes=1)
NINE = datetime(2026, 5, 4, 9, 0, tzinfo=UTC)


def clip(name: str, minutes: float | None, length: float = 5) -> CardClip:
    at = None if minutes is None else NINE + minutes * MINUTE
    return CardClip(Path(f"{name}.mp4"), at, length * MINUTE, name)


def names(proposals: tuple[Proposal, ...]) -> list[str]:
    return ["".join(one.path.stem for one in proposal.clips) for proposal in proposals]


def test_a_long_break_begins_another_session() -> None:
    found = propose([clip("a", 0), clip("b", 6), clip("c", 31.5), clip("d", 56)], zone=UTC)
    assert names(found) == ["ab", "cd"]
    assert names(propose([clip("a", 0), clip("b", 25), clip("c", 50.1)], zone=UTC)) == ["ab", "c"]


def test_the_break_is_counted_from_the_end_of_the_longest_clip() -> None:
    assert names(propose([clip("a", 0, 60), clip("b", 5, 1), clip("c", 75)], zone=UTC)) == ["abc"]


def test_another_day_begins_another_session() -> None:
    late = datetime(2026, 5, 4, 23, 55, tzinfo=UTC)
    clips = [
        CardClip(Path("a.mp4"), late, 4 * MINUTE),
        CardClip(Path("b.mp4"), late + 6 * MINUTE, 4 * MINUTE),
    ]
    found = propose(clips, zone=UTC)
    assert [one.day for one in found] == [date(2026, 5, 4), date(2026, 5, 5)]
    assert len(propose(clips, zone=timezone(timedelta(hours=-5)))) == 1


def test_a_file_that_tells_its_own_zone_is_believed() -> None:
    at = datetime(2026, 5, 4, 23, 55, tzinfo=timezone(timedelta(hours=2)))
    assert propose([CardClip(Path("a.mp4"), at, MINUTE)], zone=UTC)[0].day == date(2026, 5, 4)


def test_clips_without_a_time_of_day_come_last() -> None:
    found = propose([clip("z", None), clip("a", 0), clip("y", None)], zone=UTC)
    assert names(found) == ["a", "yz"]
    assert found[1].day is None


def test_an_empty_card_proposes_nothing() -> None:
    assert propose([]) == ()


def test_a_session_is_split_and_joined_again() -> None:
    found = propose([clip(name, n * 6) for n, name in enumerate("abcd")], zone=UTC)
    parts = split(found, 0, 1)
    assert names(parts) == ["a", "bcd"]
    assert join(parts, 0) == found
    assert split(found, 0, 0) == split(found, 0, 4) == found
    assert join(found, 0) == found


def test_a_clip_is_left_out_and_an_empty_session_goes() -> None:
    found = propose([clip("a", 0), clip("b", 60)], zone=UTC)
    assert names(leave_out(found, 0, 0)) == ["b"]


@given(st.lists(st.one_of(st.none(), st.integers(0, 5000)), max_size=20), st.randoms())
def test_every_clip_is_in_exactly_one_session_whatever_the_order(
    times: list[int | None], random: object
) -> None:
    clips = [clip(str(n), at) for n, at in enumerate(times)]
    found = propose(clips, zone=UTC)
    assert sorted(one.fingerprint for p in found for one in p.clips) == sorted(c.fingerprint for c in clips)
    random.shuffle(clips)  # type: ignore[attr-defined]
    assert propose(clips, zone=UTC) == found
