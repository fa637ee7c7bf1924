"""Makes the reel of a highlight list: copies what can be copied, codes the rest, and joins both to one MP4.

Copied and coded pictures have parameter sets with different numbers, all of them in the file's one record, so
a join is an ordinary entry point for any decoder. The file appears whole or not at all.
"""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Iterable, Iterator, Sequence
from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path

from av.video.stream import VideoStream

from annotate.clock import round_half_up
from annotate.deliver.cuts import Cut
from annotate.deliver.reel.coding import Coder, Coding
from annotate.deliver.reel.copying import Stored, copied
from annotate.deliver.reel.drawing import FONT_FILE, Drawn, Scene, drawing
from annotate.deliver.reel.edges import EdgesAhead, edge_sets
from annotate.deliver.reel.mp4 import Mp4
from annotate.deliver.reel.parameter_sets import NONE, ParameterSets
from annotate.deliver.reel.planning import Plan, Segment, plan
from annotate.deliver.reel.sound import SoundTrack
from annotate.deliver.watch import UNWATCHED, Watch
from annotate.errors import Trouble
from annotate.media.clip import ClipFacts
from annotate.writing import written_whole


@dataclass(frozen=True, slots=True)
class Reel:
    """A reel that was made. `reasons`: why passages, by their number, had to be coded anew as a whole."""

    path: Path
    frames: int
    copied_frames: int
    reasons: dict[int, str]

    @property
    def words(self) -> str:
        """What was done, in a sentence or two."""
        coded = self.frames - self.copied_frames
        said = f"The reel has {self.frames} frames: {self.copied_frames} copied, {coded} coded anew."
        by_reason: dict[str, list[int]] = {}
        for number, reason in self.reasons.items():
            by_reason.setdefault(reason, []).append(number)
        for reason, numbers in by_reason.items():
            which = sorted(set(numbers))
            said += f" Passage{'s' if len(which) > 1 else ''} {_listed(which)}: coded anew, as {reason}."
        return said


def _listed(numbers: Sequence[int]) -> str:
    """'1 to 7, 9': runs of three and more from their first to their last."""
    runs: list[list[int]] = []
    for number in numbers:
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    said = (f"{run[0]} to {run[-1]}" if len(run) > 2 else ", ".join(map(str, run)) for run in runs)
    return ", ".join(said)


def write_reel(
    cuts: Sequence[Cut], to: Path, *, drawn: Drawn | None = None, watch: Watch = UNWATCHED
) -> Reel:
    """Joins the cuts, in their order, to the MP4 file `to`.

    Raises `Trouble` where there is nothing to join, a clip cannot be read or the disk refuses, and
    `Cancelled` if stopped; then no file is left, and one that was there before is untouched.
    """
    if not cuts or any(cut.facts is None or cut.frames is None for cut in cuts):
        raise Trouble("There is no clip to make a reel from. Add the clips, or find them again.")
    watch.go_on(0, 0)
    made = plan(cuts, drawn_over=bool(drawn))
    with written_whole(to) as beside, beside.open("w+b") as file, ExitStack() as stack:
        work = _Work(made, drawn, stack)
        sound = stack.enter_context(SoundTrack(made.cuts))
        sets = work.all_sets()
        shown = _rising(at for segment in made.segments for at in made.shown_at(segment))
        end = max(round_half_up(made.length * made.timescale), shown[-1] + 1)
        with Mp4(
            file,
            work.likeness(),
            sets.record(),
            shown,
            end,
            made.timescale,
            made.reordering,
            sound.stream,
            sound.packets(),
        ) as mp4:
            for done, (place, content, is_entry) in enumerate(work.pictures()):
                watch.go_on(done, len(shown))
                mp4.picture(place, content, is_entry)
        watch.go_on(len(shown), len(shown))
    reasons = {made.cuts[place].row.number: why for place, why in sorted(made.reasons.items())}
    return Reel(to, made.frames, made.copied_frames, reasons)


def _rising(ticks: Iterable[int]) -> list[int]:
    """Each at least one later than the one before, should the ticks be too coarse to tell two apart."""
    found: list[int] = []
    for tick in ticks:
        found.append(max(tick, found[-1] + 1) if found else tick)
    return found


class _Work:
    """Everything that gives the pictures of a plan, each begun when it is first needed."""

    def __init__(self, made: Plan, drawn: Drawn | None, stack: ExitStack) -> None:
        self._plan = made
        self._drawn = drawn
        self._stack = stack
        self._stored: dict[int, Stored] = {}
        self._coders: dict[int, Coder] = {}
        numbers = made.sets.free_numbers
        self._edge_coding = Coding(made.look, numbers[0], made.rate)
        self._coding = Coding(made.look, numbers[1], made.rate)
        self._coded_sets = NONE
        edges = ((one.facts, one.frames) for one in made.segments if one.is_edge)
        self._edges = stack.enter_context(EdgesAhead(edges, self._edge_coding))
        self._folder = Path(stack.enter_context(tempfile.TemporaryDirectory(prefix="reel-")))
        if drawn:
            shutil.copy(FONT_FILE, self._folder)

    def all_sets(self) -> ParameterSets:
        """Those of everything in the reel, copied or coded."""
        sets = self._plan.sets
        if any(segment.is_edge for segment in self._plan.segments):
            sets = sets.with_those_of(edge_sets(self._edge_coding))
        whole = next((segment for segment in self._plan.segments if segment.is_whole), None)
        if whole is not None:
            self._coded_sets = self._coder(whole.facts).sets
            sets = sets.with_those_of(self._coded_sets)
        return sets

    def likeness(self) -> VideoStream:
        """A stream that the reel's pictures are like, in all but their parameter sets."""
        copied_one = next((segment for segment in self._plan.segments if segment.run is not None), None)
        if copied_one is not None:
            return self._packets(copied_one.facts).stream
        return self._coder(self._plan.segments[0].facts).stream

    def pictures(self) -> Iterator[tuple[int, bytes, bool]]:
        """In the order stored: each picture's place in the reel, its content, whether it is an entry."""
        before = 0
        for segment in self._plan.segments:
            count = 0
            for number, content, is_entry in self._of(segment):
                yield before + number - segment.frames.start, content, is_entry
                count += 1
            if count != len(segment.frames):
                raise Trouble(f"{segment.facts.path.name} changed while it was read. Try again.")
            before += count

    def _of(self, segment: Segment) -> Iterator[tuple[int, bytes, bool]]:
        if segment.run is not None:
            yield from copied(self._packets(segment.facts), segment.run)
            return
        if segment.is_edge:
            some = iter(self._edges.next())
        else:
            coder = self._coder(segment.facts)
            if coder.sets != self._coded_sets:
                raise Trouble("ffmpeg coded two passages in ways that cannot be joined.")
            some = coder.take(len(segment.frames))
        for number, (content, is_entry) in zip(segment.frames, some, strict=False):
            yield number, content, is_entry

    def _packets(self, facts: ClipFacts) -> Stored:
        if id(facts) not in self._stored:
            self._stored[id(facts)] = self._stack.enter_context(Stored(facts))
        return self._stored[id(facts)]

    def _coder(self, facts: ClipFacts) -> Coder:
        if id(facts) not in self._coders:
            mine = [one for one in self._plan.segments if one.is_whole and one.facts is facts]
            words = self._words(mine) if self._drawn else None
            colour = self._plan.colour_of(facts)
            stretches = [segment.frames for segment in mine]
            coder = Coder(facts, colour, stretches, self._coding, self._folder, words)
            self._coders[id(facts)] = self._stack.enter_context(coder)
        return self._coders[id(facts)]

    def _words(self, segments: Sequence[Segment]) -> str:
        assert self._drawn is not None
        scenes: list[Scene] = []
        at = 0
        for segment in segments:
            row = self._plan.cuts[segment.cut].row
            after = at + len(segment.frames)
            scenes.append(Scene(at, after, row.caption, row.start_ns, row.end_ns))
            at = after
        name = f"words-{len(self._coders)}.ass"
        text = drawing(self._drawn, scenes, self._coding.look, self._coding.rate)
        (self._folder / name).write_text(text, encoding="utf-8")
        return name
