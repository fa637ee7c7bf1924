"""Another camera's clip on a session that is there: lined up by time of day, sound, or a common frame."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

from annotate.errors import ClipTrouble, Trouble
from annotate.kept_clips import KeptClip
from annotate.lining_up import Lag, lag_by_sound, start_by_lag
from annotate.media.clip import fingerprint, look
from annotate.media.sound import read_sound
from annotate.sessions import PlacedClip
from store.barn import Barn
from store.rows import NewClip


@dataclass(frozen=True, slots=True)
class CommonFrame:
    """Frame `frame` of the new clip shows what happened at `at_ns` on the session's clock."""

    frame: int
    at_ns: int


def add_view_by_time(barn: Barn, session_id: int, path: Path) -> int:
    """Adds a clip where its time of day says; its number. Raises `Trouble` where a file tells none."""
    new = _looked(barn, session_id, path)
    anchor = next((clip for clip in barn.clips(session_id) if clip.recorded_at is not None), None)
    if anchor is None or new.facts.recorded_at is None:
        raise Trouble("The files do not tell when they were recorded. Line them up by sound or by hand.")
    later = _aware(new.facts.recorded_at) - _aware(anchor.recorded_at or new.facts.recorded_at)
    return _add(barn, session_id, new, anchor.placed.starts_ns + later // timedelta(microseconds=1) * 1000)


def add_view_by_sound(barn: Barn, session_id: int, path: Path) -> int:
    """Adds a clip where its sound fits that of the session's clips best; its number. Raises `Trouble`."""
    new = _looked(barn, session_id, path)
    sound = read_sound(path)
    fits: list[tuple[Lag, KeptClip]] = []
    trouble: Trouble = ClipTrouble("This session has no clip whose sound could be compared.")
    for clip in barn.clips(session_id):
        try:
            fits.append((lag_by_sound(read_sound(clip.path), sound), clip))
        except Trouble as caught:
            trouble = caught
    if not fits:
        raise trouble
    lag, anchor = max(fits, key=lambda fit: fit[0].sureness)
    return _add(barn, session_id, new, start_by_lag(anchor.placed, _placed(new), lag))


def add_view_by_frame(barn: Barn, session_id: int, path: Path, common: CommonFrame) -> int:
    """Adds a clip so that one of its frames falls on an instant of the session's clock; its number."""
    new = _looked(barn, session_id, path)
    into_clip_ns = _placed(new).session_ns(new.facts.table.pts(common.frame))
    return _add(barn, session_id, new, common.at_ns - into_clip_ns)


def _looked(barn: Barn, session_id: int, path: Path) -> NewClip:
    facts = look(path.expanduser().absolute())
    view = max([0, *barn.session(session_id).views]) + 1
    return NewClip(facts, fingerprint(facts.path), view=view)


def _add(barn: Barn, session_id: int, new: NewClip, starts_ns: int) -> int:
    return barn.add_clips(session_id, [replace(new, starts_ns=starts_ns)])[0]


def _placed(new: NewClip) -> PlacedClip:
    table = new.facts.table
    return PlacedClip(0, 0, table.time_base, table.first_pts, table.end_pts, new.capture_speed, new.view)


def _aware(moment: datetime) -> datetime:
    return moment if moment.tzinfo else moment.replace(tzinfo=UTC)
