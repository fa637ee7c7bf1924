"""The morning's page and the ladder of one horse, under a real mouse and real keys."""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QComboBox, QLabel, QPushButton, QWidget
from pytestqt.qtbot import QtBot

from annotate.changes import Change
from annotate.clock import NS_PER_S
from annotate.days import day_text
from annotate.programme.steps import InARow, Reactions, Seconds, TackOrder, Times
from annotate.programme.work import Record
from annotate.tags import Tag
from app import records
from app.criterion_row import CriterionRow, NumberField
from app.main_window import MainWindow
from app.records import record
from app.state_marks import StateMarks
from store.barn import Barn
from store.programmes import programme_beside
from tests.annotate.tagged import event, state
from tests.app.cut_off import cut_off
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


def test_everything_is_said_where_there_is_room_and_cut_short_where_there_is_not(
    today: MainWindow, qtbot: QtBot
) -> None:
    page = today.today_page
    mornings = page._listed
    assert not any(text.endswith(" more") for text in texts(page))
    in_full = set(texts(page))
    page.show_mornings([*mornings] * 12)
    qtbot.waitUntil(lambda: any(text.endswith(" more") for text in texts(page)))
    page.show_mornings(mornings)
    qtbot.waitUntil(lambda: set(texts(page)) == in_full)


def test_each_horse_has_its_ladder_in_small(today: MainWindow) -> None:
    marks = today.today_page.findChildren(StateMarks)
    assert [len(one.states) for one in marks] == [11, 11]
    assert marks[0].states[0] == "not_yet"
    assert set(marks[1].states) == {"not_seen"}


def test_possible_pain_names_the_horse_and_who_should_look(today: MainWindow) -> None:
    [said] = [text for text in texts(today.today_page) if text.startswith("Alder: Pain is possible")]
    assert "vet, farrier and saddle fitter" in said


def test_who_works_on_what_stands_above_all(today: MainWindow) -> None:
    [said] = [text for text in texts(today.today_page) if text.startswith("<b")]
    assert "Free work, both reins</b>:&nbsp;Alder, Bracken" in said


def test_a_click_on_a_concern_plays_its_moment(today: MainWindow, qtbot: QtBot) -> None:
    click(button(today.today_page, "Girth reaction"))
    qtbot.waitUntil(lambda: is_at(today, 110))
    assert today.desk.showing.is_playing


def test_each_moment_of_a_concern_can_be_played(
    two_horses: Barn, windows: Callable[[], MainWindow], qtbot: QtBot
) -> None:
    [row] = two_horses.sessions("Alder")
    second = (event("buck", 130, severity=3, stimulus="surcingle"), event("calm", 140))
    put(two_horses, row.id, *LOPE_LEFT, state("surcingle", 100, 200), *BUCK, *second)
    window = windows()
    click(button(window, "Today"))
    qtbot.waitUntil(lambda: not window.jobs.running and "Still missing there" in texts(window.today_page))
    click(button(window.today_page, "2"))
    qtbot.waitUntil(lambda: is_at(window, 130))


def test_a_risky_step_says_so_in_the_row(
    two_horses: Barn, windows: Callable[[], MainWindow], qtbot: QtBot
) -> None:
    text = two_horses.programme().text
    two_horses.keep_programme(text.replace('title = "Free work, both reins"', 'title = "Free work"\nrisky = true'))
    window = windows()
    click(button(window, "Today"))
    qtbot.waitUntil(lambda: not window.jobs.running and "risky" in texts(window.today_page))
    [label] = [one for one in window.today_page.findChildren(QLabel) if one.text() == "risky"][:1]
    assert "Helmet, second person" in label.toolTip()


def test_a_click_on_how_it_settled_plays_that_reaction(today: MainWindow, qtbot: QtBot) -> None:
    click(button(today.today_page, "15 s"))
    qtbot.waitUntil(lambda: is_at(today, 110))


def test_a_click_on_a_horse_opens_its_ladder(today: MainWindow, qtbot: QtBot) -> None:
    click(button(today.today_page, "Bracken"))
    qtbot.waitUntil(lambda: today.programme_page.standing is not None)
    assert today.page is today.programme_page
    assert "Bracken" in texts(today.programme_page)


def test_the_first_horse_is_there_before_the_last_one_is_read(
    two_horses: Barn, windows: Callable[[], MainWindow], qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    go_on = threading.Event()

    def slow(barn: Barn, horse: str, *rest: Any) -> Record:
        if horse == "Bracken":
            go_on.wait(20)
        return record(barn, horse, *rest)

    monkeypatch.setattr(records, "record", slow)
    window = windows()
    click(button(window, "Today"))
    page = window.today_page
    qtbot.waitUntil(lambda: any(one.text() == "Alder" and one.isVisible() for one in buttons(page)))
    assert window.jobs.running
    assert not any(one.text() == "Bracken" for one in buttons(page))
    go_on.set()
    qtbot.waitUntil(lambda: any(one.text() == "Bracken" and one.isVisible() for one in buttons(page)))
    assert sum(one.text() == "Alder" for one in buttons(page)) == 1


def buttons(inside: QWidget) -> list[QPushButton]:
    return inside.findChildren(QPushButton)


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
    words = "There is no horse in the barn yet. Add clips… on the barn's page brings the first one."
    qtbot.waitUntil(lambda: words in texts(window.today_page))
    [label] = [one for one in window.today_page.findChildren(QLabel) if one.text() == words]
    qtbot.waitUntil(lambda: label.height() < 2 * label.fontMetrics().lineSpacing())
    tap(window.today_page, "Escape")
    assert button(window.barn_page, "Add clips…").isEnabled()


def test_a_session_whose_tags_contradict_is_told_on_the_morning(
    two_horses: Barn, windows: Callable[[], MainWindow], qtbot: QtBot
) -> None:
    session_id = two_horses.add_session("Bracken", TODAY, length_ns=100 * NS_PER_S)
    two_horses.apply(session_id, Change((), (Tag("walk", 0, 50), Tag("trot", 40, 60))))
    window = windows()
    click(button(window, "Today"))
    qtbot.waitUntil(lambda: any("is left out" in text for text in texts(window.today_page)))


@pytest.mark.parametrize("percent", [125, 150])
def test_nothing_on_the_morning_is_cut_off_in_large_text(
    two_horses: Barn,
    windows: Callable[[], MainWindow],
    qtbot: QtBot,
    large_text: Callable[[int], None],
    percent: int,
) -> None:
    text = two_horses.programme().text
    two_horses.keep_programme(text.replace('title = "Free work, both reins"', 'title = "Quiet under the flag"'))
    bucks = [event("buck", 110 + at, severity=3, stimulus="surcingle") for at in range(0, 60, 10)]
    put(two_horses, two_horses.sessions("Alder")[0].id, *LOPE_LEFT, state("surcingle", 100, 200), *bucks)
    large_text(percent)
    window = windows()
    window.resize(1280, 720)
    click(button(window, "Today"))
    page = window.today_page
    qtbot.waitUntil(lambda: not window.jobs.running and "Quiet under the flag" in texts(page))
    for many in (1, 4):
        page.show_mornings(page._listed * many)
        qtbot.waitUntil(lambda: cut_off(page) == [])


# -- the ladder


@pytest.mark.parametrize("percent", [100, 125, 150])
def test_nothing_of_a_step_runs_off_in_large_text(
    two_horses: Barn,
    windows: Callable[[], MainWindow],
    qtbot: QtBot,
    large_text: Callable[[int], None],
    percent: int,
) -> None:
    [row] = two_horses.sessions("Alder")
    reins = (state("left_rein", 0, 150), state("right_rein", 150, 300))
    lopes = [state("lope", 10 * place, 10 * place + 5) for place in range(20)]
    put(two_horses, row.id, *reins, *lopes, state("surcingle", 100, 200), event("buck", 110, severity=3))
    large_text(percent)
    window = windows()
    window.resize(1280, 720)
    click(button(window, "Programme"))
    page = window.programme_page
    qtbot.waitUntil(lambda: page.standing is not None)
    for place in range(page.ladder.count()):
        page.ladder.setCurrentRow(place)
        qtbot.waitUntil(lambda: cut_off(page) == [])
    click(button(page, "Edit"))
    qtbot.waitUntil(lambda: cut_off(page) == [])


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
    place = f"{day_text(day)} 0:20.0"
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


@pytest.mark.parametrize("typed", ["9", "x", "1.5", "-1"])
def test_a_number_that_cannot_be_is_answered_in_its_place_and_not_written(
    ladder: MainWindow, two_horses: Barn, typed: str
) -> None:
    before = two_horses.programme().text
    box = field(ladder, "calm", "at_most")
    write(box, typed)
    assert f"Not written: {typed}. It is a whole number from 0 to 4." in texts(ladder.programme_page)
    assert (box.text(), two_horses.programme().text) == (typed, before)
    tap(box, "Escape")
    assert box.text() == "2"
    assert not any(text.startswith("Not written") for text in texts(ladder.programme_page))
    assert ladder.page is ladder.programme_page


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


# -- editing the programme


@pytest.fixture
def editing(ladder: MainWindow) -> MainWindow:
    click(ladder.programme_page.edit)
    return ladder


def the_row(window: MainWindow, key: str) -> CriterionRow:
    [found] = [row for row in window.programme_page.rows if row.key == key]
    return found


def steps_of(barn: Barn) -> list[str]:
    return [step.key for step in barn.programme().read.steps]


def test_a_rein_is_chosen_and_only_that_criterion_follows(editing: MainWindow, two_horses: Barn) -> None:
    page = editing.programme_page
    before = {row.key: row._state.text() for row in page.rows}
    assert before["lope"] == "not yet"
    box = the_row(editing, "lope").choices["rein"]
    box.setFocus()
    tap(box, "Up", "Up")
    assert 'lope = { need = "seconds", of = "lope", rein = "left", at_least = 30 }' in two_horses.programme().text
    assert {row.key: row._state.text() for row in page.rows} == {**before, "lope": "met"}


def test_whoever_scrolls_past_a_choice_does_not_alter_it(editing: MainWindow, two_horses: Barn) -> None:
    before = two_horses.programme().text
    for box in (the_row(editing, "lope").choices["rein"], editing.programme_page.step_words.need):
        middle = box.rect().center()
        QApplication.sendEvent(
            box,
            QWheelEvent(
                middle, box.mapToGlobal(middle), QPoint(), QPoint(0, -120), Qt.MouseButton.NoButton,
                Qt.KeyboardModifier.NoModifier, Qt.ScrollPhase.NoScrollPhase, False,
            ),
        )
    assert two_horses.programme().text == before
    assert editing.programme_page.step_words.need.currentIndex() == 0


def test_what_is_looked_for_and_the_tack_are_chosen(editing: MainWindow, two_horses: Barn) -> None:
    row = the_row(editing, "walk")
    for word, value in (("of", "moving"), ("tack", "surcingle")):
        box = row.choices[word]
        box.setFocus()
        while box.currentData() != value:
            tap(box, "Up" if word == "of" else "Down")
    walk = two_horses.programme().read.steps[0].criteria[0]
    assert walk == Seconds("walk", "moving", 60, "each", "surcingle")


def test_recovery_within_a_time_can_be_left_out_and_asked_again(editing: MainWindow, two_horses: Barn) -> None:
    box = the_row(editing, "calm").fields["within_s"]
    for typed, expected in (("", None), ("15", 15)):
        box.setFocus()
        box.selectAll()
        tap(box, "Delete")
        QTest.keyClicks(box, typed)
        tap(box, "Return")
        calm = two_horses.programme().read.steps[0].criteria[-1]
        assert isinstance(calm, Reactions)
        assert calm.within_s == expected


def test_days_severity_and_row_of_exposures_are_written(editing: MainWindow, two_horses: Barn) -> None:
    editing.programme_page.ladder.setCurrentRow(1)
    for word, number in (("in_a_row", 4), ("severity", 0), ("within_s", 5), ("days", 3)):
        write(field(editing, "flag", word), str(number))
    flag = two_horses.programme().read.steps[1].criteria[1]
    assert flag == InARow("flag", "flag", 4, 0, "each", 5, 3)


def test_a_criterion_of_each_kind_can_be_added_and_taken_out(editing: MainWindow, two_horses: Barn) -> None:
    page = editing.programme_page
    before = two_horses.programme().text
    for place in range(page.step_words.need.count()):
        page.step_words.need.setCurrentIndex(place)
        click(button(page.step_words, "Add criterion"))
    added = two_horses.programme().read.steps[0].criteria[6:]
    assert [type(one) for one in added] == [Seconds, Times, InARow, Reactions, TackOrder]
    for one in added:
        out = button(page, f"Take out {one.key}")
        out.setFocus()
        tap(out, "Space")
    assert two_horses.programme().text == before


def test_steps_are_added_named_moved_and_taken_out(editing: MainWindow, two_horses: Barn) -> None:
    page = editing.programme_page
    before = two_horses.programme().text
    page.steps_bar.title.setFocus()
    QTest.keyClicks(page.steps_bar.title, "Ponying")
    tap(page.steps_bar.title, "Return")
    assert steps_of(two_horses)[:3] == ["free_work", "ponying", "quiet_tools"]
    assert page.ladder.currentRow() == 1
    title = page.step_words.texts["title"]
    title.setFocus()
    title.selectAll()
    QTest.keyClicks(title, "Led beside")
    tap(title, "Return")
    assert two_horses.programme().read.steps[1].title == "Led beside"
    click(button(page.steps_bar, "Later"))
    assert steps_of(two_horses)[1:3] == ["quiet_tools", "ponying"]
    assert page.ladder.currentRow() == 2
    click(button(page.steps_bar, "Take out step"))
    assert two_horses.programme().text == before


def test_a_change_of_the_programme_can_be_taken_back(ladder: MainWindow, two_horses: Barn) -> None:
    before = two_horses.programme().text
    write(field(ladder, "lope", "at_least"), "20")
    write(field(ladder, "calm", "at_most"), "3")
    tap(field(ladder, "calm", "at_most"), "Ctrl+Z")
    tap(field(ladder, "lope", "at_least"), "Ctrl+Z")
    assert two_horses.programme().text == before
    assert field(ladder, "calm", "at_most").text() == "2"
    assert not ladder.programme_page.undo.isEnabled()


def test_undo_does_not_overwrite_what_was_written_by_hand(ladder: MainWindow, two_horses: Barn) -> None:
    write(field(ladder, "lope", "at_least"), "20")
    path = programme_beside(two_horses.path)
    by_hand = "# by hand\n" + path.read_text(encoding="utf-8")
    path.write_text(by_hand, encoding="utf-8")
    click(ladder.programme_page.undo)
    assert path.read_text(encoding="utf-8") == by_hand
    assert ladder.words.words.startswith("The programme's file was changed meanwhile")


def test_a_file_that_was_broken_by_hand_is_not_overwritten(ladder: MainWindow, two_horses: Barn) -> None:
    path = programme_beside(two_horses.path)
    broken = path.read_text(encoding="utf-8") + "[steps"
    path.write_text(broken, encoding="utf-8")
    write(field(ladder, "lope", "at_least"), "20")
    assert path.read_text(encoding="utf-8") == broken
    assert any("Mend the file first" in text for text in texts(ladder.programme_page))


def test_the_last_step_and_the_last_criterion_stay_and_it_is_said(editing: MainWindow, two_horses: Barn) -> None:
    two_horses.keep_programme("[steps.one.criteria]\nlope = { need = 'seconds', of = 'lope', at_least = 5 }\n")
    page = editing.programme_page
    page.changes.take_criterion_out("one", "lope")
    assert "has no criteria" in editing.words.words
    page.changes.take_step_out("one")
    assert "not written as [steps.one]" in editing.words.words


def test_limits_are_written_and_a_wrong_one_is_answered_in_its_place(
    editing: MainWindow, two_horses: Barn
) -> None:
    box = editing.programme_page.settings.fields["girth_s"]
    write(box, "0")
    assert "Not written: 0. It is a whole number from 1 to 3600." in texts(editing.programme_page)
    write(box, "90")
    assert two_horses.programme().read.limits.girth_s == 90
    write(editing.programme_page.settings.fields["first"], "2")
    assert two_horses.programme().read.saddling.first == 2


def test_where_the_file_is_stands_below(editing: MainWindow) -> None:
    assert any("test.programme.toml" in text for text in texts(editing.programme_page))
