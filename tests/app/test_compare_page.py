"""The page with the sessions of a horse side by side."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import pytest
from PySide6.QtCore import QPoint
from pytestqt.qtbot import QtBot

from annotate.clock import NS_PER_S
from annotate.numbers.sides import Pair
from annotate.tagging import Change
from annotate.tags import Tag
from app.compare_page import ComparePage
from app.main_window import MainWindow
from app.plots import Plot, Point, nice_above
from app.sides_picture import SidesPicture
from store.barn import Barn
from tests.app.cut_off import cut_off
from tests.app.hands import button, click, tap, texts

OpenPage = Callable[[], ComparePage]


def add(barn: Barn, horse: str, day: int, *spooks_s: int, step: str = "") -> int:
    length_ns = 600 * NS_PER_S
    session_id = barn.add_session(horse, date(2026, 5, day), length_ns=length_ns)
    tags = [Tag("walk", 0, length_ns), Tag("left_rein", 0, length_ns)]
    tags += [Tag("spook", at * NS_PER_S) for at in spooks_s]
    barn.apply(session_id, Change((), tuple(tags)))
    if step:
        barn.change_session(session_id, details={"step": step})
    return session_id


@pytest.fixture
def page(barn: Barn, windows: Callable[[], MainWindow], qtbot: QtBot) -> OpenPage:
    def open_page() -> ComparePage:
        window = windows()
        qtbot.waitUntil(lambda: not window.jobs.running)
        tap(window.barn_page, "Ctrl+K")
        opened = window.compare_page
        qtbot.waitUntil(lambda: bool(opened.rows) and not window.jobs.running)
        # A layout shows what was put into it in the next turn of the event loop, and gives it its size.
        qtbot.waitUntil(lambda: all(line.isVisible() and line.width() > 300 for line in opened.lines))
        qtbot.waitUntil(lambda: opened.plots.isVisible() and opened.plots.reactions.width() > 100)
        return opened

    return open_page


def test_a_key_on_the_barn_page_opens_it(barn: Barn, page: OpenPage) -> None:
    add(barn, "Thistle", 4, 10, 20)
    add(barn, "Thistle", 1)
    opened = page()
    assert opened.isVisible()
    assert [row.title for row in opened.rows] == ["1 May 2026", "4 May 2026"]


def test_a_click_on_a_line_opens_its_session(barn: Barn, page: OpenPage, qtbot: QtBot) -> None:
    wanted = add(barn, "Thistle", 4)
    add(barn, "Thistle", 1)
    opened = page()
    window = opened.window()
    assert isinstance(window, MainWindow)
    click(opened.lines[1], QPoint(opened.lines[1].width() - 60, 30))
    qtbot.waitUntil(lambda: window.page is window.desk and window.desk.review is not None)
    assert window.desk.review is not None
    assert window.desk.review.session.id == wanted


def test_a_click_in_a_plot_opens_the_session_of_that_place(barn: Barn, page: OpenPage, qtbot: QtBot) -> None:
    add(barn, "Thistle", 1)
    wanted = add(barn, "Thistle", 4)
    opened = page()
    plot = opened.plots.reactions
    with qtbot.waitSignal(opened.session_opened) as caught:
        click(plot, QPoint(plot.width() - 20, plot.height() // 2))
    assert caught.args == [wanted]


def test_the_others_are_compared_with_the_chosen_one(barn: Barn, page: OpenPage) -> None:
    add(barn, "Thistle", 1, 10)
    add(barn, "Thistle", 4, 10, 20)
    opened = page()
    assert [row.ratio.ratio if row.ratio else None for row in opened.rows] == [None, 2]
    click(button(opened.lines[1], "Compare with it"))
    assert [float(row.ratio.ratio or 0) if row.ratio else None for row in opened.rows] == [0.5, None]


def test_another_horse_stands_beside(barn: Barn, page: OpenPage, qtbot: QtBot) -> None:
    add(barn, "Biscuit", 2)
    add(barn, "Thistle", 1)
    opened = page()
    opened.beside.setCurrentIndex(1)
    opened.beside.activated.emit(1)
    qtbot.waitUntil(lambda: len(opened.rows) == 2)
    assert [row.title for row in opened.rows] == ["Thistle, 1 May 2026", "Biscuit, 2 May 2026"]


def test_only_one_step_is_shown_if_asked(barn: Barn, page: OpenPage) -> None:
    add(barn, "Thistle", 1, step="free_work")
    add(barn, "Thistle", 4)
    opened = page()
    opened.step.setCurrentText("Free work, both reins")
    opened.step.activated.emit(1)
    assert [row.title for row in opened.rows] == ["1 May 2026"]


def test_escape_goes_back_to_the_barn(barn: Barn, page: OpenPage) -> None:
    add(barn, "Thistle", 1)
    opened = page()
    window = opened.window()
    assert isinstance(window, MainWindow)
    tap(opened, "Escape")
    assert window.page is window.barn_page


def test_the_words_say_what_the_sessions_prove(barn: Barn, page: OpenPage) -> None:
    for day in range(1, 6):
        add(barn, "Thistle", day, *range(10, 10 + 30 * (6 - day), 30))
    words = page().words.text()
    assert "Reactions a minute over 5 sessions: falling by about 0.10 a session" in words
    assert words.splitlines()[1].endswith("chance would seldom do that")


@pytest.mark.parametrize("percent", [100, 125, 150])
def test_nothing_is_cut_off_in_large_text(
    barn: Barn, page: OpenPage, large_text: Callable[[int], None], qtbot: QtBot, percent: int
) -> None:
    add(barn, "Thistle", 1, 10)
    add(barn, "Thistle", 4, 10, 20)
    large_text(percent)
    opened = page()
    opened.window().resize(1280, 720)
    qtbot.waitUntil(lambda: opened.window().width() == 1280 and cut_off(opened) == [])
    assert any("(2.00 times)" in words for words in texts(opened))


@pytest.mark.parametrize("percent", [100, 150])
def test_the_words_at_the_plots_have_room_in_large_text(
    barn: Barn, page: OpenPage, large_text: Callable[[int], None], qtbot: QtBot, percent: int
) -> None:
    add(barn, "Thistle", 1, 10)
    large_text(percent)
    opened = page()
    opened.window().resize(1280, 720)
    plots = [*opened.plots.findChildren(Plot)]
    # Where the values stand begins at one height, below the highest title, once it was painted.
    qtbot.waitUntil(lambda: len({plot.field.top() for plot in plots}) == 1)
    for plot in plots:
        words = plot.fontMetrics()
        assert plot.field.top() >= plot.title_px + 2
        assert plot.field.left() >= 4 + max(words.horizontalAdvance(plot.tick(value)) for value in plot.range())
        assert plot.height() - plot.field.bottom() - 3 >= words.ascent()
        assert plot.field.height() > 3 * words.height()


@pytest.mark.parametrize("percent", [100, 150])
def test_the_rows_of_left_and_right_are_as_high_as_their_words(
    qtbot: QtBot, large_text: Callable[[int], None], percent: int
) -> None:
    large_text(percent)
    picture = SidesPicture()
    qtbot.addWidget(picture)
    picture.ensurePolished()
    picture.set_sides({"walk": Pair(left=10, right=20, unit="ns", few=False)})
    one = picture.sizeHint().height()
    picture.set_sides({name: Pair(left=10, right=20, unit="ns", few=False) for name in ("walk", "trot")})
    assert picture.sizeHint().height() - one >= picture.fontMetrics().height()


def test_what_is_not_known_widens_no_axis(qtbot: QtBot) -> None:
    plot = Plot("Reactions a minute")
    qtbot.addWidget(plot)
    few = Point("3 May", 0.0, 0.0, 50.0, few=True)
    plot.show_points([Point("1 May", 2.0, 1.0, 3.0), Point("2 May", None), few])
    assert plot.range() == (0.0, 4.0)


@pytest.mark.parametrize(("value", "nice"), [(0, 1), (0.3, 0.4), (1, 1), (3, 4), (41, 50), (99, 100)])
def test_an_axis_ends_at_a_plain_number(value: float, nice: float) -> None:
    assert nice_above(value) == pytest.approx(nice)
