"""Figures of the panel lead to their moments, and the moments play."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QPoint
from PySide6.QtGui import QColor
from PySide6.QtWidgets import QApplication, QLabel, QLineEdit, QWidget
from pytestqt.qtbot import QtBot

from annotate.clock import NS_PER_S
from annotate.numbers.lengths import FEET
from annotate.numbers.limits import LIMITS_KEY, NO_LIMITS, Limits
from annotate.tagging import Moment
from app.desk import Desk
from app.figures import keep_limits, limits_of, limits_text_of
from app.palette import worn
from store.barn import Barn
from tests.app.hands import button, click, in_hand, review_of, tap, tap_focused, texts, window_of


def tagged(desk: Desk, qtbot: QtBot) -> Desk:
    """Two reactions and a minute of trot on the left rein; the numbers say so."""
    review = review_of(desk)
    presses = (("trot", 0), ("left_rein", 0), ("spook", 10), ("shy", 40), ("walk", 60), ("right_rein", 60))
    for what, at_s in presses:
        review.press(what, Moment(at_s * NS_PER_S))
    qtbot.waitUntil(lambda: desk.numbers.figure("Reactions").startswith("2,"))
    return desk


def ask_why(desk: Desk, label: str, qtbot: QtBot) -> None:
    def found() -> list[QLabel]:
        return [one for one in desk.numbers.findChildren(QLabel) if one.text() == label]

    qtbot.waitUntil(lambda: len(found()) == 1)
    click(found()[0])


def moments(desk: Desk) -> list[str]:
    listed = desk.numbers.moments.list
    return [listed.item(row).text() for row in range(listed.count())]


def test_a_click_on_a_figure_lists_its_moments(desk: Desk, qtbot: QtBot) -> None:
    ask_why(tagged(desk, qtbot), "Reactions", qtbot)
    assert moments(desk) == ["0:10.0  spook", "0:40.0  shy"]
    assert "Reactions: 2, 0.20 a minute. 2 moments." in texts(desk.numbers.moments)


def test_a_moment_is_chosen_and_played(desk: Desk, qtbot: QtBot) -> None:
    ask_why(tagged(desk, qtbot), "Reactions", qtbot)
    listed = desk.numbers.moments.list
    click(listed.viewport(), listed.visualItemRect(listed.item(1)).center())
    assert desk.showing.shown.moment.ns >= 40 * NS_PER_S
    assert desk.showing.is_playing
    selected = review_of(desk).selected
    assert selected is not None
    assert selected.what == "shy"


def test_the_moments_follow_the_tags(desk: Desk, qtbot: QtBot) -> None:
    ask_why(tagged(desk, qtbot), "Reactions", qtbot)
    review_of(desk).press("buck", Moment(50 * NS_PER_S))
    qtbot.waitUntil(lambda: moments(desk)[-1] == "0:50.0  buck")


def test_a_figure_that_is_gone_takes_its_moments_along(desk: Desk, qtbot: QtBot) -> None:
    ask_why(tagged(desk, qtbot), "Kinds", qtbot)
    review = review_of(desk)
    review.delete([tag for tag in review.tags if tag.what in ("spook", "shy")])
    qtbot.waitUntil(lambda: moments(desk) == [] or desk.numbers.moments.isHidden())


def test_the_list_is_put_away(desk: Desk, qtbot: QtBot) -> None:
    ask_why(tagged(desk, qtbot), "Reactions", qtbot)
    click(button(desk.numbers.moments, "Back to the numbers"))
    assert desk.numbers.moments.isHidden()


def test_left_and_right_stand_on_one_picture(desk: Desk, qtbot: QtBot) -> None:
    assert "trot: left 1m, right 0s, balance +1.00" in tagged(desk, qtbot).numbers.sides.words()


def test_pen_and_line_are_kept_with_the_session(desk: Desk, qtbot: QtBot) -> None:
    desk.numbers.ground_button.click()
    form = desk.numbers.ground
    form.fields["pen_diameter_m"].setText("60 ft")
    form.fields["rail_distance_m"].setText("wide")
    click(button(form, "Keep"))
    assert "'wide' is not a length. Write it like 15.2 m or 50 ft." in texts(form)
    form.fields["rail_distance_m"].setText("3 ft")
    tap(form.fields["rail_distance_m"], "Return")
    assert form.isHidden()
    assert review_of(desk).session.details["pen_diameter_m"] == "18.288"
    qtbot.waitUntil(desk.hasFocus)


def test_limits_are_set_in_place_and_the_numbers_go_by_them(desk: Desk, qtbot: QtBot) -> None:
    tagged(desk, qtbot).numbers.limits_button.click()
    form = desk.numbers.limits
    qtbot.waitUntil(lambda: form.minutes["trot"].isVisible())
    assert form.minutes["fast"].text() == "5"
    form.minutes["trot"].setText("much")
    click(button(form, "Keep"))
    assert "'much' is no amount. Write a number above 0, or nothing for no limit." in texts(form)
    form.minutes["trot"].setText("0,5")
    form.in_a_row.setText("4")
    tap(form.minutes["trot"], "Return")
    assert form.isHidden()
    assert desk.numbers.figure("Over your limit") == "trot 1 min"
    assert review_of(desk).numbers().load.limits == Limits({"fast": 5, "trot": 0.5}, in_a_row=4)
    qtbot.waitUntil(desk.hasFocus)


def test_an_empty_field_takes_a_limit_away(desk: Desk, barn: Barn, qtbot: QtBot) -> None:
    tagged(desk, qtbot).numbers.limits_button.click()
    form = desk.numbers.limits
    qtbot.waitUntil(lambda: form.minutes["fast"].isVisible())
    form.minutes["fast"].setText("")
    click(button(form, "Keep"))
    assert limits_of(barn) == NO_LIMITS


def test_limits_in_feet_are_kept_in_metres(desk: Desk, barn: Barn, qtbot: QtBot) -> None:
    desk.take_unit(FEET)
    tagged(desk, qtbot).numbers.limits_button.click()
    form = desk.numbers.limits
    qtbot.waitUntil(lambda: form.lengths["moving"].isVisible())
    form.lengths["moving"].setText("8000")
    click(button(form, "Keep"))
    assert limits_of(barn).metres == {"moving": pytest.approx(2438.4)}
    desk.numbers.limits_button.click()
    qtbot.waitUntil(lambda: form.lengths["moving"].isVisible())
    assert form.lengths["moving"].text() == "8000"


def test_a_limit_on_one_rein_is_shown_where_it_is_set(desk: Desk, barn: Barn, qtbot: QtBot) -> None:
    review_of(tagged(desk, qtbot)).keep_limits(Limits({"trot_left": 0.5}))
    qtbot.waitUntil(lambda: bool(desk.numbers.figure("Over your limit")))
    desk.numbers.limits_button.click()
    form = desk.numbers.limits
    qtbot.waitUntil(lambda: form.minutes["trot_left"].isVisible())
    assert "Trot on the left rein" in texts(form)
    assert "lope_left" not in form.minutes


def test_the_trainers_own_words_stay_beside_the_limits(desk: Desk, barn: Barn, qtbot: QtBot) -> None:
    keep_limits(barn, "# Agreed with the vet.\n[minutes]\nfast = 5  # until spring\n")
    window_of(desk).open_session(review_of(tagged(desk, qtbot)).session.id)
    desk.numbers.limits_button.click()
    form = desk.numbers.limits
    qtbot.waitUntil(lambda: form.minutes["fast"].isVisible())
    form.minutes["fast"].setText("4")
    click(button(form, "Keep"))
    assert limits_text_of(barn) == "# Agreed with the vet.\n[minutes]\nfast = 4  # until spring\n"


def test_a_limits_text_that_no_longer_reads_gives_way_to_what_is_set(
    desk: Desk, barn: Barn, qtbot: QtBot
) -> None:
    barn.keep_setting(LIMITS_KEY, "[minutes]\nhover = 3\n")
    review_of(tagged(desk, qtbot)).keep_limits(Limits({"fast": 4.0}))
    assert limits_of(barn) == Limits({"fast": 4.0})


def test_a_side_of_the_picture_leads_to_its_moments(desk: Desk, qtbot: QtBot) -> None:
    picture = tagged(desk, qtbot).numbers.sides
    desk.tabs.setCurrentWidget(desk.numbers)
    qtbot.waitUntil(lambda: picture.isVisible() and picture.width() > 250)
    titles = [line.split(":")[0] for line in picture.words()]
    y = 18 + 20 * titles.index("trot") + 10
    click(picture, QPoint(90, y))
    assert moments(desk) == ["0:00.0 – 1:00.0  trot"]
    assert any(text.startswith("Trot, left rein") for text in texts(desk.numbers.moments))


# -- by keys


def to_figure(desk: Desk, label: str, qtbot: QtBot) -> None:
    """Goes to the figures and from one to the next until the one that is called so is in hand."""
    qtbot.waitUntil(lambda: bool(desk.numbers.figure(label)))
    tap(desk, "Ctrl+1")
    for _ in range(60):
        if desk.numbers.figures.accessibleDescription().startswith(f"{label}: "):
            return
        tap_focused("Down")
    pytest.fail(f"No key reaches {label}")


def tab_to(desk: Desk, wanted: QWidget) -> None:
    desk.setFocus()
    for _ in range(40):
        if wanted.hasFocus():
            return
        tap_focused("Tab")
    pytest.fail("Tab does not reach it")


def test_tab_reaches_the_forms_and_the_figures(desk: Desk, qtbot: QtBot) -> None:
    numbers = tagged(desk, qtbot).numbers
    for part in (numbers.ground_button, numbers.limits_button, numbers.figures):
        tab_to(desk, part)


def wait_for_layout(desk: Desk, qtbot: QtBot) -> None:
    """The figures are laid out over several turns of the event loop."""
    figures = desk.numbers.figures
    qtbot.waitUntil(lambda: figures._laying_out.is_over and figures.height() > desk.numbers.height())


def test_a_button_that_tab_reaches_is_scrolled_to(desk: Desk, qtbot: QtBot) -> None:
    numbers = tagged(desk, qtbot).numbers
    wanted = numbers.ground_button
    window_of(desk).resize(1100, 660)
    tap(desk, "Ctrl+1")
    wait_for_layout(desk, qtbot)
    tap_focused("End")
    qtbot.waitUntil(lambda: wanted.visibleRegion().isEmpty())
    tab_to(desk, wanted)
    qtbot.waitUntil(lambda: not wanted.visibleRegion().isEmpty())


def test_a_figure_is_asked_by_keys_and_a_moment_of_it_played(desk: Desk, qtbot: QtBot) -> None:
    to_figure(tagged(desk, qtbot), "Reactions", qtbot)
    tap_focused("Return")
    assert moments(desk) == ["0:10.0  spook", "0:40.0  shy"]
    tap_focused("Down", "Return")
    assert in_hand(desk).what == "shy"
    assert desk.showing.is_playing
    assert desk.hasFocus()


def test_the_first_moment_of_a_figure_needs_no_arrow(desk: Desk, qtbot: QtBot) -> None:
    to_figure(tagged(desk, qtbot), "Reactions", qtbot)
    tap_focused("Return", "Return")
    assert in_hand(desk).what == "spook"


def test_the_moment_in_hand_stays_while_the_list_changes(desk: Desk, qtbot: QtBot) -> None:
    to_figure(tagged(desk, qtbot), "Reactions", qtbot)
    tap_focused("Return", "Down")
    review_of(desk).press("buck", Moment(50 * NS_PER_S))
    qtbot.waitUntil(lambda: moments(desk)[-1] == "0:50.0  buck")
    tap_focused("Return")
    assert in_hand(desk).what == "shy"


def test_the_moments_of_the_same_figure_are_gone_through_one_after_the_other(desk: Desk, qtbot: QtBot) -> None:
    to_figure(tagged(desk, qtbot), "Reactions", qtbot)
    tap_focused("Return", "Return", "Escape")
    to_figure(desk, "Reactions", qtbot)
    tap_focused("Return", "Down", "Return")
    assert in_hand(desk).what == "shy"


def test_escape_goes_from_the_moments_to_the_figure_and_from_there_to_the_desk(desk: Desk, qtbot: QtBot) -> None:
    to_figure(tagged(desk, qtbot), "Reactions", qtbot)
    tap_focused("Return", "Escape")
    assert desk.numbers.moments.isHidden()
    assert desk.numbers.figures.hasFocus()
    assert desk.numbers.figures.accessibleDescription() == "Reactions: 2, 0.20 a minute"
    tap_focused("Escape")
    assert desk.hasFocus()


def test_escape_on_the_desk_leaves_moments_that_were_asked_by_mouse(desk: Desk, qtbot: QtBot) -> None:
    ask_why(tagged(desk, qtbot), "Reactions", qtbot)
    assert desk.hasFocus()
    tap(desk, "Escape")
    assert desk.numbers.moments.isHidden()


def test_the_key_of_the_numbers_leaves_the_moments_and_then_goes_to_the_figures(desk: Desk, qtbot: QtBot) -> None:
    ask_why(tagged(desk, qtbot), "Reactions", qtbot)
    tap(desk, "Ctrl+1")
    assert desk.numbers.moments.isHidden()
    assert desk.hasFocus()
    tap(desk, "Ctrl+1")
    assert desk.numbers.figures.hasFocus()


def test_the_key_of_the_numbers_brings_them_back_and_leaves_the_keys_with_the_desk(desk: Desk) -> None:
    tap(desk, "Ctrl+2", "Ctrl+1")
    assert desk.numbers.isVisible()
    assert desk.hasFocus()


def test_the_button_back_to_the_numbers_is_reached_by_tab(desk: Desk, qtbot: QtBot) -> None:
    to_figure(tagged(desk, qtbot), "Reactions", qtbot)
    tap_focused("Return")
    back = button(desk.numbers.moments, "Back to the numbers")
    tab_to(desk, back)
    tap_focused("Return")
    assert desk.numbers.moments.isHidden()
    assert desk.numbers.figures.hasFocus()


def test_the_figure_in_hand_is_framed_and_scrolled_to(desk: Desk, qtbot: QtBot) -> None:
    figures = tagged(desk, qtbot).numbers.figures
    tap(desk, "Ctrl+1")
    wait_for_layout(desk, qtbot)
    framed = columns_of(figures)
    tap_focused("Down")
    assert columns_of(figures) != framed
    tap_focused("End")
    last = [label for label in figures.findChildren(QLabel) if label.isVisible()][-1]
    qtbot.waitUntil(lambda: not last.visibleRegion().isEmpty())
    tap_focused("Escape")
    assert columns_of(figures) == []


def columns_of(figures: QWidget) -> list[int]:
    """The rows of the left border at which the frame of the figure in hand is drawn."""
    image = figures.grab().toImage()
    colour = QColor(worn().passage)
    return [y for y in range(image.height()) if any(image.pixelColor(x, y) == colour for x in range(5))]


def test_a_tag_key_in_the_figures_tags_and_an_arrow_to_the_side_steps(desk: Desk, qtbot: QtBot) -> None:
    figures = tagged(desk, qtbot).numbers.figures
    tap(desk, "Ctrl+1")
    tap_focused("Shift+Right", "U")
    assert in_hand(desk).what == "buck"
    assert in_hand(desk).start_ns == NS_PER_S
    assert figures.hasFocus()


def test_a_figure_stays_in_hand_while_the_numbers_change(desk: Desk, qtbot: QtBot) -> None:
    to_figure(tagged(desk, qtbot), "Reactions", qtbot)
    review_of(desk).press("buck", Moment(50 * NS_PER_S))
    qtbot.waitUntil(lambda: desk.numbers.figure("Reactions").startswith("3,"))
    tap_focused("Return")
    assert len(moments(desk)) == 3


@pytest.mark.parametrize("form", ["ground", "limits"])
def test_escape_from_a_form_gives_the_keys_back_to_the_desk(desk: Desk, qtbot: QtBot, form: str) -> None:
    numbers = tagged(desk, qtbot).numbers
    tab_to(desk, numbers.ground_button if form == "ground" else numbers.limits_button)
    tap_focused("Return")
    asked = numbers.ground if form == "ground" else numbers.limits
    qtbot.waitUntil(lambda: isinstance(QApplication.focusWidget(), QLineEdit))
    tap_focused("Escape")
    assert asked.isHidden()
    assert desk.hasFocus()
    tap_focused("PgDown")
    assert desk.showing.shown.moment.ns == 10 * NS_PER_S


def test_a_form_that_is_closed_by_its_button_gives_the_keys_back_to_the_desk(desk: Desk) -> None:
    click(desk.numbers.ground_button)
    click(button(desk.numbers.ground, "Close"))
    assert desk.hasFocus()

