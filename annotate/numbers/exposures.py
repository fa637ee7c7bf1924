"""Exposures: each presentation of a stimulus, on which side, and what the horse made of it.

An exposure is one state of the stimulus from on to off; pieces that touch, on the same side at the same
grade, are one. Severity 0 stands for no reaction, and only where the whole exposure was visible: what nobody
watched to its end is not known to have passed quietly.

A horse that is used to a thing on one side, in one place, of one colour is not used to it elsewhere
(Christensen, Zharkikh and Ladewig 2008: what was learned of one object held for others of the same colour
only). Exposures alike in side, grade, place and colour make a series. Place and colour are read from the note
of the stimulus's own tag, 'colour red, place gate'; without a place there, it is that of the session.
"""

from __future__ import annotations

import re
from bisect import bisect_left
from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from operator import attrgetter
from typing import Literal, TypeVar

from annotate.behaviours import REACTION, STIMULUS, Sheet, stimulus_of
from annotate.clock import Span
from annotate.numbers.observed import Seen
from annotate.numbers.proportions import Proportion
from annotate.numbers.recovery import Recoveries, Recovery
from annotate.numbers.trend import Trend, trend
from annotate.tags import Tag

_WORD = re.compile(r"\b(colou?r|place)\b[ :=]+([^,;.\n]+)", re.IGNORECASE)

Side = Literal["", "left", "right"]
Found = TypeVar("Found")


@dataclass(frozen=True, slots=True)
class Exposure:
    """One presentation.

    `order` counts this stimulus through the session from 1, `order_on_side` on this side. `grade` is the
    severity column of the stimulus's own tag, if it was used. `recovery` is that of the worst reaction that
    was seen, the first of equals.
    """

    stimulus: str
    side: str
    grade: int | None
    span: Span
    order: int
    order_on_side: int
    wholly_visible: bool
    reactions: tuple[Tag, ...]
    recovery: Recovery | None
    place: str = ""
    colour: str = ""

    @property
    def alike(self) -> tuple[str, int | None, str, str]:
        """What makes a series of exposures: side, grade, place and colour."""
        return (self.side, self.grade, self.place, self.colour)

    @property
    def severity(self) -> int | None:
        """Of the worst reaction, 0 for none; None where it is not known.

        It is not known where no reaction was tagged but part of the exposure was not visible, and where a
        reaction has no severity.
        """
        if not self.reactions:
            return 0 if self.wholly_visible else None
        severities = [reaction.severity for reaction in self.reactions]
        known = [severity for severity in severities if severity is not None]
        return max(known) if len(known) == len(severities) else None


@dataclass(frozen=True)
class Exposures:
    """The exposures to one stimulus, in order of time."""

    each: tuple[Exposure, ...]

    def on(self, side: Side) -> Exposures:
        """Those on one side; '' for those without a side."""
        return Exposures(tuple(one for one in self.each if one.side == side))

    @property
    def without_reaction(self) -> Proportion:
        """How many passed without a reaction, of those of which that is known."""
        known = [one for one in self.each if one.reactions or one.wholly_visible]
        return Proportion(sum(not one.reactions for one in known), len(known))

    @cached_property
    def severity_trend(self) -> Trend:
        """Whether the worst severity falls from exposure to exposure, of those of which it is known."""
        return trend([one.severity for one in self.each if one.severity is not None])

    @property
    def series(self) -> dict[tuple[str, int | None, str, str], Exposures]:
        """Those that are alike, as rows of their own, in the order in which each began."""
        rows: dict[tuple[str, int | None, str, str], list[Exposure]] = {}
        for one in self.each:
            rows.setdefault(one.alike, []).append(one)
        return {alike: Exposures(tuple(row)) for alike, row in rows.items()}

    @cached_property
    def recovery_trend(self) -> Trend:
        """Whether it settles sooner from exposure to exposure, where that was watched to calm."""
        settled = [one.recovery for one in self.each if one.recovery is not None]
        return trend([recovery.time_ns for recovery in settled if not recovery.cut_short])

    def quiet_in_a_row(self, at_most: int = 0) -> int:
        """How many of the latest exposures in a row had a severity of at most `at_most`.

        One whose severity is not known ends the row.
        """
        quiet = 0
        for one in reversed(self.each):
            if one.severity is None or one.severity > at_most:
                break
            quiet += 1
        return quiet


def exposures(
    seen: Seen, sheet: Sheet, recoveries: Recoveries, place: str = ""
) -> dict[str, Exposures]:
    """Every exposure of a session by its stimulus, in the sheet's order; `place` is where it was worked.

    A reaction belongs to an exposure if it fell while the stimulus was on and names that stimulus or none.
    """
    kinds = sheet.names(REACTION)
    reactions = [event for event in seen.events if event.what in kinds]
    by_stimulus: dict[str, Exposures] = {}
    for name, shown in _presentations(seen, sheet).items():
        stimulus = stimulus_of(name)
        each: list[Exposure] = []
        on_side: defaultdict[str, int] = defaultdict(int)
        for order, tag in enumerate(shown, 1):
            span = tag.span
            on_side[tag.side] += 1
            seen_to_settle = _during(recoveries.each, span, stimulus, attrgetter("reaction"))
            each.append(
                Exposure(
                    stimulus=stimulus,
                    side=tag.side,
                    grade=tag.severity,
                    span=span,
                    order=order,
                    order_on_side=on_side[tag.side],
                    wholly_visible=not seen.out_of_view(span.start_ns, span.end_ns),
                    reactions=tuple(_during(reactions, span, stimulus, lambda reaction: reaction)),
                    recovery=max(
                        seen_to_settle, key=lambda one: one.reaction.severity or 0, default=None
                    ),
                    place=_said(tag.note, "place") or " ".join(place.casefold().split()),
                    colour=_said(tag.note, "colour"),
                )
            )
        by_stimulus[stimulus] = Exposures(tuple(each))
    return by_stimulus


def _presentations(seen: Seen, sheet: Sheet) -> dict[str, list[Tag]]:
    """Tags of each stimulus in order of time, with touching pieces joined."""
    found: dict[str, list[Tag]] = {}
    for tag in seen.shown:
        row = found.setdefault(tag.what, [])
        before = row[-1] if row else None
        if before is not None and _continues(before, tag):
            row[-1] = replace(before, end_ns=tag.end_ns)
        else:
            row.append(tag)
    return {one.name: found[one.name] for one in sheet.of_group(STIMULUS) if one.name in found}


def _continues(before: Tag, tag: Tag) -> bool:
    alike = (before.side, before.severity, before.note) == (tag.side, tag.severity, tag.note)
    return alike and before.end_ns == tag.start_ns


def _said(note: str, word: str) -> str:
    """What a note says after a word, in small letters; empty if nothing."""
    if not note:
        return ""
    said = {found[1].casefold().replace("color", "colour"): found[2] for found in _WORD.finditer(note)}
    return " ".join(said.get(word, "").casefold().split())


def _during(
    ordered: Sequence[Found], span: Span, stimulus: str, reaction_of: Callable[[Found], Tag]
) -> list[Found]:
    """Those in order of time whose reaction fell in the span and names this stimulus or none."""
    first, last = (
        bisect_left(ordered, at_ns, key=lambda one: reaction_of(one).start_ns)
        for at_ns in (span.start_ns, span.end_ns)
    )
    return [one for one in ordered[first:last] if reaction_of(one).stimulus in ("", stimulus)]
