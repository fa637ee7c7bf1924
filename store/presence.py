"""Who has the barn open: one small file a window beside the barn, locked while the window lives.

Two windows of one machine may use a barn at once. Two machines may not, since what is written ahead lies in
memory that machines do not share: the second is refused. A file whose owner died is found by its free lock
and taken away; whether another machine still lives cannot be told, so that is left to the person.
"""

from __future__ import annotations

import json
import os
import secrets
import socket
import sys
import uuid
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cache
from pathlib import Path
from typing import IO, Final

from annotate.errors import BarnTrouble

_MOST_BYTES: Final = 4096


@dataclass(frozen=True, slots=True)
class Presence:
    """A window that has the barn open: on which machine, as which process, since when (by its clock).

    `is_here`: whether that is this machine.
    """

    machine: str
    process: int
    since: str
    path: Path
    is_here: bool = True


class Announced:
    """The file that says that this window has the barn open; `end` takes it away."""

    def __init__(self, barn_path: Path) -> None:
        said = {
            "machine": socket.gethostname(),
            "mark": _mark_of_machine(),
            "process": os.getpid(),
            "since": f"{datetime.now(UTC):%Y-%m-%d %H:%M} UTC",
        }
        self._file: IO[bytes] | None = None
        try:
            while self._file is None:
                self.path = barn_path.with_name(f".{barn_path.name}.{secrets.token_hex(6)}.open")
                self._file = self.path.open("xb")
                _wait_for_lock(self._file)
                if not self.path.exists():
                    # Somebody looked before it was locked, and took it for a dead one.
                    self._file.close()
                    self._file = None
            self._file.write(json.dumps(said).encode())
            self._file.flush()
        except OSError as error:
            self.end()
            raise BarnTrouble(
                f"{barn_path.name} cannot be used: nothing can be written beside it ({error.strerror})."
            ) from error

    def end(self) -> None:
        """Takes the file away; a second time does nothing."""
        file, self._file = self._file, None
        if file is None:
            return
        # A folder that turned read-only keeps the file; its free lock tells that nobody is there.
        with suppress(OSError):
            if sys.platform != "win32":
                self.path.unlink(missing_ok=True)
        # So does a share that is gone: nothing that matters was still to be written.
        with suppress(OSError):
            file.close()
        if sys.platform == "win32":
            with suppress(OSError):
                self.path.unlink(missing_ok=True)


def present(barn_path: Path) -> list[Presence]:
    """The windows that have the barn open, this one among them; files of the dead are taken away."""
    return [one for path in _files(barn_path) if (one := _read(path)) is not None]


def refuse_other_machines(barn_path: Path) -> None:
    """Raises `BarnTrouble` if a window on another machine has the barn open."""
    for one in present(barn_path):
        if not one.is_here:
            raise BarnTrouble(
                f"{barn_path.name} is open on the machine {one.machine} since {one.since}. Close it there "
                f"first: two machines cannot use it at once. If that machine is off, delete {one.path}"
            )


def _files(barn_path: Path) -> Iterator[Path]:
    try:
        names = sorted(os.listdir(barn_path.parent))  # noqa: PTH208 - quicker than paths for a full folder
    except OSError:
        return
    for name in names:
        if name.startswith(f".{barn_path.name}.") and name.endswith(".open"):
            yield barn_path.with_name(name)


def _read(path: Path) -> Presence | None:
    try:
        with path.open("rb") as file:
            said = _said(file.read(_MOST_BYTES))
            if said and not _is_here(said):
                return Presence(str(said.get("machine")), 0, str(said.get("since")), path, False)
            if sys.platform != "win32" and _take_lock(file):
                with suppress(OSError):
                    path.unlink(missing_ok=True)
                return None
        if sys.platform == "win32":
            # An open file cannot be deleted there.
            path.unlink(missing_ok=True)
            return None
    except OSError:
        if not path.exists():
            return None
        said = {}
    process = said.get("process")
    number = process if isinstance(process, int) else 0
    return Presence(socket.gethostname(), number, str(said.get("since", "just now")), path)


@cache
def _mark_of_machine() -> str:
    """What stays when a laptop is given another name by another network."""
    with suppress(OSError):
        return Path("/etc/machine-id").read_text(encoding="ascii").strip()
    return f"{uuid.getnode():x}"


def _is_here(said: dict[str, object]) -> bool:
    if "mark" in said:
        return said["mark"] == _mark_of_machine()
    return said.get("machine") == socket.gethostname()


def _said(content: bytes) -> dict[str, object]:
    try:
        said = json.loads(content)
    except ValueError:
        return {}
    return said if isinstance(said, dict) else {}


def _wait_for_lock(file: IO[bytes]) -> None:
    if sys.platform != "win32":
        import fcntl

        fcntl.flock(file, fcntl.LOCK_EX)


def _take_lock(file: IO[bytes]) -> bool:
    """Whether the file could be locked: nobody else holds it."""
    if sys.platform == "win32":
        return True
    import fcntl

    try:
        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    return True
