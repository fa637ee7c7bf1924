"""Lost and found: clips that moved are found again by their content, all at once."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from annotate.errors import ClipTrouble
from annotate.kept_clips import KeptClip
from annotate.media.finding import OnProgress, recordings_in
from store.barn import Barn


@dataclass(frozen=True, slots=True)
class Found:
    """The clips that were found again, with their new paths, and those that are still lost."""

    found: tuple[tuple[KeptClip, Path], ...]
    lost: tuple[KeptClip, ...]

    @property
    def words(self) -> str:
        """What came of it, in one sentence."""
        if not self.found and not self.lost:
            return "No clip is lost."
        count = len(self.found)
        found = "1 clip was found again" if count == 1 else f"{count} clips were found again"
        return f"{found}, {len(self.lost)} still lost." if self.lost else f"{found}, none is lost any more."


def find_lost(
    barn: Barn,
    folder: Path,
    on_progress: OnProgress = lambda done, of: None,
    cancelled: Callable[[], bool] = lambda: False,
) -> Found:
    """Looks in a folder for every clip whose file is gone; what is found is remembered in one step."""
    if not folder.is_dir():
        raise ClipTrouble(f"There is no folder {folder} to look in.")
    lost = [clip for clip in barn.all_clips() if clip.missing]
    marks = [clip.fingerprint for clip in lost]
    places = recordings_in(folder, marks, on_progress, cancelled) if lost else {}
    found = tuple((clip, places[clip.fingerprint]) for clip in lost if clip.fingerprint in places)
    barn.clips_found({clip.id: path for clip, path in found})
    return Found(found, tuple(clip for clip in lost if clip.fingerprint not in places))
