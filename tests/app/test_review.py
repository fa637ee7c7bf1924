"""A session under review, without any widget."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import pytest
from pytestqt.qtbot import QtBot

from annotate.changes import Change
from annotate.clock import NS_PER_S
from annotate.errors import Trouble
from annotate.tagging import Moment
from annotate.tags import Tag
from app.review import Review
from store.barn import Barn
from tests.app.hands import in_seconds

S = NS_PER_S
STEP = S // 100
Start = Callable[..., Review]


@pytest.fixture
def start(barn: Barn, qtbot: QtBot) -> Start:
    """A review of ten minutes without clips that begin with the given tags."""

    def begin(*tags: Tag) -> Review:
        session_id = barn.add_session("Thistle", date(2026, 5, 4), length_ns=600 * S)
        barn.apply(session_id, Change((), tags))
        return Review(barn, session_id)

    return begin


def at(seconds: float) -> Moment:
    ns = round(seconds * S)
    return Moment(ns, None, ns + STEP)


def watch(review: Review, start: int, end: int) -> None:
    """Lets the picture run, a second at a time."""
    for second in range(start, end + 1):
        review.seen(at(second))


def ends(review: Review) -> dict[str, float]:
    return {tag.what: (tag.end_ns or 0) / S for tag in review.tags_as_seen()}


def test_a_state_that_runs_goes_as_far_as_it_was_watched(start: Start) -> None:
    review = start()
    review.press("walk", at(0))
    watch(review, 0, 20)
    assert ends(review) == {"walk": 20}


def test_the_last_frame_is_watched_to_its_end(start: Start) -> None:
    review = start()
    review.press("walk", at(595))
    review.seen(at(599.99))
    assert ends(review) == {"walk": 600}


def test_several_tags_are_chosen_and_one_of_them_is_in_hand(start: Start) -> None:
    walk, trot, spook = Tag("walk", 0, 10 * S), Tag("trot", 10 * S, 20 * S), Tag("spook", 12 * S)
    review = start(walk, trot, spook)
    review.choose(walk.id)
    review.choose_or_leave(spook.id)
    assert (review.selection, review.selected) == ((walk, spook), spook)
    review.choose(trot.id)
    assert review.selection == (trot,)


def test_a_correction_of_several_tags_is_one_step(start: Start) -> None:
    review = start(Tag("walk", 0, 10 * S), Tag("trot", 10 * S, 20 * S))
    review.choose_all()
    review.delete(review.selection)
    assert review.undo_list.done == ("2 tags deleted",)
    assert review.selection == ()


def test_a_leap_is_not_watching(start: Start) -> None:
    review = start()
    review.press("walk", at(0))
    review.seen(at(10))
    review.seen(at(500))
    assert ends(review) == {"walk": 10}


def test_going_back_takes_nothing_away_that_was_watched(start: Start) -> None:
    review = start()
    review.press("walk", at(0))
    watch(review, 0, 20)
    review.seen(at(5))
    assert ends(review) == {"walk": 20}


def test_a_rein_tagged_in_a_second_pass_is_carried_on_although_the_gait_was_watched_further(
    start: Start,
) -> None:
    review = start(Tag("walk", 0, 300 * S, running=True))
    review.press("left_rein", at(0))
    watch(review, 0, 20)
    assert ends(review) == {"walk": 300, "left_rein": 20}


def test_a_state_begun_further_back_is_not_carried_to_where_another_was_watched(start: Start) -> None:
    review = start()
    review.press("walk", at(0))
    watch(review, 0, 60)
    review.press("left_rein", at(10))
    assert ends(review)["left_rein"] == 10.01


def test_what_runs_again_after_an_undo_was_watched_as_far_as_what_ran_instead(start: Start) -> None:
    review = start()
    review.press("walk", at(0))
    watch(review, 0, 20)
    review.press("trot", at(20))
    watch(review, 20, 40)
    review.undo_list.undo()
    assert ends(review) == {"walk": 40}


def test_what_was_watched_is_in_the_numbers_before_it_is_written(start: Start) -> None:
    review = start()
    review.press("walk", at(0))
    watch(review, 0, 20)
    assert review.numbers().moving_ns == 20 * S


def test_keeping_what_was_watched_is_no_step_of_its_own(start: Start, barn: Barn) -> None:
    review = start()
    review.press("walk", at(0))
    watch(review, 0, 20)
    review.keep_watched()
    assert barn.tags(review.session.id)[0].end_ns == 20 * S
    review.undo_list.undo()
    assert barn.tags(review.session.id) == ()


def test_the_start_of_a_state_that_runs_can_be_moved_beyond_where_it_was_watched(start: Start) -> None:
    review = start()
    review.press("walk", at(0))
    review.press("trot", at(10))
    trot = review.tags[-1]
    review.move_edge(trot, "start", at(15))
    assert in_seconds(review.tags) == [("walk", 0, 15), ("trot", 15, None)]


def test_the_end_of_a_state_that_runs_can_be_decided(start: Start) -> None:
    review = start()
    review.press("walk", at(0))
    watch(review, 0, 20)
    review.move_edge(review.tags[0], "end", at(15))
    assert in_seconds(review.tags) == [("walk", 0, 15)]


def test_the_ground_that_somebody_else_told_meanwhile_stays(start: Start, barn: Barn) -> None:
    review = start()
    review.keep_ground({"pen_m": "18", "line_m": ""})
    barn.change_session(review.session.id, details={"line_m": "8"})
    review.keep_ground({"pen_m": "20", "line_m": ""})
    assert barn.session(review.session.id).details == review.session.details == {"pen_m": "20", "line_m": "8"}


def test_states_that_hold_are_those_that_began_and_have_not_ended(start: Start) -> None:
    review = start(Tag("walk", 0, 10 * S), Tag("trot", 10 * S, 20 * S), Tag("left_rein", 5 * S, 30 * S))
    assert [tag.what for tag in review.states_at(9 * S)] == ["walk", "left_rein"]
    assert [tag.what for tag in review.states_at(10 * S)] == ["left_rein", "trot"]
    assert [tag.what for tag in review.states_at(30 * S)] == []


def test_the_tag_just_made_is_in_hand(start: Start) -> None:
    review = start()
    review.press("spook", at(3))
    assert review.selected is not None
    assert review.selected.what == "spook"


def test_a_press_that_is_already_tagged_takes_the_tag_in_hand(start: Start) -> None:
    review = start(Tag("spook", 3 * S, severity=2))
    review.press("spook", at(3))
    assert review.selected == review.tags[0]
    assert len(review.tags) == 1


def test_a_deleted_tag_is_no_longer_in_hand(start: Start) -> None:
    review = start()
    review.press("spook", at(3))
    review.delete(review.tags)
    assert review.selected is None


def test_whoever_listens_hears_of_every_alteration(start: Start) -> None:
    review = start()
    heard: list[int] = []
    review.changed.connect(lambda: heard.append(len(review.tags)))
    review.press("spook", at(3))
    review.alter(review.tags[0], severity=3)
    review.undo_list.undo()
    review.undo_list.undo()
    assert heard == [1, 1, 1, 0]


def test_a_whole_tag_list_is_taken_in_as_one_step(start: Start, barn: Barn) -> None:
    review = start(Tag("spook", 3 * S))
    before = review.tags
    review.take_in([Tag("walk", 0, 5 * S), Tag("trot", 5 * S, 9 * S)])
    assert len(barn.tags(review.session.id)) == 2
    review.undo_list.undo()
    assert barn.tags(review.session.id) == before


def test_passages_keep_the_order_that_was_chosen(start: Start, barn: Barn) -> None:
    review = start()
    for begin in (10, 30):
        review.highlights.begin(at(begin))
        review.highlights.end(at(begin + 5))
    review.highlights.keep(list(reversed(review.passages)), "moved")
    assert [p.start_ns // S for p in barn.passages(review.session.id)] == [30, 10]
    review.undo_list.undo()
    assert [p.start_ns // S for p in barn.passages(review.session.id)] == [10, 30]


@pytest.mark.parametrize(("is_start", "to", "edges"), [(True, 12, (12, 20)), (False, 25, (10, 25))])
def test_an_edge_of_a_passage_moves(start: Start, is_start: bool, to: int, edges: tuple[int, int]) -> None:
    review = start()
    review.highlights.begin(at(10))
    passage = review.highlights.end(at(20))
    review.highlights.move_edge(passage.id, is_start, at(to))
    [moved] = review.passages
    assert (moved.start_ns // S, moved.end_ns // S) == edges


def test_an_edge_of_a_passage_does_not_pass_the_other_one(start: Start) -> None:
    review = start()
    review.highlights.begin(at(10))
    passage = review.highlights.end(at(20))
    with pytest.raises(Trouble, match="must end after it begins"):
        review.highlights.move_edge(passage.id, True, at(20))
    assert review.passages[0].start_ns == 10 * S


def test_the_neighbour_of_an_instant_is_the_next_tag_on_either_side(start: Start) -> None:
    review = start(Tag("spook", 3 * S), Tag("calm", 9 * S))
    found = [review.neighbour(5 * S, forward) for forward in (False, True)]
    assert [tag.what for tag in found if tag is not None] == ["spook", "calm"]
    assert review.neighbour(9 * S, forward=True) is None
