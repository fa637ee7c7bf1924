"""The tags of a session as arrays, and which of them are others than they were.

Tags do not change; one that is altered is another object with the same id. So what is still the same object is
still the same, and nothing is asked of it again.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from copy import copy
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from annotate.behaviours import Sheet
from annotate.tags import Tag
from app.work_line_facts import Chosen, Pixels

_NEAR = 4  # so many tags put in or taken out at one place are found; more are taken as all that follows
_MOST_PLACES = 40


@dataclass(frozen=True)
class Altered:
    """The tags that went and those that came."""

    gone: tuple[Tag, ...]
    came: tuple[Tag, ...]

    @property
    def span_ns(self) -> tuple[int, int]:
        """From the first to the last instant that they tell anything else about, both counted.

        A state that only goes on further than before tells nothing else about what lies before.
        """
        before = {(tag.id, tag.what, tag.start_ns): tag for tag in self.gone}
        told: list[int] = []
        for tag in self.came:
            old = before.pop((tag.id, tag.what, tag.start_ns), None)
            told.append(_end_ns(tag))
            told.append(_end_ns(old) if old is not None else tag.start_ns)
        for tag in before.values():
            told += (tag.start_ns, _end_ns(tag))
        return min(told), max(told)


class TagTable:
    """The tags of a session with what the work line asks of them; nothing is asked before it is needed."""

    def __init__(self, tags: Sequence[Tag], sheet: Sheet) -> None:
        self.tags = tuple(tags)
        self.groups = {behaviour.name: behaviour.group for behaviour in sheet.behaviours}
        self._numbers = {group: number for number, group in enumerate(dict.fromkeys(self.groups.values()))}

    @cached_property
    def _facts(self) -> Pixels:
        return self._read(self.tags)

    @cached_property
    def _objects(self) -> Pixels:
        return _objects(self.tags)

    def _read(self, tags: Sequence[Tag]) -> Pixels:
        """Start, end, id, whether it lasts, whether it runs, and its group's number; -1 is not on the sheet."""
        groups, numbers = self.groups, self._numbers
        facts = [
            (
                tag.start_ns,
                _end_ns(tag),
                tag.id,
                tag.end_ns is not None,
                tag.running,
                numbers[groups[tag.what]] if tag.what in groups else -1,
            )
            for tag in tags
        ]
        return np.ascontiguousarray(np.array(facts, dtype=np.int64).reshape(len(tags), 6).T)

    def followed_by(self, tags: Sequence[Tag]) -> tuple[TagTable, Altered]:
        """The table of the same session's tags as they are now, and what is different."""
        other = copy(self)
        other.tags, other._objects = tuple(tags), _objects(tags)
        gone: list[Tag] = []
        came: list[Tag] = []
        parts: list[Pixels] = []
        kept = 0
        for old, new in _places(self._objects, other._objects):
            gone += self.tags[old]
            came += other.tags[new]
            parts += (self._facts[:, kept : old.start], self._read(other.tags[new]))
            kept = old.stop
        other._facts = np.concatenate([*parts, self._facts[:, kept:]], axis=1)
        same = {tag.id: tag for tag in gone}
        unaltered = {tag.id for tag in came if same.get(tag.id) == tag}
        return other, Altered(
            tuple(tag for tag in gone if tag.id not in unaltered),
            tuple(tag for tag in came if tag.id not in unaltered),
        )

    def tag(self, tag_id: int) -> Tag | None:
        """The tag of that id."""
        found = np.flatnonzero(self._row(2) == tag_id)
        return self.tags[int(found[-1])] if len(found) else None

    def touching(self, start_ns: int, end_ns: int) -> Chosen:
        """Which share an instant with [start_ns, end_ns], both ends and their own ends counted."""
        return (self.starts <= end_ns) & (self.ends >= start_ns)

    def of(self, *groups: str) -> Chosen:
        """Which are of one of these groups."""
        found = np.zeros(len(self.tags), dtype=np.bool_)
        for group in groups:
            found |= self._row(5) == self._numbers.get(group, len(self._numbers))
        return found

    @property
    def lasting(self) -> Chosen:
        """Which are states."""
        return self._row(3).astype(np.bool_)

    @property
    def running(self) -> Chosen:
        """Which still run."""
        return self._row(4).astype(np.bool_)

    @property
    def starts(self) -> Pixels:
        """When each begins."""
        return self._row(0)

    @property
    def ends(self) -> Pixels:
        """When each ends; an event at once."""
        return self._row(1)

    def _row(self, number: int) -> Pixels:
        row: Pixels = self._facts[number]
        return row

    def chosen(self, which: Chosen) -> list[Tag]:
        """The tags of a choice, in their order."""
        return [self.tags[i] for i in np.flatnonzero(which)]

    def states_of(self, group: str) -> Pixels:
        """Start, end, id and whether it runs, of the states of a group in order: an array of four rows."""
        which = np.flatnonzero(self.of(group) & self.lasting)
        which = which[np.argsort(self.starts[which], kind="stable")]
        found: Pixels = self._facts[[0, 1, 2, 4]][:, which]
        return found


def _end_ns(tag: Tag) -> int:
    return tag.start_ns if tag.end_ns is None else tag.end_ns


def _objects(tags: Sequence[Tag]) -> Pixels:
    return np.fromiter(map(id, tags), dtype=np.int64, count=len(tags))


def _places(old: Pixels, new: Pixels) -> Iterator[tuple[slice, slice]]:
    """Where two rows of objects differ, in order: what went there, and what came."""
    i = j = 0
    for _ in range(_MOST_PLACES):
        room = min(len(old) - i, len(new) - j)
        differs = old[i : i + room] != new[j : j + room]
        alike = int(differs.argmax()) if differs.any() else room
        i, j = i + alike, j + alike
        if i == len(old) and j == len(new):
            return
        step = _step(old[i : i + _NEAR + 1].tolist(), new[j : j + _NEAR + 1].tolist())
        if step is None:
            break
        yield slice(i, i + step[0]), slice(j, j + step[1])
        i, j = i + step[0], j + step[1]
    room = min(len(old) - i, len(new) - j)
    differs = old[len(old) - room :][::-1] != new[len(new) - room :][::-1]
    alike = int(differs.argmax()) if differs.any() else room
    yield slice(i, len(old) - alike), slice(j, len(new) - alike)


def _step(old: list[int], new: list[int]) -> tuple[int, int] | None:
    """How many of each to pass until both go on alike, or are at their end; None where that is not near."""
    for both in range(1, 2 * _NEAR + 1):
        for gone in range(max(0, both - _NEAR), min(both, _NEAR) + 1):
            came = both - gone
            if old[gone : gone + 1] == new[came : came + 1] and gone <= len(old) and came <= len(new):
                return gone, came
    return None
