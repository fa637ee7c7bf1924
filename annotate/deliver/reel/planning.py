"""What of a reel is copied, what is coded anew and why, and when each frame is shown.

The reel's look is that of the clips that can give most of it as copies; every other clip is made like it.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from annotate.deliver.cuts import Cut
from annotate.deliver.reel.copying import NUMBERS_NEEDED, Run, Source, Stored, run_in, source_of
from annotate.deliver.reel.looks import Colour, Look, colour_of, look_for
from annotate.deliver.reel.parameter_sets import NONE, ParameterSets
from annotate.media.clip import ClipFacts

_USUAL_TIMESCALE: Final = 90_000
_FINEST_TIMESCALE: Final = 1_000_000
_SLOWEST, _FASTEST = Fraction(1), Fraction(60)


@dataclass(frozen=True, slots=True)
class Segment:
    """Frames of one cut that are treated alike: copied if there is a `run`, else coded anew.

    `is_edge`: the rest of the cut is copied.
    """

    cut: int
    facts: ClipFacts
    frames: range
    run: Run | None = None
    is_edge: bool = False

    @property
    def is_whole(self) -> bool:
        """Whether it is a whole cut that is coded anew."""
        return self.run is None and not self.is_edge


@dataclass(frozen=True)
class Plan:
    """A reel before it is made.

    `sets`: those of everything copied. `reasons`: for each cut that is coded anew as a whole, by its place,
    why. `ticks` are units of `timescale` to a second.
    """

    cuts: tuple[Cut, ...]
    segments: tuple[Segment, ...]
    look: Look
    colours: dict[int, Colour]
    sets: ParameterSets
    reasons: dict[int, str]
    timescale: int

    @property
    def frames(self) -> int:
        """How many frames the reel has."""
        return sum(len(segment.frames) for segment in self.segments)

    @property
    def copied_frames(self) -> int:
        """How many of them are copied."""
        return sum(len(segment.frames) for segment in self.segments if segment.run is not None)

    @property
    def length(self) -> Fraction:
        """Seconds from the first frame to the end of the last."""
        return self.cuts[-1].reel_end

    def colour_of(self, facts: ClipFacts) -> Colour:
        """The colour of a clip of the reel."""
        return self.colours[id(facts)]

    def shown_at(self, segment: Segment) -> list[int]:
        """The tick at which each frame of a segment is shown, in order."""
        cut, table = self.cuts[segment.cut], segment.facts.table
        first = table.pts(_frames(cut).start)
        before, step = cut.reel_start * self.timescale, table.time_base * self.timescale
        below = math.lcm(before.denominator, step.denominator)
        offset, factor = int(before * below), int(step * below)
        pts = table.pts_array[segment.frames.start : segment.frames.stop].tolist()
        return [(2 * (offset + (at - first) * factor) + below) // (2 * below) for at in pts]

    @property
    def rate(self) -> Fraction:
        """About how many frames a second most of the reel has, for those who code."""
        lengths: defaultdict[int, Fraction] = defaultdict(Fraction)
        for segment in self.segments:
            lengths[id(segment.facts)] += len(segment.frames)
        most = max(self.segments, key=lambda segment: lengths[id(segment.facts)]).facts
        rate = most.table.average_rate.limit_denominator(1001)
        return min(max(rate, _SLOWEST), _FASTEST)

    @property
    def reordering(self) -> int:
        """By how many ticks decoding must run ahead of showing, so that every frame is there in time."""
        ahead = 0
        for segment in self.segments:
            if segment.run is not None:
                shown = self.shown_at(segment)
                stored = (shown[number - segment.run.first] for number in segment.run.order)
                ahead = max(ahead, *(one - other for one, other in zip(shown, stored, strict=True)))
        return ahead


def plan(cuts: Sequence[Cut], *, drawn_over: bool = False) -> Plan:
    """How a reel of these cuts is made; each must have its frames. `drawn_over`: words are drawn into it."""
    clips = {id(cut.facts): cut.facts for cut in cuts if cut.facts is not None}
    colours: dict[int, Colour] = {}
    sources: dict[int, Source] = {}
    runs: dict[int, Run] = {}
    reasons: dict[int, str] = {}
    for key, facts in clips.items():
        mine = [place for place, cut in enumerate(cuts) if cut.facts is facts]
        with Stored(facts) as stored:
            colours[key] = colour_of(stored.stream)
            source = "words are drawn into it" if drawn_over else source_of(facts, stored, colours[key])
            if isinstance(source, str):
                reasons |= dict.fromkeys(mine, source)
                continue
            sources[key] = source
            for place in mine:
                run = run_in(facts, stored, _frames(cuts[place]), source.sets)
                if isinstance(run, str):
                    reasons[place] = run
                else:
                    runs[place] = run
    look, sets = _common(cuts, runs, sources, reasons)
    return Plan(
        tuple(cuts),
        tuple(_segments(cuts, runs)),
        look or _look_of_most(cuts, colours),
        colours,
        sets,
        reasons,
        _timescale(list(clips.values())),
    )


def _frames(cut: Cut) -> range:
    assert cut.frames is not None
    return cut.frames


def _common(
    cuts: Sequence[Cut], runs: dict[int, Run], sources: dict[int, Source], reasons: dict[int, str]
) -> tuple[Look | None, ParameterSets]:
    """The look of most of what can be copied and its sets; takes from `runs` what does not go with it."""
    weight: defaultdict[Look, int] = defaultdict(int)
    for place, run in runs.items():
        weight[sources[id(cuts[place].facts)].look] += len(run.order)
    if not weight:
        return None, NONE
    look = max(weight, key=lambda one: (weight[one], one.width))
    sets = NONE
    weight_of = dict.fromkeys(sources, 0)
    for place, run in runs.items():
        weight_of[id(cuts[place].facts)] += len(run.order)
    for place in sorted(runs, key=lambda place: -weight_of[id(cuts[place].facts)]):
        source = sources[id(cuts[place].facts)]
        joined = sets.with_those_of(source.sets)
        if source.look != look:
            alike = (source.look.width, source.look.height) == (look.width, look.height)
            reasons[place] = f"its {'colours differ' if alike else 'size differs'} from most of the reel"
            del runs[place]
        elif sets.clashes(source.sets) or len(joined.free_numbers) < NUMBERS_NEEDED:
            reasons[place] = "it is coded otherwise than another clip of the reel, under the same number"
            del runs[place]
        else:
            sets = joined
    return look, sets


def _segments(cuts: Sequence[Cut], runs: dict[int, Run]) -> Iterator[Segment]:
    for place, cut in enumerate(cuts):
        assert cut.facts is not None
        frames, run = _frames(cut), runs.get(place)
        if run is None:
            yield Segment(place, cut.facts, frames)
            continue
        if frames.start < run.first:
            yield Segment(place, cut.facts, range(frames.start, run.first), is_edge=True)
        yield Segment(place, cut.facts, range(run.first, run.last + 1), run)
        if run.last + 1 < frames.stop:
            yield Segment(place, cut.facts, range(run.last + 1, frames.stop), is_edge=True)


def _look_of_most(cuts: Sequence[Cut], colours: dict[int, Colour]) -> Look:
    lengths: defaultdict[int, Fraction] = defaultdict(Fraction)
    clips: dict[int, ClipFacts] = {}
    for cut in cuts:
        assert cut.facts is not None
        clips[id(cut.facts)] = cut.facts
        lengths[id(cut.facts)] += cut.length
    most = max(lengths, key=lambda key: lengths[key])
    return look_for(clips[most], colours[most])


def _timescale(clips: Sequence[ClipFacts]) -> int:
    """Ticks to a second in which every frame's time is whole, if that is not too fine."""
    exact = math.lcm(*(facts.time_base.denominator for facts in clips))
    return exact if 1000 <= exact <= _FINEST_TIMESCALE else _USUAL_TIMESCALE
