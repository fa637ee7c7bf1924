"""What the barn keeps of second looks."""

from __future__ import annotations

from datetime import date

import pytest

from annotate.agreement.again import Again, SecondLook, second_look_text
from annotate.agreement.kept_looks import KeptLook, shuffled_again
from annotate.clock import NS_PER_S, Span
from annotate.errors import Trouble
from annotate.tags import Tag
from app.second_looks import (
    SECOND,
    all_looks,
    begin_look,
    begin_settling,
    doubts_of,
    finish_passage,
    first_before_settling,
    latest_look,
    second_look,
    second_looks,
    set_aside,
    verdicts,
)
from store.barn import Barn

S = NS_PER_S
DAY = date(2026, 5, 11)
PASSAGES = (Span(0, 30 * S), Span(40 * S, 70 * S))
DRAWN = SecondLook(7, tuple(map(Again, PASSAGES)))
WALK = Tag("walk", 0, 100 * S)


@pytest.fixture
def session_id(barn: Barn) -> int:
    made = barn.add_session("Thistle", date(2026, 5, 4), length_ns=100 * S)
    barn.replace_tags(made, [WALK])
    return made


def test_looks_are_numbered_from_2_and_keep_who_when_and_what(barn: Barn, session_id: int) -> None:
    begin_look(barn, session_id, "Kim", DAY, DRAWN)
    begin_look(barn, session_id, "Robin", DAY, shuffled_again(DRAWN, 1))
    finish_passage(barn, session_id, 3, PASSAGES[1])
    first, second = second_looks(barn, session_id)
    assert first == KeptLook(SECOND, "Kim", DAY, DRAWN)
    assert (second.number, second.name, second.tells) == (3, "Robin, 11 May 2026", True)
    assert second.drawn is not None
    assert second.drawn.done == (PASSAGES[1],)


def test_what_the_first_version_kept_of_its_one_second_look_is_read(barn: Barn, session_id: int) -> None:
    barn.keep_setting(f"second_look.{session_id}", second_look_text(DRAWN.finished(PASSAGES[0])))
    barn.keep_setting(f"second_look.{session_id}.who", "Kim")
    barn.keep_setting(f"second_look.{session_id}.verdicts", '{"a": "left"}')
    [look] = second_looks(barn, session_id)
    assert (look.number, look.who, look.day) == (SECOND, "Kim", None)
    assert look.drawn is not None
    assert look.drawn.done == (PASSAGES[0],)
    assert verdicts(barn, session_id, SECOND) == {"a": "left"}


def test_tags_of_a_look_of_which_nothing_else_is_kept_are_of_the_whole_session(
    barn: Barn, session_id: int
) -> None:
    barn.replace_tags(session_id, [Tag("trot", 0, 100 * S)], look=4)
    [look] = second_looks(barn, session_id)
    assert (look.number, look.drawn, look.name) == (4, None, "look 4")
    assert begin_look(barn, session_id, "Kim", DAY, DRAWN).number == 5


def test_the_latest_look_is_one_that_tells(barn: Barn, session_id: int) -> None:
    assert latest_look(barn, session_id) is None
    begin_look(barn, session_id, "Kim", DAY, DRAWN)
    begin_look(barn, session_id, "Robin", DAY, DRAWN)
    finish_passage(barn, session_id, SECOND, PASSAGES[0])
    for aside, expected in ((False, SECOND), (True, 3)):
        set_aside(barn, session_id, SECOND, aside)
        latest = latest_look(barn, session_id)
        assert latest is not None
        assert latest.number == expected


def test_all_looks_meet_where_each_of_them_looked(barn: Barn, session_id: int) -> None:
    begin_look(barn, session_id, "Kim", DAY, DRAWN)
    for span in PASSAGES:
        finish_passage(barn, session_id, SECOND, span)
    assert all_looks(barn, session_id) is None
    begin_look(barn, session_id, "Robin", DAY, SecondLook(1, (Again(Span(20 * S, 50 * S), True),)))
    every = all_looks(barn, session_id)
    assert every is not None
    assert every.two.footage.length_ns == 20 * S
    assert len(every.two.passages) == 2
    assert len(every.more) == 1


def test_each_look_keeps_the_tags_that_it_could_have_met(barn: Barn, session_id: int) -> None:
    begin_look(barn, session_id, "Kim", DAY, DRAWN)
    begin_settling(barn, session_id)
    barn.replace_tags(session_id, [Tag("trot", 0, 100 * S)])
    begin_look(barn, session_id, "Robin", DAY, DRAWN)
    begin_settling(barn, session_id)
    barn.replace_tags(session_id, [Tag("lope", 0, 100 * S)])
    kept = [[tag.what for tag in first_before_settling(barn, session_id, number)] for number in (2, 3)]
    assert kept == [["walk"], ["trot"]]


@pytest.mark.parametrize(("part", "text"), [("", "no list"), (".day", "yesterday")])
def test_what_cannot_be_read_keeps_nobody_from_the_session(
    barn: Barn, session_id: int, part: str, text: str
) -> None:
    begin_look(barn, session_id, "Kim", DAY, DRAWN)
    barn.keep_setting(f"second_look.{session_id}{part}", text)
    assert doubts_of(barn, session_id) == {}
    if part:
        assert second_look(barn, session_id, SECOND).day is None
    else:
        with pytest.raises(Trouble, match="cannot be read"):
            second_looks(barn, session_id)


def test_a_look_that_is_not_there_is_refused_in_words(barn: Barn, session_id: int) -> None:
    called = barn.session(session_id).called
    with pytest.raises(Trouble, match=f"{called}: no second look yet"):
        second_look(barn, session_id, SECOND)
    with pytest.raises(Trouble, match=f"{called}: no look 5"):
        second_look(barn, session_id, 5)
