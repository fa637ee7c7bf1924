"""Gathers from the barn what a deliverable is made from."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from annotate.deliver.highlights import ClipFile, Material
from annotate.kept_clips import KeptClip
from annotate.passages import Passage
from store.barn import Barn


def clip_files(clips: Iterable[KeptClip]) -> tuple[ClipFile, ...]:
    """The clips as a deliverable knows them: by file name, without folders."""
    return tuple(ClipFile(clip.placed, clip.path.name, clip.container_start) for clip in clips)


def material_of(barn: Barn, session_id: int, passages: Sequence[Passage]) -> Material:
    """A session's passages with what is known of them."""
    files = clip_files(barn.clips(session_id))
    return Material(barn.session(session_id), tuple(passages), barn.tags(session_id), barn.sheet(), files)
