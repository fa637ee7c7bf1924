"""Writes the highlight list into a folder, in whatever kinds of file are asked for.

Small files are texts, all made before any is written. Big ones (reel, page, PDF) write themselves, watched,
and can be stopped. To add a kind: a writer here, and its word in one of the two tables.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

from annotate.clock import NS_PER_S, round_half_up
from annotate.deliver.as_json import json_text
from annotate.deliver.chapters import chapters, ffmpeg_chapters, webvtt_chapters
from annotate.deliver.csv_file import csv_file
from annotate.deliver.cuts import Cut, cuts
from annotate.deliver.edl import edls
from annotate.deliver.highlights import Highlight, Material, highlights
from annotate.deliver.subrip import subrip
from annotate.deliver.watch import UNWATCHED, Watch
from annotate.deliver.webvtt import Cue, webvtt
from annotate.errors import Trouble
from annotate.writing import make_folder, write_bytes, write_text

NamedText = tuple[str, str]


@dataclass(frozen=True, slots=True)
class Wishes:
    """What is drawn into the reel's pictures, which then are all coded anew."""

    captions: bool = False
    work_line: bool = False


@dataclass(frozen=True)
class Order:
    """Everything that a writer may need."""

    material: Material
    rows: tuple[Highlight, ...]
    cuts: tuple[Cut, ...]
    wishes: Wishes
    watch: Watch

    @property
    def title(self) -> str:
        """What the files call themselves."""
        return self.material.session.name


def refuse_unknown(kinds: Sequence[str]) -> None:
    """Raises `Trouble` for a kind that is not known, and for no kind."""
    unknown = [kind for kind in kinds if kind not in KINDS]
    if unknown or not kinds:
        asked = f"'{unknown[0]}'" if unknown else "nothing"
        raise Trouble(f"A highlight list is written as {', '.join(KINDS)}, not as {asked}.")


def deliver(
    material: Material,
    kinds: Sequence[str],
    folder: Path,
    *,
    wishes: Wishes | None = None,
    watch: Watch = UNWATCHED,
) -> list[Path]:
    """Writes the files into `folder`, which is made if need be, and says which.

    Every text is made before any file is written. Raises `Trouble` for a kind that is not known, for no
    kind, for a highlight list with nothing in it, and where the disk refuses; `Cancelled` if stopped.
    """
    refuse_unknown(kinds)
    if not material.passages and not OWNER_KINDS.issuperset(kinds):
        raise Trouble("There is no passage to show. Mark one, or let the rule choose.")
    if impossible := [kind for kind in kinds if kind not in possible_kinds(material)]:
        raise Trouble(
            f"There is no clip to make a {impossible[0]} from. Leave it out, or find the clips again."
        )
    rows = highlights(material)
    order = Order(material, rows, cuts(material, rows), wishes or Wishes(), watch)
    asked_for = list(dict.fromkeys(kinds))
    texts = {kind: list(_TEXTS[kind](order)) for kind in asked_for if kind in _TEXTS}
    make_folder(folder)
    written: list[Path] = []
    for kind in asked_for:
        for name, text in texts.get(kind, []):
            write_text(folder / name, text)
            written.append(folder / name)
        if kind in _BIG:
            written += _BIG[kind](order, folder)
    return written


def possible_kinds(material: Material) -> tuple[str, ...]:
    """The kinds that can be written of it: without clips there is no reel."""
    has_clips = any(file.facts is not None for file in material.files)
    return tuple(kind for kind in KINDS if has_clips or kind not in _OF_CLIPS)


def _csv(order: Order) -> Iterator[NamedText]:
    yield "highlights.csv", csv_file(order.rows)


def _vtt(order: Order) -> Iterator[NamedText]:
    for number, title, cues, _ in _tracks(order):
        yield f"highlights{number}.vtt", webvtt(title, cues)


def _srt(order: Order) -> Iterator[NamedText]:
    for number, _, cues, _ in _tracks(order):
        yield f"highlights{number}.srt", subrip(cues)


def _chapters(order: Order) -> Iterator[NamedText]:
    """For each clip that shows something, and for the reel."""
    for number, title, cues, end_ns in _tracks(order):
        found = chapters(cues, end_ns)
        yield f"chapters{number}.txt", ffmpeg_chapters(title, found)
        yield f"chapters{number}.vtt", webvtt_chapters(title, found)
    if order.material.files and order.cuts:
        in_reel = [Cue(_ns(cut.reel_start), _ns(cut.reel_end), cut.row.caption) for cut in order.cuts]
        found = chapters(in_reel, in_reel[-1].end_ns)
        yield "reel-chapters.txt", ffmpeg_chapters(order.title, found)
        yield "reel-chapters.vtt", webvtt_chapters(order.title, found)


def _edl(order: Order) -> Iterator[NamedText]:
    for place, text in enumerate(edls(order.title, order.cuts), 1):
        yield f"highlights{f'-{place}' if place > 1 else ''}.edl", text


def _otio(order: Order) -> Iterator[NamedText]:
    # Loads a library that nothing else needs.
    from annotate.deliver.otio import timeline_text

    yield "highlights.otio", timeline_text(order.title, order.cuts)


def _json(order: Order) -> Iterator[NamedText]:
    yield "highlights.json", json_text(order.material, order.rows, order.cuts)


def _reel(order: Order, folder: Path) -> list[Path]:
    # Loads the libraries of sound.
    from annotate.deliver.reel.drawing import drawn_in
    from annotate.deliver.reel.reel import write_reel

    drawn = drawn_in(order.material, captions=order.wishes.captions, line=order.wishes.work_line)
    made = write_reel(order.cuts, folder / "reel.mp4", drawn=drawn, watch=order.watch)
    order.watch.say(made.words)
    return [made.path]


def _page(order: Order, folder: Path) -> list[Path]:
    # Loads the template engine.
    from annotate.deliver.page.folder import write_page

    return write_page(order.material, folder, order.watch)


def _pdf(order: Order, folder: Path) -> list[Path]:
    # Loads the library that sets paper.
    from annotate.deliver.page.folder import file_name
    from annotate.deliver.pdf import pdf

    path = folder / f"{file_name(order.material.session)}.pdf"
    write_bytes(path, pdf(order.material, order.watch))
    return [path]


def _series(order: Order) -> Iterator[NamedText]:
    from annotate.deliver.page.folder import file_name
    from annotate.deliver.series import series

    yield f"{file_name(order.material.session, day=False)}-sessions.html", series(order.material)


def _tracks(order: Order) -> Iterator[tuple[str, str, list[Cue], int]]:
    """What stands beside one clip each: the ending of its name, its title, its cues, and where it ends.

    One for each clip that shows something, by the clip's place in the session; without clips one in all.
    """
    material = order.material
    for place, file in enumerate(material.files, 1):
        cues = [
            Cue(row.clip_start_ns, row.clip_end_ns, row.caption)
            for row in order.rows
            if row.clip_id == file.placed.id
            if row.clip_start_ns is not None and row.clip_end_ns is not None
        ]
        if cues:
            number = f"-{place}" if len(material.files) > 1 else ""
            yield number, f"{order.title}, {file.file_name}", cues, file.playing_ns(file.placed.span.end_ns)
    if not material.files:
        cues = [Cue(row.start_ns, row.end_ns, row.caption) for row in order.rows]
        yield "", order.title, cues, material.session.end_ns


def _ns(exact: Fraction) -> int:
    return round_half_up(exact * NS_PER_S)


_TEXTS: Mapping[str, Callable[[Order], Iterator[NamedText]]] = {
    "csv": _csv,
    "vtt": _vtt,
    "srt": _srt,
    "chapters": _chapters,
    "edl": _edl,
    "otio": _otio,
    "json": _json,
    "series": _series,
}

_BIG: Mapping[str, Callable[[Order, Path], list[Path]]] = {
    "reel": _reel,
    "page": _page,
    "pdf": _pdf,
}

_OF_CLIPS = frozenset({"reel"})

OWNER_KINDS = frozenset({"page", "pdf", "series"})
"""The kinds that are read by an owner as they are; they can do without passages."""

KINDS = (*_TEXTS, *_BIG)
"""The kinds of file that a highlight list can be written as."""

KIND_TITLES: Mapping[str, str] = {
    "page": "Page with clips, and its zip",
    "pdf": "PDF, two sheets",
    "reel": "Reel, one MP4",
    "series": "All sessions on one page",
    "csv": "Table (CSV)",
    "vtt": "Subtitles (WebVTT)",
    "srt": "Subtitles (SubRip)",
    "chapters": "Chapters (ffmpeg, WebVTT)",
    "edl": "Cutting list (EDL)",
    "otio": "Timeline (OpenTimelineIO)",
    "json": "Everything (JSON)",
}
"""What a person calls them; first those that an owner opens, then those for a program."""
