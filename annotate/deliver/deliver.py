"""Writes the highlight list into a folder, in whatever kinds of file are asked for."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from pathlib import Path

from annotate.deliver.csv_file import csv_file
from annotate.deliver.highlights import Highlight, Material, highlights
from annotate.deliver.webvtt import Cue, webvtt
from annotate.errors import Trouble
from annotate.writing import make_folder, write_text

NamedText = tuple[str, str]


def deliver(material: Material, kinds: Sequence[str], folder: Path) -> list[Path]:
    """Writes the files into `folder`, which is made if need be, and says which.

    Every text is made before any file is written. Raises `Trouble` for a kind that is not known, for no
    kind, for a highlight list with nothing in it, and where the disk refuses.
    """
    unknown = [kind for kind in kinds if kind not in _WRITERS]
    if unknown or not kinds:
        asked = f"'{unknown[0]}'" if unknown else "nothing"
        raise Trouble(f"A highlight list is written as {', '.join(KINDS)}, not as {asked}.")
    if not material.passages:
        raise Trouble("There is no passage to show. Mark one, or let the rule choose.")
    rows = highlights(material)
    texts = [named for kind in dict.fromkeys(kinds) for named in _WRITERS[kind](material, rows)]
    make_folder(folder)
    written: list[Path] = []
    for name, text in texts:
        write_text(folder / name, text)
        written.append(folder / name)
    return written


def _csv(_: Material, rows: Sequence[Highlight]) -> Iterator[NamedText]:
    yield "highlights.csv", csv_file(rows)


def _vtt(material: Material, rows: Sequence[Highlight]) -> Iterator[NamedText]:
    """One file for each clip that shows something, by the clip's place in the session; else one in all."""
    name = material.session.name
    for place, file in enumerate(material.files, 1):
        cues = [
            Cue(row.clip_start_ns, row.clip_end_ns, row.caption)
            for row in rows
            if row.clip_id == file.placed.id
            if row.clip_start_ns is not None and row.clip_end_ns is not None
        ]
        number = f"-{place}" if len(material.files) > 1 else ""
        if cues:
            yield f"highlights{number}.vtt", webvtt(f"{name}, {file.file_name}", cues)
    if not material.files:
        yield "highlights.vtt", webvtt(name, [Cue(row.start_ns, row.end_ns, row.caption) for row in rows])


_WRITERS: Mapping[str, Callable[[Material, Sequence[Highlight]], Iterator[NamedText]]] = {
    "csv": _csv,
    "vtt": _vtt,
}

KINDS = tuple(_WRITERS)
"""The kinds of file that a highlight list can be written as."""
