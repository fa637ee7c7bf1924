"""The highlight list as it is cut: what of which file, frame by frame, and where it comes to lie in the reel.

A frame belongs to a passage if it begins in it, so passages that touch share no frame and lose none. Times
are exact seconds: `start` and `end` on the player's clock of the clip, `reel_start` and `reel_end` in the
reel. Slow motion runs at its playing speed in both.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from annotate.clock import NS_PER_S
from annotate.deliver.highlights import ClipFile, Highlight, Material
from annotate.media.clip import ClipFacts


@dataclass(frozen=True, slots=True)
class Cut:
    """One row of the list as it is cut.

    `frames`: the numbers of the clip's frames in it; None where there is no clip or its frames are unknown.
    """

    row: Highlight
    file: ClipFile | None
    frames: range | None
    start: Fraction
    end: Fraction
    reel_start: Fraction

    @property
    def length(self) -> Fraction:
        """How long it plays."""
        return self.end - self.start

    @property
    def reel_end(self) -> Fraction:
        """Where the next one begins."""
        return self.reel_start + self.length

    @property
    def facts(self) -> ClipFacts | None:
        """What is known of the clip."""
        return self.file.facts if self.file is not None else None

    @property
    def rate(self) -> Fraction | None:
        """The clip's frames per second, if they are known."""
        return self.facts.rate if self.facts is not None else None


def cuts(material: Material, rows: Sequence[Highlight]) -> tuple[Cut, ...]:
    """The rows as they are cut, one after the other.

    Rows that no clip shows are left out; of a session without clips every row is kept, on its own clock.
    """
    by_id = {file.placed.id: file for file in material.files}
    found: list[Cut] = []
    at = Fraction(0)
    for row in rows:
        file = by_id.get(row.clip_id) if row.clip_id is not None else None
        if file is None and material.files:
            continue
        frames, start, end = _place(row, file)
        found.append(Cut(row, file, frames, start, end, at))
        at = found[-1].reel_end
    return tuple(found)


def rate_of(found: Iterable[Cut]) -> Fraction:
    """The rate of most of the time that is shown; 30 frames per second where none is known."""
    lengths: dict[Fraction, Fraction] = {}
    for cut in found:
        if cut.rate is not None:
            lengths[cut.rate] = lengths.get(cut.rate, Fraction(0)) + cut.length
    return max(lengths, key=lambda rate: (lengths[rate], rate), default=Fraction(30))


def frames_in(facts: ClipFacts, file: ClipFile, start_ns: int, end_ns: int) -> range:
    """The frames that begin in [start_ns, end_ns) of the session; the one on the screen if none does."""
    first, after = (_first_from(facts, file, at_ns) for at_ns in (start_ns, end_ns))
    return range(first, after) if first < after else range(max(0, after - 1), max(1, after))


def _first_from(facts: ClipFacts, file: ClipFile, at_ns: int) -> int:
    """The first frame that begins at or after an instant; one past the last if none does."""
    pts = file.placed.pts_at(at_ns)
    exact = file.placed.session_ns(pts) == at_ns
    return int(np.searchsorted(facts.table.pts_array, pts, side="left" if exact else "right"))


def _place(row: Highlight, file: ClipFile | None) -> tuple[range | None, Fraction, Fraction]:
    if file is not None and file.facts is not None:
        table = file.facts.table
        frames = frames_in(file.facts, file, row.start_ns, row.end_ns)
        start, end = table.pts(frames.start), table.interval(frames.stop - 1)[1]
        base, zero = table.time_base, file.container_start
        return frames, start * base - zero, end * base - zero
    if row.clip_start_ns is not None and row.clip_end_ns is not None:
        start_ns, end_ns = row.clip_start_ns, row.clip_end_ns
    else:
        start_ns, end_ns = row.start_ns, row.end_ns
    return None, Fraction(start_ns, NS_PER_S), Fraction(max(end_ns, start_ns + 1), NS_PER_S)
