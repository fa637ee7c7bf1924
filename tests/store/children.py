"""Doing something in a child process that is worse off: without rights, or without room for its files."""

from __future__ import annotations

import os
from collections.abc import Callable

NOBODY = 65534


def as_nobody(act: Callable[[], object]) -> str:
    """What `act` is told when done by somebody without rights; the superuser may write anywhere."""
    return _told(act, _lose_rights)


def without_room(act: Callable[[], object], room: int) -> str:
    """What `act` is told where no file can grow beyond `room` bytes."""
    return _told(act, lambda: _limit(room))


def _lose_rights() -> None:
    if os.getuid() == 0:
        os.setgid(NOBODY)
        os.setuid(NOBODY)


def _limit(room: int) -> None:
    import resource

    resource.setrlimit(resource.RLIMIT_FSIZE, (room, resource.getrlimit(resource.RLIMIT_FSIZE)[1]))


def _told(act: Callable[[], object], prepare: Callable[[], None]) -> str:
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        said = "nothing"
        try:
            prepare()
            act()
        except BaseException as error:
            said = f"{type(error).__name__}: {error}"
        os.write(writing, said.encode())
        os._exit(0)
    os.close(writing)
    with os.fdopen(reading) as pipe:
        said = pipe.read()
    os.waitpid(child, 0)
    return said
