"""Which part of the picture is seen: a horse far off in a large arena, followed by points set now and then.

Places are shares of the picture, 0 to 1 from its left and its top; times are nanoseconds of the session.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from typing import Final

LARGEST: Final = 8.0

Place = tuple[float, float]
MIDDLE: Final[Place] = (0.5, 0.5)


@dataclass(frozen=True, slots=True)
class Part:
    """A part of the picture in the picture's own shape, `zoom` times enlarged, around `centre`.

    It never reaches over the picture's edge: near one, the centre of what is seen is not `centre`.
    """

    centre: Place = MIDDLE
    zoom: float = 1.0

    @property
    def size(self) -> float:
        """Its width and height as shares of the picture's."""
        return 1 / self.zoom

    @property
    def corner(self) -> Place:
        """Its left and top edge."""
        left, top = (min(max(at - self.size / 2, 0.0), 1 - self.size) for at in self.centre)
        return left, top

    @property
    def middle(self) -> Place:
        """The centre of what is really seen."""
        left, top = self.corner
        return left + self.size / 2, top + self.size / 2

    def place(self, across: float, down: float) -> Place:
        """The place in the picture that is seen at a share of the part's width and height."""
        left, top = self.corner
        return left + across * self.size, top + down * self.size

    def moved(self, across: float, down: float) -> Part:
        """Moved by shares of its own width and height, and no further than to the picture's edge."""
        x, y = self.middle
        moved = replace(self, centre=(x + across * self.size, y + down * self.size))
        return replace(moved, centre=moved.middle)

    def zoomed(self, factor: float, across: float = 0.5, down: float = 0.5) -> Part:
        """Enlarged further, what is seen at that share of its width and height kept where it is."""
        zoom = min(max(self.zoom * factor, 1.0), LARGEST)
        x, y = self.place(across, down)
        size = 1 / zoom
        part = Part((x + (0.5 - across) * size, y + (0.5 - down) * size), zoom)
        return replace(part, centre=part.middle)


@dataclass(frozen=True, slots=True)
class Point:
    """Where the horse is at an instant."""

    ns: int
    place: Place


@dataclass(frozen=True)
class Following:
    """Points in order of time. Between two the place moves evenly; before the first and after the last it
    stands."""

    points: tuple[Point, ...] = field(default=())

    @classmethod
    def through(cls, points: Iterable[Point]) -> Following:
        """Through these points in any order; of two at one instant, the later given."""
        by_time = {point.ns: point for point in points}
        return cls(tuple(by_time[ns] for ns in sorted(by_time)))

    def at(self, ns: int) -> Place | None:
        """The place at an instant; None without any point."""
        if not self.points:
            return None
        after = bisect_right(self.points, ns, key=lambda point: point.ns)
        if after == 0:
            return self.points[0].place
        before = self.points[after - 1]
        if after == len(self.points):
            return before.place
        following = self.points[after]
        share = (ns - before.ns) / (following.ns - before.ns)
        x, y = (a + (b - a) * share for a, b in zip(before.place, following.place, strict=True))
        return x, y

    def with_point(self, ns: int, place: Place) -> Following:
        """With a point at an instant, in place of one that was there; kept within the picture."""
        x, y = (min(max(at, 0.0), 1.0) for at in place)
        return Following.through([*self.points, Point(ns, (x, y))])

    def without_nearest(self, ns: int) -> Following:
        """Without the point that is nearest in time, the earlier of two."""
        if not self.points:
            return self
        nearest = min(self.points, key=lambda point: (abs(point.ns - ns), point.ns))
        return Following(tuple(point for point in self.points if point is not nearest))
