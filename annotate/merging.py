"""Putting a change on top of what somebody else changed meanwhile, so that nothing of either is lost.

Each tag is compared three ways: as it was seen when the change was made, as it is now, and as it is to be. Facts
that only one of the two altered are both kept. A state that runs was merely watched further: that never stands
against a decided end. Where both altered the same fact there is a clash, which a person settles.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from hashlib import blake2b
from typing import Any, Final

from annotate.changes import Change
from annotate.errors import TagTrouble
from annotate.tags import Tag

_ALONE: Final = ("what", "severity", "stimulus", "side", "note")
_START: Final = ("start_ns", "start_frame")
_END: Final = ("end_ns", "end_frame", "running")


@dataclass(frozen=True, slots=True)
class Clash:
    """A tag that both altered: as it was to be (None: to go), and as the other left it (None: gone)."""

    ours: Tag | None
    theirs: Tag | None


@dataclass(frozen=True, slots=True)
class Merged:
    """The change to make now, without the tags that clash; and those."""

    change: Change
    clashes: tuple[Clash, ...] = ()

    @property
    def with_both(self) -> Change:
        """The change that also keeps our side of each clash, as a tag of its own beside the other's.

        Its identity follows from what it says: doing this twice gives one such tag, not two.
        """
        there = {tag.id for tag in self.change.added}
        beside = [_beside(clash) for clash in self.clashes if clash.ours is not None]
        fresh = tuple(tag for tag in beside if tag.id not in there)
        return replace(self.change, added=(*self.change.added, *fresh))


def merge(change: Change, now: Iterable[Tag]) -> Merged:
    """The change as it must be made on the tags as they are now. What is done already is left out."""
    here = {tag.id: tag for tag in now}
    seen = {tag.id: tag for tag in change.removed}
    removed: list[Tag] = []
    added: list[Tag] = []
    clashes: list[Clash] = []
    for ours in change.added:
        theirs, base = here.get(ours.id), seen.pop(ours.id, None)
        if base is None:
            # An identity is given once: what is there already is this very tag, written before.
            added += [ours] if theirs is None else []
            continue
        if theirs == ours:
            continue
        both = _both(base, theirs, ours) if theirs is not None else None
        if theirs is None or both is None:
            clashes.append(Clash(ours, theirs))
        elif both != theirs:
            removed.append(theirs)
            added.append(both)
    for base in seen.values():
        theirs = here.get(base.id)
        if theirs is not None and _without_watching(theirs, base) == base:
            removed.append(theirs)
        elif theirs is not None:
            clashes.append(Clash(None, theirs))
    return Merged(Change(tuple(removed), tuple(added), change.words), tuple(clashes))


def _both(base: Tag, theirs: Tag, ours: Tag) -> Tag | None:
    """The tag with what either altered; None where they altered the same."""
    fields: dict[str, Any] = {}
    for facts in (*((name,) for name in _ALONE), _START):
        was, there, here = (_facts(tag, facts) for tag in (base, theirs, ours))
        if here in (was, there):
            continue
        if there != was:
            return None
        fields.update(here)
    end = _end(base, theirs, ours)
    if end is None:
        return None
    try:
        return replace(theirs, **fields, **end)
    except TagTrouble:
        return None


def _end(base: Tag, theirs: Tag, ours: Tag) -> dict[str, Any] | None:
    was, there, here = (_facts(tag, _END) for tag in (base, theirs, ours))
    if here in (was, there):
        return there
    if there == was:
        return here
    if theirs.running and ours.running:
        return max(there, here, key=lambda end: end["end_ns"] or 0)
    if base.running and theirs.running != ours.running:
        return there if ours.running else here
    return None


def _without_watching(tag: Tag, base: Tag) -> Tag:
    """The tag with its end as it was seen, if since then it was only watched further."""
    return replace(tag, **_facts(base, _END)) if tag.running and base.running else tag


def _facts(tag: Tag, names: tuple[str, ...]) -> dict[str, Any]:
    return {name: getattr(tag, name) for name in names}


def _beside(clash: Clash) -> Tag:
    assert clash.ours is not None
    if clash.theirs is None:
        return clash.ours
    said = blake2b(repr((clash.ours.id, clash.ours)).encode("utf-8", "surrogatepass"), digest_size=8).digest()
    return replace(clash.ours, id=int.from_bytes(said, "big") >> 2 | 1)
