"""What is behind the figures of asks, exposures, laps, ground and load."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from annotate.behaviours import ASK, LEFT_REIN, RIGHT_REIN
from annotate.numbers.exposures import Exposure
from annotate.numbers.sources import Source, Traced
from annotate.numbers.strides import stride_series


def sources_of_responses(traced: Traced, rest: list[str]) -> Iterable[Source]:
    """Each request from its first cue to its outcome."""
    responses = traced.numbers.responses
    word, *more = rest or ["each"]
    each = list(responses.each)
    if word == "by_cue" and more:
        each = [one for one in each if one.cue.what == more[0]]
        word, *more = more[1:] or ["each"]
    if word in ("answered", "no_answer", "cut_short"):
        each = [one for one in each if one.outcome == word]
    elif word in ("already_there", "asks_nothing"):
        return _cues_without_request(traced, word)
    elif word == "cues_needed" and more:
        each = [one for one in each if one.outcome == "answered" and str(one.cues) == more[0]]
    elif word == "release":
        each = [one for one in each if one.release is not None]
    elif word == "escalated":
        each = [one for one in each if one.asked_with is not None]
    elif word == "each" and more:
        each = each[int(more[0]) : int(more[0]) + 1]
    return [
        Source(
            one.cue.start_ns,
            one.end_ns,
            f"{traced.title(one.cue.what)}, "
            + (traced.title(one.answer) if one.answer else one.outcome.replace("_", " ")),
            one.cue,
        )
        for one in each
    ]


def _cues_without_request(traced: Traced, word: str) -> list[Source]:
    """Cues that began nothing, because the sheet names nothing for them or the horse was there already."""
    requests = [(one.cue.start_ns, one.end_ns) for one in traced.numbers.responses.each]
    cues = traced.sheet.names(ASK)
    return traced.events(
        lambda tag: tag.what in cues
        and bool(traced.sheet[tag.what].asks) is (word == "already_there")
        and traced.seen.visible.holds(tag.start_ns)
        and not any(start_ns <= tag.start_ns < end_ns for start_ns, end_ns in requests)
    )


def sources_of_exposures(traced: Traced, rest: list[str]) -> Iterable[Source]:
    """Each exposure from on to off."""
    by_stimulus = traced.numbers.exposures
    names = rest[:1] or list(by_stimulus)
    for name in names:
        each: Sequence[Exposure] = by_stimulus[name].each
        if rest[1:2] in (["left"], ["right"]):
            each = [one for one in each if one.side == rest[1]]
        elif rest[1:2] == ["each"] and len(rest) > 2:
            each = each[int(rest[2]) : int(rest[2]) + 1]
        for one in each:
            side = f", {one.side}" if one.side else ""
            severity = "severity not known" if one.severity is None else f"severity {one.severity}"
            words = f"{one.stimulus.replace('_', ' ')}{side}, {severity}"
            start_ns, end_ns = one.span.start_ns, one.span.end_ns
            yield Source(start_ns, end_ns, words, traced.showing(one.stimulus, start_ns))


def sources_of_laps(traced: Traced, rest: list[str]) -> Iterable[Source]:
    """Each lap."""
    laps = traced.numbers.laps
    each = laps.each
    if rest[:1] in (["left"], ["right"]):
        each = laps.on(LEFT_REIN if rest[0] == "left" else RIGHT_REIN).each
    elif rest[:1] == ["by_gait"] and len(rest) > 1:
        each = laps.by_gait[rest[1]].each
    elif rest[:1] == ["each"] and len(rest) > 1:
        each = each[int(rest[1]) : int(rest[1]) + 1]
    return [Source(lap.start_ns, lap.start_ns + lap.time_ns, f"lap, {lap.gait or 'mixed'}") for lap in each]


def sources_of_ground(traced: Traced, rest: list[str]) -> Iterable[Source]:
    """Laps, strides and the time of a gait on the circle."""
    names = rest[1:2] if rest[:1] == ["gait"] and len(rest) > 1 else list(traced.numbers.ground.by_gait)
    which = rest[2] if len(rest) > 2 else ""
    found: list[Source] = []
    for name in names if rest[:1] != ["track"] else []:
        if which in ("seconds", "metres"):
            on_rein = traced.seen.of(LEFT_REIN) | traced.seen.of(RIGHT_REIN)
            found += traced.pieces(name, on_rein)
        if which not in ("seconds", "strides", "strides_per_s") and name in traced.numbers.laps.by_gait:
            found += sources_of_laps(traced, ["by_gait", name])
        if which in ("", "strides", "strides_per_s", "stride_m"):
            found += [
                Source(one.start_ns, one.end_ns, f"{one.taps} strides tapped, {traced.title(one.gait)}")
                for one in stride_series(traced.seen)
                if one.gait == name
            ]
    return found


def sources_of_doubts(traced: Traced, rest: list[str]) -> Iterable[Source]:
    """Where a tag does not fit."""
    each = traced.numbers.doubts
    if rest:
        each = each[int(rest[0]) : int(rest[0]) + 1]
    return [
        Source(
            doubt.start_ns,
            doubt.end_ns,
            f"{traced.title(doubt.gait)} tagged, {doubt.measure.replace('_', ' ')} does not fit",
            traced.state_at(doubt.gait, doubt.start_ns),
        )
        for doubt in each
    ]


def sources_of_load(traced: Traced, rest: list[str]) -> Iterable[Source]:
    """Tags of gaits on a rein."""
    name = rest[1] if rest[:1] == ["by"] and len(rest) > 1 else "moving"
    for gait, side in traced.numbers.load.parts:
        if name in ("moving", side, gait, f"{gait}_{side}"):
            yield from traced.pieces(gait, traced.seen.of(LEFT_REIN if side == "left" else RIGHT_REIN))
