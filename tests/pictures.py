"""`python3 -m tests.pictures [FOLDER]`: renders the README's pictures from the real window.

They go to app/pictures unless a folder is named. The window is driven by real keys on a screen of its own.
"""

from __future__ import annotations

import os
import sys
import tempfile
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from app.ready import QT_NEEDS, ROOT, SCREEN_FOR_TESTS, get_ready

if TYPE_CHECKING:
    from app.main_window import MainWindow
    from store.barn import Barn

SIZES = ((1280, 720), (1920, 1080))
IN_README = frozenset(["barn", "desk"])
LOOKS: tuple[Literal["evening", "day"], ...] = ("evening", "day")


def main() -> int:
    """Renders every page where a folder is named, else the pictures that the README shows."""
    get_ready("tests.pictures", extra="tests", system=(*QT_NEEDS, *SCREEN_FOR_TESTS))
    from tests.screen import Screen

    os.environ["QT_LOGGING_RULES"] = "qt.multimedia.*=false"
    folder = Path(sys.argv[1]) if len(sys.argv) > 1 else ROOT / "app" / "pictures"
    folder.mkdir(parents=True, exist_ok=True)
    screen = Screen()
    screen.start()
    try:
        every = len(sys.argv) > 1
        with tempfile.TemporaryDirectory() as home:
            os.environ.update(XDG_DATA_HOME=home, XDG_CONFIG_HOME=home, XDG_CACHE_HOME=home)
            for look in LOOKS if every else LOOKS[:1]:
                for size in SIZES if every else SIZES[:1]:
                    _render(folder, Path(home) / f"{look}{size[0]}", size, look, every=every)
    finally:
        screen.stop()
    return 0


def look_again(barn: Barn, session_id: int, who: str, day: date) -> None:
    """An invented look at the whole session: each tag a little late, every third instant missed."""
    from dataclasses import replace
    from fractions import Fraction

    from annotate.agreement.again import draw_passages
    from annotate.clock import NS_PER_S
    from annotate.tags import new_tag_id
    from app.second_looks import begin_look, finish_passage

    session, tags = barn.session(session_id), barn.tags(session_id)
    drawn = draw_passages(session, tags, barn.sheet(), 1, Fraction(1))
    look = begin_look(barn, session_id, who, day, drawn)
    for again in drawn.passages:
        finish_passage(barn, session_id, look.number, again.span)
    late_ns, second = len(who) * NS_PER_S // 20, []
    for place, tag in enumerate(tags):
        if not tag.is_state and place % 3:
            at_ns = min(tag.start_ns + late_ns, session.end_ns - 1)
            second.append(replace(tag, id=new_tag_id(), start_ns=at_ns, start_frame=None))
        elif tag.is_state:
            what = "trot" if tag.what == "lope" and place % 5 == 0 else tag.what
            second.append(replace(tag, id=new_tag_id(), what=what))
    barn.replace_tags(session_id, second, look=look.number)


def show_owners(window: MainWindow) -> None:
    """An invented owner of one of the horses."""
    from dataclasses import replace

    barn = window.barn
    barn.add_owner("R. Hollow", contact="at the mill", note="Rings in the evening.")
    barn.change_horse(replace(barn.horse("Juniper"), owner="R. Hollow"))
    window.rooms.show_owners()


def show_backups(window: MainWindow) -> None:
    """Invented backups of some hours and days ago, and what is in the latest."""
    from datetime import UTC, datetime, timedelta

    from store.rolling import back_up, usual_folder

    barn, now = window.barn, datetime.now(UTC)
    for hours in (24 * 30, 50, 26, 3):
        barn.keep_setting("picture", str(hours))
        back_up(barn.path, usual_folder(barn.path), now - timedelta(hours=hours))
    window.rooms.show_backups()
    window.rooms.backups_page.look_button.click()


def show_clashes(window: MainWindow) -> None:
    """A horse that was handed over and has been tagged here since."""
    from annotate.clock import NS_PER_S
    from annotate.tagging import Change
    from annotate.tags import Tag

    barn = window.barn
    to = barn.path.with_name("Juniper.horse")
    barn.hand_over("Juniper", to)
    for row in barn.sessions("Juniper"):
        barn.apply(row.id, Change((), (Tag("kick_out", NS_PER_S),)))
    window.rooms.show_take_in()
    window.rooms.take_in_page.read(to)


def show_form(window: MainWindow, button: str) -> None:
    """A record on the barn's page."""
    window.show_barn()
    window.barn_page.refresh("Juniper")
    getattr(window.barn_page, button).click()


def find_more(window: MainWindow) -> None:
    """Sessions in which the horse spooked."""
    page = window.barn_page
    page.record_form.drop.click()
    page.find_bar.more_button.click()
    page.find_bar.more.what.setCurrentIndex(page.find_bar.more.what.findData("spook"))


def _render(
    folder: Path, home: Path, size: tuple[int, int], look: Literal["evening", "day"], *, every: bool
) -> None:
    from PySide6.QtCore import QEventLoop, Qt, QTimer
    from PySide6.QtTest import QTest
    from PySide6.QtWidgets import QApplication

    from app.collecting import Collecting
    from app.demonstration import make_demonstration
    from app.look import FUSION, dress
    from app.main_window import MainWindow
    from app.preferences import Preferences
    from store.barn import Barn

    app = QApplication.instance() or QApplication(["pictures", *FUSION])
    assert isinstance(app, QApplication)
    dress(app, look)
    collecting = Collecting(app)

    def show_agreement(window: MainWindow, session_id: int) -> None:
        """A third invented look at the first session beside the two that the demonstration has."""
        look_again(window.barn, session_id, "Robin", date(2026, 5, 18))
        window.again.show_agreement(session_id)
        until(lambda: window.again.agreement_page.showing.has_picture)

    def until(holds: Callable[[], bool]) -> None:
        loop = QEventLoop()
        timer = QTimer()
        timer.timeout.connect(lambda: loop.quit() if holds() else None)
        timer.start(20)
        loop.exec()

    def keep(name: str) -> None:
        if not every and name not in IN_README:
            return
        loop = QEventLoop()
        QTimer.singleShot(400, loop.quit)
        loop.exec()
        suffix = ("" if look == LOOKS[0] else f"-{look}") + ("" if size == SIZES[0] else f"-{size[0]}")
        window.grab().save(str(folder / f"{name}{suffix}.png"))

    home.mkdir(parents=True)
    preferences = Preferences()
    preferences.keep(look=look)
    window = MainWindow(Barn.create(home / "new.barn"), preferences)
    window.resize(*size)
    window.show()
    keep("first")
    window.close()
    made = make_demonstration(home)
    window = MainWindow(Barn.open(made.barn), preferences)
    window.resize(*size)
    window.show()
    until(lambda: not window.jobs.running)
    keep("barn")
    window.open_session(made.first_session)
    desk = window.desk
    until(lambda: desk.showing.has_picture)
    review = desk.review
    assert review is not None
    worst = max((tag for tag in review.tags if tag.severity), key=lambda tag: tag.severity or 0)
    desk.showing.go_to(worst.start_ns)
    review.choose(worst.id)
    until(lambda: desk.showing.shown.moment.ns == worst.start_ns)
    for _ in range(6):
        QTest.keyClick(desk, Qt.Key.Key_Right)
    keep("desk")
    desk.tabs.setCurrentWidget(desk.highlights)
    keep("highlights")
    for key in (Qt.Key.Key_U, Qt.Key.Key_3, Qt.Key.Key_Period):
        QTest.keyClick(desk, key)
    QTest.keyClick(desk, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    desk.tabs.setCurrentWidget(desk.done)
    keep("done")
    desk.tabs.setCurrentWidget(desk.numbers)
    QTest.keyClick(desk, Qt.Key.Key_A, Qt.KeyboardModifier.ControlModifier)
    keep("chosen")
    for name, show in (
        ("keys", window.over.show_help),
        ("sheet", window.over.show_sheet),
        ("look", window.over.show_look),
    ):
        show()
        keep(name)
        window.over.leave()
    window.show_barn()
    for name, show in (
        ("today", window.show_today),
        ("programme", lambda: window.show_programme("Juniper")),
        ("compare", lambda: window.show_comparison("Juniper")),
        ("second_look", lambda: window.again.show_second_look(made.first_session)),
        ("agreement", lambda: show_agreement(window, made.first_session)),
        ("key_lag", window.again.show_key_lag),
        ("card", window.show_card),
        ("owners", lambda: show_owners(window)),
        ("backups", lambda: show_backups(window)),
        ("take_in", lambda: show_clashes(window)),
        ("horse_record", lambda: show_form(window, "horse_button")),
        ("session_record", lambda: show_form(window, "session_button")),
        ("find_more", lambda: find_more(window)),
    ):
        show()
        until(lambda: not window.jobs.running)
        keep(name)
    window.show_two_pictures("Juniper")
    two = window.two_pictures
    assert two is not None
    until(lambda: two.first.is_open and two.first.showing.has_picture and two.second.showing.has_picture)
    keep("two_pictures")
    two.closed.emit()
    window.open_session(made.first_session)
    window.show_owner_page()
    until(lambda: not window.jobs.running)
    keep("owner")
    window.close()
    collecting.stop()


if __name__ == "__main__":
    raise SystemExit(main())
