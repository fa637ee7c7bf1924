"""How many frames of 1920 x 1080 at 30 a second reach the desk, beside a bare player that only counts.

Bare means QMediaPlayer into a QVideoSink that notes each frame's time and draws nothing. Ours counts a frame
when the desk's picture has been painted with it; all else that the desk does at each frame goes on, too. Both
play the same seconds of the same clip, in turns. A row gives the milliseconds of film for each frame that was
seen: more than bare means frames that the bare player has and the desk never showed.
"""

from __future__ import annotations

import statistics
import tempfile
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path

from PySide6.QtCore import QEvent, QEventLoop, QObject, QTimer, QUrl
from PySide6.QtMultimedia import QMediaPlayer, QVideoFrame, QVideoSink
from PySide6.QtWidgets import QApplication

from annotate.tags import Tag
from app.bringing_in import look_at_clips
from app.desk import Desk
from app.main_window import MainWindow
from store.barn import Barn
from tests.bench.media import make_clip
from tests.bench.row import Row
from tests.bench.work_line import many_tags

RATE, PLAYED_S, TURNS = 30, 8, 3
LAST = RATE * PLAYED_S
_TAGS, _DENSER = 400, 10  # an hour's tags, as close as they lie when one sees a whole hour
_LOOK_MS, _PATIENCE_MS = 5, 60_000


def rows() -> list[Row]:
    """The table, measured now."""
    app = QApplication.instance() or QApplication([])
    with tempfile.TemporaryDirectory() as folder:
        clip = make_clip(Path(folder) / "bench.mp4")
        barn = Barn.create(Path(folder) / "bench.barn")
        session_id = barn.add_session("Thistle", date(2026, 5, 4), look_at_clips([clip]))
        barn.replace_tags(session_id, _dense_tags())
        window = MainWindow(barn)
        window.resize(1280, 720)
        window.show()
        window.open_session(session_id)
        _until(lambda: window.desk.showing.has_picture and not window.jobs.running)
        measured = [_played(window.desk, clip, speed) for speed in (1.0, 2.0)]
        window.close()
        app.processEvents()
    return measured


class _Painted(QObject):
    """Notes each frame with which a desk's picture was painted."""

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._desk = desk
        self.numbers: set[int] = set()
        desk.picture.installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Type.Paint:
            self.numbers.add(self._desk.showing.shown.number)
        return False


def _played(desk: Desk, clip: Path, speed: float) -> Row:
    ours: list[int] = []
    bare: list[int] = []
    for turn in range(TURNS):
        for measure in (_ours, _bare) if turn % 2 else (_bare, _ours):
            (ours if measure is _ours else bare).append(measure(desk, clip, speed))
    seen, given = statistics.median(ours), statistics.median(bare)
    name = f"1080p30 at {speed:g} x: {seen:g} of {LAST} frames shown"
    # At twice the speed a screen of 60 pictures a second has none to spare.
    return Row(name, 1000 * PLAYED_S / seen, 1000 * PLAYED_S / given, 1.0 if speed == 1 else None, "ms")


def _ours(desk: Desk, _clip: Path, speed: float) -> int:
    """How many different frames the desk painted."""
    showing = desk.showing
    showing.pause()
    showing.go_to(0)
    _until(lambda: showing.shown.number == 0 and showing.has_picture)
    painted = _Painted(desk)
    showing.set_speed(speed)
    showing.play()
    _until(lambda: showing.shown.number >= LAST)
    showing.pause()
    desk.picture.removeEventFilter(painted)
    return sum(number < LAST for number in painted.numbers)


def _bare(_desk: Desk, clip: Path, speed: float) -> int:
    """How many different frames a player alone gives."""
    player, sink = QMediaPlayer(), QVideoSink()
    times: set[int] = set()

    def note(frame: QVideoFrame) -> None:
        times.add(frame.startTime())

    sink.videoFrameChanged.connect(note)
    player.setVideoSink(sink)
    player.setSource(QUrl.fromLocalFile(str(clip)))
    _until(lambda: player.mediaStatus() == QMediaPlayer.MediaStatus.LoadedMedia)
    player.setPlaybackRate(speed)
    player.play()
    _until(lambda: max(times, default=0) >= PLAYED_S * 1_000_000)
    player.stop()
    player.setSource(QUrl())
    return sum(0 <= time < PLAYED_S * 1_000_000 for time in times)


def _dense_tags() -> list[Tag]:
    return [
        replace(
            tag,
            start_ns=tag.start_ns // _DENSER,
            end_ns=None if tag.end_ns is None else tag.end_ns // _DENSER,
        )
        for tag in many_tags()[:_TAGS]
    ]


def _until(holds: Callable[[], bool]) -> None:
    loop, looks, patience = QEventLoop(), QTimer(), QTimer()
    looks.timeout.connect(lambda: loop.quit() if holds() else None)
    patience.setSingleShot(True)
    patience.timeout.connect(loop.quit)
    looks.start(_LOOK_MS)
    patience.start(_PATIENCE_MS)
    loop.exec()
    if not holds():
        raise RuntimeError("the player did not get there")
