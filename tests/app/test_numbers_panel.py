"""Figures of the panel lead to their moments, and the moments play."""

from __future__ import annotations

from PySide6.QtWidgets import QLabel
from pytestqt.qtbot import QtBot

from annotate.clock import NS_PER_S
from annotate.tagging import Moment
from app.desk import Desk
from tests.app.hands import button, click, review_of, tap, texts


def tagged(desk: Desk) -> Desk:
    """Two reactions and a minute of trot on the left rein."""
    review = review_of(desk)
    presses = (("trot", 0), ("left_rein", 0), ("spook", 10), ("shy", 40), ("walk", 60), ("right_rein", 60))
    for what, at_s in presses:
        review.press(what, Moment(at_s * NS_PER_S))
    return desk


def ask_why(desk: Desk, label: str) -> None:
    [found] = [one for one in desk.numbers.findChildren(QLabel) if one.text() == label]
    click(found)


def moments(desk: Desk) -> list[str]:
    listed = desk.numbers.moments.list
    return [listed.item(row).text() for row in range(listed.count())]


def test_a_click_on_a_figure_lists_its_moments(desk: Desk) -> None:
    ask_why(tagged(desk), "Reactions")
    assert moments(desk) == ["0:10.0  spook", "0:40.0  shy"]
    assert "Reactions: 2, 0.20 a minute. 2 moments." in texts(desk.numbers.moments)


def test_a_moment_is_chosen_and_played(desk: Desk) -> None:
    ask_why(tagged(desk), "Reactions")
    listed = desk.numbers.moments.list
    click(listed.viewport(), listed.visualItemRect(listed.item(1)).center())
    assert desk.showing.shown.moment.ns >= 40 * NS_PER_S
    assert desk.showing.is_playing
    selected = review_of(desk).selected
    assert selected is not None
    assert selected.what == "shy"


def test_the_moments_follow_the_tags(desk: Desk) -> None:
    ask_why(tagged(desk), "Reactions")
    review_of(desk).press("buck", Moment(50 * NS_PER_S))
    assert moments(desk)[-1] == "0:50.0  buck"


def test_a_figure_that_is_gone_takes_its_moments_along(desk: Desk) -> None:
    ask_why(tagged(desk), "Kinds")
    review = review_of(desk)
    review.delete([tag for tag in review.tags if tag.what in ("spook", "shy")])
    assert moments(desk) == [] or desk.numbers.moments.isHidden()


def test_the_list_is_put_away(desk: Desk) -> None:
    ask_why(tagged(desk), "Reactions")
    click(button(desk.numbers.moments, "Back to the numbers"))
    assert desk.numbers.moments.isHidden()


def test_left_and_right_stand_on_one_picture(desk: Desk) -> None:
    assert "trot: left 1m, right 0s, balance +1.00" in tagged(desk).numbers.sides.words()


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
