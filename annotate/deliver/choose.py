"""Passages chosen by rule, for a session in which nobody has marked any.

Each reaction of severity 2 and more with its recovery, the longest lope on each rein (the longest trot where
there is no lope on it), one turn in and one turn out; all in plain sight, with a little before and after.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from annotate.behaviours import GAIT, LEFT_REIN, REIN, RIGHT_REIN, TURN_IN, TURN_OUT, Sheet
from annotate.clock import NS_PER_S, Span, Spans
from annotate.deliver.wording import capital, reaction_words, time_words
from annotate.numbers.observed import Seen, look_at
from annotate.numbers.recovery import Ending, Recovery, recoveries
from annotate.passages import Passage
from annotate.sessions import Session
from annotate.tags import Tag

LEAD_IN_NS = 3 * NS_PER_S
LEAD_OUT_NS = 2 * NS_PER_S
LEAST_SEVERITY = 2

# Our own choice: an owner need not watch a horse not settling for longer.
LONGEST_WITHOUT_CALM_NS = 30 * NS_PER_S

_NOT_CALM: dict[Ending, str] = {
    "reaction": "not calm before the next reaction",
    "out_of_sight": "not calm before it went out of sight",
    "gap": "not calm before the clip ended",
    "end": "not calm before the session ended",
}


def choose_passages(session: Session, tags: Sequence[Tag], sheet: Sheet) -> list[Passage]:
    """The passages, in order of time; those that overlap are one, with both captions.

    Empty where the tags give nothing to show. Raises `TagTrouble` where the tags contradict each other.
    """
    seen = look_at(session, tags, sheet)
    found = [*_reactions(seen, sheet), *_longest_gaits(seen, sheet), *_turns(seen, sheet)]
    widened = [wide for passage in found if (wide := _widened(passage, seen)) is not None]
    merged: list[Passage] = []
    for passage in sorted(widened, key=lambda one: (one.start_ns, one.end_ns)):
        if merged and passage.start_ns < merged[-1].end_ns:
            last = merged[-1]
            caption = f"{last.caption}; {passage.caption}"
            merged[-1] = replace(last, end_ns=max(last.end_ns, passage.end_ns), caption=caption)
        else:
            merged.append(passage)
    return [replace(passage, position=position) for position, passage in enumerate(merged)]


def _reactions(seen: Seen, sheet: Sheet) -> Iterator[Passage]:
    for recovery in recoveries(seen, sheet).each:
        reaction = recovery.reaction
        if (reaction.severity or 0) >= LEAST_SEVERITY:
            shown_ns = recovery.time_ns
            if recovery.cut_short:
                shown_ns = min(shown_ns, LONGEST_WITHOUT_CALM_NS)
            caption = f"{capital(reaction_words(sheet, reaction))}, {_recovery_words(recovery)}"
            yield Passage(reaction.start_ns, reaction.start_ns + shown_ns, caption)


def _recovery_words(recovery: Recovery) -> str:
    if recovery.ending == "calm":
        return f"calm after {time_words(recovery.time_ns)}"
    return _NOT_CALM[recovery.ending]


def _longest_gaits(seen: Seen, sheet: Sheet) -> Iterator[Passage]:
    for rein in (LEFT_REIN, RIGHT_REIN):
        for gait in ("lope", "trot"):
            bouts = list(seen.of(gait) & seen.of(rein))
            if bouts:
                longest = max(bouts, key=lambda span: (span.length_ns, -span.start_ns))
                words = f"{sheet[gait].title} on the {sheet[rein].title}, {time_words(longest.length_ns)}"
                yield Passage(longest.start_ns, longest.end_ns, capital(words))
                break


def _turns(seen: Seen, sheet: Sheet) -> Iterator[Passage]:
    for what in (TURN_IN, TURN_OUT):
        turn = next((e for e in seen.events if e.what == what and seen.visible.holds(e.start_ns)), None)
        if turn is not None:
            yield Passage(turn.start_ns, turn.start_ns, _turn_words(seen, sheet, turn))


def _turn_words(seen: Seen, sheet: Sheet, turn: Tag) -> str:
    words = capital(sheet[turn.what].title)
    before = seen.state_at(REIN, turn.start_ns - 1)
    after = seen.state_at(REIN, turn.start_ns)
    gait = seen.state_at(GAIT, turn.start_ns)
    if gait is not None:
        words += f" at {sheet[gait].title}"
    if before is not None and after is not None and before != after:
        words += f", from the {sheet[before].title} to the {sheet[after].title}"
    return words


def _widened(passage: Passage, seen: Seen) -> Passage | None:
    """With what leads in and out, within the stretch of observed time that it lies in."""
    stretch = seen.observed.span_at(passage.start_ns)
    if stretch is None:
        return None
    wanted = Span(max(0, passage.start_ns - LEAD_IN_NS), passage.end_ns + LEAD_OUT_NS)
    (span,) = Spans([wanted]) & Spans([stretch])
    return replace(passage, start_ns=span.start_ns, end_ns=span.end_ns)
