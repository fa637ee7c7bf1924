"""The agreement of two looks on the screen, and differences settled by real keys."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import date

import pytest
from pytestqt.qtbot import QtBot

from annotate.agreement.again import Again, SecondLook
from annotate.agreement.kept_looks import KeptLook
from annotate.behaviours import default_sheet
from annotate.clock import NS_PER_S, Span
from annotate.taglist import write_tag_list
from annotate.tags import Tag
from app.agreement_page import AgreementPage
from app.bringing_in import bring_in
from app.command import main
from app.main_window import MainWindow
from app.page_keys import keys_of
from app.second_looks import SECOND, begin_look, doubts_of, keep_look
from store.barn import Barn
from tests.app.hands import in_seconds, tap, texts
from tests.made_clips import ClipBox

S = NS_PER_S
FIRST_TAGS = [
    Tag("walk", 0, 60 * S),
    Tag("trot", 60 * S, 100 * S),
    Tag("spook", 30 * S, severity=2),
    Tag("buck", 80 * S),
]
SECOND_TAGS = [
    Tag("walk", 0, 50 * S),
    Tag("trot", 50 * S, 100 * S),
    Tag("spook", 30 * S + S // 5, severity=4),
]
SAID = [("spook, severity 2", "spook, severity 4"), ("walk", "trot"), ("buck", "nothing")]


def tag_twice(barn: Barn, session_id: int) -> int:
    barn.replace_tags(session_id, FIRST_TAGS)
    barn.replace_tags(session_id, SECOND_TAGS, look=SECOND)
    return session_id


@pytest.fixture
def session_id(barn: Barn) -> int:
    return tag_twice(barn, barn.add_session("Thistle", date(2026, 5, 4), length_ns=100 * S))


@pytest.fixture
def page(windows: Callable[[], MainWindow], session_id: int) -> AgreementPage:
    window = windows()
    window.again.show_agreement(session_id)
    return window.again.agreement_page


def said(page: AgreementPage) -> list[tuple[str, str]]:
    return [(one.first_says, one.second_says) for one in page.found]


def settled(page: AgreementPage) -> list[str]:
    items = [page.list.item(row, 3) for row in range(page.list.rowCount())]
    return [item.text() if item is not None else "" for item in items]


def text(barn: Barn, session_id: int) -> str:
    return write_tag_list(barn.tags(session_id), default_sheet())


def test_the_figures_stand_in_plain_words(page: AgreementPage) -> None:
    words = page.figures.words.text()
    assert "Looked at twice" in words
    assert "kappa 0.80" in words
    assert "1 in both, 1 only in the first look" in words


def test_the_table_has_the_seconds_of_each_pair_of_codes(page: AgreementPage) -> None:
    table = page.figures.table
    cells = [
        [item.text() if (item := table.item(row, column)) else "" for column in range(2)] for row in range(2)
    ]
    assert cells == [["50.0", "10.0"], ["–", "40.0"]]
    assert [table.verticalHeaderItem(row).text() for row in range(2)] == ["walk", "trot"]


def test_every_difference_is_listed_in_order_of_time(page: AgreementPage) -> None:
    assert said(page) == SAID


def test_the_second_look_is_right_goes_into_the_first_and_can_be_undone(
    page: AgreementPage, barn: Barn, session_id: int
) -> None:
    before = text(barn, session_id)
    tap(page, "2")
    assert said(page) == SAID[1:]
    tap(page, "2")
    assert said(page) == SAID[2:]
    tap(page, "2")
    assert said(page) == []
    assert in_seconds(barn.tags(session_id)) == [("walk", 0, 50), ("spook", 30, None), ("trot", 50, 100)]
    tap(page, "Ctrl+Z", "Ctrl+Z", "Ctrl+Z")
    assert text(barn, session_id) == before
    assert said(page) == SAID
    tap(page, "Ctrl+Shift+Z")
    assert said(page) == SAID[1:]


def test_the_second_look_is_never_changed(page: AgreementPage, barn: Barn, session_id: int) -> None:
    before = barn.tags(session_id, SECOND)
    tap(page, "2", "1", "0", "Ctrl+Z")
    assert barn.tags(session_id, SECOND) == before


def test_the_first_look_is_right_changes_nothing_and_is_remembered(
    page: AgreementPage, barn: Barn, session_id: int
) -> None:
    before = text(barn, session_id)
    tap(page, "1", "0")
    assert text(barn, session_id) == before
    page.open(session_id)
    assert settled(page) == ["the first is right", "left open", ""]
    assert page.list.currentRow() == 0


def test_what_was_decided_can_be_taken_back(page: AgreementPage) -> None:
    tap(page, "1", "Ctrl+Z")
    assert settled(page) == ["", "", ""]


def test_a_decided_one_leads_to_the_next(page: AgreementPage) -> None:
    tap(page, "1")
    assert page.chosen is not None
    assert page.chosen.second_says == "trot"


def test_the_figures_and_the_doubts_stay_those_of_the_looks_as_they_were(
    page: AgreementPage, barn: Barn, session_id: int
) -> None:
    before = page.figures.words.text(), doubts_of(barn, session_id)
    tap(page, "2", "2", "2")
    page.open(session_id)
    assert (page.figures.words.text(), doubts_of(barn, session_id)) == before


def test_nothing_is_settled_before_all_passages_are_done(
    barn: Barn, session_id: int, windows: Callable[[], MainWindow]
) -> None:
    drawn = (Again(Span(0, 55 * S), True), Again(Span(70 * S, 90 * S)))
    keep_look(barn, session_id, KeptLook(SECOND, "Kim", None, SecondLook(1, drawn)))
    before = text(barn, session_id)
    window = windows()
    window.again.show_agreement(session_id)
    tap(window.again.agreement_page, "2")
    assert text(barn, session_id) == before
    assert window.words.words.startswith("Tag all the passages first")


def test_a_session_without_a_second_look_is_refused_in_words(
    barn: Barn, windows: Callable[[], MainWindow]
) -> None:
    window = windows()
    window.again.show_agreement(barn.add_session("Thistle", date(2026, 5, 5), length_ns=S))
    assert "no second look yet" in window.words.words
    assert window.page is window.barn_page


def test_a_moment_is_played_with_what_was_before_and_after(
    barn: Barn, windows: Callable[[], MainWindow], clips: ClipBox, qtbot: QtBot
) -> None:
    session_id = bring_in(barn, [clips.get("far_keyframes").path], horse="Thistle")
    barn.replace_tags(session_id, [Tag("spook", 4 * S)])
    barn.replace_tags(session_id, [Tag("walk", 0, 12 * S)], look=SECOND)
    window = windows()
    window.again.show_agreement(session_id)
    page = window.again.agreement_page
    page.showing.set_speed(3.0)
    tap(page, "Down")
    numbers = []
    page.showing.moved.connect(lambda: numbers.append(page.showing.shown.number))
    qtbot.waitUntil(lambda: page.showing.is_playing)
    qtbot.waitUntil(lambda: not page.showing.is_playing, timeout=8000)
    played = [number for number in numbers if number >= 49]
    assert 50 <= min(played) <= 54
    assert 150 <= max(played) <= 157
    for line in (page.first_line, page.second_line):
        assert line.scale.shows(4 * S)
        assert not line.scale.shows(11 * S)


# -- what the numbers say


def test_the_desk_says_what_the_second_look_gave(
    barn: Barn, session_id: int, windows: Callable[[], MainWindow], qtbot: QtBot
) -> None:
    window = windows()
    window.open_session(session_id)
    numbers = window.desk.numbers
    qtbot.waitUntil(lambda: any("your own second look differed by 10 s" in words for words in texts(numbers)))


def test_numbers_says_it_as_a_table_and_as_json(
    barn: Barn, session_id: int, capsys: pytest.CaptureFixture[str]
) -> None:
    words = ["--barn", str(barn.path), "numbers", str(session_id)]
    assert main(words) == 0
    assert "your own second look differed by 10 s" in capsys.readouterr().out
    assert main([*words, "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["second_look"]["gait.walk.seconds"]["difference"] == -10


def test_compare_marks_what_the_second_look_would_have_moved_as_far(
    barn: Barn, session_id: int, capsys: pytest.CaptureFixture[str]
) -> None:
    barn.replace_tags(session_id, [*FIRST_TAGS, Tag("left_rein", 0, 60 * S)])
    barn.replace_tags(session_id, [*SECOND_TAGS, Tag("left_rein", 0, 50 * S)], look=SECOND)
    other = barn.add_session("Thistle", date(2026, 5, 6), length_ns=100 * S)
    barn.replace_tags(other, [Tag("trot", 0, 100 * S), Tag("left_rein", 0, 66 * S)])
    words = ["--barn", str(barn.path), "compare", "Thistle"]
    assert main(words) == 0
    assert "left moving: ~ differs by no more than a second look did" in capsys.readouterr().out
    assert main([*words, "--json"]) == 0
    told = json.loads(capsys.readouterr().out)["sessions"]
    assert told[0]["within_second_look"] == []
    assert "rein.left_s" in told[1]["within_second_look"]


# -- more looks than one


@pytest.fixture
def thrice(barn: Barn, session_id: int, windows: Callable[[], MainWindow]) -> AgreementPage:
    """A third look by Robin, who has the walk end at 55 s."""
    third = begin_look(barn, session_id, "Robin", date(2026, 5, 18), SecondLook(1, (Again(Span(0, 100 * S), True),)))
    barn.replace_tags(session_id, [Tag("walk", 0, 55 * S), Tag("trot", 55 * S, 100 * S)], look=third.number)
    window = windows()
    window.again.show_agreement(session_id)
    return window.again.agreement_page


def test_the_latest_look_is_compared_and_another_can_be_chosen(thrice: AgreementPage) -> None:
    assert [thrice.which.itemText(row) for row in range(2)] == ["look 2", "Robin, 18 May 2026"]
    assert thrice.which.currentText() == "Robin, 18 May 2026"
    assert ("spook", "nothing") in said(thrice)
    thrice.which.setFocus()
    tap(thrice.which, "Up")
    assert said(thrice) == SAID


def test_three_looks_have_an_agreement_of_all_in_the_window(thrice: AgreementPage) -> None:
    words = thrice.figures.words.text()
    assert "Gait, all 3 looks" in words
    assert "1 is always the same, 0 is no more than chance" in words


def test_what_is_settled_with_one_look_leaves_the_agreement_with_the_other(
    thrice: AgreementPage, barn: Barn, session_id: int
) -> None:
    before = doubts_of(barn, session_id)
    tap(thrice, "2", "2", "2")
    assert doubts_of(barn, session_id) == before


def test_a_verdict_on_one_look_is_none_on_another(thrice: AgreementPage, session_id: int) -> None:
    tap(thrice, "1")
    thrice.open(session_id, SECOND)
    assert settled(thrice) == ["", "", ""]


def test_a_look_made_after_a_settlement_is_compared_with_the_tags_that_it_met(
    page: AgreementPage, barn: Barn, session_id: int
) -> None:
    tap(page, "2", "2", "2")
    later = begin_look(barn, session_id, "Robin", date(2026, 6, 1), SecondLook(1, (Again(Span(0, 100 * S), True),)))
    barn.replace_tags(session_id, [Tag("walk", 0, 50 * S), Tag("trot", 50 * S, 100 * S)], look=later.number)
    page.open(session_id, later.number)
    assert "kappa 1.00" in page.figures.words.text()
    page.open(session_id, SECOND)
    assert "kappa 0.80" in page.figures.words.text()


def test_with_two_second_looks_the_note_gives_the_one_that_differed_most(thrice: AgreementPage, barn: Barn) -> None:
    [session_id] = [row.id for row in barn.sessions("Thistle")]
    assert doubts_of(barn, session_id)["gait.walk.seconds"].words == (
        "the 2 second looks differed by up to 10 s"
    )


def test_the_keys_of_the_page_are_in_its_help(page: AgreementPage) -> None:
    keys = dict(keys_of(page))
    assert keys["2"] == "the second look is right"
    assert keys["Ctrl+Z"] == "undo what was settled"
