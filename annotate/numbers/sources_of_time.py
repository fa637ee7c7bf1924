"""What is behind the figures of time: gaits, reins, leads, turns and what was not seen."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise

from annotate.behaviours import (
    DISUNITED,
    GAIT,
    LEFT_REIN,
    LOPE,
    OUT_OF_SIGHT,
    REIN,
    RIGHT_REIN,
    TURN_IN,
    TURN_OUT,
)
from annotate.clock import Span, Spans
from annotate.numbers.budget import way
from annotate.numbers.lead import REINS
from annotate.numbers.sources import Source, Traced, spans_as_sources

_KINDS = {"up": "up", "down": "down", "left": LEFT_REIN, "right": RIGHT_REIN}


def sources_of_seconds(traced: Traced, rest: list[str]) -> Iterable[Source]:
    """What was observed, seen, moving, untagged or in gaps."""
    seen, which = traced.seen, rest[0] if rest else "length"
    if which == "out_of_sight":
        return traced.pieces(OUT_OF_SIGHT, seen.observed)
    if which == "moving":
        return [piece for name in seen.moving_gaits for piece in traced.pieces(name, seen.visible)]
    if which == "untagged":
        tagged = Spans(span for name in traced.sheet.names(GAIT) for span in seen.of(name))
        return spans_as_sources(seen.visible - tagged, "in sight, no gait tagged")
    if which == "gaps":
        return spans_as_sources(seen.gaps, "no clip")
    if which == "visible":
        return spans_as_sources(seen.visible, "in sight")
    return spans_as_sources(seen.observed, "observed")


def sources_of_gait(traced: Traced, rest: list[str]) -> Iterable[Source]:
    """Tags of a gait, in sight, on the rein that the path names."""
    names = rest[:1] or [gait.name for gait in traced.sheet.of_group(GAIT)]
    within = traced.seen.visible
    if rest[1:2] in (["left_s"], ["left"]):
        within = traced.seen.of(LEFT_REIN)
    elif rest[1:2] in (["right_s"], ["right"]):
        within = traced.seen.of(RIGHT_REIN)
    elif rest[1:] == ["balance"]:
        within = traced.seen.of(LEFT_REIN) | traced.seen.of(RIGHT_REIN)
    return [piece for name in names for piece in traced.pieces(name, within)]


def sources_of_transitions(traced: Traced, rest: list[str]) -> Iterable[Source]:
    """Each change of gait, at its instant."""
    pair, kind = rest[1] if len(rest) > 1 else "", rest[0].removesuffix("_by_pair") if rest else "count"
    for one, other in pairwise(traced.seen.row(GAIT)):
        kinds = {way(traced.sheet, one.name, other.name), traced.seen.state_at(REIN, other.start_ns)}
        if _KINDS.get(kind) not in (None, *kinds):
            continue
        if one.end_ns == other.start_ns and pair in ("", f"{one.name}_to_{other.name}"):
            words = f"{traced.title(one.name)} to {traced.title(other.name)}"
            yield Source(other.start_ns, None, words, traced.state_at(other.name, other.start_ns))


def sources_of_rein(traced: Traced, rest: list[str]) -> Iterable[Source]:
    """Tags of a rein, in sight, as far as the horse moved or was seen."""
    which = rest[0] if rest else "balance"
    within = traced.seen.visible if which.startswith("visible") else traced.seen.moving
    reins = [LEFT_REIN] if "left" in which else [RIGHT_REIN] if "right" in which else [LEFT_REIN, RIGHT_REIN]
    return [piece for rein in reins for piece in traced.pieces(rein, within & traced.seen.visible)]


def sources_of_direction_changes(traced: Traced, rest: list[str]) -> Iterable[Source]:
    """Turns, and where a new rein began."""
    which = rest[0] if rest else "total"
    if which in (TURN_IN, TURN_OUT):
        return traced.events(lambda tag: tag.what == which)
    turns = traced.events(lambda tag: tag.what in (TURN_IN, TURN_OUT))
    reins = [
        Source(other.start_ns, None, traced.title(other.name), traced.state_at(other.name, other.start_ns))
        for one, other in pairwise(s for s in traced.seen.row(REIN) if s.name in (LEFT_REIN, RIGHT_REIN))
        if one.name != other.name
    ]
    return [*turns, *reins] if which == "total" else reins


def sources_of_lead(traced: Traced, rest: list[str]) -> Iterable[Source]:
    """Tags of a lead as far as they lie in lope."""
    seen = traced.seen
    lope = seen.of(LOPE)
    sides = rest[:1] if rest[:1] in (["left"], ["right"]) else ["left", "right"]
    which = rest[-1] if rest and rest[-1].endswith("_s") else "share_correct"
    if rest[:1] == sides:
        lope &= seen.of(REINS[sides[0]][0])
    if which == "lope_s":
        return traced.pieces(LOPE, lope)
    judged = [] if which in ("correct_s", "wrong_s") else traced.pieces(DISUNITED, lope)
    if which == "disunited_s":
        return judged
    for side in sides:
        rein, correct, wrong = REINS[side]
        on_rein = lope & seen.of(rein)
        judged += traced.pieces(correct, on_rein) if which != "wrong_s" else []
        judged += traced.pieces(wrong, on_rein) if which != "correct_s" else []
    if which == "untagged_s":
        leads = Spans(Span(one.start_ns, one.end_ns) for one in judged if one.end_ns is not None)
        return spans_as_sources(lope - leads, "lope, lead or rein not tagged")
    return judged
