"""The work line under a real mouse."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from fractions import Fraction

import pytest
from PySide6.QtCore import QEvent, QPoint, QPointF, Qt
from PySide6.QtGui import QHelpEvent, QImage, QMouseEvent, QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QToolTip
from pytestqt.qtbot import QtBot

from annotate.behaviours import default_sheet
from annotate.clock import NS_PER_S
from annotate.passages import Passage
from annotate.sessions import PlacedClip, Session
from annotate.tags import Tag
from app.work_line import WorkLineWidget

S = NS_PER_S
SHEET = default_sheet()
SESSION = Session(1, "Biscuit", date(2026, 5, 1), length_ns=600 * S)
LEFT, PLAIN = Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier

WALK = Tag("walk", 60 * S, 180 * S)
TROT = Tag("trot", 180 * S, 300 * S)
LEFT_REIN = Tag("left_rein", 60 * S, 330 * S)
SPOOK = Tag("spook", 210 * S, severity=3, stimulus="flag", side="left")
CALM = Tag("calm", 222 * S)
FLAG = Tag("flag_on", 200 * S, 260 * S, side="left")
TAGS = (WALK, TROT, LEFT_REIN, SPOOK, CALM, FLAG)
PASSAGE = Passage(205 * S, 325 * S, "settles at the flag", 1)

Heard = list[tuple[object, ...]]


@pytest.fixture
def line(qtbot: QtBot) -> WorkLineWidget:
    widget = WorkLineWidget()
    qtbot.addWidget(widget)
    widget.resize(1280, 190)
    widget.show()
    qtbot.waitExposed(widget)
    widget.set_work(SESSION, TAGS, (PASSAGE,), SHEET)
    return widget


def x_of(line: WorkLineWidget, ns: int) -> int:
    return line.bands.left + line.scale.x(ns)


def field_y(line: WorkLineWidget, level: int) -> int:
    """Half a level below a gait's line on the left rein: on its ground."""
    return line.bands.axis - line.bands.rise(level) + line.bands.rise(1) // 2


def on_trot(line: WorkLineWidget, ns: int) -> QPoint:
    return QPoint(x_of(line, ns), field_y(line, 2))


def hear(line: WorkLineWidget, *names: str) -> Heard:
    heard: Heard = []

    def listener(name: str) -> Callable[..., None]:
        return lambda *told: heard.append((name, *told))

    for name in names:
        getattr(line, name).connect(listener(name))
    return heard


def move(line: WorkLineWidget, to: QPoint, button: Qt.MouseButton = Qt.MouseButton.NoButton) -> None:
    """Moves the pointer at once; QTest's own way goes through the X server, which answers when it likes."""
    event = QMouseEvent(
        QEvent.Type.MouseMove,
        QPointF(to),
        QPointF(line.mapToGlobal(to)),
        Qt.MouseButton.NoButton,
        button,
        PLAIN,
    )
    QApplication.sendEvent(line, event)


def drag(line: WorkLineWidget, start: QPoint, *stops: QPoint, button: Qt.MouseButton = LEFT) -> None:
    QTest.mousePress(line, button, PLAIN, start)
    for stop in stops:
        move(line, stop, button)
    QTest.mouseRelease(line, button, PLAIN, stops[-1])


def turn_wheel(
    line: WorkLineWidget, at: QPoint, notches: int, modifiers: Qt.KeyboardModifier = PLAIN
) -> None:
    event = QWheelEvent(
        QPointF(at),
        QPointF(line.mapToGlobal(at)),
        QPoint(),
        QPoint(0, 120 * notches),
        Qt.MouseButton.NoButton,
        modifiers,
        Qt.ScrollPhase.NoScrollPhase,
        False,
    )
    QApplication.sendEvent(line, event)


def within_a_pixel(line: WorkLineWidget, told: object, ns: int) -> bool:
    assert isinstance(told, int)
    return abs(told - ns) <= line.scale.ns_per_px


def test_a_click_asks_for_the_place_and_chooses_the_tag(line: WorkLineWidget) -> None:
    heard = hear(line, "place_asked", "tag_chosen")
    QTest.mouseClick(line, LEFT, PLAIN, on_trot(line, 240 * S))
    assert [name for name, _ in heard] == ["place_asked", "tag_chosen"]
    assert within_a_pixel(line, heard[0][1], 240 * S)
    assert heard[1][1] == TROT.id


def test_ids_and_times_beyond_32_bits_arrive_whole(line: WorkLineWidget) -> None:
    heard = hear(line, "tag_chosen")
    big = replace(TROT, id=(1 << 61) | 1)
    line.set_work(SESSION, (big,), (), SHEET)
    QTest.mouseClick(line, LEFT, PLAIN, QPoint(x_of(line, 240 * S), line.bands.axis - line.bands.rise(1)))
    assert heard == [("tag_chosen", (1 << 61) | 1)]


def test_a_click_on_a_spike_asks_for_its_exact_instant(line: WorkLineWidget) -> None:
    heard = hear(line, "place_asked", "tag_chosen")
    tip = line.bands.axis - line.bands.rise(2) - 4
    QTest.mouseClick(line, LEFT, PLAIN, QPoint(x_of(line, SPOOK.start_ns) + 3, tip))
    assert heard == [("place_asked", SPOOK.start_ns), ("tag_chosen", SPOOK.id)]


def test_a_click_on_empty_ground_chooses_no_tag(line: WorkLineWidget) -> None:
    heard = hear(line, "tag_chosen")
    QTest.mouseClick(line, LEFT, PLAIN, QPoint(x_of(line, 500 * S), line.bands.field_top + 2))
    assert heard == [("tag_chosen", None)]


def test_a_click_near_the_axis_chooses_the_rein(line: WorkLineWidget) -> None:
    heard = hear(line, "tag_chosen")
    QTest.mouseClick(line, LEFT, PLAIN, QPoint(x_of(line, 240 * S), line.bands.axis - 3))
    assert heard == [("tag_chosen", LEFT_REIN.id)]


def test_a_click_on_a_lane_chooses_the_stimulus(line: WorkLineWidget) -> None:
    heard = hear(line, "tag_chosen")
    QTest.mouseClick(line, LEFT, PLAIN, QPoint(x_of(line, 240 * S), line.bands.lanes[0].top + 2))
    assert heard == [("tag_chosen", FLAG.id)]


def test_dragging_on_the_ruler_scrubs(line: WorkLineWidget) -> None:
    heard = hear(line, "place_asked", "tag_chosen", "edge_dragged")
    y = line.bands.ruler_top + 6
    stops = [QPoint(x_of(line, t * S), y) for t in (200, 250, 300)]
    drag(line, QPoint(x_of(line, 100 * S), y), *stops)
    assert [name for name, _ in heard] == ["place_asked"] * 4
    assert all(
        within_a_pixel(line, told, t * S) for (_, told), t in zip(heard, (100, 200, 250, 300), strict=True)
    )


def test_dragging_beyond_the_ends_stays_within_the_session(line: WorkLineWidget) -> None:
    heard = hear(line, "place_asked")
    y = line.bands.ruler_top + 6
    drag(line, QPoint(x_of(line, 100 * S), y), QPoint(-50, y), QPoint(1500, y))
    assert heard[1][1] == 0
    assert within_a_pixel(line, heard[2][1], 600 * S)


def test_an_edge_is_grabbed_dragged_and_dropped(line: WorkLineWidget) -> None:
    heard = hear(line, "edge_dragged", "edge_dropped", "place_asked", "tag_chosen")
    drag(line, on_trot(line, 300 * S) - QPoint(3, 0), on_trot(line, 310 * S), on_trot(line, 320 * S))
    assert [told[:3] for told in heard] == [
        ("edge_dragged", TROT.id, "end"),
        ("edge_dragged", TROT.id, "end"),
        ("edge_dropped", TROT.id, "end"),
    ]
    assert within_a_pixel(line, heard[-1][3], 320 * S)


def test_of_two_touching_states_the_one_under_the_pointer_gives_its_edge(line: WorkLineWidget) -> None:
    x, y = x_of(line, 180 * S), field_y(line, 1)
    before, after = line.hit_at(QPoint(x - 2, y)), line.hit_at(QPoint(x + 2, y))
    assert (before.tag_id, before.edge) == (WALK.id, "end")
    assert (after.tag_id, after.edge) == (TROT.id, "start")


def test_a_click_on_an_edge_moves_nothing(line: WorkLineWidget) -> None:
    heard = hear(line, "edge_dragged", "edge_dropped", "place_asked", "tag_chosen")
    QTest.mouseClick(line, LEFT, PLAIN, on_trot(line, 300 * S) - QPoint(2, 0))
    assert [told[0] for told in heard] == ["place_asked", "tag_chosen"]


def test_the_cursor_tells_an_edge_within_six_pixels(line: WorkLineWidget) -> None:
    edge = on_trot(line, 300 * S)
    move(line, edge - QPoint(6, 0))
    assert line.cursor().shape() == Qt.CursorShape.SizeHorCursor
    move(line, edge - QPoint(9, 0))
    assert line.cursor().shape() == Qt.CursorShape.ArrowCursor


def test_the_edges_of_a_narrow_state_are_left_alone_until_it_is_chosen(line: WorkLineWidget) -> None:
    brief = Tag("trot", 400 * S, 404 * S)
    line.set_work(SESSION, (brief,), (), SHEET)
    at = QPoint(x_of(line, 400 * S), line.bands.axis - line.bands.rise(1))
    assert line.hit_at(at).edge is None
    line.choose_tag(brief.id)
    assert line.hit_at(at).edge == "start"


def test_the_end_of_a_running_state_cannot_be_grabbed(line: WorkLineWidget) -> None:
    line.set_work(SESSION, (replace(TROT, running=True),), (), SHEET)
    assert line.hit_at(on_trot(line, 300 * S) - QPoint(2, 0)).edge is None


def test_a_chosen_event_can_be_dragged(line: WorkLineWidget) -> None:
    heard = hear(line, "edge_dropped")
    line.choose_tag(SPOOK.id)
    tip = QPoint(x_of(line, SPOOK.start_ns), line.bands.axis - line.bands.rise(2) - 4)
    drag(line, tip, tip + QPoint(40, 0))
    assert heard[0][:3] == ("edge_dropped", SPOOK.id, "start")


def test_a_drag_that_is_given_up_drops_nothing(line: WorkLineWidget) -> None:
    heard = hear(line, "edge_dropped", "place_asked")
    start = on_trot(line, 300 * S)
    QTest.mousePress(line, LEFT, PLAIN, start)
    move(line, start + QPoint(30, 0), LEFT)
    assert line.give_up_drag()
    QTest.mouseRelease(line, LEFT, PLAIN, start + QPoint(30, 0))
    assert heard == []
    assert not line.give_up_drag()


def test_a_passage_is_chosen_by_its_bracket(line: WorkLineWidget) -> None:
    heard = hear(line, "passage_chosen", "tag_chosen")
    QTest.mouseClick(line, LEFT, PLAIN, QPoint(x_of(line, 270 * S), 5))
    assert heard == [("passage_chosen", PASSAGE.id)]


def test_passages_inside_each_other_have_a_level_each(line: WorkLineWidget) -> None:
    inside = Passage(230 * S, 300 * S, "calm", 2)
    line.set_work(SESSION, TAGS, (PASSAGE, inside), SHEET)
    heard = hear(line, "passage_chosen")
    for level in (0, 1):
        top, bottom = line.bands.level(level)
        QTest.mouseClick(line, LEFT, PLAIN, QPoint(x_of(line, 270 * S), (top + bottom) // 2))
    assert [told[1] for told in heard] == [PASSAGE.id, inside.id]
    image, top = picture(line), line.bands.level(1)[0]
    assert lit(image, x_of(line, inside.start_ns), top + 6) > lit(image, x_of(line, inside.start_ns) - 6, top + 6)
    assert line.more_px == line.bands.level(1)[1] - line.bands.level(0)[1]


def test_a_level_without_a_passage_there_leads_to_the_one_that_is(line: WorkLineWidget) -> None:
    line.set_work(SESSION, TAGS, (PASSAGE, Passage(230 * S, 240 * S, "calm", 2)), SHEET)
    heard = hear(line, "passage_chosen")
    QTest.mouseClick(line, LEFT, PLAIN, QPoint(x_of(line, 280 * S), line.bands.field_top - 4))
    assert heard == [("passage_chosen", PASSAGE.id)]


def test_passages_that_lie_apart_share_a_level(line: WorkLineWidget) -> None:
    line.set_work(SESSION, TAGS, (PASSAGE, Passage(325 * S, 400 * S)), SHEET)
    assert (line.bands.levels, line.more_px) == (1, 0)


def test_the_edge_of_a_passage_is_dragged(line: WorkLineWidget) -> None:
    heard = hear(line, "passage_edge_dragged", "passage_edge_dropped", "edge_dropped")
    start = QPoint(x_of(line, PASSAGE.start_ns), 5)
    drag(line, start, start - QPoint(40, 0))
    assert [told[:3] for told in heard] == [
        ("passage_edge_dragged", PASSAGE.id, "start"),
        ("passage_edge_dropped", PASSAGE.id, "start"),
    ]


def test_the_wheel_zooms_at_the_pointer(line: WorkLineWidget) -> None:
    at = on_trot(line, 240 * S)
    under, before = line.scale.ns_at(at.x() - line.bands.left), line.scale.ns_per_px
    turn_wheel(line, at, 4)
    assert line.scale.ns_per_px < before / 2
    assert line.scale.x(under) == at.x() - line.bands.left


def test_the_wheel_with_shift_pans(line: WorkLineWidget) -> None:
    turn_wheel(line, on_trot(line, 240 * S), 6)
    before = line.scale
    turn_wheel(line, on_trot(line, 240 * S), -1, Qt.KeyboardModifier.ShiftModifier)
    assert line.scale.ns_per_px == before.ns_per_px
    assert line.scale.left_px > before.left_px


@pytest.mark.parametrize("button", [Qt.MouseButton.MiddleButton, Qt.MouseButton.RightButton])
def test_dragging_with_another_button_pans(line: WorkLineWidget, button: Qt.MouseButton) -> None:
    heard = hear(line, "place_asked", "tag_chosen", "edge_dragged")
    turn_wheel(line, on_trot(line, 240 * S), 6)
    before, start = line.scale, QPoint(700, line.bands.axis)
    drag(line, start, start - QPoint(50, 0), start - QPoint(120, 0), button=button)
    assert line.scale == before.panned(120)
    assert heard == []


def test_dragging_with_alt_pans(line: WorkLineWidget) -> None:
    turn_wheel(line, on_trot(line, 240 * S), 6)
    before, start = line.scale, QPoint(700, line.bands.axis)
    QTest.mousePress(line, LEFT, Qt.KeyboardModifier.AltModifier, start)
    move(line, start - QPoint(60, 0), LEFT)
    QTest.mouseRelease(line, LEFT, Qt.KeyboardModifier.AltModifier, start - QPoint(60, 0))
    assert line.scale == before.panned(60)


def test_zoom_ends_at_the_whole_session_and_at_about_forty_frames(line: WorkLineWidget) -> None:
    line.set_frame_length(S // 50)
    for _ in range(60):
        line.zoom_in()
    assert line.scale.end_ns - line.scale.start_ns == pytest.approx(40 * S // 50, rel=0.01)
    for _ in range(60):
        line.zoom_out()
    assert line.scale.start_ns == 0
    assert line.scale.shows(600 * S - 1)


def test_zooming_by_key_keeps_the_place_where_it_is(line: WorkLineWidget) -> None:
    line.set_place(240 * S)
    x = line.scale.x(240 * S)
    line.zoom_in()
    assert abs(line.scale.x(240 * S) - x) <= 1


def test_panning_stays_within_the_session(line: WorkLineWidget) -> None:
    line.zoom_in()
    line.pan_by(-10_000)
    assert line.scale.start_ns == 0
    line.pan_by(100_000)
    assert line.scale.shows(600 * S - 1)


def test_the_view_turns_on_when_the_place_leaves_it(line: WorkLineWidget) -> None:
    line.set_place(10 * S)
    for _ in range(5):
        line.zoom_in()
    before = line.scale
    line.keep_in_view(before.end_ns - S)
    assert line.scale == before
    line.keep_in_view(before.end_ns + S)
    assert line.scale.shows(before.end_ns + S)
    assert line.scale.x(before.end_ns + S) < line.scale.width_px // 3


def test_the_view_stays_when_the_same_session_is_set_again(line: WorkLineWidget) -> None:
    line.zoom_in()
    before = line.scale
    line.set_work(SESSION, (*TAGS, Tag("lope", 330 * S, 400 * S)), (), SHEET)
    assert line.scale == before
    line.set_work(replace(SESSION, id=2, length_ns=60 * S), (), (), SHEET)
    assert line.scale.end_ns < 70 * S


def test_a_whole_view_stays_whole_when_the_widget_grows(line: WorkLineWidget, qtbot: QtBot) -> None:
    line.resize(1600, 190)
    qtbot.waitUntil(lambda: line.width() == 1600)
    assert line.scale.start_ns == 0
    assert 600 * S <= line.scale.end_ns < 602 * S


def test_small_multiples_can_share_one_length(qtbot: QtBot) -> None:
    small = WorkLineWidget(small=True)
    qtbot.addWidget(small)
    small.resize(400, 60)
    small.set_work(SESSION, TAGS, (), SHEET)
    small.show_all(1200 * S)
    assert small.scale.x(600 * S) == pytest.approx(200, abs=1)
    assert small.grab().toImage().size().height() == 60


@pytest.mark.parametrize(
    ("ns", "level", "words"),
    [
        (SPOOK.start_ns, 2.5, "Spook, severity 3, 3:30.0 - flag, left side"),
        (270 * S, 1.5, "Trot, 3:00.0 to 5:00.0, lasts 2:00.0"),
    ],
)
def test_the_line_says_what_is_under_the_pointer(
    line: WorkLineWidget, ns: int, level: float, words: str
) -> None:
    y = line.bands.axis - round(line.bands.rise(4) * level / 4)
    assert line.words_at(QPoint(x_of(line, ns), y)) == words


def test_the_line_says_what_a_passage_is(line: WorkLineWidget) -> None:
    assert (
        line.words_at(QPoint(x_of(line, 270 * S), 5)) == "Passage 1, 3:25.0 to 5:25.0 - settles at the flag"
    )


def test_resting_the_pointer_shows_the_words(line: WorkLineWidget) -> None:
    point = on_trot(line, 240 * S)
    QApplication.sendEvent(line, QHelpEvent(QEvent.Type.ToolTip, point, line.mapToGlobal(point)))
    assert QToolTip.text() == "Trot, 3:00.0 to 5:00.0, lasts 2:00.0"
    QToolTip.hideText()


def test_the_picture_is_told_in_a_sentence_to_who_cannot_see_it(line: WorkLineWidget) -> None:
    assert line.accessibleName() == "Work line"
    assert line.accessibleDescription() == (
        "Biscuit, 1 May 2026, 10:00 long: 6 tags, 1 reaction, 1 of them settled, "
        "out of sight 0 times, 1 passage."
    )


def picture(line: WorkLineWidget) -> QImage:
    return line.grab().toImage()


def lit(image: QImage, x: int, y: int) -> float:
    return image.pixelColor(x, y).lightnessF()


def test_work_is_drawn_above_the_axis_on_the_left_rein_and_below_on_the_right(line: WorkLineWidget) -> None:
    line.set_work(
        SESSION,
        (TROT, LEFT_REIN, Tag("lope", 400 * S, 500 * S), Tag("right_rein", 400 * S, 500 * S)),
        (),
        SHEET,
    )
    image, bands = picture(line), line.bands
    left, right = x_of(line, 260 * S), x_of(line, 450 * S)
    assert lit(image, left, bands.axis - bands.rise(2)) > 0.8
    assert lit(image, right, bands.axis + bands.rise(3)) > 0.8
    assert lit(image, left, bands.axis + bands.rise(2)) < 0.3
    assert lit(image, right, bands.axis - bands.rise(3)) < 0.3


def test_nothing_of_the_line_is_drawn_out_of_sight(line: WorkLineWidget) -> None:
    line.set_work(SESSION, (*TAGS, Tag("out_of_sight", 100 * S, 160 * S)), (), SHEET)
    image, x = picture(line), x_of(line, 105 * S)
    column = range(line.bands.axis - line.bands.half + 1, line.bands.axis + line.bands.half)
    assert max(lit(image, x, y) for y in column) < 0.1


def test_a_running_state_is_drawn_on_to_where_it_has_been_watched(line: WorkLineWidget) -> None:
    line.set_work(SESSION, (replace(TROT, running=True), LEFT_REIN), (), SHEET)
    line_y = line.bands.axis - line.bands.rise(2)
    assert lit(picture(line), x_of(line, 310 * S), line_y) < 0.5
    line.set_watched(320 * S)
    assert lit(picture(line), x_of(line, 310 * S), line_y) > 0.8


def test_panning_shows_what_painting_anew_would(line: WorkLineWidget) -> None:
    for _ in range(4):
        line.zoom_in()
    line.pan_by(-10_000)
    for _ in range(9):
        line.pan_by(37)
        panned = picture(line)
    line.set_work(SESSION, TAGS, (PASSAGE,), SHEET)
    assert picture(line) == panned


def test_it_paints_before_there_is_a_session(qtbot: QtBot) -> None:
    widget = WorkLineWidget()
    qtbot.addWidget(widget)
    widget.resize(600, 170)
    assert lit(widget.grab().toImage(), 300, 80) < 0.15
    QTest.mouseClick(widget, LEFT, PLAIN, QPoint(300, 80))


def test_it_paints_gaps_and_every_kind_of_tag(line: WorkLineWidget) -> None:
    clips = (
        PlacedClip(1, 0, Fraction(1, 1000), 0, 300_000),
        PlacedClip(2, 350 * S, Fraction(1, 1000), 0, 250_000),
    )
    tags = []
    for i, behaviour in enumerate(SHEET.behaviours):
        start = (i * 9) * S
        tags.append(Tag(behaviour.name, start, start + 7 * S if behaviour.is_state else None))
    line.set_work(replace(SESSION, clips=clips), tags, (PASSAGE,), SHEET)
    line.choose_tag(tags[0].id)
    line.choose_passage(PASSAGE.id)
    line.set_place(240 * S)
    assert not picture(line).isNull()


def test_a_view_that_was_left_comes_back_on_a_line_that_was_not_laid_out_yet(qtbot: QtBot) -> None:
    line = WorkLineWidget()
    qtbot.addWidget(line)
    line.set_work(SESSION, TAGS, (PASSAGE,), SHEET)
    line.show_span(100 * S, 160 * S)
    line.resize(600, 190)
    line.resize(1280, 190)
    line.show()
    qtbot.waitExposed(line)
    assert line.view_ns == pytest.approx((100 * S, 160 * S), abs=S)


def test_once_painted_a_wider_line_shows_more_and_no_longer_what_it_was_opened_with(
    line: WorkLineWidget, qtbot: QtBot
) -> None:
    line.show_span(100 * S, 160 * S)
    line.grab()
    closeness = line.scale.ns_per_px
    line.resize(1600, 190)
    assert line.scale.ns_per_px == closeness


def test_a_line_that_grows_past_the_whole_session_shows_all_of_it(line: WorkLineWidget) -> None:
    line.zoom_by(1.2, 0)
    assert line.view_ns is not None
    line.grab()
    line.resize(1920, 190)
    assert line.view_ns is None
    assert line.scale.x(SESSION.end_ns) > 0.99 * line.scale.width_px
