"""Bringing in a camera's card: reading its folder, and keeping the sessions that the person agreed to.

What was kept before is known by its content and passed over, so that work that was stopped is carried on by
doing it again.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from fractions import Fraction
from pathlib import Path

from PySide6.QtCore import QCoreApplication

from annotate.card import CardClip, Proposal
from annotate.clock import round_half_up
from annotate.errors import Cancelled, Trouble
from annotate.media.clip import fingerprint, look
from annotate.media.copying import copy_clip
from app.asking import CLIP_NAMES
from app.bringing_in import Progress, placed_at_speed
from store.barn import Barn
from store.rows import NewClip

_US_PER_S = 1_000_000


@dataclass(frozen=True, slots=True)
class Card:
    """What a folder holds: clips that are new, those that the barn has, and those that cannot be used."""

    clips: tuple[CardClip, ...]
    known: tuple[Path, ...]
    unusable: tuple[tuple[Path, str], ...]
    looked: dict[str, NewClip] = field(default_factory=dict)
    """What was found out about each clip, by fingerprint."""


def clips_in(folder: Path) -> list[Path]:
    """The files of a folder, and of those within it, that have a clip's name; in order."""
    endings = {name.removeprefix("*") for name in CLIP_NAMES.split()}
    found = (path for path in folder.rglob("*") if path.suffix.lower() in endings and path.is_file())
    return sorted(path for path in found if not path.name.startswith("."))


def read_card(
    barn: Barn,
    folder: Path,
    looked: dict[str, NewClip],
    on_progress: Progress = lambda done, of: None,
    cancelled: Callable[[], bool] = lambda: False,
) -> Card:
    """Looks at every clip of a folder. `looked` keeps what was found out, also if this is stopped.

    Progress counts clips in hundredths. Raises `Trouble` for a folder that is not there, `Cancelled`.
    """
    if not folder.is_dir():
        words = QCoreApplication.translate("card", "There is no folder {folder}. See that the card is in.")
        raise Trouble(words.format(folder=folder))
    paths = clips_in(folder)
    had = {clip.fingerprint for clip in barn.all_clips()}
    clips: dict[str, CardClip] = {}
    known: list[Path] = []
    unusable: list[tuple[Path, str]] = []
    for i, path in enumerate(paths):

        def part(done: int, of: int, i: int = i) -> None:
            on_progress(100 * i + 100 * done // max(of, 1), 100 * len(paths))

        if cancelled():
            raise Cancelled
        try:
            mark = fingerprint(path)
            if mark in had or mark in clips:
                known.append(path)
                continue
            if mark not in looked:
                looked[mark] = NewClip(look(path, on_progress=part, cancelled=cancelled), mark)
        except Trouble as trouble:
            unusable.append((path, str(trouble)))
            continue
        new = looked[mark] = replace(looked[mark], facts=replace(looked[mark].facts, path=path))
        length = timedelta(microseconds=round_half_up(new.facts.table.duration * _US_PER_S))
        clips[mark] = CardClip(path, new.facts.recorded_at, length, mark)
    return Card(tuple(clips.values()), tuple(known), tuple(unusable), dict(looked))


def bring_in_sessions(
    barn: Barn,
    card: Card,
    proposals: Sequence[Proposal],
    copy_to: Path | None = None,
    on_progress: Progress = lambda done, of: None,
    cancelled: Callable[[], bool] = lambda: False,
) -> list[int]:
    """Keeps the sessions that have a horse; their numbers. With `copy_to` the clips are copied there first.

    Each session is kept as soon as its clips are there: stopped midway, those before it stay.
    """
    wanted = [one for one in proposals if one.horse.strip()]
    if not wanted:
        raise Trouble(QCoreApplication.translate("card", "Name the horse of at least one session."))
    bytes_in_all = sum(clip.path.stat().st_size for one in wanted for clip in one.clips) if copy_to else 0
    done_bytes = 0
    kept = []
    for number, one in enumerate(wanted):
        clips = [card.looked[clip.fingerprint] for clip in one.clips]
        if copy_to is not None:
            copied = []
            for clip in clips:

                def part(done: int, of: int, before: int = done_bytes) -> None:
                    on_progress((2 * before + done) >> 10, (2 * bytes_in_all) >> 10)

                to = copy_to / _folder_name(one) / clip.facts.path.name
                size = clip.facts.path.stat().st_size
                path = copy_clip(clip.facts.path, to, part, cancelled)
                copied.append(replace(clip, facts=replace(clip.facts, path=path)))
                done_bytes += size
            clips = copied
        if cancelled():
            raise Cancelled
        kept.append(barn.add_session(one.horse, one.day or date.today(), placed_at_speed(clips, Fraction(1))))
        if copy_to is None:
            on_progress(number + 1, len(wanted))
    return kept


def _folder_name(one: Proposal) -> str:
    horse = "".join(sign if sign.isalnum() or sign in " -_" else "_" for sign in one.horse.strip())
    return f"{horse} {(one.day or date.today()).isoformat()}"
