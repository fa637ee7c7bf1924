"""Copying a clip with verification: what lies at the new place was read back and is the same, byte for byte.

A copy that was stopped leaves its part beside the new place and is carried on from there.
"""

from __future__ import annotations

from collections.abc import Callable
from hashlib import blake2b
from pathlib import Path
from typing import IO, Final

from annotate.errors import Cancelled, ClipTrouble
from annotate.media.finding import OnProgress
from annotate.writing import in_words, keep_on_disk, make_folder

_CHUNK: Final = 4 << 20


def copy_clip(
    source: Path,
    to: Path,
    on_progress: OnProgress = lambda done, of: None,
    cancelled: Callable[[], bool] = lambda: False,
) -> Path:
    """Copies a clip to `to`, or to a name beside it that is free; the path of the copy.

    The same content that is there already is not copied again. Progress counts bytes, those that are read
    back among them. Raises `ClipTrouble` or `Trouble`, `Cancelled` if stopped.
    """
    make_folder(to.parent)
    try:
        size = source.stat().st_size
    except OSError:
        raise ClipTrouble(f"{source.name} cannot be read any more. See that the card is in.") from None
    copying = _Copying(source, size, on_progress, cancelled)
    number = 1
    place = to
    while place.exists():
        if place.stat().st_size == size and copying.are_same(place):
            return place
        number += 1
        place = to.with_name(f"{to.stem}-{number}{to.suffix}")
    part = place.with_name(f".{place.name}.part")
    copying.write(part, place)
    try:
        part.replace(place)
        keep_on_disk(place.parent)
    except OSError as error:
        raise in_words(error, place) from error
    return place


class _Copying:
    def __init__(
        self, source: Path, size: int, on_progress: OnProgress, cancelled: Callable[[], bool]
    ) -> None:
        self._source, self._size = source, size
        self._on_progress, self._cancelled = on_progress, cancelled

    def are_same(self, place: Path) -> bool:
        """Whether a file holds the source's content."""
        return self._digest(place, self._size) == self._digest(self._source, self._size)

    def write(self, part: Path, place: Path) -> None:
        done = part.stat().st_size if part.exists() else 0
        if done > self._size or (done and self._digest(part, done) != self._digest(self._source, done)):
            part.unlink()
            done = 0
        try:
            with self._opened() as source, part.open("ab") as target:
                source.seek(done)
                while chunk := self._read(source):
                    self._stop_if_asked()
                    target.write(chunk)
                    done += len(chunk)
                    self._on_progress(done, 2 * self._size)
            keep_on_disk(part)
        except OSError as error:
            raise in_words(error, place) from error
        if done != self._size or not self.are_same(part):
            part.unlink(missing_ok=True)
            raise ClipTrouble(f"The copy of {self._source.name} is not the same as the clip. Copy it again.")
        self._on_progress(2 * self._size, 2 * self._size)

    def _opened(self) -> IO[bytes]:
        try:
            return self._source.open("rb")
        except OSError:
            raise self._gone() from None

    def _read(self, file: IO[bytes]) -> bytes:
        try:
            return file.read(_CHUNK)
        except OSError:
            raise self._gone() from None

    def _gone(self) -> ClipTrouble:
        return ClipTrouble(
            f"{self._source.name} cannot be read any more. Put the card in again and carry on."
        )

    def _stop_if_asked(self) -> None:
        if self._cancelled():
            raise Cancelled

    def _digest(self, path: Path, length: int) -> bytes:
        digest, left = blake2b(), length
        try:
            file = path.open("rb")
        except OSError:
            raise self._gone() from None
        with file:
            while left and (chunk := self._read(file)):
                self._stop_if_asked()
                digest.update(chunk[:left])
                left -= min(left, len(chunk))
        return digest.digest() if not left else b""
