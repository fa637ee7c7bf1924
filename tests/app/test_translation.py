"""Qt's translator finds every text that the window says, and every text that it says is the translated one.

The whole window is translated into itself between brackets: what it then says without them stands bare in the code.
"""

from __future__ import annotations

import ast
import re
import subprocess
import xml.etree.ElementTree as ET
from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path

import PySide6
import pytest
from PySide6.QtCore import QAbstractListModel, QModelIndex, Qt
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractItemView,
    QApplication,
    QComboBox,
    QLabel,
    QLineEdit,
    QPlainTextEdit,
    QSpinBox,
    QTabBar,
    QWidget,
)
from pytestqt.qtbot import QtBot

from annotate.clock import NS_PER_S
from annotate.tagging import Change
from annotate.tags import Tag
from app.counted import Counted
from app.keys import CAMERA, COMMANDS, SECOND_LOOK, TWO_PICTURES, command_section, command_title, shown_key
from app.language import speak
from app.main_window import MainWindow
from app.page_keys import EVERYWHERE
from app.ready import ROOT
from store.barn import Barn
from tests.app.hands import tap
from tests.pictures import look_again

_MODULES = sorted((ROOT / "app").glob("*.py"))
_QT = Path(PySide6.__file__).parent
_KEYS = "Space|Return|Delete|Escape|Tab|Home|End|PgUp|PgDown|Up|Down|Left|Right"
_KEY = re.compile(rf"((Ctrl|Alt|Shift)\+)*(.|F\d+|{_KEYS})$")
# The owner's page is in English, and so is what shows it before it is written.
_IN_ENGLISH = {"owner_preview.py"}

Message = tuple[str, str]


@pytest.fixture(scope="module")
def catalogue(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """What Qt's translator finds in the window's modules, into a language with three forms of a count."""
    found = tmp_path_factory.mktemp("languages") / "railside_lt.ts"
    subprocess.run(
        [_QT / "lupdate", *_MODULES, "-locations", "none", "-target-language", "lt", "-ts", found],
        check=True,
        capture_output=True,
    )
    return found


@pytest.fixture
def marked(qapp: QApplication, catalogue: Path) -> Iterator[None]:
    """The window says each text between brackets; a text with a count says which form it is, too."""
    tree = ET.parse(catalogue)
    for message in tree.getroot().iter("message"):
        source, told = message.findtext("source", ""), message.find("translation")
        assert told is not None
        told.attrib.pop("type", None)
        forms = told.findall("numerusform")
        for number, form in enumerate(forms, 1):
            form.text = f"⟦{number}: {source.split('|')[-1]}⟧"
        told.text = None if forms else f"⟦{source}⟧"
    written = catalogue.with_name("marked.ts")
    tree.write(written, encoding="utf-8")
    made = catalogue.with_suffix(".qm")
    subprocess.run([_QT / "lrelease", "-silent", written, "-qm", made], check=True, capture_output=True)
    translators = speak(qapp, "lt", catalogue.parent)
    assert translators
    yield
    for translator in translators:
        qapp.removeTranslator(translator)


# -- what the translator finds


def test_the_translator_finds_every_text_where_it_is_looked_up(catalogue: Path) -> None:
    found = {
        (context.findtext("name", ""), message.findtext("source", "")): message.get("numerus") == "yes"
        for context in ET.parse(catalogue).getroot().iter("context")
        for message in context.iter("message")
    }
    lost = [
        f"{module.name}:{line}: {message}"
        for module in _MODULES
        for line, message in looked_up(module.read_text(encoding="utf-8"))
        if message not in found or found[message] is not (message[0] == "Counted")
    ]
    assert lost == []


def test_no_text_is_made_up_before_it_is_looked_up() -> None:
    made_up = {module.name: list(not_plain(module.read_text(encoding="utf-8"))) for module in _MODULES}
    assert {name: lines for name, lines in made_up.items() if lines} == {}


@pytest.mark.parametrize(
    ("call", "found"),
    [
        ('self.tr("one" if few else "many")', True),
        ('self.tr(f"{count} horses")', True),
        ("self.tr(HINT)", False),
        ('self.tr("Horses")', False),
    ],
)
def test_a_text_that_is_made_up_is_found(call: str, found: bool) -> None:
    assert bool(list(not_plain(f"class Page:\n    def lay_out(self):\n        {call}"))) is found


def looked_up(source: str) -> Iterator[tuple[int, Message]]:
    """Every text that is looked up or marked, with its context."""
    for call, inside in _calls(ast.parse(source), ""):
        place = 0 if _name(call.func) == "tr" else 1
        text = call.args[place] if len(call.args) > place else None
        if isinstance(text, ast.Constant) and isinstance(text.value, str):
            yield call.lineno, (_context(call, inside), text.value)


def not_plain(source: str) -> Iterator[int]:
    """The lines where what is looked up is no plain text but has texts in it."""
    for call, _ in _calls(ast.parse(source), ""):
        for text in call.args:
            parts = [part for part in ast.walk(text) if isinstance(part, ast.Constant) and isinstance(part.value, str)]
            if not isinstance(text, ast.Constant) and any(re.search(r"\w", str(part.value)) for part in parts):
                yield call.lineno


def _context(call: ast.Call, inside: str) -> str:
    if _name(call.func) != "tr":
        return str(call.args[0].value) if isinstance(call.args[0], ast.Constant) else ""
    owner = call.func.value if isinstance(call.func, ast.Attribute) else None
    return owner.id if isinstance(owner, ast.Name) and owner.id != "self" else inside


def _calls(part: ast.AST, inside: str) -> Iterator[tuple[ast.Call, str]]:
    """Every call that looks a text up or marks it, with the class that it stands in."""
    for child in ast.iter_child_nodes(part):
        if isinstance(child, ast.Call) and _looks_up(child.func):
            yield child, inside
        yield from _calls(child, child.name if isinstance(child, ast.ClassDef) else inside)


def _looks_up(called: ast.expr) -> bool:
    if _name(called) == "translate":
        return isinstance(called, ast.Attribute) and _name(called.value) == "QCoreApplication"
    return _name(called) in ("tr", "QT_TRANSLATE_NOOP")


def _name(called: ast.expr) -> str:
    return called.attr if isinstance(called, ast.Attribute) else getattr(called, "id", "")


# -- what the window says


@pytest.mark.usefixtures("marked")
def test_the_window_says_nothing_that_cannot_be_translated(
    barn: Barn, windows: Callable[[], MainWindow], qtbot: QtBot
) -> None:
    plain = {text for module in _MODULES if module.name not in _IN_ENGLISH for text in plain_texts(module)}
    # What the barn's own sheet calls things is the trainer's.
    plain -= {behaviour.title for behaviour in barn.sheet().behaviours}
    window, said = windows(), set[str]()

    def listen() -> None:
        qtbot.waitUntil(lambda: not window.jobs.running)
        said.update(text for widget in seen(window) for text in texts_of(widget))

    listen()
    session_id = worked(barn)
    for show in pages(window, session_id):
        show()
        listen()
    assert "\n".join(bare(said, plain)) == ""
    assert {f"⟦{words}⟧" for words in ("Today", "Backups", "Take in a horse", "Two pictures", "Agreement")} <= said


@pytest.mark.usefixtures("marked")
def test_every_command_is_told_in_the_language_of_the_window() -> None:
    for command in (*COMMANDS, *SECOND_LOOK, *CAMERA, *TWO_PICTURES, *EVERYWHERE):
        assert command_title(command) == f"⟦{command.title}⟧"
        assert command_section(command) == f"⟦{command.section}⟧"
    assert [shown_key(key) for key in ("Q", "Ctrl+PgUp", "+")] == ["Q", "⟦Ctrl⟧+⟦PgUp⟧", "⟦plus⟧"]


@pytest.mark.usefixtures("marked")
def test_a_count_takes_the_form_that_the_language_has_for_it() -> None:
    told = [Counted.tr("{count} tag|{count} tags", "", count) for count in (1, 2, 10, 21)]
    assert told == ["⟦1: 1 tags⟧", "⟦2: 2 tags⟧", "⟦3: 10 tags⟧", "⟦1: 21 tags⟧"]


def test_a_language_that_is_not_there_leaves_the_window_in_english(qapp: QApplication, tmp_path: Path) -> None:
    assert speak(qapp, "lt", tmp_path) == ()
    assert Counted.tr("{count} tag|{count} tags", "", 21) == "21 tags"


def test_a_bare_text_is_found() -> None:
    plain = {"Oldest first", "and more"}
    assert bare({"⟦Oldest first⟧", "Thistle", "⟦2 clips⟧ (Ctrl+T)"}, plain) == []
    assert bare({"Oldest first", "⟦2 clips⟧, and more"}, plain) == ["Oldest first", "⟦2 clips⟧, and more"]


def worked(barn: Barn) -> int:
    """A session with something of everything, and a second look at it; its number."""
    for day in (4, 5):
        session_id = barn.add_session("Thistle", date(2026, 5, day), length_ns=600 * NS_PER_S)
        tags = (
            Tag("walk", 0, 300 * NS_PER_S),
            Tag("left_rein", 0, 300 * NS_PER_S),
            Tag("spook", 40 * NS_PER_S, severity=2, stimulus="flag", side="left"),
            Tag("calm", 50 * NS_PER_S),
        )
        barn.apply(session_id, Change((), tags))
    look_again(barn, session_id, "Robin", date(2026, 5, 18))
    barn.add_owner("R. Hollow")
    barn.put_session(barn.add_session("Clover", date(2026, 5, 6), length_ns=NS_PER_S), "bin")
    return session_id


def pages(window: MainWindow, session_id: int) -> Iterator[Callable[[], object]]:
    """What shows each page, and the parts of it that come up only when they are asked for."""
    barn_page, again, over, rooms = window.barn_page, window.again, window.over, window.rooms
    yield window.show_barn
    yield barn_page.find_bar.more_button.click
    yield barn_page.horse_button.click
    yield barn_page.session_button.click
    yield lambda: window.open_session(session_id)
    desk = window.desk
    yield lambda: tap(desk, "W", "K", "3", "F2", "Right", "F3", "Ctrl+Z", "Ctrl+A")
    yield lambda: tap(desk, "Ctrl+R", "Escape", "F12", "Ctrl+3")
    yield lambda: desk.tabs.setCurrentWidget(desk.highlights)
    yield window.show_owner_page
    for show in (over.show_help, over.show_sheet, over.show_look):
        yield show
        yield over.leave
    yield window.show_today
    yield lambda: window.show_programme("Thistle")
    yield window.programme_page.edit.click
    yield lambda: window.show_comparison("Thistle")
    yield lambda: again.show_second_look(session_id)
    yield lambda: again.show_agreement(session_id)
    yield again.show_key_lag
    yield window.show_card
    yield rooms.show_owners
    yield rooms.show_backups
    yield rooms.show_take_in
    yield lambda: window.show_two_pictures("Thistle")


def seen(window: MainWindow) -> Iterator[QWidget]:
    """The page one is on and the line of words, with all that is in them."""
    for part in (window.page, window.words):
        if part is not None:
            yield part
            yield from part.findChildren(QWidget)


def texts_of(widget: QWidget) -> Iterator[str]:
    """Everything that a widget says: on it, over it and to a screen reader."""
    yield from (widget.toolTip(), widget.accessibleName(), widget.accessibleDescription(), widget.windowTitle())
    if isinstance(widget, QLabel | QAbstractButton):
        yield widget.text()
    elif isinstance(widget, QLineEdit | QPlainTextEdit):
        yield widget.placeholderText()
    elif isinstance(widget, QSpinBox):
        yield from (widget.prefix(), widget.suffix(), widget.specialValueText())
    elif isinstance(widget, QTabBar):
        yield from (widget.tabText(place) for place in range(widget.count()))
    elif isinstance(widget, QComboBox):
        yield from (widget.itemText(place) for place in range(widget.count()))
    elif isinstance(widget, QAbstractItemView) and (model := widget.model()) is not None:
        columns = range(1 if isinstance(model, QAbstractListModel) else model.columnCount(QModelIndex()))
        yield from (str(model.headerData(place, Qt.Orientation.Horizontal)) for place in columns)
        rows = range(model.rowCount(QModelIndex()))
        yield from (str(model.index(row, place).data()) for row in rows for place in columns)


def bare(said: set[str], plain: set[str]) -> list[str]:
    """What is said and is, but for what stands in brackets, one of the plain texts."""
    found = []
    for text in said:
        rest, count = text, 1
        while count:
            rest, count = re.subn("⟦[^⟦⟧]*⟧", "", rest)
        if rest.strip(" ,;:.()\n") in plain:
            found.append(text)
    return sorted(found)


def plain_texts(module: Path) -> set[str]:
    """The texts of a module that are written like words, are no key and are not looked up."""
    source = ast.parse(module.read_text(encoding="utf-8"))
    known = {id(part) for call, _ in _calls(source, "") for part in ast.walk(call)}
    texts = {
        part.value.strip(" ,;:.()\n")
        for part in ast.walk(source)
        if isinstance(part, ast.Constant) and isinstance(part.value, str) and id(part) not in known
    }
    return {text for text in texts if re.search("^[A-Z]|[a-z] [a-z]", text) and not _KEY.match(text)}
