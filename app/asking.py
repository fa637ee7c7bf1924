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
