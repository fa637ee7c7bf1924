"""What a page says goes through Qt's translation: a plain text is never given to a widget by itself.

A text with figures in it is translated with their places in braces and filled in afterwards: an f-string is found by
no translator.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator

import pytest

from app.ready import ROOT

_SAYING = {
    *("QLabel", "QPushButton", "QCheckBox", "QRadioButton", "setText", "setToolTip", "setAccessibleName"),
    *("setAccessibleDescription", "setPlaceholderText", "setWindowTitle", "addTab", "plain_label", "_button"),
}
# What says something to a person without being a widget's text, by the signal or by the method.
_VOICES = {"said", "failed", "refused", "words"}
_SPEAKING = {*_SAYING, "addItem", "setItemText", "setFormat", "say_trouble", "_say_trouble", "say_wrong", "ask"}
_MODULES = sorted((ROOT / "app").glob("*.py"))


def untranslated(source: str) -> list[str]:
    """The plain texts that a method gives to a widget."""
    return [
        f"{call.lineno}: {text.value}"
        for method in _methods(ast.parse(source))
        for call in ast.walk(method)
        if isinstance(call, ast.Call) and _name(call.func) in _SAYING
        for words in call.args
        for text in _own_texts(words)
        if isinstance(text, ast.Constant) and any(map(str.isalpha, str(text.value)))
    ]


def filled_in(source: str) -> list[str]:
    """The f-strings with words in them that are said to a person as they are."""
    return [
        f"{call.lineno}: {ast.unparse(text)}"
        for call in ast.walk(ast.parse(source))
        if isinstance(call, ast.Call) and _is_said(call.func)
        for words in call.args
        for text in _own_texts(words)
        if isinstance(text, ast.JoinedStr)
        and any(isinstance(part, ast.Constant) and any(map(str.isalpha, str(part.value))) for part in text.values)
    ]


def _is_said(called: ast.expr) -> bool:
    if isinstance(called, ast.Attribute) and called.attr == "emit":
        return _name(called.value) in _VOICES
    return _name(called) in _SPEAKING


def _own_texts(words: ast.expr) -> Iterator[ast.Constant | ast.JoinedStr]:
    """The texts of an argument, but not those that it asks for, and not those of a call within it."""
    if isinstance(words, ast.JoinedStr) or (isinstance(words, ast.Constant) and isinstance(words.value, str)):
        yield words
    elif not isinstance(words, ast.Call | ast.Compare | ast.Subscript):
        for part in ast.iter_child_nodes(words):
            if isinstance(part, ast.expr):
                yield from _own_texts(part)


def _methods(module: ast.Module) -> Iterator[ast.FunctionDef]:
    for made in ast.walk(module):
        if isinstance(made, ast.ClassDef):
            yield from (part for part in made.body if isinstance(part, ast.FunctionDef))


def _name(called: ast.expr) -> str:
    return called.attr if isinstance(called, ast.Attribute) else getattr(called, "id", "")


def test_each_text_can_be_translated() -> None:
    bare = {module.name: untranslated(module.read_text(encoding="utf-8")) for module in _MODULES}
    assert {name: texts for name, texts in bare.items() if texts} == {}


def test_a_bare_text_is_found() -> None:
    source = 'class Page:\n    def lay_out(self):\n        QLabel("Horses"); QLabel(self.tr("Owners")); QLabel("–")\n'
    assert untranslated(source) == ["3: Horses"]
    source = 'class Page:\n    def lay_out(self):\n        plain_label("Horses" if self.horses else self.tr("None"))\n'
    assert untranslated(source) == ["3: Horses"]


def test_no_text_is_filled_in_before_it_is_translated() -> None:
    filled = {module.name: filled_in(module.read_text(encoding="utf-8")) for module in _MODULES}
    assert {name: texts for name, texts in filled.items() if texts} == {}


@pytest.mark.parametrize(
    ("said", "found"),
    [
        ('label.setText(f"{count} horses")', True),
        ('label.setText(f"{count} horses" if count else "")', True),
        ('self.said.emit(f"{name} is kept.", False)', True),
        ('QLabel(f"{one}, {other}")', False),
        ('label.setText(self.tr("{count} horses").format(count=f"{size} MB"))', False),
        ('self.asked.emit(f"sides.{name}")', False),
    ],
)
def test_a_text_that_is_filled_in_is_found(said: str, found: bool) -> None:
    assert bool(filled_in(said)) is found


def test_days_are_told_by_one_function() -> None:
    written = {module.name: days_of_their_own(module.read_text(encoding="utf-8")) for module in _MODULES}
    assert {name: lines for name, lines in written.items() if lines} == {}


def days_of_their_own(source: str) -> list[int]:
    """The lines that write a day by a pattern."""
    return [
        part.lineno
        for part in ast.walk(ast.parse(source))
        if isinstance(part, ast.Constant)
        and isinstance(part.value, str)
        and any(sign in part.value for sign in ("%d", "%b", "%B", "%Y", "yyyy-MM-dd"))
    ]


def test_a_day_of_its_own_is_found() -> None:
    assert days_of_their_own('x = f"{day:%d %B %Y}"\ny = f"{at:%H:%M}"') == [1]
