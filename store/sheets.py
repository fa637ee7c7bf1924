"""The sheet of behaviours beside the barn: 'my.sheet.toml' beside 'my.barn'."""

from __future__ import annotations

from pathlib import Path

from annotate.behaviours import DEFAULT_SHEET, Sheet, read_sheet
from store import beside
from store.beside import Found

KEY = "sheet"


def sheet_beside(barn: Path) -> Path:
    """Where the barn's sheet lies."""
    return barn.with_name(f"{barn.stem}.sheet.toml")


def default_text() -> str:
    """The sheet that a new barn begins with."""
    return DEFAULT_SHEET.read_text(encoding="utf-8")


def find_sheet(barn: Path, kept: str) -> Found[Sheet]:
    """The file's sheet, or the kept one where the file cannot be used. A missing file is written anew."""
    return beside.find(sheet_beside(barn), kept, read_sheet, "sheet")


def write_sheet(barn: Path, text: str) -> None:
    """Writes the file beside the barn in one step."""
    beside.write(sheet_beside(barn), text)
