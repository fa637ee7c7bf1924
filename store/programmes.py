"""The programme beside the barn: 'my.programme.toml' beside 'my.barn'.

A barn that was never asked for its programme has neither the file nor a kept text.
"""

from __future__ import annotations

from pathlib import Path

from annotate.programme.reading import DEFAULT_PROGRAMME, read_programme
from annotate.programme.steps import Programme
from store import beside
from store.beside import Found

KEY = "programme"


def programme_beside(barn: Path) -> Path:
    """Where the barn's programme lies."""
    return barn.with_name(f"{barn.stem}.programme.toml")


def default_programme_text() -> str:
    """The programme that a barn begins with."""
    return DEFAULT_PROGRAMME.read_text(encoding="utf-8")


def find_programme(barn: Path, kept: str | None) -> Found[Programme]:
    """The file's programme, or the kept one where the file cannot be used. A missing file is written anew."""
    last = kept if kept is not None else default_programme_text()
    return beside.find(programme_beside(barn), last, read_programme, "programme")


def write_programme(barn: Path, text: str) -> None:
    """Writes the file beside the barn in one step."""
    beside.write(programme_beside(barn), text)
