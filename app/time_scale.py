"""Session time to pixels and back, in whole nanoseconds and whole pixels.

A pixel is a whole number of nanoseconds, and pixels are counted from the session's start, so that panning
never changes which pixel an instant falls on: what was drawn once can be shifted, not drawn again.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from annotate.clock import NS_PER_S, clock_text

_MS = NS_PER_S // 1000
_STEPS_NS = (
    *(ms * _MS for ms in (1, 2, 5, 10, 20, 50, 100, 200, 500)),
    *(s * NS_PER_S for s in (1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 21600)),
)


@dataclass(frozen=True, slots=True)
class TimeScale:
    """`ns_per_px` nanoseconds a pixel; `left_px` is the first pixel that shows, `width_px` how many do."""

    ns_per_px: int
    left_px: int
    width_px: int

    @classmethod
    def fitting(cls, start_ns: int, end_ns: int, width_px: int) -> TimeScale:
        """The closest view that shows all of [start_ns, end_ns), wherever that begins within a pixel."""
        pixels = max(1, width_px - 1)
        ns_per_px = max(1, -(-(end_ns - start_ns) // pixels))
        return cls(ns_per_px, start_ns // ns_per_px, max(1, width_px))

    def x(self, ns: int) -> int:
        """The pixel that holds an instant, counted from the left edge of the view; may lie outside."""
        return ns // self.ns_per_px - self.left_px

    def ns_at(self, x: int) -> int:
        """The first instant of a pixel: `x(ns_at(p)) == p`, and `ns_at(x(ns)) <= ns < ns_at(x(ns) + 1)`."""
        return (self.left_px + x) * self.ns_per_px

    @property
    def start_ns(self) -> int:
        """The first instant in view."""
        return self.ns_at(0)

    @property
    def end_ns(self) -> int:
        """The first instant beyond the view."""
        return self.ns_at(self.width_px)

    def shows(self, ns: int) -> bool:
        """Whether an instant is in view."""
        return self.start_ns <= ns < self.end_ns

    def panned(self, px: int) -> TimeScale:
        """The view moved `px` pixels later."""
        return replace(self, left_px=self.left_px + px)

    def zoomed(self, ns_per_px: int, x: int) -> TimeScale:
        """Another zoom with the instant at pixel `x` kept there."""
        ns_per_px = max(1, ns_per_px)
        return replace(self, ns_per_px=ns_per_px, left_px=self.ns_at(x) // ns_per_px - x)

    def with_left(self, ns: int) -> TimeScale:
        """The same zoom with the instant in the first pixel."""
        return replace(self, left_px=ns // self.ns_per_px)


def ruler_steps_ns(ns_per_px: int, named_px: int, marked_px: int) -> tuple[int, int]:
    """The shortest round steps of time: named marks `named_px` apart or more, and the plain marks between.

    A named step is a whole number of plain steps of at least `marked_px` pixels.
    """
    named = next((step for step in _STEPS_NS if step >= ns_per_px * named_px), _STEPS_NS[-1])
    plain = next(
        step for step in _STEPS_NS if named % step == 0 and step >= min(named, ns_per_px * marked_px)
    )
    return named, plain


def ruler_text(ns: int, step_ns: int) -> str:
    """A mark of the ruler as m:ss, with as many decimals as its step needs."""
    decimals = next(d for d in (0, 1, 2, 3) if step_ns % (NS_PER_S // 10**d) == 0)
    return clock_text(ns, decimals=decimals)
