"""Where this machine has the clips of a barn on a server: by their content, in a small file on this machine.

The barn itself holds one path a clip, that of the machine which brought it in; another machine has it elsewhere.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from pathlib import Path

from annotate.kept_clips import KeptClip
from store.own_texts import OwnTexts


class FoundHere:
    """The paths that were found on this machine."""

    def __init__(self, path: Path) -> None:
        self._texts = OwnTexts(path)

    def here(self, clips: Iterable[KeptClip]) -> list[KeptClip]:
        """The clips, each where this machine has it."""
        known = self._texts.all()
        return [_at(clip, known[clip.fingerprint]) if clip.fingerprint in known else clip for clip in clips]

    def remember(self, paths: Mapping[str, Path]) -> None:
        """Keeps where clips lie here, by fingerprint. Raises `BarnTrouble` where that cannot be written."""
        self._texts.keep({mark: str(path) for mark, path in paths.items()})


def _at(clip: KeptClip, path: str) -> KeptClip:
    return replace(clip, facts=replace(clip.facts, path=Path(path)))
