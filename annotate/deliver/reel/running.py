"""The one place that starts ffmpeg.

It reads from our pipe and writes into our pipe: it opens no clip, knows no clip's name and leaves no file
behind. What it says is drained as it comes, for a pipe that nobody reads blocks for ever, and only its end is
kept.
"""

from __future__ import annotations

import subprocess
import threading
from collections import deque
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from types import TracebackType
from typing import IO, Any, Final, Self

import av
import ffmpeg
import imageio_ffmpeg
from av.container import InputContainer

from annotate.errors import Trouble

Write = Callable[[bytes | memoryview], object]

_KEPT_LINES: Final = 20
_LONGEST_LINE: Final = 500
_PIPE_BYTES: Final = 1 << 20


class Stopped(Exception):
    """Whoever feeds ffmpeg was told to stop."""


class Running:
    """One run of ffmpeg: `feed(write)` gives it its input in a thread of its own; `output` is what it makes.

    `graph` is built with ffmpeg-python, from `pipe:0` to `pipe:1`. `folder`: where relative names in it
    point. Leaving the block ends the process and the thread, whatever state they are in.
    """

    def __init__(self, graph: Any, feed: Callable[[Write], None], folder: Path | None = None) -> None:
        self._feed = feed
        self._said: deque[str] = deque(maxlen=_KEPT_LINES)
        self._failed: BaseException | None = None
        self._stop = threading.Event()
        self._process = subprocess.Popen(
            arguments_of(graph),
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            cwd=folder,
            # Ctrl-C is for this program, which then ends ffmpeg itself.
            start_new_session=True,
        )
        _widen(self._process.stdin)
        self._threads = [threading.Thread(target=self._give), threading.Thread(target=self._listen)]
        for thread in self._threads:
            thread.start()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def opened(self) -> InputContainer:
        """What ffmpeg writes, as soon as it has begun; the caller closes it.

        Raises `Trouble` if it does not begin.
        """
        assert self._process.stdout is not None
        try:
            return av.open(_ReadOnly(self._process.stdout), "r", format="matroska")
        except (av.FFmpegError, OSError) as error:
            raise self.failure() from error

    @property
    def process_id(self) -> int:
        """The number of its process."""
        return self._process.pid

    def close(self) -> None:
        """Ends it. Closing twice does nothing."""
        self._stop.set()
        if self._process.poll() is None:
            self._process.kill()
        self._process.wait()
        for thread in self._threads:
            thread.join()
        for pipe in (self._process.stdin, self._process.stdout, self._process.stderr):
            if pipe is not None:
                with suppress(OSError):
                    pipe.close()

    def failure(self) -> Exception:
        """Why it gave less than was asked of it: what the feeding raised, else what ffmpeg said."""
        self.close()
        if isinstance(self._failed, Exception):
            return self._failed
        said = " ".join(self._said) or f"it ended with {self._process.returncode}"
        return Trouble(f"ffmpeg could not code the reel: {said}")

    def _give(self) -> None:
        pipe = self._process.stdin
        assert pipe is not None

        def write(data: bytes | memoryview) -> None:
            if self._stop.is_set():
                raise Stopped
            pipe.write(data)

        try:
            self._feed(write)
        except (BrokenPipeError, Stopped):
            pass
        except BaseException as error:
            self._failed = error
            self._process.kill()
        finally:
            with suppress(OSError):
                pipe.close()

    def _listen(self) -> None:
        pipe = self._process.stderr
        assert pipe is not None
        while line := pipe.readline(_LONGEST_LINE):
            self._said.append(line.decode("utf-8", "replace").strip())


class _ReadOnly:
    """A pipe as PyAV reads one: it cannot be sought in."""

    def __init__(self, pipe: IO[bytes]) -> None:
        self._pipe = pipe

    def read(self, size: int) -> bytes:
        """Up to `size` bytes; none at the end."""
        return self._pipe.read(size)


def arguments_of(graph: Any) -> list[str]:
    """The whole command for a graph of ffmpeg-python."""
    calm = ["-nostdin", "-hide_banner", "-loglevel", "error"]
    return [imageio_ffmpeg.get_ffmpeg_exe(), *calm, *ffmpeg.get_args(graph)]


def _widen(pipe: IO[bytes] | None) -> None:
    """A larger pipe, where the system has such: fewer changes between the two processes."""
    with suppress(ImportError, AttributeError, OSError):
        from fcntl import F_SETPIPE_SZ, fcntl

        if pipe is not None:
            fcntl(pipe.fileno(), F_SETPIPE_SZ, _PIPE_BYTES)
