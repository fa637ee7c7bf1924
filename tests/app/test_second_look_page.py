"""Tagging again, blind, under real keys."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import pytest
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from annotate.agreement.again import Again, SecondLook
from annotate.agreement.kept_looks import KeptLook
from annotate.clock import NS_PER_S, Span
from annotate.tags import Tag
from app.bringing_in import bring_in
from app.desk import Desk
from app.key_lags import KeyLags, PersonsLag, keep_key_lags
from app.main_window import MainWindow
from app.second_look_start import SecondLookStart
from app.second_looks import FIRST, SECOND, doubts_of, keep_look, second_looks
from store.barn import Barn
from tests.app.conftest import OpenSession
from tests.app.cut_off import cut_off
from tests.app.hands import button, click, in_seconds, tap, texts, window_of
from tests.made_clips import ClipBox

S = NS_PER_S
FIRST_TAGS = [
    Tag("walk", 0, 200 * S),
    Tag("trot", 200 * S, 400 * S),
    Tag("left_rein", 0, 400 * S),
    Tag("spook", 130 * S, severity=2),
]


@pytest.fixture
def session_id(barn: Barn) -> int:
    made = barn.add_session("Thistle", date(2026, 5, 4), length_ns=400 * S, title="First saddle")
    barn.replace_tags(made, FIRST_TAGS)
    return made


@pytest.fixture
def window(windows: Callable[[], MainWindow], session_id: int) -> MainWindow:
    opened = windows()
    opened.again.show_second_look(session_id)
    return opened


def draw(barn: Barn, session_id: int, *spans: Span) -> None:
    drawn = SecondLook(1, tuple(map(Again, spans)))
    keep_look(barn, session_id, KeptLook(SECOND, "Kim", date(2026, 5, 11), drawn))


def kept(barn: Barn, session_id: int) -> SecondLook | None:
    looks = second_looks(barn, session_id)
    return looks[-1].drawn if looks else None


@pytest.fixture
def twice(barn: Barn, session_id: int, windows: Callable[[], MainWindow], qtbot: QtBot) -> MainWindow:
    """Two passages, the later one first; the first of them is on the desk."""
    draw(barn, session_id, Span(190 * S, 220 * S), Span(120 * S, 150 * S))
    opened = windows()
    opened.again.show_second_look(session_id)
    click(opened.again.second_look_page.start.go_on)
    qtbot.waitUntil(opened.again.second_look_page.desk.hasFocus)
    return opened


def desk_of(window: MainWindow) -> Desk:
    return window.again.second_look_page.desk


def tags_of(barn: Barn, session_id: int, look: int = SECOND) -> list[tuple[str, float, float | None]]:
    return in_seconds(barn.tags(session_id, look))


def listed(start: SecondLookStart) -> list[str]:
    return [start.looks.item(row).text() for row in range(start.looks.count())]


def place_s(desk: Desk) -> float:
    return desk.showing.shown.moment.ns / S


# -- the start


def test_passages_are_drawn_for_who_looks_and_the_first_one_is_shown(
    window: MainWindow, barn: Barn, session_id: int, qtbot: QtBot
) -> None:
    page = window.again.second_look_page.start
    qtbot.waitUntil(page.who.hasFocus)
    QTest.keyClicks(page.who, "Kim")
    tap(page.who, "Return")
    qtbot.waitUntil(desk_of(window).hasFocus)
    drawn = kept(barn, session_id)
    assert drawn is not None
    assert drawn.next is not None
    [look] = second_looks(barn, session_id)
    assert (look.who, look.day) == ("Kim", date.today())
    assert place_s(desk_of(window)) == pytest.approx(drawn.next.start_ns / S, abs=0.02)


def test_its_desk_is_made_with_the_first_passage(window: MainWindow, qtbot: QtBot) -> None:
    page = window.again.second_look_page
    assert page.made_desk is None
    page.start.who.setText("Kim")
    click(page.start.begin)
    assert page.made_desk is not None
    qtbot.waitUntil(page.made_desk.hasFocus)


def test_nothing_is_drawn_for_nobody(window: MainWindow, barn: Barn, session_id: int) -> None:
    click(window.again.second_look_page.start.begin)
    assert window.words.words == "Write who looks."
    assert kept(barn, session_id) is None


def test_the_share_that_is_asked_for_is_drawn(window: MainWindow, barn: Barn, session_id: int) -> None:
    page = window.again.second_look_page.start
    page.who.setText("Kim")
    page.share.setValue(50)
    click(page.begin)
    drawn = kept(barn, session_id)
    assert drawn is not None
    assert sum(again.span.length_ns for again in drawn.passages) == pytest.approx(200 * S, rel=0.2)


def test_the_desk_and_the_barn_lead_there(open_desk: OpenSession, session_id: int) -> None:
    desk = open_desk(session_id)
    window = window_of(desk)
    tap(desk, "Ctrl+L")
    assert window.page is window.again.second_look_page
    tap(window.again.second_look_page, "Escape")
    assert window.page is desk
    assert desk.review is not None
    window.show_barn()
    click(button(window.barn_page, "Second look"))
    assert window.page is window.again.second_look_page
    tap(window.again.second_look_page, "Escape")
    assert window.page is window.barn_page


# -- blind


def test_neither_the_first_tags_nor_the_horse_nor_the_numbers_are_shown(twice: MainWindow) -> None:
    desk = desk_of(twice)
    read = " ".join(texts(twice))
    assert "Thistle" not in read
    assert "First saddle" not in read
    assert not desk.numbers.isVisible()
    assert desk.review is not None
    assert desk.review.tags == ()
    assert "untagged" in texts(desk)


def test_nothing_leads_out_of_the_passage(twice: MainWindow) -> None:
    desk = desk_of(twice)
    reached = []
    for keys in (["Home"], ["PgUp"], ["Left"], ["PgDown"] * 4, ["End"], ["Right"], ["Down"]):
        tap(desk, *keys)
        reached.append(round(place_s(desk), 2))
    assert reached == [190, 190, 190, 219.99, 219.99, 219.99, 219.99]


def test_the_work_line_shows_the_passage_alone(twice: MainWindow) -> None:
    line = desk_of(twice).work_line
    tap(desk_of(twice), "Ctrl+Down", "Ctrl+Down")
    assert abs(line.scale.start_ns - 190 * S) <= line.scale.ns_per_px
    assert abs(line.scale.end_ns - 220 * S) <= 2 * line.scale.ns_per_px


def test_playing_stops_at_the_end_of_the_passage(
    barn: Barn, windows: Callable[[], MainWindow], clips: ClipBox, qtbot: QtBot
) -> None:
    session_id = bring_in(barn, [clips.get("far_keyframes").path], horse="Thistle")
    draw(barn, session_id, Span(3 * S + 1, 4 * S))
    window = windows()
    window.again.show_second_look(session_id)
    click(window.again.second_look_page.start.go_on)
    desk = desk_of(window)
    qtbot.waitUntil(lambda: desk.showing.has_picture)
    assert desk.showing.shown.number == 76
    tap(desk, "Space")
    qtbot.waitUntil(lambda: desk.showing.shown.number == 99 and not desk.showing.is_playing)
    qtbot.waitUntil(lambda: window.words.words == "The passage ends here. F4: done.")


# -- tagging


def test_the_first_gait_and_the_first_rein_hold_from_the_start(
    twice: MainWindow, barn: Barn, session_id: int
) -> None:
    tap(desk_of(twice), "Shift+Right", "W", "Shift+Right", "Q", "PgDown", "T")
    assert tags_of(barn, session_id) == [
        ("left_rein", 190, None),
        ("walk", 190, 202),
        ("trot", 202, None),
    ]


def test_a_gait_after_out_of_sight_begins_where_it_is_pressed(
    twice: MainWindow, barn: Barn, session_id: int
) -> None:
    tap(desk_of(twice), "X", "PgDown", "W")
    assert tags_of(barn, session_id) == [("out_of_sight", 190, 200), ("walk", 200, None)]


def test_the_first_look_is_not_touched(twice: MainWindow, barn: Barn, session_id: int) -> None:
    before = barn.tags(session_id, FIRST)
    tap(desk_of(twice), "W", "K", "3", "PgDown", "T", "Ctrl+Z", "End", "F4")
    assert barn.tags(session_id, FIRST) == before


def test_a_passage_is_done_once_it_was_seen_to_its_end(
    twice: MainWindow, barn: Barn, session_id: int
) -> None:
    desk = desk_of(twice)
    tap(desk, "W", "F4")
    assert twice.words.words == "Watch the passage to its end first."
    tap(desk, "PgDown", "T", "End", "F4")
    assert tags_of(barn, session_id) == [("walk", 190, 200), ("trot", 200, 220)]
    look = kept(barn, session_id)
    assert look is not None
    assert look.done == (Span(190 * S, 220 * S),)
    assert place_s(desk) == 120
    assert "Second look, passage 2 of 2" in texts(twice)


def test_a_passage_with_nothing_to_tag_is_done_at_the_second_press(
    twice: MainWindow, barn: Barn, session_id: int
) -> None:
    tap(desk_of(twice), "End", "F4")
    assert twice.words.words == "Nothing is tagged in this passage. Press F4 again if there is nothing to tag."
    tap(desk_of(twice), "F4")
    look = kept(barn, session_id)
    assert look is not None
    assert len(look.done) == 1


def test_it_can_be_left_and_taken_up_again(twice: MainWindow, barn: Barn, session_id: int) -> None:
    start = twice.again.second_look_page.start
    tap(desk_of(twice), "W", "PgDown", "T", "Escape")
    assert listed(start) == ["Kim, 11 May 2026: 2 passages, 1 min in all; 0 done"]
    twice.show_barn()
    twice.again.show_second_look(session_id)
    click(start.go_on)
    assert [tag.what for tag in barn.tags(session_id, SECOND)] == ["walk", "trot"]
    tap(desk_of(twice), "End", "F4")
    assert tags_of(barn, session_id) == [("walk", 190, 200), ("trot", 200, 220)]


def test_after_the_last_passage_the_agreement_is_offered(twice: MainWindow) -> None:
    tap(desk_of(twice), "W", "End", "F4", "W", "End", "F4")
    click(twice.again.second_look_page.start.agreement)
    assert twice.page is twice.again.agreement_page
    tap(twice.again.agreement_page, "Escape")
    assert twice.page is twice.again.second_look_page


def test_the_help_of_a_second_look_lists_its_own_key(twice: MainWindow, qtbot: QtBot) -> None:
    tap(desk_of(twice), "F1")
    qtbot.waitUntil(lambda: {"spook", "this passage is done", "cut in two here"} <= set(texts(twice.help_page)))
    assert "leave it open" not in texts(twice.help_page)


def test_the_help_where_second_looks_begin_lists_no_behaviours(twice: MainWindow, qtbot: QtBot) -> None:
    tap(desk_of(twice), "Escape", "F1")
    qtbot.waitUntil(lambda: "to the next part of the page" in texts(twice.help_page))
    assert "spook" not in texts(twice.help_page)


def test_the_help_leads_back(twice: MainWindow) -> None:
    tap(desk_of(twice), "F1")
    tap(twice.help_page, "Escape")
    assert twice.page is twice.again.second_look_page


def test_the_lag_of_who_looks_is_taken_out(barn: Barn, twice: MainWindow, session_id: int) -> None:
    keep_key_lags(barn, KeyLags({"Kim": PersonsLag(2 * S)}, "somebody else"))
    tap(desk_of(twice), "Escape")
    click(twice.again.second_look_page.start.go_on)
    tap(desk_of(twice), "PgDown", "Space")
    assert desk_of(twice).showing.is_playing
    tap(desk_of(twice), "K", "Space")
    # It never goes back beyond where the playing began.
    assert tags_of(barn, session_id)[0][1] == 200


# -- several looks, and starting over


def finish_both(window: MainWindow, *keys: str) -> None:
    for _ in range(2):
        tap(desk_of(window), *keys, "End", "F4")


def test_another_person_is_given_the_same_passages_in_another_order(
    twice: MainWindow, barn: Barn, session_id: int, qtbot: QtBot
) -> None:
    start = twice.again.second_look_page.start
    finish_both(twice, "W")
    click(start.another)
    qtbot.waitUntil(start.who.hasFocus)
    assert start.passages.currentText() == "the same as Kim, 11 May 2026"
    QTest.keyClicks(start.who, "Robin")
    tap(start.who, "Return")
    qtbot.waitUntil(desk_of(twice).hasFocus)
    finish_both(twice, "T")
    first, second = second_looks(barn, session_id)
    assert (first.who, second.who) == ("Kim", "Robin")
    assert first.drawn is not None
    assert second.drawn is not None
    assert {one.span for one in first.drawn.passages} == {one.span for one in second.drawn.passages}
    for number, gait in ((SECOND, "walk"), (second.number, "trot")):
        assert sorted(tags_of(barn, session_id, number)) == [(gait, 120, 150), (gait, 190, 220)]


def test_a_third_look_is_blind_to_the_second(twice: MainWindow, barn: Barn, session_id: int) -> None:
    start = twice.again.second_look_page.start
    finish_both(twice, "W", "K")
    click(start.another)
    start.who.setText("Robin")
    click(start.begin)
    desk = desk_of(twice)
    assert desk.review is not None
    assert desk.review.tags == ()
    read = " ".join(texts(twice))
    assert "Kim" not in read
    assert "untagged" in texts(desk)


def test_starting_over_keeps_the_tags_and_counts_them_no_more(
    twice: MainWindow, barn: Barn, session_id: int, qtbot: QtBot
) -> None:
    start = twice.again.second_look_page.start
    finish_both(twice, "W")
    before = barn.tags(session_id, SECOND)
    click(start.over)
    qtbot.waitUntil(start.who.hasFocus)
    assert start.who.text() == "Kim"
    assert twice.words.words == "Set aside with its tags, it counts no more: Kim, 11 May 2026"
    assert doubts_of(barn, session_id) == {}
    assert not start.agreement.isEnabled()
    click(start.begin)
    assert [look.aside for look in second_looks(barn, session_id)] == [True, False]
    assert barn.tags(session_id, SECOND) == before
    tap(desk_of(twice), "Escape")
    assert [words.endswith("(set aside)") for words in listed(start)] == [True, False]


def test_a_look_that_was_set_aside_comes_back(twice: MainWindow, barn: Barn, session_id: int) -> None:
    start = twice.again.second_look_page.start
    finish_both(twice, "W")
    before = doubts_of(barn, session_id)
    click(start.over)
    start.looks.setFocus()
    tap(start.looks, "Home")
    click(button(start, "Bring it back"))
    assert doubts_of(barn, session_id) == before != {}
    assert start.agreement.isEnabled()


@pytest.mark.parametrize("percent", [100, 125, 150])
def test_the_rows_of_the_looks_are_all_seen_in_large_text(
    barn: Barn,
    session_id: int,
    windows: Callable[[], MainWindow],
    qtbot: QtBot,
    large_text: Callable[[int], None],
    percent: int,
) -> None:
    drawn = SecondLook(1, (Again(Span(190 * S, 220 * S)), Again(Span(120 * S, 150 * S))))
    keep_look(barn, session_id, KeptLook(SECOND, "an invented helper of the yard", date(2026, 5, 11), drawn))
    large_text(percent)
    opened = windows()
    opened.resize(1280, 720)
    opened.again.show_second_look(session_id)
    looks = opened.again.second_look_page.start.looks
    last = looks.item(looks.count() - 1)
    assert last is not None
    qtbot.waitUntil(lambda: looks.viewport().rect().contains(looks.visualItemRect(last)))
    assert looks.horizontalScrollBar().maximum() == 0
    qtbot.waitUntil(lambda: cut_off(opened.page) == [])


def test_a_look_that_is_under_way_is_taken_up_with_the_keys(twice: MainWindow, qtbot: QtBot) -> None:
    start = twice.again.second_look_page.start
    tap(desk_of(twice), "Escape")
    start.looks.setFocus()
    tap(start.looks, "Return")
    qtbot.waitUntil(desk_of(twice).hasFocus)
    assert place_s(desk_of(twice)) == 190


BLIND_TO = ("F12", "F10", "9", "6", "8", "F7", "F11", "Ctrl+1", "Ctrl+2", "Ctrl+3", "Ctrl+L", ",", "Up", "Ctrl+A")


@pytest.mark.parametrize("key", BLIND_TO)
def test_no_key_of_the_desk_shows_what_was_tagged_before(twice: MainWindow, key: str) -> None:
    desk = desk_of(twice)
    before = texts(desk)
    tap(desk, key)
    assert twice.page is twice.again.second_look_page
    assert desk.review is not None
    assert desk.review.tags == ()
    shown = set(texts(desk)) - set(before)
    assert not any(word in words for words in shown for word in ("Thistle", "trot", "spook", "left rein"))
    assert not twice.isFullScreen()
