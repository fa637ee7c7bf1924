"""What the cards of the barn's page show of each session, read beside the window."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from PySide6.QtGui import QImage

from annotate.errors import Trouble
from app.jobs import Job
from app.session_card import STILL_SIZE

if TYPE_CHECKING:
    from annotate.kept_clips import KeptClip
    from annotate.sessions import Session
    from annotate.tags import Tag
    from store.address import Place


@dataclass(frozen=True, slots=True)
class Work:
    """A session with its tags and a still of its first clip, if it has one."""

    session: Session
    tags: tuple[Tag, ...]
    still: QImage | None


def read_work(place: Place, ids: Sequence[int], job: Job) -> list[Work]:
    """Reads sessions in this order until the job is cancelled."""
    from store.barn import Barn

    works = []
    with Barn.open(place) as barn:
        for done, session_id in enumerate(ids):
            if job.is_cancelled():
                break
            clips = barn.clips(session_id)
            still = _still(clips[0]) if clips else None
            works.append(Work(barn.session(session_id), barn.tags(session_id), still))
            job.report(done + 1, len(ids))
    return works


def _still(clip: KeptClip) -> QImage | None:
    """The clip's first picture, small; None where the clip is gone or cannot be read."""
    from annotate.media.reader import first_picture
    from app.images import image_of

    if clip.missing:
        return None
    try:
        return image_of(first_picture(clip.path, max_size=(2 * STILL_SIZE.width(), 2 * STILL_SIZE.height())))
    except Trouble:
        return None
