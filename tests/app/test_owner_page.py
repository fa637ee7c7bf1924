"""The owner's page in the window: arranged by hand, seen at once, kept, and written beside the window."""

from __future__ import annotations

import zipfile
from collections.abc import Callable, Collection
from datetime import date
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, Qt, QUrl
from PySide6.QtGui import QTextDocument
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from annotate.clock import NS_PER_S
from annotate.deliver.deliver import KINDS
from annotate.deliver.rules import Rules
from annotate.passages import Passage
from annotate.tags import Tag
from app import owner_preview
from app.delivering import arrangement_of, rules_of
from app.desk import Desk
from app.main_window import MainWindow
from app.owner_page import OwnerPage
from app.verbs.highlights import write_highlights
from store.barn import Barn
from tests.app.hands import button, click, placed_session, review_of
from tests.made_clips import ClipBox

S = NS_PER_S
TAGS = (Tag("trot", 0, 3 * S), Tag("left_rein", 0, 3 * S), Tag("spook", S, severity=3), Tag("calm", 2 * S))


def in_may(day: int) -> date:
    return date(2026, 5, day)


@pytest.fixture
def page(barn: Barn, windows: Callable[[], MainWindow], clips: ClipBox, qtbot: QtBot) -> OwnerPage:
    """The page of the second of two sessions, with two passages."""
    path = clips.get("constant_25").path
    first = barn.add_session("Thistle", in_may(4), length_ns=60 * S)
    barn.replace_tags(first, (Tag("walk", 0, 60 * S), Tag("spook", 5 * S, severity=2)))
    session_id = placed_session(barn, (path, 0))
    barn.change_session(session_id, day=in_may(25))
    barn.replace_tags(session_id, TAGS)
    barn.keep_passages(session_id, [Passage(0, S, "Trot"), Passage(S, 2 * S, "Spook", 1)])
    window = windows()
    window.open_session(session_id)
    qtbot.waitUntil(lambda: window.desk.showing.has_picture)
    window.desk.tabs.setCurrentWidget(window.desk.highlights)
    click(button(window.desk.highlights, "For the owner…"))
    assert window.page is window.owner_page
    qtbot.waitUntil(lambda: seen(window.owner_page) != "" and not window.jobs.running)
    return window.owner_page


def window_of(page: OwnerPage) -> MainWindow:
    window = page.window()
    assert isinstance(window, MainWindow)
    return window


def press(page: OwnerPage, widget: QWidget, qtbot: QtBot) -> None:
    """Turns to the tab that a widget is on, and clicks it."""
    page.form.turn_to(widget)
    qtbot.waitUntil(widget.isVisible)
    click(widget, QPoint(8, widget.height() // 2))


def tick(page: OwnerPage, kinds: Collection[str], qtbot: QtBot) -> None:
    """Ticks these kinds of file and no other."""
    for kind, box in page.form.files.kinds.items():
        if box.isChecked() != (kind in kinds):
            press(page, box, qtbot)


def seen(page: OwnerPage) -> str:
    return " ".join(page.preview.toPlainText().split())


def test_it_opens_with_the_words_from_the_tags_beside_the_first_session(page: OwnerPage) -> None:
    assert page.form.words.toPlainText().startswith("On 25 May 2026 Thistle was in view for 3 s")
    assert page.form.compare.currentText() == "4 May 2026"
    assert "The hardest Spook, severity 2" in seen(page)
    assert "Trot At 0:00, 1 s plays in the page" in seen(page)
    assert page.form.passages.length.text() == "2 of 2, 2 s"


def test_opened_again_its_preview_is_drawn_once(page: OwnerPage, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch) -> None:
    drawn: list[str] = []
    usual = page.preview.setHtml

    def draw(html: str) -> None:
        drawn.append(html)
        usual(html)

    window = window_of(page)
    click(button(page, "Back to the desk"))
    monkeypatch.setattr(page.preview, "setHtml", draw)
    click(button(window.desk.highlights, "For the owner…"))
    qtbot.waitUntil(lambda: drawn != [] and not page._settle.isActive() and not window.jobs.running)
    assert len(drawn) == 1
    assert "still-1" in drawn[0]


def test_what_is_drawn_stays_when_the_pictures_arrive(
    page: OwnerPage, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    drawn: list[str] = []

    class Noting(owner_preview.QSvgRenderer):
        def render(self, *args: object) -> None:
            drawn.append("a drawing")
            super().render(*args)

    monkeypatch.setattr(owner_preview, "QSvgRenderer", Noting)
    page.preview.show_stills({})
    line = page.preview.document().resource(QTextDocument.ResourceType.ImageResource, QUrl("line-0"))
    assert not line.isNull()
    assert drawn == []
    page.form.heading.setText("Another")
    qtbot.waitUntil(lambda: "Another" in seen(page))
    assert drawn != []


def test_the_preview_of_another_session_does_not_stay(page: OwnerPage, barn: Barn, qtbot: QtBot) -> None:
    window = window_of(page)
    other = barn.add_session("Clover", in_may(6), length_ns=60 * S)
    click(button(page, "Back to the desk"))
    window.open_session(other)
    window.show_owner_page()
    assert "Thistle" not in seen(page)
    qtbot.waitUntil(lambda: "Clover" in seen(page))


def test_a_part_that_is_unticked_goes_from_the_preview(page: OwnerPage, qtbot: QtBot) -> None:
    press(page, page.form.parts["reactions"], qtbot)
    qtbot.waitUntil(lambda: "Reactions and recovery" not in seen(page))
    page.form.compare.setCurrentIndex(0)
    qtbot.waitUntil(lambda: "4 May 2026" not in seen(page))
    assert "4 May" not in page.form.words.toPlainText()


def test_the_steps_of_the_programme_are_shown_when_they_are_ticked(page: OwnerPage, qtbot: QtBot) -> None:
    assert "Steps of the programme" not in seen(page)
    press(page, page.form.parts["ladder"], qtbot)
    qtbot.waitUntil(lambda: "criteria met" in seen(page))
    assert "the trainer decides" in seen(page)


def test_words_that_were_changed_stay_until_the_tags_are_asked_again(page: OwnerPage, qtbot: QtBot) -> None:
    story = page.form.words.toPlainText()
    page.form.words.setPlainText("A <b>good</b> day.")
    qtbot.waitUntil(lambda: "A <b>good</b> day." in seen(page))
    page.form.compare.setCurrentIndex(0)
    qtbot.waitUntil(lambda: "4 May 2026" not in seen(page))
    assert page.form.words.toPlainText() == "A <b>good</b> day."
    page.form.turn_to(page.form.words)
    click(button(page, "From the tags"))
    assert page.form.words.toPlainText() == story.rpartition("\n\n")[0]


def test_a_passage_is_left_out_moved_and_named(page: OwnerPage, barn: Barn, qtbot: QtBot) -> None:
    review = review_of(window_of(page).desk)
    page.form.passages.list.item(0).setCheckState(Qt.CheckState.Unchecked)
    qtbot.waitUntil(lambda: "Trot At" not in seen(page))
    assert page.form.passages.length.text() == "1 of 2, 1 s"
    page.form.passages.list.setCurrentRow(0)
    click(button(page, "Down"))
    assert [p.caption for p in barn.passages(review.session.id)] == ["Spook", "Trot"]
    assert page.form.passages.list.item(1).checkState() == Qt.CheckState.Unchecked
    page.form.passages.list.item(0).setText("Bag")
    assert [p.caption for p in barn.passages(review.session.id)] == ["Bag", "Trot"]
    qtbot.waitUntil(lambda: "Bag At 0:01" in seen(page))


def test_lead_in_and_a_length_to_fit_are_seen(page: OwnerPage, qtbot: QtBot) -> None:
    page.form.passages.lead_out.setValue(1)
    qtbot.waitUntil(lambda: page.form.passages.length.text() == "2 of 2, 4 s")
    page.form.passages.fit.setValue(2)
    qtbot.waitUntil(lambda: page.form.passages.length.text() == "1 of 2, 2 s")


def test_everything_is_kept_for_the_next_time(page: OwnerPage, barn: Barn, qtbot: QtBot) -> None:
    window = window_of(page)
    page.form.heading.setText("Flag")
    page.form.next_words.setPlainText("Saddle")
    page.form.signed.setText("A. Trainer")
    page.form.passages.lead_in.setValue(2)
    press(page, page.form.parts["stills"], qtbot)
    tick(page, ["page", "reel", "csv"], qtbot)
    press(page, page.form.files.captions, qtbot)
    press(page, page.form.passages.merge, qtbot)
    kept = page.form.arrangement()
    assert kept.kinds == {"page", "reel", "csv"}
    assert kept.captions
    assert kept.merge
    assert arrangement_of(barn, review_of(window.desk).session.id) == kept
    click(button(page, "Back to the desk"))
    assert window.page is window.desk
    page.form.heading.setText("")
    window.show_owner_page()
    assert page.form.heading.text() == ""
    page.form.heading.setText("Flag")
    window.show_owner_page()
    assert page.form.arrangement() == kept


def test_escape_goes_back_to_the_desk(page: OwnerPage) -> None:
    QTest.keyClick(page, Qt.Key.Key_Escape)
    assert window_of(page).page is window_of(page).desk


def test_it_writes_the_page_the_pdf_and_the_report(
    page: OwnerPage, tmp_path: Path, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("app.owner_page.ask_for_folder", lambda *_: tmp_path / "out")
    page.form.passages.list.item(0).setCheckState(Qt.CheckState.Unchecked)
    tick(page, ["page", "pdf", "series"], qtbot)
    click(page.write)
    window = window_of(page)
    qtbot.waitUntil(lambda: window.words.words.startswith("Written into"), timeout=15000)
    names = sorted(path.name for path in (tmp_path / "out").iterdir())
    assert names == [
        *("Thistle-2026-05-25", "Thistle-2026-05-25.pdf", "Thistle-2026-05-25.zip", "Thistle-sessions.html")
    ]
    text = (tmp_path / "out" / "Thistle-2026-05-25" / "index.html").read_text()
    assert "Spook" in text
    assert "<bdi>Trot</bdi>" not in text
    assert "4 May 2026 to 25 May 2026" in (tmp_path / "out" / "Thistle-sessions.html").read_text()


def test_nothing_ticked_and_no_folder_write_nothing(
    page: OwnerPage, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    window = window_of(page)
    monkeypatch.setattr("app.owner_page.ask_for_folder", lambda *_: None)
    click(page.write)
    assert not window.jobs.running
    tick(page, [], qtbot)
    page.form.turn_to(page.form.words)
    click(page.write)
    assert window.words.words == "Tick what is to be written."
    assert page.form.files.isVisible()


def test_every_kind_of_file_is_offered_and_written_beside_the_window(
    page: OwnerPage, tmp_path: Path, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("app.owner_page.ask_for_folder", lambda *_: tmp_path / "out")
    assert set(page.form.files.kinds) == set(KINDS)
    tick(page, KINDS, qtbot)
    press(page, page.form.files.captions, qtbot)
    press(page, page.form.files.work_line, qtbot)
    click(page.write)
    window = window_of(page)
    [job] = window.jobs.running
    told: list[tuple[int, int]] = []
    job.progressed.connect(lambda *at: told.append(at))
    qtbot.waitUntil(lambda: window.words.words.startswith("Written into"), timeout=20000)
    endings = {path.suffix for path in (tmp_path / "out").iterdir()}
    assert endings == {
        *("", ".csv", ".vtt", ".srt", ".txt", ".edl", ".otio", ".json", ".mp4", ".html", ".zip", ".pdf")
    }
    assert (50, 50) in told
    said = page.form.files.written.text()
    assert "Thistle-2026-05-25/index.html" in said
    assert "Passages 1, 2: coded anew, as words are drawn into it." in said
    assert page.form.files.open_folder.isVisible()


def test_it_shows_how_the_reel_will_look(page: OwnerPage, qtbot: QtBot) -> None:
    files = page.form.files
    tick(page, ["reel"], qtbot)
    assert not files.sample.isVisible()
    press(page, files.captions, qtbot)
    qtbot.waitUntil(lambda: not files.sample.image.isNull(), timeout=15000)
    captioned = files.sample.image
    press(page, files.work_line, qtbot)
    qtbot.waitUntil(lambda: files.sample.image != captioned, timeout=15000)
    tick(page, ["page"], qtbot)
    assert not files.sample.isVisible()


def test_passages_that_overlap_become_one(page: OwnerPage, qtbot: QtBot) -> None:
    page.form.passages.lead_out.setValue(1)
    qtbot.waitUntil(lambda: page.form.passages.length.text() == "2 of 2, 4 s")
    press(page, page.form.passages.merge, qtbot)
    qtbot.waitUntil(lambda: page.form.passages.length.text() == "1 of 2, 3 s")
    assert "Trot; Spook At 0:00, 3 s" in seen(page)


def test_the_rules_are_set_here_kept_and_followed_on_the_desk(
    page: OwnerPage, barn: Barn, qtbot: QtBot
) -> None:
    form, window = page.form.passages, window_of(page)
    review = review_of(window.desk)
    form.rule.lead_in.setValue(0)
    form.rule.lead_out.setValue(1)
    press(page, form.rule.parts["gaits"], qtbot)
    press(page, form.rule.choose, qtbot)
    added = review.passages[-1]
    assert (added.start_ns, added.end_ns) == (S, 3 * S)
    assert added.caption == "Spook, severity 3, calm after 1 s"
    qtbot.waitUntil(lambda: "3 of 3" in form.length.text())
    assert window.words.words == "1 passage chosen by rule, beside those you marked."
    review.undo()
    form.rule.severity.setValue(4)
    assert rules_of(barn) == Rules(lead_in_ns=0, lead_out_ns=S, least_severity=4, gaits=False)
    click(button(page, "Back to the desk"))
    click(button(window.desk.highlights, "Choose by rule"))
    assert window.words.words.startswith("The rule finds nothing to show yet")
    assert len(review.passages) == 2


def test_a_folder_that_cannot_be_written_is_said_in_a_sentence(
    page: OwnerPage, tmp_path: Path, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "a file").touch()
    monkeypatch.setattr("app.owner_page.ask_for_folder", lambda *_: tmp_path / "a file" / "within")
    tick(page, ["csv"], qtbot)
    click(page.write)
    qtbot.waitUntil(lambda: "a file" in window_of(page).words.words)
    assert not page.form.files.written.isVisible()


def test_stopped_it_leaves_nothing(
    page: OwnerPage, tmp_path: Path, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("app.owner_page.ask_for_folder", lambda *_: tmp_path / "out")
    window = window_of(page)
    click(page.write)
    window.jobs.running[0].cancel()
    qtbot.waitUntil(lambda: not window.jobs.running)
    assert not (tmp_path / "out").exists() or list((tmp_path / "out").iterdir()) == []


def test_the_command_line_writes_it_as_it_was_arranged(page: OwnerPage, barn: Barn, tmp_path: Path) -> None:
    page.form.heading.setText("As arranged")
    page.form.passages.list.item(0).setCheckState(Qt.CheckState.Unchecked)
    session_id = review_of(window_of(page).desk).session.id
    files = write_highlights(barn, session_id, ["page", "csv", "pdf"], tmp_path / "out").files
    names = [path.name for path in files]
    assert names == ["index.html", "Thistle-2026-05-25.zip", "highlights.csv", "Thistle-2026-05-25.pdf"]
    text = files[0].read_text()
    assert "As arranged" in text
    assert "4 May 2026" in text
    assert files[2].read_text().count("Trot") == 0
    with zipfile.ZipFile(files[1]) as packed:
        assert packed.testzip() is None


def test_a_session_without_clips_has_a_page_of_figures(desk: Desk, qtbot: QtBot) -> None:
    window = desk.window()
    assert isinstance(window, MainWindow)
    window.show_owner_page()
    assert not window.owner_page.form.files.kinds["reel"].isEnabled()
    qtbot.waitUntil(lambda: "Thistle was filmed for 10 min" in seen(window.owner_page))
    assert window.owner_page.form.passages.length.text() == "no passages"
