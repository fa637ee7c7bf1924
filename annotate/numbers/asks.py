"""Asks and answers: how soon the horse does what the handler asks, and how many cues it takes.

A request begins with a cue and takes in further cues for the same thing. It is answered when a gait or turn
that the cue asks for begins. It goes without answer when `PATIENCE_NS` pass after the last cue, and it is
cut short when the horse goes out of view, when the session ends or when the handler asks for something else.

The sheet says which gaits a cue asks for. Where the horse is already in one of them, it asks for those
further on in the sheet's order of gaits: a cluck at trot asks for lope, not for walk. A cue at the last of
them finds the horse already there and begins no request; nor does a cue for which the sheet names nothing,
though it counts as a further cue of a request that is open.

Pressure has the order of its states in the sheet, the least first. A request escalates where some pressure
before its outcome is stronger than that at its first cue. Release is the first moment after the answer at
which the pressure is less than it was at the answer.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Literal

from annotate.behaviours import ASK, GAIT, PRESSURE, REIN, Sheet
from annotate.clock import NS_PER_S
from annotate.numbers.observed import Seen, Stretch
from annotate.numbers.proportions import Proportion
from annotate.numbers.survival import Curve, Timed, curve
from annotate.tags import Tag

# Our own choice: who has not asked again for ten seconds has given the request up.
PATIENCE_NS = 10 * NS_PER_S

Outcome = Literal["answered", "no_answer", "cut_short"]


@dataclass(frozen=True, slots=True)
class Request:
    """One request: its first cue, at how many instants it was cued, and what came of it after `time_ns`.

    `answer` is the gait or the turn that answered it. `asked_with` and `strongest` are the pressure at the
    first cue and the strongest until the outcome, None where none was tagged at the cue. `release` is the
    time from the answer to less pressure, None where none was tagged at the answer.
    """

    cue: Tag
    cues: int
    time_ns: int
    outcome: Outcome
    answer: str | None = None
    rein: str | None = None
    asked_with: str | None = None
    strongest: str | None = None
    release: Timed | None = None

    @property
    def end_ns(self) -> int:
        """When its outcome was there."""
        return self.cue.start_ns + self.time_ns


@dataclass(frozen=True)
class Responses:
    """Every request of a session in order of time, and the cues that made none."""

    each: tuple[Request, ...]
    already_there: int = 0
    asks_nothing: int = 0

    def count(self, outcome: Outcome) -> int:
        """How many requests came to that."""
        return sum(request.outcome == outcome for request in self.each)

    @cached_property
    def curve(self) -> Curve:
        """Response times; one without an answer took longer than it was waited for."""
        return curve(Timed(one.time_ns, one.outcome == "answered") for one in self.each)

    @property
    def at_first_ask(self) -> Proportion:
        """How many were answered at the first cue, of those of which that is known."""
        known = [one for one in self.each if one.outcome != "cut_short" or one.cues > 1]
        first = sum(one.outcome == "answered" and one.cues == 1 for one in known)
        return Proportion(first, len(known))

    @property
    def cues_needed(self) -> dict[int, int]:
        """How many answered requests took 1, 2, 3 ... cues."""
        cues = Counter(one.cues for one in self.each if one.outcome == "answered")
        return dict(sorted(cues.items()))

    @property
    def escalated(self) -> Proportion:
        """In how many the pressure grew, of those in which it was tagged at the first cue."""
        known = [one for one in self.each if one.asked_with is not None]
        return Proportion(sum(one.strongest != one.asked_with for one in known), len(known))

    @cached_property
    def release(self) -> Curve:
        """Times from the answer to less pressure."""
        return curve(one.release for one in self.each if one.release is not None)

    def on(self, rein: str) -> Responses:
        """The requests whose first cue fell on one rein."""
        return Responses(tuple(one for one in self.each if one.rein == rein))

    @cached_property
    def by_cue(self) -> Mapping[str, Responses]:
        """The requests by their first cue."""
        names = sorted({one.cue.what for one in self.each})
        return {
            name: Responses(tuple(one for one in self.each if one.cue.what == name)) for name in names
        }


def responses(seen: Seen, sheet: Sheet) -> Responses:
    """Every request that began in plain sight."""
    cue_names = sheet.names(ASK)
    cues = [
        event
        for event in seen.events
        if event.what in cue_names and seen.visible.holds(event.start_ns)
    ]
    onsets = _onsets(seen)
    pressed = bool(seen.row(PRESSURE))
    levels = {one.name: level for level, one in enumerate(sheet.of_group(PRESSURE))}
    each: list[Request] = []
    already_there = asks_nothing = place = 0
    while place < len(cues):
        cue = cues[place]
        wanted = _wanted(seen, sheet, cue)
        if wanted:
            request, place = _follow(seen, sheet, cues, place, wanted, onsets)
            each.append(_with_pressure(request, seen, levels) if pressed else request)
            continue
        already_there += bool(sheet[cue.what].asks)
        asks_nothing += not sheet[cue.what].asks
        place += 1
    return Responses(tuple(each), already_there, asks_nothing)


def _onsets(seen: Seen) -> list[tuple[int, str]]:
    """When each gait began and each turn happened, in order of time."""
    gaits = [(stretch.start_ns, stretch.name) for stretch in seen.row(GAIT)]
    events = [(event.start_ns, event.what) for event in seen.events]
    return sorted(gaits + events)


def _wanted(seen: Seen, sheet: Sheet, cue: Tag) -> frozenset[str]:
    asked = sheet[cue.what].asks
    now = seen.state_at(GAIT, cue.start_ns)
    if now not in asked:
        return frozenset(asked)
    gaits = [gait.name for gait in sheet.of_group(GAIT)]
    further = gaits[gaits.index(now) + 1 :]
    return frozenset(name for name in asked if name in further or name not in gaits)


def _follow(
    seen: Seen,
    sheet: Sheet,
    cues: Sequence[Tag],
    place: int,
    wanted: frozenset[str],
    onsets: Sequence[tuple[int, str]],
) -> tuple[Request, int]:
    """The request that begins with the cue at `place`, and the place of the first cue after it."""
    cue = cues[place]
    began_ns = last_ns = cue.start_ns
    rein = seen.state_at(REIN, began_ns)
    view = seen.visible.span_at(began_ns)
    out_ns = view.end_ns if view is not None else began_ns
    answer_ns, answer = _first_of(onsets, began_ns, out_ns, wanted)
    count = 1
    place += 1
    while True:
        until_ns = min(last_ns + PATIENCE_NS, out_ns)
        if answer_ns is not None:
            until_ns = min(until_ns, answer_ns)
        if place == len(cues) or cues[place].start_ns >= until_ns:
            break
        asked = sheet[cues[place].what].asks
        if asked and wanted.isdisjoint(asked):
            return Request(cue, count, cues[place].start_ns - began_ns, "cut_short", None, rein), place
        count += cues[place].start_ns > last_ns
        last_ns = cues[place].start_ns
        place += 1
    if until_ns == answer_ns:
        return Request(cue, count, until_ns - began_ns, "answered", answer, rein), place
    outcome: Outcome = "cut_short" if until_ns == out_ns else "no_answer"
    return Request(cue, count, until_ns - began_ns, outcome, None, rein), place


def _first_of(
    onsets: Sequence[tuple[int, str]], after_ns: int, before_ns: int, wanted: frozenset[str]
) -> tuple[int | None, str | None]:
    place = bisect_right(onsets, after_ns, key=lambda onset: onset[0])
    while place < len(onsets) and onsets[place][0] < before_ns:
        if onsets[place][1] in wanted:
            return onsets[place]
        place += 1
    return None, None


def _with_pressure(request: Request, seen: Seen, levels: Mapping[str, int]) -> Request:
    """The same with what the handler's pressure did."""
    start_ns, end_ns = request.cue.start_ns, request.end_ns
    row = seen.row(PRESSURE)
    first = _place_at(row, start_ns)
    release = _release(request, row, levels)
    if first is None:
        return request if release is None else replace(request, release=release)
    last = bisect_left(row, end_ns, lo=first, key=lambda stretch: stretch.start_ns)
    strongest = max((stretch.name for stretch in row[first : max(last, first + 1)]), key=levels.__getitem__)
    return replace(
        request,
        asked_with=row[first].name,
        strongest=strongest if levels[strongest] > levels[row[first].name] else row[first].name,
        release=release,
    )


def _release(request: Request, row: Sequence[Stretch], levels: Mapping[str, int]) -> Timed | None:
    """How long after the answer the pressure grew less; cut short where it was no longer tagged or seen."""
    place = _place_at(row, request.end_ns)
    if request.outcome != "answered" or place is None:
        return None
    if not levels[row[place].name]:
        return Timed(0, True)
    at_answer = levels[row[place].name]
    while place + 1 < len(row) and row[place + 1].start_ns == row[place].end_ns:
        place += 1
        if levels[row[place].name] < at_answer:
            return Timed(row[place].start_ns - request.end_ns, True)
    return Timed(row[place].end_ns - request.end_ns, False)


def _place_at(row: Sequence[Stretch], at_ns: int) -> int | None:
    place = bisect_right(row, at_ns, key=lambda stretch: stretch.start_ns) - 1
    return place if place >= 0 and at_ns < row[place].end_ns else None
