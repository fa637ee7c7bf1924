"""Time, exact. Two clocks, both integer:

- the clip's clock: presentation timestamps (`pts`) in the stream's own time base, a `Fraction` of a second;
- the session's clock: nanoseconds (names end in `_ns`) of the horse's time, zero at the session's start.

Floats (names end in `_s`) exist only on the screen and in exports. Spans are half-open, [start, end).
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import Self

from annotate.errors import Trouble

NS_PER_S = 1_000_000_000

# A spreadsheet writes an exponent for small numbers. The bounds keep hostile input from costing time.
_DECIMAL = re.compile(r"[+-]?(?:[0-9]{1,30}(?:\.[0-9]{0,30})?|\.[0-9]{1,30})(?:[eE][+-]?[0-9]{1,2})?")


def ticks_to_ns(pts: int, time_base: Fraction) -> int:
    """`pts` ticks of `time_base` seconds, as whole nanoseconds, halves rounded up.

    Exact back and forth with `ns_to_ticks` for every time base coarser than a nanosecond.
    """
    return round_half_up(pts * time_base * NS_PER_S)


def ns_to_ticks(ns: int, time_base: Fraction) -> int:
    """The tick nearest to `ns` nanoseconds, halves rounded up."""
    return round_half_up(Fraction(ns, NS_PER_S) / time_base)


def round_half_up(value: Fraction) -> int:
    """The nearest integer; a half goes towards plus infinity, so that shifting never changes a rounding."""
    return (2 * value.numerator + value.denominator) // (2 * value.denominator)


def seconds(ns: int) -> float:
    """Nanoseconds as float seconds, for the screen and for exports."""
    return ns / NS_PER_S


def seconds_text(ns: int) -> str:
    """Nanoseconds as exact decimal seconds: '0', '12.5', '59.994939394'; never an exponent."""
    sign = "-" if ns < 0 else ""
    whole, rest = divmod(abs(ns), NS_PER_S)
    return f"{sign}{whole}.{rest:09d}".rstrip("0").rstrip(".") if rest else f"{sign}{whole}"


def parse_seconds(text: str) -> int:
    """Decimal seconds with at most nine decimals as exact nanoseconds.

    Raises `Trouble` for anything that is not a plain finite number, or is finer than a nanosecond.
    """
    trimmed = text.strip(" ")
    if not _DECIMAL.fullmatch(trimmed):
        raise Trouble(f"{shown(text)} is not a number of seconds. Write it like 12.5.")
    ns = Fraction(trimmed) * NS_PER_S
    if abs(ns) > 10**9 * NS_PER_S:
        raise Trouble(f"{shown(text)} is not a number of seconds that a session can have.")
    if ns.denominator != 1:
        raise Trouble(f"{shown(text)} has more than nine decimals.")
    return int(ns)


def shown(text: str) -> str:
    """Text that a person typed or a file holds, in quotes for a sentence: in one line, and short."""
    line = "".join(sign if sign.isprintable() else "\N{REPLACEMENT CHARACTER}" for sign in text)
    return f"'{line}'" if len(line) <= 40 else f"'{line[:39]}…'"


def clock_text(ns: int, *, decimals: int = 1) -> str:
    """Session time as a person reads it: '1:05.3', '1:02:05.3'; cut, not rounded, so it never runs ahead."""
    sign = "-" if ns < 0 else ""
    units = abs(ns) // (NS_PER_S // 10**decimals)
    whole, part = divmod(units, 10**decimals)
    minutes, secs = divmod(whole, 60)
    hours, minutes = divmod(minutes, 60)
    tail = f"{secs:02d}" + (f".{part:0{decimals}d}" if decimals else "")
    return f"{sign}{hours}:{minutes:02d}:{tail}" if hours else f"{sign}{minutes}:{tail}"


@dataclass(frozen=True, slots=True, order=True)
class Span:
    """A stretch of session time, [start_ns, end_ns); never empty, never backwards."""

    start_ns: int
    end_ns: int

    def __post_init__(self) -> None:
        if self.end_ns <= self.start_ns:
            raise Trouble(
                f"A stretch must end after it starts: "
                f"{seconds_text(self.start_ns)} to {seconds_text(self.end_ns)} s."
            )

    @property
    def length_ns(self) -> int:
        """How long it lasts."""
        return self.end_ns - self.start_ns

    def holds(self, at_ns: int) -> bool:
        """Whether an instant lies in it; its end does not."""
        return self.start_ns <= at_ns < self.end_ns

    def overlaps(self, other: Span) -> bool:
        """Whether the two share time; touching is not sharing."""
        return self.start_ns < other.end_ns and other.start_ns < self.end_ns


class Spans:
    """A set of instants as sorted, disjoint, non-touching spans: the algebra under every figure.

    Built from any spans, overlapping or not. Immutable. Union, intersection and difference take time in
    proportion to the spans they are given.
    """

    # Starts and ends in turn, strictly rising; an instant is inside after an odd number of edges.
    __slots__ = ("_edges",)

    def __init__(self, spans: Iterable[Span] = ()) -> None:
        self._edges = _joined((span.start_ns, span.end_ns) for span in spans)

    @classmethod
    def of_edges(cls, edges: Iterable[tuple[int, int]]) -> Self:
        """The same from starts and ends, each end after its start: for figures over many."""
        made = cls()
        made._edges = _joined(edges)
        return made

    def __iter__(self) -> Iterator[Span]:
        return (Span(start, end) for start, end in self.edges)

    def __len__(self) -> int:
        return len(self._edges) // 2

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Spans) and self._edges == other._edges

    def __hash__(self) -> int:
        return hash(self._edges)

    def __repr__(self) -> str:
        return f"Spans({list(self)!r})"

    @property
    def edges(self) -> Iterator[tuple[int, int]]:
        """Start and end of each, for figures over many."""
        return zip(self._edges[::2], self._edges[1::2], strict=True)

    @property
    def length_ns(self) -> int:
        """The time in all of them together."""
        return sum(self._edges[1::2]) - sum(self._edges[::2])

    def holds(self, at_ns: int) -> bool:
        """Whether an instant lies in one of them."""
        return bisect_right(self._edges, at_ns) % 2 == 1

    def span_at(self, at_ns: int) -> Span | None:
        """The one that holds an instant."""
        edge = bisect_right(self._edges, at_ns)
        return Span(self._edges[edge - 1], self._edges[edge]) if edge % 2 else None

    def __or__(self, other: Spans) -> Spans:
        return self._merged(other, (False, True, True, True))

    def __and__(self, other: Spans) -> Spans:
        return self._merged(other, (False, False, False, True))

    def __sub__(self, other: Spans) -> Spans:
        return self._merged(other, (False, False, True, False))

    def _merged(self, other: Spans, kept: tuple[bool, bool, bool, bool]) -> Spans:
        """The instants that are kept when they lie in neither, only in `other`, only in this, in both."""
        mine, theirs = self._edges, other._edges
        edges: list[int] = []
        inside = False
        i = j = 0
        ends_mine, ends_theirs = len(mine), len(theirs)
        # The innermost loop of all numbers: spelt out, because each call in it is felt.
        while i < ends_mine and j < ends_theirs:
            next_mine, next_theirs = mine[i], theirs[j]
            at = next_mine if next_mine <= next_theirs else next_theirs
            if next_mine == at:
                i += 1
            if next_theirs == at:
                j += 1
            if kept[2 * (i & 1) + (j & 1)] is not inside:
                inside = not inside
                edges.append(at)
        if kept[2]:
            edges += mine[i:]
        if kept[1]:
            edges += theirs[j:]
        merged = Spans()
        merged._edges = tuple(edges)
        return merged


def _joined(pairs: Iterable[tuple[int, int]]) -> tuple[int, ...]:
    """Starts and ends in turn, in order, with what overlaps or touches made one."""
    edges: list[int] = []
    for start, end in sorted(pairs):
        if edges and start <= edges[-1]:
            edges[-1] = max(edges[-1], end)
        else:
            edges += (start, end)
    return tuple(edges)
