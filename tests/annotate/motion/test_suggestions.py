"""Which suggestions are still to be decided."""

from __future__ import annotations

from datetime import date
from fractions import Fraction

import pytest

from annotate.behaviours import default_sheet
from annotate.motion.proposals import Proposal
from annotate.motion.suggestions import (
    Decision,
    Pointed,
    Shares,
    Suggestion,
    Verdict,
    click_of,
    decide,
    shares,
    still_open,
    suggestions_for,
    tells,
)
from annotate.sessions import PlacedClip, Session
from annotate.tags import Tag

S = 1_000_000_000
SHEET = default_sheet()
CLIP = PlacedClip(3, 100 * S, Fraction(1, 1000), 500, 60_500)
SESSION = Session(1, "Thistle", date(2026, 5, 4), clips=(CLIP,))


def suggestion(what: str, start: float, end: float | None = None) -> Suggestion:
    """Seconds of the clip."""
    end_ns = None if end is None else CLIP.starts_ns + round(end * S)
    return Suggestion(CLIP.id, CLIP.starts_ns + round(start * S), end_ns, what, 0.7)


def tag(what: str, start: float, end: float | None = None) -> Tag:
    """Seconds of the clip."""
    return Tag(what, CLIP.starts_ns + round(start * S), None if end is None else CLIP.starts_ns + round(end * S))


def left(one: Suggestion, *decisions: Decision, tags: tuple[Tag, ...] = ()) -> list[tuple[str, float, float | None]]:
    """What is still open of it, in seconds of the clip."""
    found = still_open(SESSION, [one], decisions, tags, SHEET)
    zero = CLIP.starts_ns
    return [(s.what, (s.start_ns - zero) / S, None if s.end_ns is None else (s.end_ns - zero) / S) for s in found]


@pytest.mark.parametrize("verdict", ["taken", "changed", "refused"])
@pytest.mark.parametrize("one", [suggestion("walk", 2, 9), suggestion("spook", 4)])
def test_what_was_decided_is_not_suggested_again(one: Suggestion, verdict: Verdict) -> None:
    assert left(one)
    assert left(one, decide(CLIP, one, verdict, "walk")) == []


def test_the_same_seen_a_little_differently_is_decided_too() -> None:
    decision = decide(CLIP, suggestion("walk", 2, 9), "refused")
    assert left(suggestion("walk", 2.5, 10), decision) == []
    assert left(suggestion("walk", 2.0, 4.0), decision) == []


def test_a_decision_about_a_little_part_does_not_settle_the_whole() -> None:
    assert left(suggestion("walk", 0, 50), decide(CLIP, suggestion("walk", 2, 9), "refused"))


def test_another_behaviour_in_the_same_stretch_is_another_question() -> None:
    assert left(suggestion("trot", 2, 9), decide(CLIP, suggestion("walk", 2, 9), "refused"))


def test_a_decision_follows_the_clip_to_another_place_on_the_clock() -> None:
    one = suggestion("walk", 2, 9)
    decision = decide(CLIP, one, "refused")
    moved = PlacedClip(3, 0, CLIP.time_base, CLIP.first_pts, CLIP.end_pts)
    session = Session(1, "Thistle", date(2026, 5, 4), clips=(moved,))
    again = Suggestion(3, 2 * S, 9 * S, "walk", 0.7)
    assert still_open(session, [again], [decision], (), SHEET) == ()
    assert still_open(session, [Suggestion(3, 20 * S, 29 * S, "walk", 0.7)], [decision], (), SHEET)


def test_a_stretch_whose_gait_is_tagged_is_not_suggested() -> None:
    assert left(suggestion("walk", 2, 9), tags=(tag("trot", 0, 10),)) == []


def test_a_suggestion_is_cut_to_what_is_not_tagged() -> None:
    assert left(suggestion("walk", 0, 20), tags=(tag("trot", 5, 10),)) == [("walk", 0, 5), ("walk", 10, 20)]


def test_what_tags_leave_and_is_short_is_a_matter_of_edges() -> None:
    assert left(suggestion("walk", 0, 10), tags=(tag("trot", 1, 9),)) == []


def test_a_short_suggestion_is_shown_whole_where_nothing_is_tagged() -> None:
    assert left(suggestion("walk", 3, 4)) == [("walk", 3, 4)]


def test_who_tagged_the_gait_has_seen_the_horse() -> None:
    assert left(suggestion("out_of_sight", 2, 9), tags=(tag("walk", 0, 10),)) == []
    assert left(suggestion("left_rein", 2, 9), tags=(tag("out_of_sight", 0, 10),)) == []
    assert left(suggestion("left_rein", 2, 9), tags=(tag("walk", 0, 10),))


@pytest.mark.parametrize(
    ("what", "tagged", "apart", "is_open"),
    [
        ("spook", "shy", 1.9, False),
        ("spook", "shy", 2.1, True),
        ("turn_in", "turn_out", 1.0, False),
        ("cluck", "cluck", 0.4, False),
        ("cluck", "cluck", 0.8, True),
        ("cluck", "kiss", 0.1, True),
    ],
)
def test_an_instant_is_answered_by_one_tagged_close_to_it(
    what: str, tagged: str, apart: float, is_open: bool
) -> None:
    assert bool(left(suggestion(what, 10), tags=(tag(tagged, 10 + apart),))) is is_open


def test_what_is_not_on_the_sheet_is_not_suggested() -> None:
    assert left(suggestion("pirouette", 1)) == []


def test_a_clip_speaks_only_where_the_session_is_told_from_it() -> None:
    """Another camera's clip of the same work says everything twice."""
    other = PlacedClip(4, 100 * S, Fraction(1, 1000), 0, 90_000, view=2)
    session = Session(1, "Thistle", date(2026, 5, 4), clips=(CLIP, other))
    proposals = [Proposal(110 * S, 120 * S, "walk", 0.7), Proposal(170 * S, None, "spook", 0.7)]
    assert [one.what for one in suggestions_for(session, CLIP, proposals[:1])] == ["walk"]
    assert [one.what for one in suggestions_for(session, other, proposals)] == ["spook"]


def test_another_cameras_clip_tells_only_where_nobody_else_filmed() -> None:
    hidden = PlacedClip(4, 110 * S, Fraction(1, 1000), 0, 40_000, view=2)
    longer = PlacedClip(5, 110 * S, Fraction(1, 1000), 0, 60_000, view=2)
    session = Session(1, "Thistle", date(2026, 5, 4), clips=(CLIP, hidden, longer))
    assert [tells(session, clip) for clip in session.clips] == [True, False, True]


def test_shares_count_what_was_decided_and_what_is_open() -> None:
    made = [decide(CLIP, suggestion("walk", 1, 2), verdict) for verdict in ("taken", "taken", "changed", "refused")]
    assert shares(made, 6) == Shares(2, 1, 1, 10)


def test_pointing_is_told_in_the_horses_time() -> None:
    """Frame 4500 of a clip that begins at 500 and plays eight times slower than life."""
    slow = PlacedClip(3, 0, Fraction(1, 1000), 500, 60_500, Fraction(8))
    click = click_of(slow, Pointed(4_500, 0.25, 0.5))
    assert (click.at_s, click.x, click.y) == (0.5, 0.25, 0.5)
