"""The morning's page and the ladder of one horse, under a real mouse and real keys."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta

import pytest
from PySide6.QtCore import QPoint
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QComboBox
from pytestqt.qtbot import QtBot

from annotate.changes import Change
from annotate.clock import NS_PER_S
from annotate.tags import Tag
from app.criterion_row import NumberField
from app.main_window import MainWindow
from app.state_marks import StateMarks
from store.barn import Barn
from store.programmes import programme_beside
from tests.annotate.tagged import event, state
from tests.app.hands import button, click, tap, texts

TODAY = date.today()
LOPE_LEFT = (state("lope", 20, 60), state("left_rein", 20, 60), state("walk", 60, 200))
BUCK = (event("buck", 110, severity=3, stimulus="surcingle"), event("calm", 125))


def put(barn: Barn, session_id: int, *tags: Tag) -> None:
    barn.replace_tags(session_id, [replace(tag, start_frame=None, end_frame=None) for tag in tags])


@pytest.fixture
def two_horses(barn: Barn) -> Barn:
    """Alder worked yesterday, with trouble at the girth; Bracken has never worked."""
    session_id = barn.add_session("Alder", TODAY - timedelta(1), length_ns=300 * NS_PER_S)
    put(barn, session_id, *LOPE_LEFT, state("surcingle", 100, 200), *BUCK)
    barn.add_horse("Bracken")
    return barn


@pytest.fixture
def today(two_horses: Barn, windows: Callable[[], MainWindow], qtbot: QtBot) -> MainWindow:
    """The morning's page, read."""
    window = windows()
    click(button(window, "Today"))
    qtbot.waitUntil(lambda: not window.jobs.running and "Still missing there" in texts(window.today_page))
    return window


@pytest.fixture
def ladder(two_horses: Barn, windows: Callable[[], MainWindow], qtbot: QtBot) -> MainWindow:
    """The ladder of Alder, read."""
    window = windows()
    click(button(window, "Programme"))
    qtbot.waitUntil(lambda: window.programme_page.standing is not None)
    return window


def field(window: MainWindow, criterion: str, word: str) -> NumberField:
    [found] = [row.fields[word] for row in window.programme_page.rows if row.key == criterion]
    return found


def write(box: NumberField, text: str) -> None:
    box.setFocus()
    box.selectAll()
    QTest.keyClicks(box, text)
    tap(box, "Return")


def is_at(window: MainWindow, seconds: float) -> bool:
    return window.page is window.desk and window.desk.showing.shown.moment.ns >= seconds * NS_PER_S


# -- today


def test_the_morning_names_each_horse_its_step_and_when_it_worked(today: MainWindow) -> None:
    read = texts(today.today_page)
    assert {"Free work, both reins", "yesterday", "not yet"} <= set(read)
    assert button(today.today_page, "Alder").isVisible()
    assert button(today.today_page, "Bracken").isVisible()


def test_what_is_missing_stands_beside_it(today: MainWindow) -> None:
    assert any("no trot on either rein yet, wants 60 s" in text for text in texts(today.today_page))


def test_each_horse_has_its_ladder_in_small(today: MainWindow) -> None:
    marks = today.today_page.findChildren(StateMarks)
    assert [len(one.states) for one in marks] == [11, 11]
    assert marks[0].states[0] == "not_yet"
    assert set(marks[1].states) == {"not_seen"}


def test_possible_pain_names_the_horse_and_who_should_look(today: MainWindow) -> None:
    [said] = [text for text in texts(today.today_page) if text.startswith("Alder: Pain is possible")]
    assert "vet, farrier and saddle fitter" in said


def test_a_click_on_a_concern_plays_its_moment(today: MainWindow, qtbot: QtBot) -> None:
    click(button(today.today_page, "!  Girth reaction"))
    qtbot.waitUntil(lambda: is_at(today, 110))
    assert today.desk.showing.is_playing


def test_a_click_on_how_it_settled_plays_that_reaction(today: MainWindow, qtbot: QtBot) -> None:
    click(button(today.today_page, "15 s"))
    qtbot.waitUntil(lambda: is_at(today, 110))


def test_a_click_on_a_horse_opens_its_ladder(today: MainWindow, qtbot: QtBot) -> None:
    click(button(today.today_page, "Bracken"))
    qtbot.waitUntil(lambda: today.programme_page.standing is not None)
    assert today.page is today.programme_page
    assert "Bracken" in texts(today.programme_page)


def test_escape_goes_back_to_the_barn(today: MainWindow) -> None:
    tap(today.today_page, "Escape")
    assert today.page is today.barn_page


@pytest.mark.parametrize(("key", "page"), [("Ctrl+T", "today_page"), ("Ctrl+P", "programme_page")])
def test_a_key_opens_the_page(
    two_horses: Barn, windows: Callable[[], MainWindow], qtbot: QtBot, key: str, page: str
) -> None:
    window = windows()
    tap(window.barn_page.horses, key)
    qtbot.waitUntil(lambda: window.page is getattr(window, page))


def test_a_barn_without_horses_says_so(windows: Callable[[], MainWindow], qtbot: QtBot) -> None:
    window = windows()
    click(button(window, "Today"))
    qtbot.waitUntil(lambda: "There is no horse in the barn yet." in texts(window.today_page))


def test_a_session_whose_tags_contradict_is_told_on_the_morning(
    two_horses: Barn, windows: Callable[[], MainWindow], qtbot: QtBot
) -> None:
    session_id = two_horses.add_session("Bracken", TODAY, length_ns=100 * NS_PER_S)
    two_horses.apply(session_id, Change((), (Tag("walk", 0, 50), Tag("trot", 40, 60))))
    window = windows()
    click(button(window, "Today"))
    qtbot.waitUntil(lambda: any("is left out" in text for text in texts(window.today_page)))


# -- the ladder


def test_the_ladder_says_each_state_by_word(ladder: MainWindow) -> None:
    steps = ladder.programme_page.ladder
    assert steps.item(0).text() == "Free work, both reins\nnot yet, 0 of 6"
    assert steps.item(1).text() == "Quiet under whip, flag and bag\nnot seen, 0 of 3"
    assert steps.currentRow() == 0
    assert "Now: Free work, both reins" in texts(ladder.programme_page)


def test_a_criterion_shows_its_state_what_is_missing_and_where(ladder: MainWindow) -> None:
    read = texts(ladder.programme_page)
    assert "no lope on the right rein yet, wants 30 s" in read
    assert "40 s of lope on the left rein" in read


def test_a_click_on_evidence_opens_the_session_there_and_plays(ladder: MainWindow, qtbot: QtBot) -> None:
    day = TODAY - timedelta(1)
    place = f"{day.day} {day:%b %Y} 0:20.0"
    click(button(ladder.programme_page, f"Play 40 s of lope on the left rein, {place}"))
    qtbot.waitUntil(lambda: is_at(ladder, 20))
    assert ladder.desk.showing.is_playing
    assert ladder.desk.showing.shown.moment.ns < 40 * NS_PER_S


def test_a_number_that_is_written_goes_into_the_file_and_the_state_follows(
    ladder: MainWindow, two_horses: Barn
) -> None:
    before = ladder.programme_page.rows
    write(field(ladder, "calm", "at_most"), "3")
    text = programme_beside(two_horses.path).read_text(encoding="utf-8")
    assert 'calm = { need = "reactions", at_most = 3, within_s = 20 }' in text
    assert ladder.programme_page.ladder.item(0).text().endswith("not yet, 1 of 6")
    assert "met" in texts(next(row for row in ladder.programme_page.rows if row.key == "calm"))
    assert ladder.programme_page.rows == before
    assert ladder.words.words == "Written to the programme."


def test_a_number_out_of_bounds_is_put_back(ladder: MainWindow, two_horses: Barn) -> None:
    before = two_horses.programme().text
    box = field(ladder, "calm", "at_most")
    write(box, "9")
    field(ladder, "lope", "at_least").setFocus()
    assert box.text() == "2"
    assert two_horses.programme().text == before


def test_the_trainers_comments_stay_in_the_file(ladder: MainWindow, two_horses: Barn) -> None:
    path = programme_beside(two_horses.path)
    path.write_text("# mine\n" + path.read_text(encoding="utf-8"), encoding="utf-8")
    write(field(ladder, "lope", "at_least"), "20")
    assert path.read_text(encoding="utf-8").startswith("# mine\n")


def test_another_step_shows_its_own_criteria_and_its_caution(ladder: MainWindow) -> None:
    steps = ladder.programme_page.ladder
    click(steps.viewport(), QPoint(60, steps.visualItemRect(steps.item(4)).center().y()))
    read = texts(ladder.programme_page)
    assert any(text.startswith("Stay out of the kick") and "Helmet, second person" in text for text in read)
    assert [row.key for row in ladder.programme_page.rows] == ["shown", "trot", "lope", "calm"]


def test_the_saddling_side_is_chosen_where_the_order_of_tack_is_asked(
    ladder: MainWindow, two_horses: Barn
) -> None:
    ladder.programme_page.ladder.setCurrentRow(7)
    [choice] = [
        one for one in ladder.programme_page.findChildren(QComboBox) if one.accessibleName() == "Saddled from"
    ]
    choice.setFocus()
    tap(choice, "Down")
    assert two_horses.programme().read.saddling.side == "right"


def test_quiet_work_shows_no_caution(ladder: MainWindow) -> None:
    assert not any("Helmet" in text for text in texts(ladder.programme_page))


def test_the_step_of_a_session_is_chosen_and_kept(ladder: MainWindow, two_horses: Barn, qtbot: QtBot) -> None:
    [choice] = [one for one in ladder.programme_page.findChildren(QComboBox) if one.isVisible()]
    choice.setFocus()
    tap(choice, "Down")
    session_id = two_horses.sessions("Alder")[0].id
    assert two_horses.session(session_id).details["step"] == "free_work"
    qtbot.waitUntil(lambda: ladder.programme_page.standing is not None and not ladder.jobs.running)
    standing = ladder.programme_page.standing
    assert standing is not None
    assert standing.steps[0].sessions == (session_id,)


def test_concerns_stand_above_the_step(ladder: MainWindow) -> None:
    assert any(text.startswith("Girth reaction: ") for text in texts(ladder.programme_page))


def test_a_broken_programme_file_is_said_and_the_last_good_one_is_shown(
    two_horses: Barn, windows: Callable[[], MainWindow], qtbot: QtBot
) -> None:
    two_horses.programme()
    programme_beside(two_horses.path).write_text("[steps", encoding="utf-8")
    window = windows()
    click(button(window, "Programme"))
    qtbot.waitUntil(lambda: window.programme_page.standing is not None)
    assert window.words.words.startswith("The programme cannot be read")
    assert window.programme_page.ladder.count() == 11


def test_today_and_the_barn_are_one_click_away(ladder: MainWindow) -> None:
    click(button(ladder.programme_page, "Today"))
    assert ladder.page is ladder.today_page
    click(button(ladder.today_page, "Back to the barn"))
    assert ladder.page is ladder.barn_page
