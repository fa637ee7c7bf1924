"""The file in which a horse is handed over: a zip archive of known entries, each with its size and hash.

It comes from elsewhere, so nothing in it is believed: no name of it becomes a path, no entry may be larger
than it says, only clips may be large and those are stored uncompressed, and every hash is verified.
"""

from __future__ import annotations

import json
import re
import stat
import zipfile
from hashlib import blake2b
from pathlib import Path
from types import TracebackType
from typing import IO, Any, Final, Self

from annotate.errors import BarnTrouble

VERSION: Final = 2
"""2 added where records lie, the texts of a session, what was seen in its clips, and the programme."""
KIND: Final = "railside horse"
MANIFEST: Final = "manifest.json"
RECORDS: Final = "horse.json"

_ENTRY: Final = re.compile(
    r"manifest\.json|horse\.json|(?:sheet|programme)\.toml|(?:frames|seen)/[0-9]{1,6}|clips/[0-9]{1,6}\.[a-z0-9]{1,5}"
)
_MOST_ENTRIES: Final = 20_000
_MOST_BYTES: Final = 256 << 20
_MOST_OF_A_TABLE: Final = 32 << 20
_MOST_RATIO: Final = 200
_CHUNK: Final = 1 << 20


class HandedFileTrouble(BarnTrouble):
    """A file that is no horse handed over, or not whole, or not from a friend."""


class NewHandedFile:
    """A file that is being written: entries first, the manifest last."""

    def __init__(self, path: Path) -> None:
        self._zip = zipfile.ZipFile(path, "w", allowZip64=True)
        self._entries: dict[str, dict[str, Any]] = {}

    def put(self, name: str, content: bytes) -> None:
        """An entry of these bytes."""
        self._zip.writestr(name, content, zipfile.ZIP_DEFLATED)
        self._entries[name] = {"size": len(content), "blake2b": blake2b(content).hexdigest()}

    def put_file(self, name: str, path: Path) -> None:
        """An entry with a file's content, uncompressed."""
        digest, size = blake2b(), 0
        with path.open("rb") as source, self._zip.open(zipfile.ZipInfo(name), "w", force_zip64=True) as to:
            while chunk := source.read(_CHUNK):
                digest.update(chunk)
                size += len(chunk)
                to.write(chunk)
        self._entries[name] = {"size": size, "blake2b": digest.hexdigest()}

    def finish(self) -> None:
        """Writes the manifest and closes the file."""
        said = {"kind": KIND, "version": VERSION, "entries": self._entries}
        self._zip.writestr(MANIFEST, json.dumps(said), zipfile.ZIP_DEFLATED)
        self._zip.close()

    def close(self) -> None:
        """Closes the file as it is."""
        self._zip.close()


class HandedFile:
    """A file that came from another barn, its entries listed and found harmless; use it in a with statement.

    Raises `HandedFileTrouble` for whatever is not as it should be.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        try:
            self._zip = zipfile.ZipFile(path)
        except FileNotFoundError:
            raise HandedFileTrouble(f"There is no file {path}.") from None
        except (OSError, zipfile.BadZipFile, ValueError, NotImplementedError):
            raise HandedFileTrouble(f"{path.name} is no horse handed over, or is damaged.") from None
        try:
            self._infos = self._harmless()
            self._entries = self._manifest()
        except BaseException:
            self._zip.close()
            raise

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._zip.close()

    @property
    def names(self) -> tuple[str, ...]:
        """The entries."""
        return tuple(self._entries)

    def __contains__(self, name: str) -> bool:
        return name in self._entries

    def read(self, name: str) -> bytes:
        """A small entry, verified."""
        if name not in self._entries:
            raise self._damaged(f"{name} is missing")
        content = self._content(name)
        self._verify(name, len(content), blake2b(content).hexdigest())
        return content

    def copy(self, name: str, to: Path) -> None:
        """Writes an entry to a new file, verified; the file is removed if it is not what was handed over."""
        if name not in self._entries:
            raise self._damaged(f"{name} is missing")
        digest, size = blake2b(), 0
        try:
            with self._open(name) as source, to.open("xb") as target:
                while chunk := self._chunk(source, name):
                    size += len(chunk)
                    digest.update(chunk)
                    target.write(chunk)
            self._verify(name, size, digest.hexdigest())
        except BaseException:
            to.unlink(missing_ok=True)
            raise

    def _harmless(self) -> dict[str, zipfile.ZipInfo]:
        infos: dict[str, zipfile.ZipInfo] = {}
        listed = self._zip.infolist()
        if len(listed) > _MOST_ENTRIES:
            raise self._damaged("it has too many entries")
        for info in listed:
            if not _ENTRY.fullmatch(info.filename):
                raise self._hostile("an entry has a name that none may have")
            if info.filename in infos:
                raise self._hostile("it has one entry twice")
            if info.flag_bits & 1:
                raise self._damaged("it is encrypted")
            if stat.S_IFMT(info.external_attr >> 16) not in (0, stat.S_IFREG):
                raise self._hostile("it holds something else than files")
            self._check_size(info)
            infos[info.filename] = info
        if sum(info.compress_size for info in listed) > self.path.stat().st_size:
            raise self._hostile("its entries lie over each other")
        if sum(info.file_size for info in listed if not _is_clip(info)) > _MOST_BYTES:
            raise self._hostile("it would grow beyond measure")
        return infos

    def _check_size(self, info: zipfile.ZipInfo) -> None:
        if _is_clip(info):
            if info.compress_type != zipfile.ZIP_STORED or info.compress_size != info.file_size:
                raise self._hostile("a clip of it is compressed")
        elif info.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
            raise self._damaged("it is packed in a way that is not known")
        else:
            most = max(info.compress_size, 100) * _MOST_RATIO
            if info.filename.startswith(("frames/", "seen/")):
                most = min(most, _MOST_OF_A_TABLE)
            if info.file_size > most:
                raise self._hostile("it would grow beyond measure")

    def _manifest(self) -> dict[str, tuple[int, str]]:
        if MANIFEST not in self._infos:
            raise HandedFileTrouble(f"{self.path.name} is no horse handed over.")
        try:
            said = json.loads(self._content(MANIFEST))
            if not isinstance(said, dict) or said.get("kind") != KIND:
                raise HandedFileTrouble(f"{self.path.name} is no horse handed over.")
            version = said["version"]
            if not isinstance(version, int) or version < 1:
                raise ValueError("no version")
            if version > VERSION:
                raise HandedFileTrouble(
                    f"{self.path.name} was handed over by a newer Railside (version {version}). "
                    "Install that one to take it in."
                )
            entries = {str(name): (int(e["size"]), str(e["blake2b"])) for name, e in said["entries"].items()}
        except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
            raise self._damaged("its manifest cannot be read") from None
        if set(entries) != set(self._infos) - {MANIFEST}:
            raise self._hostile("its manifest names other entries than it has")
        return entries

    def _open(self, name: str) -> IO[bytes]:
        try:
            return self._zip.open(self._infos[name])
        except (OSError, zipfile.BadZipFile, ValueError, NotImplementedError, RuntimeError):
            raise self._damaged(f"{name} cannot be read") from None

    def _chunk(self, source: IO[bytes], name: str) -> bytes:
        try:
            return source.read(_CHUNK)
        except Exception as error:
            # zipfile and zlib raise many kinds here, all of which say the same.
            raise self._damaged(f"{name} cannot be read") from error

    def _content(self, name: str) -> bytes:
        parts, size = [], 0
        with self._open(name) as source:
            while chunk := self._chunk(source, name):
                parts.append(chunk)
                size += len(chunk)
                if size > self._infos[name].file_size:
                    raise self._hostile(f"{name} is larger than it says")
        return b"".join(parts)

    def _verify(self, name: str, size: int, digest: str) -> None:
        if (size, digest) != self._entries[name]:
            raise self._damaged(f"{name} is not what was handed over")

    def _damaged(self, why: str) -> HandedFileTrouble:
        return HandedFileTrouble(
            f"{self.path.name} is damaged: {why}. Nothing was taken in. Ask for it again."
        )

    def _hostile(self, why: str) -> HandedFileTrouble:
        return HandedFileTrouble(f"{self.path.name} was not made by Railside: {why}. Nothing was taken in.")


def _is_clip(info: zipfile.ZipInfo) -> bool:
    return info.filename.startswith("clips/")
