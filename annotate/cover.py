"""Spans that are asked about many stretches: how much they cover of one, and what they leave. By bisection."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from itertools import accumulate

from annotate.clock import Span, Spans


class Cover:
    """Some spans, made ready to be asked."""

    def __init__(self, spans: Spans) -> None:
        edges = list(spans.edges)
        self._starts = [start for start, _ in edges]
        self._ends = [end for _, end in edges]
        self._before = [0, *accumulate(end - start for start, end in edges)]

    def of(self, span: Span) -> int:
        """How much of a stretch is covered, in nanoseconds."""
        return self._until(span.end_ns) - self._until(span.start_ns)

    def left_of(self, span: Span) -> Spans:
        """What is not covered of a stretch."""
        first, end = bisect_right(self._ends, span.start_ns), bisect_left(self._starts, span.end_ns)
        near = zip(self._starts[first:end], self._ends[first:end], strict=True)
        return Spans([span]) - Spans(Span(start, stop) for start, stop in near)

    def _until(self, ns: int) -> int:
        at = bisect_right(self._starts, ns)
        return self._before[at] - (max(0, self._ends[at - 1] - ns) if at else 0)
