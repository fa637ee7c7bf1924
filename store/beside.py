"""A readable file beside the barn that the trainer edits, and the last good text of it inside the barn.

The kept text is what a restored barn, or one whose file is broken, goes on with.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Generic, TypeVar

from annotate.errors import Trouble
from store.files import to_disk, unfinished

Read = TypeVar("Read")


@dataclass(frozen=True, slots=True)
class Found(Generic[Read]):
    """What the text says, the text to go on with, and what is wrong with the file, if anything."""

    read: Read
    text: str
    trouble: str | None = None


def find(path: Path, kept: str, read: Callable[[str], Read], what: str) -> Found[Read]:
    """What the file says, or the kept text where the file cannot be used. A missing file is written anew.

    `read` raises `Trouble` for a text that cannot be used; `what` is the file's name in a sentence.
    """
    try:
        text = path.read_text(encoding="utf-8")
        return Found(read(text), text)
    except FileNotFoundError:
        return Found(read(kept), kept, _write_anew(path, kept, what))
    except UnicodeDecodeError:
        why = f"The file {path.name} is not text in UTF-8."
    except OSError as error:
        why = f"The file {path.name} cannot be read ({error.strerror})."
    except Trouble as trouble:
        why = str(trouble)
    return Found(
        read(kept),
        kept,
        f"{why} Correct {path}, or delete it to get the last good one back; until then that one is used.",
    )


def write(path: Path, text: str) -> None:
    """Writes the file in one step, down to the disk. Raises `OSError`."""
    with unfinished(path) as part:
        part.write_text(text, encoding="utf-8")
        to_disk(part)
        part.replace(path)


def _write_anew(path: Path, text: str, what: str) -> str | None:
    try:
        write(path, text)
    except OSError as error:
        return f"The {what} {path.name} could not be written beside the barn ({error.strerror})."
    return None
