"""Decoded frames kept in memory, bounded in bytes; the frame used longest ago goes first."""

from __future__ import annotations

from collections import OrderedDict

from av.video.frame import VideoFrame


class FrameCache:
    """Frames by number. The one put last is kept even if it alone is larger than the bound."""

    def __init__(self, limit_bytes: int) -> None:
        self._limit = limit_bytes
        self._held = 0
        self._frames: OrderedDict[int, tuple[VideoFrame, int]] = OrderedDict()

    @property
    def held_bytes(self) -> int:
        """The bytes of pixels held now."""
        return self._held

    def __len__(self) -> int:
        return len(self._frames)

    def __contains__(self, n: int) -> bool:
        return n in self._frames

    def get(self, n: int) -> VideoFrame | None:
        """Frame `n`, which then counts as used just now; None if it is not held."""
        held = self._frames.get(n)
        if held is None:
            return None
        self._frames.move_to_end(n)
        return held[0]

    def put(self, n: int, frame: VideoFrame) -> None:
        """Hold frame `n`, and let go of as many others as the bound demands."""
        old = self._frames.pop(n, None)
        size = sum(plane.buffer_size for plane in frame.planes)
        self._frames[n] = frame, size
        self._held += size - (old[1] if old else 0)
        while self._held > self._limit and len(self._frames) > 1:
            self.drop()

    def drop(self) -> bool:
        """Let go of one; whether there was one."""
        if not self._frames:
            return False
        _, (_, gone) = self._frames.popitem(last=False)
        self._held -= gone
        return True

    def clear(self) -> None:
        """Let go of all, one by one: in one go other threads would wait while megabytes go back to the system."""
        while self.drop():
            pass
