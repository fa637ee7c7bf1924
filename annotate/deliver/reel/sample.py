"""One picture of a reel as it will look, with what is drawn into it: made by the same way as the reel itself."""

from __future__ import annotations

import tempfile
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

from annotate.deliver.cuts import Cut
from annotate.deliver.reel.drawing import Drawn
from annotate.deliver.reel.reel import write_reel
from annotate.media.clip import look
from annotate.media.reader import FrameReader
from annotate.media.upright import RGB


def sample(cuts: Sequence[Cut], drawn: Drawn) -> RGB | None:
    """The middle picture of the first cut; None where no cut has frames. Raises `ClipTrouble`, `Trouble`."""
    found = next((cut for cut in cuts if cut.facts is not None and cut.frames is not None), None)
    if found is None:
        return None
    with tempfile.TemporaryDirectory(prefix="reel-") as folder:
        path = Path(folder) / "sample.mp4"
        write_reel([_one_frame(found)], path, drawn=drawn)
        with FrameReader(look(path), cache_bytes=0) as reader:
            return reader.frame(0)


def _one_frame(cut: Cut) -> Cut:
    assert cut.facts is not None
    assert cut.frames is not None
    number = cut.frames[len(cut.frames) // 2]
    table, zero = cut.facts.table, cut.facts.container_start
    start, end = (pts * table.time_base - zero for pts in table.interval(number))
    return replace(cut, frames=range(number, number + 1), start=start, end=end, reel_start=Fraction(0))
