"""Exact pictures for stepping and scrubbing, read beside the window.

A thread of its own holds one frame reader for the clip in hand. Of several requests only the newest is
answered: whoever scrubs wants the picture of now.
"""

from __future__ import annotations

import threading
from dataclasses import dataclass

from PySide6.QtCore import QObject, Signal, SignalInstance
from PySide6.QtGui import QImage

from annotate.errors import Trouble
from annotate.kept_clips import KeptClip
from annotate.media.reader import FrameReader
from app.images import image_of

# About thirty frames of 1920 x 1080, or seventy of 1280 x 720: there may be several desks' readers at once.
_KEPT_BYTES = 96 * 1024 * 1024


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
        self._wanted: _Request | None = None
        self._closing = False
        self._wake = threading.Condition()
        self._thread = threading.Thread(target=self._work, name="pictures", daemon=True)
        self._thread.start()

    def fetch(self, clip: KeptClip, number: int) -> None:
        """Asks for a picture; an older request that was not answered yet is dropped."""
        with self._wake:
            self._wanted = _Request(clip, number)
            self._wake.notify()

    def close(self) -> None:
        """Lets the thread end once it has read what it is reading; nothing arrives from it any more."""
        with self._wake:
            self._closing = True
            self._wake.notify()
        # The window does not wait for that; who ends the program does.
        threading.Thread(target=self._thread.join, name="pictures end", daemon=False).start()

    def _work(self) -> None:
        reader: FrameReader | None = None
        open_clip: int | None = None
        while True:
            with self._wake:
                self._wake.wait_for(lambda: self._closing or self._wanted is not None)
                if self._closing:
                    break
                asked, self._wanted = self._wanted, None
            assert asked is not None
            try:
                if reader is None or open_clip != asked.clip.id:
                    if reader is not None:
                        reader.close()
                        reader = None
                    reader = FrameReader(asked.clip.facts, cache_bytes=_KEPT_BYTES)
                    open_clip = asked.clip.id
                picture = image_of(reader.frame(asked.number))
            except Trouble as trouble:
                self._tell(self.failed, asked, str(trouble))
                continue
            self._tell(self.fetched, asked, picture)
        if reader is not None:
            reader.close()

    def _tell(self, signal: SignalInstance, asked: _Request, what: QImage | str) -> None:
        with self._wake:
            # Once closed, the object may be gone.
            if not self._closing:
                signal.emit(asked.clip.id, asked.number, what)
