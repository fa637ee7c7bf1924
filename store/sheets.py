"""The sheet of behaviours beside the barn, and the last good text of it inside.

The trainer edits the file; the kept text is what a restored barn, or one whose file is broken, goes on with.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from annotate.behaviours import DEFAULT_SHEET, Sheet, read_sheet
from annotate.errors import SheetTrouble
from store.files import to_disk, unfinished

KEY = "sheet"


@dataclass(frozen=True, slots=True)
class FoundSheet:
    """The sheet to go on with, its text, and what is wrong with the file, if anything."""

    sheet: Sheet
    text: str
    trouble: str | None = None


def sheet_beside(barn: Path) -> Path:
    """Where the barn's sheet lies: 'my.sheet.toml' beside 'my.barn'."""
    return barn.with_name(f"{barn.stem}.sheet.toml")


def default_text() -> str:
    """The sheet that a new barn begins with."""
    return DEFAULT_SHEET.read_text(encoding="utf-8")


def find_sheet(barn: Path, kept: str) -> FoundSheet:
    """The file's sheet, or the kept one where the file cannot be used. A missing file is written anew."""
    path = sheet_beside(barn)
    try:
        text = path.read_text(encoding="utf-8")
        return FoundSheet(read_sheet(text), text)
    except FileNotFoundError:
        return FoundSheet(read_sheet(kept), kept, _write_anew(path, kept))
    except UnicodeDecodeError:
        why = f"The file {path.name} is not text in UTF-8."
    except OSError as error:
        why = f"The file {path.name} cannot be read ({error.strerror})."
    except SheetTrouble as trouble:
        why = str(trouble)
    return FoundSheet(
        read_sheet(kept),
        kept,
        f"{why} Correct {path}, or delete it to get the last good one back; until then that one is used.",
    )


def write_sheet(barn: Path, text: str) -> None:
    """Writes the file beside the barn in one step."""
    path = sheet_beside(barn)
    with unfinished(path) as part:
        part.write_text(text, encoding="utf-8")
        to_disk(part)
        part.replace(path)


def _write_anew(path: Path, text: str) -> str | None:
    try:
        with unfinished(path) as part:
            part.write_text(text, encoding="utf-8")
            part.replace(path)
    except OSError as error:
        return f"The sheet {path.name} could not be written beside the barn ({error.strerror})."
    return None
