"""Exact pictures for stepping and scrubbing, read beside the window.

A thread of its own holds one frame reader for the clip in hand. Of several requests only the newest is
answered: whoever scrubs wants the picture of now.
"""

from __future__ import annotations

import threading
import time
from dataclasses import dataclass

from PySide6.QtCore import QObject, QTimer, Signal, SignalInstance
from PySide6.QtGui import QImage

from annotate.errors import Trouble
from annotate.kept_clips import KeptClip
from annotate.media.reader import FrameReader
from app.images import image_of

# About thirty frames of 1920 x 1080, or seventy of 1280 x 720: there may be several desks' readers at once.
_KEPT_BYTES = 96 * 1024 * 1024
_SHOWN_MS = 15
_BREATH_S = 0.0005  # between two frames that are given back: to free one keeps the interpreter from the window


@dataclass(frozen=True, slots=True)
class _Request:
    clip: KeptClip
    number: int


class PictureFetcher(QObject):
    """`fetched(clip id, frame number, picture)` arrives in the window's thread; so does `failed(words)`."""

    fetched = Signal(int, int, QImage)
    failed = Signal(int, int, str)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._asked: _Request | None = None
        self._wanted: _Request | None = None
        self._turn = QTimer(self, singleShot=True, interval=_SHOWN_MS)
        self._turn.timeout.connect(self._pass_on)
        self._closing = self._resting = False
        self._wake = threading.Condition()
        self._thread = threading.Thread(target=self._work, name="pictures", daemon=True)
        self._thread.start()

    def fetch(self, clip: KeptClip, number: int, *, later: bool = False) -> None:
        """Asks for a picture; an older request that was not answered yet is dropped.

        `later`: the window is shown first. Reading meanwhile takes the interpreter from it, and both take longer.
        """
        with self._wake:
            self._asked = _Request(clip, number)
        if later:
            self._turn.start()
        else:
            self._pass_on()

    def _pass_on(self) -> None:
        with self._wake:
            self._wanted, self._asked = self._asked or self._wanted, None
            self._wake.notify()

    def rest(self) -> None:
        """Nothing is asked for for now: what is kept of the clip is given back, bit by bit."""
        with self._wake:
            self._asked = self._wanted = None
            self._resting = True
            self._wake.notify()

    def close(self) -> None:
        """Lets the thread end once it has read what it is reading; nothing arrives from it any more."""
        with self._wake:
            self._closing = True
            self._wake.notify()
        # The window does not wait for that; who ends the program does.
        threading.Thread(target=self._thread.join, name="pictures end", daemon=False).start()

    def _work(self) -> None:
        reading = _Reading()
        while (asked := self._next(reading)) is not None:
            try:
                picture = reading.picture(asked)
            except Trouble as trouble:
                self._tell(self.failed, asked, str(trouble))
                continue
            self._tell(self.fetched, asked, picture)
        reading.close()

    def _next(self, reading: _Reading) -> _Request | None:
        """The next request, None at the end; at rest, what is kept is given back until it comes."""
        while True:
            with self._wake:
                self._wake.wait_for(lambda: self._closing or self._wanted is not None or self._resting)
                if self._closing:
                    return None
                if self._wanted is not None:
                    asked, self._wanted, self._resting = self._wanted, None, False
                    return asked
            # Not with the lock in hand: the window asks for it, and to end a clip takes its time.
            self._resting = reading.gives_back()
            time.sleep(_BREATH_S)

    def _tell(self, signal: SignalInstance, asked: _Request, what: QImage | str) -> None:
        with self._wake:
            # Once closed, the object may be gone.
            if not self._closing:
                signal.emit(asked.clip.id, asked.number, what)


class _Reading:
    """The reader of the clip in hand; used by one thread."""

    def __init__(self) -> None:
        self._reader: FrameReader | None = None
        self._clip_id: int | None = None

    def picture(self, asked: _Request) -> QImage:
        """The picture that is asked for. Raises `Trouble`."""
        if self._reader is None or self._clip_id != asked.clip.id:
            self.close()
            self._reader = FrameReader(asked.clip.facts, cache_bytes=_KEPT_BYTES)
            self._clip_id = asked.clip.id
        return image_of(self._reader.frame(asked.number))

    def gives_back(self) -> bool:
        """Gives back one frame that was kept, or else the clip; whether there was a frame."""
        if self._reader is not None and self._reader.forget_one():
            return True
        self.close()
        return False

    def close(self) -> None:
        """Lets go of the clip."""
        if self._reader is not None:
            self._reader.close()
        self._reader = None
