"""What a page says goes through Qt's translation: a plain text is never given to a widget by itself.

Texts that are put together with figures are not seen here.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator

from app.ready import ROOT

_SAYING = {
    *("QLabel", "QPushButton", "QCheckBox", "QRadioButton", "setText", "setToolTip", "setAccessibleName"),
    *("setAccessibleDescription", "setPlaceholderText", "setWindowTitle", "addTab"),
}
_MODULES = sorted((ROOT / "app").glob("*.py"))


def untranslated(source: str) -> list[str]:
    """The plain texts that a method gives to a widget."""
    return [
        f"{call.lineno}: {words.value}"
        for method in _methods(ast.parse(source))
        for call in ast.walk(method)
        if isinstance(call, ast.Call) and _name(call.func) in _SAYING
        for words in call.args
        if isinstance(words, ast.Constant) and isinstance(words.value, str) and any(map(str.isalpha, words.value))
    ]


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
