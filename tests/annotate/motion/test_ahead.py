"""Fetching ahead of use."""

from __future__ import annotations

import threading
from collections.abc import Generator
from contextlib import closing

import pytest

from annotate.motion.ahead import ahead


def test_everything_comes_in_order() -> None:
    """However far ahead it was fetched."""
    assert list(ahead((k for k in range(100)), 3)) == list(range(100))


def test_it_is_fetched_by_another_thread() -> None:
    """That is the use of it."""
    assert list(ahead((threading.get_ident() for _ in range(2)), 2)) != [threading.get_ident()] * 2


def test_a_failure_comes_where_it_happened() -> None:
    """After the items before it."""

    def failing() -> Generator[int, None, None]:
        yield 1
        raise ValueError("damaged")

    items = ahead(failing(), 2)
    assert next(items) == 1
    with pytest.raises(ValueError, match="damaged"):
        next(items)


def test_it_ends_and_is_closed_when_nobody_wants_more() -> None:
    """The clip must be let go of, and no thread may stay behind."""
    ended: list[str] = []

    def endless() -> Generator[int, None, None]:
        try:
            while True:
                yield 1
        finally:
            ended.append(threading.current_thread().name)

    before = threading.active_count()
    with closing(ahead(endless(), 2)) as items:
        next(items)
    assert len(ended) == 1
    assert threading.active_count() == before
