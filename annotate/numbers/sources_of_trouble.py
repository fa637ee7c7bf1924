"""What is behind the figures of reactions and recoveries."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from annotate.behaviours import LEFT_REIN, RIGHT_REIN, STIMULUS, stimulus_of
from annotate.clock import Spans
from annotate.numbers.recovery import Recovery
from annotate.numbers.sources import Source, Traced, spans_as_sources
from annotate.tags import Tag

_ENDED = {
    "calm": "to calm",
    "reaction": "to the next reaction, cut short",
    "out_of_sight": "until out of sight, cut short",
    "gap": "to the end of the clip, cut short",
    "end": "to the end, cut short",
}


def sources_of_reactions(traced: Traced, rest: list[str]) -> Iterable[Source]:
    """The reactions that a count or a rate counts; of its minutes, the stretches that it counted in."""
    seen = traced.seen
    if rest[-1:] == ["minutes"]:
        return _counted_in(traced, rest)
    word, *more = rest or ["count"]
    if word == "rates":
        word, *more = more or ["by_kind"]
        return _sorted_reactions(traced, word, more, in_sight=True)
    if word in ("left", "right"):
        spans = seen.of(LEFT_REIN if word == "left" else RIGHT_REIN)
        return traced.reactions(lambda tag: spans.holds(tag.start_ns), in_sight=True)
    if word in ("left_right", "no_rein"):
        spans = seen.of(LEFT_REIN) | seen.of(RIGHT_REIN)
        on = word == "left_right"
        return traced.reactions(lambda tag: spans.holds(tag.start_ns) is on, in_sight=True)
    if word == "out_of_sight":
        return traced.reactions(lambda tag: not seen.visible.holds(tag.start_ns), in_sight=False)
    if word in ("by_gait", "by_tack") and more:
        spans = seen.of(more[0])
        return traced.reactions(lambda tag: spans.holds(tag.start_ns), in_sight=True)
    if word.startswith("per_min") or word == "at_s":
        return traced.reactions(lambda tag: True, in_sight=True)
    return _sorted_reactions(traced, word, more, in_sight=False)


def _counted_in(traced: Traced, rest: list[str]) -> Iterable[Source]:
    """The time of a rate: on a rein, in a gait, with tack on, while something was shown, or all in sight."""
    visible = traced.seen.visible
    sides = {"left": LEFT_REIN, "right": RIGHT_REIN}
    if rest[0] in sides:
        return traced.pieces(sides[rest[0]], visible)
    if rest[0] in ("by_gait", "by_tack"):
        return traced.pieces(rest[1], visible)
    if rest[1] == "by_stimulus":
        return traced.pieces(_shown_name(traced, rest[2]), visible)
    return spans_as_sources(visible, "in sight")


def _sorted_reactions(traced: Traced, word: str, more: list[str], *, in_sight: bool) -> list[Source]:
    """By kind, stimulus, severity or side, as the paths name them; all of them where they name none."""
    key = more[0] if more else None

    def wanted(tag: Tag) -> bool:
        if key is None:
            return True
        if word == "by_kind":
            return tag.what == key
        if word == "by_severity":
            return str(tag.severity or "not_given") == key
        if word == "by_side":
            return (tag.side or "none") == key
        if word == "by_stimulus" and in_sight:
            return tag.stimulus in ("", key) and _shown(traced, key).holds(tag.start_ns)
        return (tag.stimulus or "none") == key if word == "by_stimulus" else True

    return traced.reactions(wanted, in_sight=in_sight)


def _shown(traced: Traced, stimulus: str) -> Spans:
    """When a stimulus was on, in plain sight."""
    return traced.seen.of(_shown_name(traced, stimulus))


def _shown_name(traced: Traced, stimulus: str) -> str:
    named = (one.name for one in traced.sheet.of_group(STIMULUS) if stimulus_of(one.name) == stimulus)
    return next(named, "")


def sources_of_recovery(traced: Traced, rest: list[str]) -> Iterable[Source]:
    """Each recovery from its reaction to its end."""
    recovery = traced.numbers.recovery
    word, *more = rest or ["count"]
    each: Sequence[Recovery] = recovery.each
    if word.startswith("by_") and more:
        part = getattr(recovery, word).get(more[0])
        each = part.each if part is not None else ()
    elif word == "left_right":
        each = [one for one in each if one.rein in (LEFT_REIN, RIGHT_REIN)]
    elif word == "each" and more:
        each = each[int(more[0]) : int(more[0]) + 1]
    if rest[-1:] == ["censored"]:
        each = [one for one in each if one.cut_short]
    return [settling(traced, one) for one in each]


def settling(traced: Traced, one: Recovery) -> Source:
    """One recovery as a stretch."""
    reaction = traced.event(one.reaction)
    end_ns = reaction.start_ns + one.time_ns
    return Source(reaction.start_ns, end_ns, f"{reaction.words}, {_ENDED[one.ending]}", one.reaction)


def sources_of_first_and_last(traced: Traced, rest: list[str]) -> Iterable[Source]:
    """What lies in the first or the last five minutes in view."""
    parts = traced.numbers.first_and_last
    if parts is None:
        return ()
    named = {"first": parts.first, "last": parts.last}
    found: list[Source] = []
    for name, part in named.items():
        if rest[:1] in (["first"], ["last"]) and rest[0] != name:
            continue
        if rest[1:2] == ["moving_s"]:
            for gait in traced.seen.moving_gaits:
                found += traced.pieces(gait, part.spans & traced.seen.visible)
        elif rest[1:2] == ["gait"]:
            for gait in rest[2:3] or list(part.gait_ns):
                found += traced.pieces(gait, part.spans & traced.seen.visible)
        elif rest[1:2] == ["recovery"]:
            cut_only = rest[-1] == "censored"
            found += [settling(traced, one) for one in part.recovery.each if one.cut_short or not cut_only]
        elif rest[-1:] == ["minutes"]:
            found += spans_as_sources(part.spans, "in sight")
        else:
            found += traced.reactions_in(part.spans)
    return found
