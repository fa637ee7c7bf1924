"""What the window makes ahead of its being asked for: one thing a turn of the event loop, so that no key waits.

A name leads by dots from part to part; its last word is a `cached_property`, which makes the thing when it is
first read.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import reduce


def is_made(owner: object, name: str) -> bool:
    """Whether the thing of that name is there."""
    *parts, last = name.split(".")
    return last in vars(reduce(getattr, parts, owner))


def make_next(owner: object, names: Iterable[str]) -> bool:
    """Makes the first that is not there yet; whether there was one. A part stands in the names before its own."""
    for name in names:
        if not is_made(owner, name):
            reduce(getattr, name.split("."), owner)
            return True
    return False
