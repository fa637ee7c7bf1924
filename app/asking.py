"""The system's own dialogs for choosing files, in one place, so that a test can answer them."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtWidgets import QFileDialog, QWidget

CLIP_NAMES = "*.mp4 *.mov *.m4v *.3gp *.mkv *.webm *.avi *.mts *.m2ts *.ts *.mpg *.mpeg"


def ask_for_clips(parent: QWidget) -> list[Path]:
    """The clips that the person chooses; none if they think better of it."""
    upper = CLIP_NAMES.upper()
    chosen, _ = QFileDialog.getOpenFileNames(
        parent, "Add clips", "", f"Clips ({CLIP_NAMES} {upper});;All files (*)"
    )
    return [Path(name) for name in chosen]


def ask_for_folder(parent: QWidget, title: str) -> Path | None:
    """A folder to write to; None if the person thinks better of it."""
    chosen = QFileDialog.getExistingDirectory(parent, title)
    return Path(chosen) if chosen else None


def ask_for_barn_file(parent: QWidget) -> Path | None:
    """A backup to bring back; None if the person thinks better of it."""
    chosen, _ = QFileDialog.getOpenFileName(parent, "A backup", "", "Barns (*.barn);;All files (*)")
    return Path(chosen) if chosen else None


def ask_for_horse_file(parent: QWidget) -> Path | None:
    """A horse that another barn handed over; None if the person thinks better of it."""
    chosen, _ = QFileDialog.getOpenFileName(
        parent, "Take in a horse", "", "Horses handed over (*.horse);;All files (*)"
    )
    return Path(chosen) if chosen else None


def ask_where_to_write(parent: QWidget, title: str, name: str, kinds: str) -> Path | None:
    """A file to write, with `name` to begin with; None if the person thinks better of it."""
    chosen, _ = QFileDialog.getSaveFileName(parent, title, name, kinds)
    return Path(chosen) if chosen else None
