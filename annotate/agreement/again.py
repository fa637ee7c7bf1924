"""Drawing the passages that are tagged again: at random across gaits and reactions, in shuffled order.

What was observed is cut into passages of about half a minute, as clear of tagged instants as can be.
Passages with a reaction are one kind, the others are sorted by the gait that fills most of them. Every kind
gets its part of the share; a rare kind gets one passage while there are enough to give, so that it comes in
at all.
"""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise
from random import Random

from annotate.agreement.looks import UNTAGGED, cut
from annotate.behaviours import GAIT, OUT_OF_SIGHT, REACTION, Sheet
from annotate.clock import NS_PER_S, Span, Spans, round_half_up
from annotate.errors import Trouble
from annotate.numbers.observed import Seen, look_at
from annotate.sessions import Session
from annotate.tags import Tag

PASSAGE_NS = 30 * NS_PER_S
CLEAR_NS = 3 * NS_PER_S
REACH_NS = 10 * NS_PER_S
SHARE = Fraction(15, 100)
LEAST_SHARE, MOST_SHARE = Fraction(1, 100), Fraction(1)


@dataclass(frozen=True, slots=True)
class Again:
    """A passage to be tagged again, and whether that has been done."""

    span: Span
    done: bool = False


@dataclass(frozen=True)
class SecondLook:
    """The passages to be tagged again, in the order in which they are shown; `seed` drew them."""

    seed: int
    passages: tuple[Again, ...]

    @property
    def done(self) -> tuple[Span, ...]:
        """What has been looked at twice by now."""
        return tuple(again.span for again in self.passages if again.done)

    @property
    def next(self) -> Span | None:
        """The passage to be shown now; None when all are done."""
        return next((again.span for again in self.passages if not again.done), None)

    def finished(self, span: Span) -> SecondLook:
        """The same with a passage done."""
        return replace(
            self,
            passages=tuple(
                replace(again, done=True) if again.span == span else again for again in self.passages
            ),
        )


def draw_passages(
    session: Session, tags: Sequence[Tag], sheet: Sheet, seed: int, share: Fraction = SHARE
) -> SecondLook:
    """Passages that make up about `share` of what was observed; the same seed draws the same ones.

    Usual is 0.10 to 0.20. Raises `Trouble` for a share outside 0.01 to 1 and where nothing was observed.
    """
    if not LEAST_SHARE <= share <= MOST_SHARE:
        raise Trouble("The share to be tagged again is 0.01 to 1; usual is 0.10 to 0.20.")
    seen = look_at(session, tags, sheet)
    kinds: defaultdict[str, list[Span]] = defaultdict(list)
    every = _passages(seen)
    if not every:
        raise Trouble("Nothing of this session can be tagged again, for nothing was observed.")
    for span in every:
        kinds[_kind(seen, sheet, span)].append(span)
    wanted = max(1, round_half_up(len(every) * share))
    random = Random(seed)
    drawn = [
        span
        for kind, count in _parts({kind: len(spans) for kind, spans in kinds.items()}, wanted).items()
        for span in random.sample(kinds[kind], count)
    ]
    random.shuffle(drawn)
    return SecondLook(seed, tuple(map(Again, drawn)))


def second_look_text(look: SecondLook) -> str:
    """A second look as a small text to be kept."""
    passages = [[again.span.start_ns, again.span.end_ns, again.done] for again in look.passages]
    return json.dumps({"seed": look.seed, "passages": passages})


def read_second_look(text: str) -> SecondLook:
    """The second look that `second_look_text` wrote. Raises `Trouble` for anything else."""
    try:
        kept = json.loads(text)
        passages = tuple(Again(Span(int(a), int(b)), bool(done)) for a, b, done in kept["passages"])
        return SecondLook(int(kept["seed"]), passages)
    except (ValueError, TypeError, KeyError) as error:
        raise Trouble("The list of passages to tag again cannot be read. Draw them anew.") from error


def _passages(seen: Seen) -> list[Span]:
    events = [event.start_ns for event in seen.events]
    spans: list[Span] = []
    for start_ns, end_ns in seen.observed.edges:
        edges = [part.end_ns for part in cut(Spans([Span(start_ns, end_ns)]), PASSAGE_NS)]
        begin_ns = start_ns
        for edge_ns in edges:
            moved_ns = end_ns if edge_ns == end_ns else _clear_of(events, edge_ns)
            if end_ns - moved_ns < CLEAR_NS:
                moved_ns = end_ns
            if moved_ns > begin_ns:
                spans.append(Span(begin_ns, moved_ns))
                begin_ns = moved_ns
    return spans


def _clear_of(events: Sequence[int], edge_ns: int) -> int:
    """The nearest edge that is clear of every instant; among dense ones the middle of the widest gap."""
    near = [at_ns for at_ns in events if abs(at_ns - edge_ns) < REACH_NS + CLEAR_NS]
    asides = (at_ns + side for at_ns in near for side in (-CLEAR_NS, CLEAR_NS))
    clear = [
        place_ns
        for place_ns in (edge_ns, *asides)
        if abs(place_ns - edge_ns) <= REACH_NS and all(abs(at_ns - place_ns) >= CLEAR_NS for at_ns in near)
    ]
    if clear:
        return min(clear, key=lambda place_ns: abs(place_ns - edge_ns))
    before, after = max(pairwise(near), key=lambda pair: pair[1] - pair[0])
    return (before + after) // 2


def _kind(seen: Seen, sheet: Sheet, span: Span) -> str:
    reactions = sheet.names(REACTION)
    if any(event.what in reactions and span.holds(event.start_ns) for event in seen.events):
        return REACTION
    here = Spans([span])
    lengths = {gait: (seen.of(gait) & here).length_ns for gait in sorted(sheet.names(GAIT))}
    lengths[OUT_OF_SIGHT] = (seen.out_of_sight & here).length_ns
    lengths[UNTAGGED] = span.length_ns - sum(lengths.values())
    return max(lengths, key=lambda kind: lengths[kind])


def _parts(counts: Mapping[str, int], wanted: int) -> dict[str, int]:
    """How many of each kind: one each, reactions and then frequent kinds first, then by proportion."""
    order = sorted(counts, key=lambda kind: (kind != REACTION, -counts[kind], kind))
    parts = {kind: int(place < wanted) for place, kind in enumerate(order)}
    total = sum(counts.values())
    for _ in range(wanted - sum(parts.values())):
        room = [kind for kind in order if parts[kind] < counts[kind]]
        behind = max(room, key=lambda kind: Fraction(counts[kind] * wanted, total) - parts[kind])
        parts[behind] += 1
    return parts
