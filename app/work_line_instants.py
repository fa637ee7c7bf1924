"""The instants on a work line as arrays; of those that hide each other, one is shown."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Protocol, TypeVar

import numpy as np

from annotate.workline import Mark, Side, Spike
from app.work_line_facts import Facts, Pixels


class _Instant(Protocol):
    @property
    def at_ns(self) -> int: ...
    @property
    def what(self) -> str: ...
    @property
    def level(self) -> int: ...
    @property
    def side(self) -> Side: ...


Instant = TypeVar("Instant", bound=_Instant)


class InstantColumns(Facts[Instant]):
    """Instants, in order. Each is of a kind, by a small number; those of a kind look alike."""

    _ASKED: tuple[str, ...] = ("at_ns", "tag_id", "kind")

    def __init__(self, things: Sequence[Instant]) -> None:
        self.models: list[Instant] = []
        """One instant of each kind, by the kind's number."""
        self._kinds: dict[tuple[object, ...], int] = {}
        super().__init__(things)

    def _answers(self, name: str, things: Sequence[Instant]) -> Iterable[int]:
        return map(self._kind, things) if name == "kind" else super()._answers(name, things)

    def _kind(self, thing: Instant) -> int:
        kind = self._kinds.setdefault(self._looks(thing), len(self._kinds))
        if kind == len(self.models):
            self.models.append(thing)
        return kind

    def _looks(self, thing: Instant) -> tuple[object, ...]:
        return thing.what, thing.level, thing.side

    def _settle(self) -> None:
        self._at = self._row("at_ns")

    def between(self, start_ns: int, end_ns: int) -> slice:
        """The instants in [start_ns, end_ns), in nanoseconds."""
        first, end = np.searchsorted(self._at, (start_ns, end_ns), "left").tolist()
        return slice(first, max(first, end))

    def count(self, ns_per_px: int, first_px: int, end_px: int) -> int:
        """How many lie on the world pixels [first_px, end_px)."""
        chosen = self.between(first_px * ns_per_px, end_px * ns_per_px)
        return int(chosen.stop - chosen.start)

    def placed(
        self, ns_per_px: int, first_px: int, end_px: int, apart_px: int = 1
    ) -> Iterator[tuple[Instant, int]]:
        """The instants on [first_px, end_px), each with its pixel; of many in `apart_px`, one."""
        which, px = self._sparse(ns_per_px, first_px, end_px, apart_px)
        return ((self.things[i], at) for i, at in zip(which.tolist(), px.tolist(), strict=True))

    def shown(
        self, ns_per_px: int, first_px: int, end_px: int, apart_px: int
    ) -> Iterator[tuple[Instant, int]]:
        """The same for whole cells of `apart_px`: those that share one with [first_px, end_px), too.

        So the same ones are shown whatever run of pixels is asked for.
        """
        return self.placed(ns_per_px, *_cells(first_px, end_px, apart_px), apart_px)

    def kinds(self, ns_per_px: int, first_px: int, end_px: int, apart_px: int) -> Iterator[tuple[int, int]]:
        """What is shown, as the number of its kind and its pixel."""
        which, px = self._sparse(ns_per_px, *_cells(first_px, end_px, apart_px), apart_px)
        return zip(self._row("kind")[which].tolist(), px.tolist(), strict=True)

    def _sparse(self, ns_per_px: int, first_px: int, end_px: int, apart_px: int) -> tuple[Pixels, Pixels]:
        """Of many in `apart_px`, the last."""
        chosen = self.between(first_px * ns_per_px, end_px * ns_per_px)
        px = self._at[chosen] // ns_per_px
        cell = px // apart_px
        last = np.flatnonzero(np.append(cell[1:] != cell[:-1], True)[: len(cell)])
        return last + chosen.start, px[last]


def _cells(first_px: int, end_px: int, apart_px: int) -> tuple[int, int]:
    """Pixels widened to whole cells."""
    return first_px // apart_px * apart_px, -(-end_px // apart_px) * apart_px


class MarkColumns(InstantColumns[Mark]):
    """Turns, asks, calm, or other signs."""


class SpikeColumns(InstantColumns[Spike]):
    """The reactions. Of many in `apart_px` on one side, only the highest is placed."""

    _ASKED: tuple[str, ...] = (*InstantColumns._ASKED, "level", "height", "side")

    def _looks(self, thing: Spike) -> tuple[object, ...]:
        return thing.severity, thing.height, thing.level, thing.side

    def _sparse(self, ns_per_px: int, first_px: int, end_px: int, apart_px: int) -> tuple[Pixels, Pixels]:
        chosen = self.between(first_px * ns_per_px, end_px * ns_per_px)
        px = self._at[chosen] // ns_per_px
        level, height, sides = (self._row(name)[chosen] for name in ("level", "height", "side"))
        order = np.lexsort((height, level, sides, px // apart_px))
        px, sides = px[order], sides[order]
        cell = px // apart_px
        last = np.append((cell[1:] != cell[:-1]) | (sides[1:] != sides[:-1]), True)[: len(cell)]
        return order[last] + chosen.start, px[last]
