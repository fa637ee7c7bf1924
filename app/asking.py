"""The system's own dialogs for choosing files, in one place, so that a test can answer them.

Each begins in the folder that was chosen last for the same kind of thing.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from PySide6 import QtWidgets
from PySide6.QtCore import QCoreApplication
from PySide6.QtWidgets import QWidget

if TYPE_CHECKING:
    from app.last_folders import Kind

CLIP_NAMES = "*.mp4 *.mov *.m4v *.3gp *.mkv *.webm *.avi *.mts *.m2ts *.ts *.mpg *.mpeg"


def ask_for_clips(parent: QWidget) -> list[Path]:
    """The clips that the person chooses; none if they think better of it."""
    names, title = f"{CLIP_NAMES} {CLIP_NAMES.upper()}", QCoreApplication.translate("asking", "Add clips")
    kinds = _kinds(QCoreApplication.translate("asking", "Clips"), names)
    chosen, _ = QtWidgets.QFileDialog.getOpenFileNames(parent, title, _begin_in("clips"), kinds)
    if chosen:
        _remember("clips", Path(chosen[0]).parent)
    return [Path(name) for name in chosen]


def ask_for_folder(parent: QWidget, title: str, kind: Kind = "clips") -> Path | None:
    """A folder to read from or to write to; None if the person thinks better of it."""
    chosen = QtWidgets.QFileDialog.getExistingDirectory(parent, title, _begin_in(kind))
    if chosen:
        _remember(kind, Path(chosen))
    return Path(chosen) if chosen else None


def ask_for_barn_file(parent: QWidget) -> Path | None:
    """A backup to bring back; None if the person thinks better of it."""
    title = QCoreApplication.translate("asking", "A backup")
    return _ask_for_file(parent, title, _kinds(QCoreApplication.translate("asking", "Barns"), "*.barn"), "backups")


def ask_for_horse_file(parent: QWidget) -> Path | None:
    """A horse that another barn handed over; None if the person thinks better of it."""
    title = QCoreApplication.translate("asking", "Take in a horse")
    kinds = _kinds(QCoreApplication.translate("asking", "Horses handed over"), "*.horse")
    return _ask_for_file(parent, title, kinds, "horses")


def ask_where_to_write(parent: QWidget, title: str, name: str, kinds: str, kind: Kind) -> Path | None:
    """A file to write, with `name` to begin with; None if the person thinks better of it."""
    chosen, _ = QtWidgets.QFileDialog.getSaveFileName(parent, title, str(Path(_begin_in(kind)) / name), kinds)
    if chosen:
        _remember(kind, Path(chosen).parent)
    return Path(chosen) if chosen else None


def _ask_for_file(parent: QWidget, title: str, kinds: str, kind: Kind) -> Path | None:
    chosen, _ = QtWidgets.QFileDialog.getOpenFileName(parent, title, _begin_in(kind), kinds)
    if chosen:
        _remember(kind, Path(chosen).parent)
    return Path(chosen) if chosen else None


def _kinds(words: str, names: str) -> str:
    every = QCoreApplication.translate("asking", "All files")
    return f"{words} ({names});;{every} (*)"


def _begin_in(kind: Kind) -> str:
    from app.last_folders import begin_in

    return str(begin_in(kind))


def _remember(kind: Kind, folder: Path) -> None:
    from app.last_folders import remember

    remember(kind, folder)
