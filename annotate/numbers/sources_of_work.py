"""What is behind the figures of asks, exposures, laps, ground and load."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence

from annotate.behaviours import ASK, LEFT_REIN, RIGHT_REIN
from annotate.clock import Spans
from annotate.numbers.asks import Request
from annotate.numbers.exposures import Exposure, Exposures
from annotate.numbers.limits import MOVING
from annotate.numbers.load import SIDES, Over, covers
from annotate.numbers.sources import Source, Traced
from annotate.numbers.strides import stride_series
from annotate.numbers.survival import Timed


def sources_of_responses(traced: Traced, rest: list[str]) -> Iterable[Source]:
    """Each request from its first cue to its outcome; of release, from the answer to less pressure."""
    word, *more = rest or ["each"]
    each: Sequence[Request] = traced.numbers.responses.each
    if word == "by_cue" and more:
        each = [one for one in each if one.cue.what == more[0]]
        word, *more = more[1:] or ["each"]
    if word in ("already_there", "asks_nothing"):
        return _cues_without_request(traced, word)
    if word == "each" and more:
        each = each[int(more[0]) : int(more[0]) + 1]
        word = more[1] if more[1:2] in (["release"], ["release_s"]) else word
    if word in ("release", "release_s"):
        releases = [_release(traced, one) for one in each if one.release is not None]
        return [one for one in releases if more[-1:] != ["censored"] or one.words.endswith("cut short")]
    wanted = _WANTED.get((word, *more[:1])) or _WANTED.get((word,))
    if word == "cues_needed" and more:
        each = [one for one in each if one.outcome == "answered" and str(one.cues) == more[0]]
    elif word == "censored":
        each = [one for one in each if one.outcome != "answered"]
    elif wanted is not None:
        each = [one for one in each if wanted(one)]
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


# Which requests a figure counts, by the last words of its path.
_WANTED: Mapping[tuple[str, ...], Callable[[Request], bool]] = {
    ("answered",): lambda one: one.outcome == "answered",
    ("no_answer",): lambda one: one.outcome == "no_answer",
    ("cut_short",): lambda one: one.outcome == "cut_short",
    ("at_first_ask",): lambda one: one.outcome != "cut_short" or one.cues > 1,
    ("at_first_ask", "count"): lambda one: one.outcome == "answered" and one.cues == 1,
    ("escalated",): lambda one: one.asked_with is not None,
    ("escalated", "count"): lambda one: one.strongest != one.asked_with,
}


def _release(traced: Traced, one: Request) -> Source:
    """From an answer to the moment at which the pressure grew less."""
    time_ns, ended = one.release or Timed(0, True)
    words = f"{traced.title(one.answer or '')}, {'to less pressure' if ended else 'cut short'}"
    return Source(one.end_ns, one.end_ns + time_ns if time_ns else None, words, one.cue)


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
        each = _counted_exposures(by_stimulus[name], rest[1:], traced.numbers.load.limits.severity)
        for one in each:
            side = f", {one.side}" if one.side else ""
            severity = "severity not known" if one.severity is None else f"severity {one.severity}"
            words = f"{one.stimulus.replace('_', ' ')}{side}, {severity}"
            start_ns, end_ns = one.span.start_ns, one.span.end_ns
            yield Source(start_ns, end_ns, words, traced.showing(one.stimulus, start_ns))


def _counted_exposures(exposures: Exposures, rest: list[str], at_most: int) -> Sequence[Exposure]:
    """Those that a figure of one stimulus counts; `at_most` is the severity that is still quiet."""
    each = exposures.each
    word, *more = rest or ["count"]
    if word in ("left", "right"):
        return [one for one in each if one.side == word]
    if word == "each" and more:
        return each[int(more[0]) : int(more[0]) + 1]
    if word == "without_reaction":
        known = [one for one in each if one.reactions or one.wholly_visible]
        return [one for one in known if not one.reactions] if more == ["count"] else known
    if word == "severity_trend":
        return [one for one in each if one.severity is not None]
    if word == "recovery_trend":
        return [one for one in each if one.recovery is not None and not one.recovery.cut_short]
    if word == "quiet_in_a_row":
        return each[len(each) - exposures.quiet_in_a_row(at_most) :]
    return () if word == "quiet_severity" else each


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
    """Tags of gaits on a rein; of a limit that was passed, all that is held against it."""
    load = traced.numbers.load
    if rest[:1] == ["limits"]:
        return
    if rest[:1] == ["over"] and len(rest) > 1:
        over = load.over[int(rest[1])]
        yield from sources_of_limit(traced, over)
        return
    name = rest[1] if rest[:1] == ["by"] and len(rest) > 1 else MOVING
    for gait, side in load.parts:
        if covers(name, gait, side):
            yield from traced.pieces(gait, traced.seen.of(SIDES[side]))


def sources_of_limit(traced: Traced, over: Over) -> Iterable[Source]:
    """What a limit that was passed is held against, tag by tag."""
    seen = traced.seen
    reins = {side: seen.of(rein) for side, rein in SIDES.items()}
    if over.unit == "minutes":
        reins[""] = seen.visible - reins["left"] - reins["right"]
    for gait in seen.moving_gaits:
        within = Spans(span for side, spans in reins.items() if covers(over.name, gait, side) for span in spans)
        yield from traced.pieces(gait, within)
