"""The desk under real keys."""

from __future__ import annotations

from pytestqt.qtbot import QtBot

from app.desk import Desk
from store.barn import Barn
from tests.app.conftest import OpenDesk
from tests.app.hands import in_seconds, review_of, tap
from tests.made_clips import ClipBox


def kept(desk: Desk, barn: Barn) -> list[tuple[str, float, float | None]]:
    """The tags as the barn has them."""
    return in_seconds(barn.tags(review_of(desk).session.id))


def test_space_plays_and_space_pauses(desk_on: OpenDesk, clips: ClipBox, qtbot: QtBot) -> None:
    desk = desk_on(clips.get("constant_25").path).desk
    tap(desk, "Space")
    qtbot.waitUntil(lambda: desk.showing.shown.number > 2)
    tap(desk, "Space")
    assert not desk.showing.is_playing


def test_a_gait_ends_the_gait_before_it(desk: Desk, barn: Barn) -> None:
    tap(desk, "W", "PgDown", "T", "PgDown", "L")
    assert kept(desk, barn) == [("walk", 0, 10), ("trot", 10, 20), ("lope", 20, None)]
