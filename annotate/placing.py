"""Where the clips of a session begin on its clock: by time of day where the files tell it, else in a row."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta


@dataclass(frozen=True, slots=True)
class Unplaced:
    """A clip before it has a place: when it was recorded (or None) and how long it is in the horse's time.

    `view` numbers the camera: clips of one camera follow each other, those of two may run side by side.
    """

    recorded_at: datetime | None
    length_ns: int
    view: int = 1


def start_times(clips: Sequence[Unplaced]) -> list[int]:
    """The session time at which each clip begins, in the order given; the earliest begins at zero.

    Time of day places a clip if every clip has one; metadata often has whole seconds only, so a clip never
    begins before the one before it of the same camera has ended. Without a time of day the clips of a camera
    follow each other, and every camera begins at zero.
    """
    moments = [_instant(clip.recorded_at) for clip in clips]
    known = [moment for moment in moments if moment is not None]
    by_day_time = len(known) == len(clips)
    order = sorted(range(len(clips)), key=lambda i: known[i]) if by_day_time else range(len(clips))
    starts = [0] * len(clips)
    ends_ns: dict[int, int] = {}
    for i in order:
        end_ns = ends_ns.get(clips[i].view, 0)
        wanted = known[i] - min(known) if by_day_time else end_ns
        starts[i] = max(wanted, end_ns)
        ends_ns[clips[i].view] = starts[i] + clips[i].length_ns
    return starts


def _instant(moment: datetime | None) -> int | None:
    """Nanoseconds since the epoch, exact to the microsecond; a moment without a zone counts as UTC."""
    if moment is None:
        return None
    aware = moment if moment.tzinfo else moment.replace(tzinfo=UTC)
    since = aware - datetime(1970, 1, 1, tzinfo=UTC)
    return since // timedelta(microseconds=1) * 1_000
