"""What many sessions come to together: time in each gait on each rein, bouts, reactions.

A whole barn has millions of tags and its totals need three facts of each: what, from, to. They are counted
from plain rows of those, by the rules of `observed`, `budget` and `reactions`, without an object for each
tag; a session's totals are those of its `SessionNumbers`, to the nanosecond.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from typing import TypeVar

from annotate.behaviours import GAIT, LEFT_REIN, OUT_OF_SIGHT, REACTION, REIN, RIGHT_REIN, STAND, Sheet
from annotate.clock import Spans, clock_text
from annotate.errors import TagTrouble
from annotate.numbers.budget import balance
from annotate.numbers.rates import Rate
from annotate.sessions import Session

PlainTag = tuple[str, int, int | None]
"""What was tagged, from, and to; None for an event."""

Key = TypeVar("Key", str, tuple[str, str])


@dataclass(frozen=True, slots=True)
class Totals:
    """Sums over sessions. `gait_ns` and `bouts` are by gait, `on_rein_ns` by gait and rein, in plain sight.

    `reactions` are all that were tagged, by kind; `seen` those in plain sight, in all, by gait and by rein.
    """

    sessions: int = 0
    length_ns: int = 0
    gaps_ns: int = 0
    visible_ns: int = 0
    gait_ns: Mapping[str, int] = field(default_factory=dict)
    on_rein_ns: Mapping[tuple[str, str], int] = field(default_factory=dict)
    rein_ns: Mapping[str, int] = field(default_factory=dict)
    bouts: Mapping[str, int] = field(default_factory=dict)
    reactions: Mapping[str, int] = field(default_factory=dict)
    seen: int = 0
    seen_in: Mapping[str, int] = field(default_factory=dict)

    def __add__(self, other: Totals) -> Totals:
        return Totals(
            sessions=self.sessions + other.sessions,
            length_ns=self.length_ns + other.length_ns,
            gaps_ns=self.gaps_ns + other.gaps_ns,
            visible_ns=self.visible_ns + other.visible_ns,
            gait_ns=_sum(self.gait_ns, other.gait_ns),
            on_rein_ns=_sum(self.on_rein_ns, other.on_rein_ns),
            rein_ns=_sum(self.rein_ns, other.rein_ns),
            bouts=_sum(self.bouts, other.bouts),
            reactions=_sum(self.reactions, other.reactions),
            seen=self.seen + other.seen,
            seen_in=_sum(self.seen_in, other.seen_in),
        )

    @property
    def out_of_sight_ns(self) -> int:
        """Observed, but tagged out of sight."""
        return self.length_ns - self.visible_ns

    @property
    def untagged_ns(self) -> int:
        """In plain sight without a gait."""
        return self.visible_ns - sum(self.gait_ns.values())

    def moving_ns(self, rein: str) -> int:
        """Moving on one rein."""
        return sum(ns for (gait, on), ns in self.on_rein_ns.items() if on == rein and gait != STAND)

    @property
    def balance(self) -> Fraction | None:
        """(left - right) / (left + right) of the moving time; None where it moved on no tagged rein."""
        return balance(self.moving_ns(LEFT_REIN), self.moving_ns(RIGHT_REIN))

    @property
    def reaction_rate(self) -> Rate:
        """Reactions in plain sight, in the visible time."""
        return Rate(self.seen, self.visible_ns)

    def rate_on(self, rein: str) -> Rate:
        """Reactions on one rein, in its visible time."""
        return Rate(self.seen_in.get(rein, 0), self.rein_ns.get(rein, 0))


def session_totals(session: Session, tags: Iterable[PlainTag], sheet: Sheet) -> Totals:
    """The totals of one session.

    Raises `TagTrouble` where two gaits or two reins hold at once, a state has no end or an event has one.
    """
    lasting, instants = _sorted_out(tags, sheet)
    observed = session.observed
    visible = observed - Spans.of_edges(lasting.get(OUT_OF_SIGHT, ()))
    gaits, reins = (
        {one.name: Spans.of_edges(lasting.get(one.name, ())) & visible for one in sheet.of_group(group)}
        for group in (GAIT, REIN)
    )
    for group in (gaits, reins):
        _refuse_overlaps(group, sheet)
    kinds = [kind.name for kind in sheet.of_group(REACTION) if kind.name in instants]
    seen = [at_ns for kind in kinds for at_ns in instants[kind] if visible.holds(at_ns)]
    named = [*gaits.items(), *reins.items()]
    return Totals(
        sessions=1,
        length_ns=observed.length_ns,
        gaps_ns=session.gaps.length_ns,
        visible_ns=visible.length_ns,
        gait_ns={gait: spans.length_ns for gait, spans in gaits.items()},
        on_rein_ns={
            (gait, rein): (spans & on).length_ns
            for gait, spans in gaits.items()
            for rein, on in reins.items()
        },
        rein_ns={rein: spans.length_ns for rein, spans in reins.items()},
        bouts={gait: len(spans) for gait, spans in gaits.items()},
        reactions={kind: len(instants[kind]) for kind in kinds},
        seen=len(seen),
        seen_in={name: sum(map(spans.holds, seen)) for name, spans in named},
    )


def _sorted_out(
    tags: Iterable[PlainTag], sheet: Sheet
) -> tuple[dict[str, list[tuple[int, int]]], dict[str, list[int]]]:
    """The edges of each state and the instants of each event; what the sheet does not know is left out."""
    lasting: defaultdict[str, list[tuple[int, int]]] = defaultdict(list)
    instants: defaultdict[str, list[int]] = defaultdict(list)
    for what, start_ns, end_ns in tags:
        if end_ns is None:
            instants[what].append(start_ns)
        else:
            lasting[what].append((start_ns, end_ns))
    for name in (name for name in instants if name in sheet and sheet[name].is_state):
        at = clock_text(min(instants[name]))
        raise TagTrouble(f"{sheet[name].title} at {at} lasts and needs an end. Correct it first.")
    for name in (name for name in lasting if name in sheet and not sheet[name].is_state):
        at = clock_text(min(lasting[name])[0])
        raise TagTrouble(f"{sheet[name].title} at {at} is an instant and has no end. Correct it first.")
    return lasting, instants


def _refuse_overlaps(states: Mapping[str, Spans], sheet: Sheet) -> None:
    """Raises `TagTrouble` where two states that exclude each other hold at once."""
    before: tuple[int, int, str] | None = None
    edges = sorted((*edge, name) for name, spans in states.items() for edge in spans.edges)
    for start_ns, end_ns, name in edges:
        if before is not None and start_ns < before[1]:
            one, other = sheet[before[2]].title, sheet[name].title
            at = clock_text(start_ns)
            raise TagTrouble(f"{one} and {other} are both tagged at {at}. Correct one of them first.")
        before = (start_ns, end_ns, name)


def _sum(one: Mapping[Key, int], other: Mapping[Key, int]) -> dict[Key, int]:
    summed = Counter(one)
    summed.update(other)
    return dict(summed)
