"""The programme beside the barn, and the last good text of it inside.

As with the sheet, the trainer edits the file; the kept text is what a restored barn, or one whose file is
broken, goes on with. A barn that was never asked for its programme has neither.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from annotate.programme.reading import DEFAULT_PROGRAMME, read_programme
from annotate.programme.steps import Programme, ProgrammeTrouble
from store.files import to_disk, unfinished

KEY = "programme"


@dataclass(frozen=True, slots=True)
class FoundProgramme:
    """The programme to go on with, its text, and what is wrong with the file, if anything."""

    programme: Programme
    text: str
    trouble: str | None = None


def programme_beside(barn: Path) -> Path:
    """Where the barn's programme lies: 'my.programme.toml' beside 'my.barn'."""
    return barn.with_name(f"{barn.stem}.programme.toml")


def default_programme_text() -> str:
    """The programme that a barn begins with."""
    return DEFAULT_PROGRAMME.read_text(encoding="utf-8")


def find_programme(barn: Path, kept: str | None) -> FoundProgramme:
    """The file's programme, or the kept one where the file cannot be used. A missing file is written anew."""
    path = programme_beside(barn)
    last = kept if kept is not None else default_programme_text()
    try:
        text = path.read_text(encoding="utf-8")
        return FoundProgramme(read_programme(text), text)
    except FileNotFoundError:
        return FoundProgramme(read_programme(last), last, _write_anew(barn, last))
    except UnicodeDecodeError:
        why = f"The file {path.name} is not text in UTF-8."
    except OSError as error:
        why = f"The file {path.name} cannot be read ({error.strerror})."
    except ProgrammeTrouble as trouble:
        why = str(trouble)
    return FoundProgramme(
        read_programme(last),
        last,
        f"{why} Correct {path}, or delete it to get the last good one back; until then that one is used.",
    )


def write_programme(barn: Path, text: str) -> None:
    """Writes the file beside the barn in one step."""
    path = programme_beside(barn)
    with unfinished(path) as part:
        part.write_text(text, encoding="utf-8")
        to_disk(part)
        part.replace(path)


def _write_anew(barn: Path, text: str) -> str | None:
    try:
        write_programme(barn, text)
    except OSError as error:
        name = programme_beside(barn).name
        return f"The programme {name} could not be written beside the barn ({error.strerror})."
    return None
