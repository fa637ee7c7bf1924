"""Where a figure comes from: the stretches and instants of the session that it was made of.

A figure is named by its path in the JSON, `gait.trot.left_s`. Times that it adds up come as stretches that
make up exactly that time; events that it counts come one by one. A stretch that no tag covers, such as time
without a gait, stands for itself.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any

from annotate.behaviours import LEFT_REIN, RIGHT_REIN, Sheet
from annotate.clock import shown
from annotate.errors import Trouble
from annotate.numbers.as_json import to_json
from annotate.numbers.observed import look_at, time_order
from annotate.numbers.session_numbers import SessionNumbers
from annotate.numbers.sources import Source, Traced
from annotate.numbers.sources_of_time import (
    sources_of_direction_changes,
    sources_of_gait,
    sources_of_lead,
    sources_of_rein,
    sources_of_seconds,
    sources_of_transitions,
)
from annotate.numbers.sources_of_trouble import (
    settling,
    sources_of_first_and_last,
    sources_of_reactions,
    sources_of_recovery,
)
from annotate.numbers.sources_of_work import (
    sources_of_doubts,
    sources_of_exposures,
    sources_of_ground,
    sources_of_laps,
    sources_of_load,
    sources_of_responses,
)
from annotate.sessions import Session
from annotate.tags import Tag


def trace(
    session: Session, tags: Sequence[Tag], sheet: Sheet, numbers: SessionNumbers, key: str
) -> tuple[Source, ...]:
    """What a figure was made of, in order of time; empty where no tag is behind it.

    Raises `Trouble` for a name that no figure of the session has.
    """
    figure_at(to_json(numbers), key)
    return sources_of(Traced(session, tags, sheet, numbers, look_at(session, tags, sheet)), key)


def sources_of(traced: Traced, key: str) -> tuple[Source, ...]:
    """The same for a key that is known to be there."""
    root, *rest = key.split(".")
    tracer = _TRACERS.get(root)
    found = tracer(traced, rest) if tracer is not None else ()
    return tuple(sorted(found, key=lambda source: (source.start_ns, source.end_ns or 0, source.words)))


def figure_at(figures: Mapping[str, Any], key: str) -> Any:
    """The figure of a path in the JSON. Raises `Trouble` where there is none."""
    value: Any = figures
    for word in key.split("."):
        if isinstance(value, list) and word.isdecimal() and int(word) < len(value):
            value = value[int(word)]
        elif isinstance(value, Mapping) and word in value:
            value = value[word]
        else:
            raise Trouble(
                f"There is no figure {shown(key)} here. A key is written like gait.trot.seconds or "
                "reactions.count; numbers SESSION --json has them all."
            )
    return value


def _sides(traced: Traced, rest: list[str]) -> Iterable[Source]:
    """The two sides of what the other tracers know."""
    name = rest[0] if rest else "moving"
    side = rest[1] if rest[1:2] in (["left"], ["right"]) else ""
    reins = {LEFT_REIN, RIGHT_REIN} if not side else {LEFT_REIN if side == "left" else RIGHT_REIN}
    if name == "moving":
        return sources_of_rein(traced, [f"{side}_s"] if side else [])
    if name == "reactions":
        return sources_of_reactions(traced, [side or "left_right"])
    if name == "recovery":
        return [settling(traced, one) for one in traced.numbers.recovery.each if one.rein in reins]
    if name == "response":
        on = [str(place) for place, one in enumerate(traced.numbers.responses.each) if one.rein in reins]
        return [source for place in on for source in sources_of_responses(traced, ["each", place])]
    return sources_of_gait(traced, [name, f"{side}_s" if side else "balance"])


def _not_on_sheet(traced: Traced, rest: list[str]) -> Iterable[Source]:
    return [
        Source(tag.start_ns, tag.end_ns, tag.what, tag)
        for tag in sorted(traced.tags, key=time_order)
        if tag.what not in traced.sheet and rest[:1] in ([], [tag.what])
    ]


_TRACERS: Mapping[str, Callable[[Traced, list[str]], Iterable[Source]]] = {
    "seconds": sources_of_seconds,
    "gait": sources_of_gait,
    "transitions": sources_of_transitions,
    "rein": sources_of_rein,
    "direction_changes": sources_of_direction_changes,
    "reactions": sources_of_reactions,
    "recovery": sources_of_recovery,
    "responses": sources_of_responses,
    "exposures": sources_of_exposures,
    "laps": sources_of_laps,
    "lead": sources_of_lead,
    "ground": sources_of_ground,
    "doubts": sources_of_doubts,
    "load": sources_of_load,
    "sides": _sides,
    "first_and_last": sources_of_first_and_last,
    "not_on_sheet": _not_on_sheet,
}
