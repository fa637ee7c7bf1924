"""Plays a clip, and says for each picture which frame it is. The only place that knows QMediaPlayer.

The player's own position is not to be trusted for tags; `QVideoFrame.startTime()` is the frame's exact time
in microseconds since the container's start. A paused player is not used for stepping: see `picture_fetcher`.
A seek is lost on a clip that still loads, so playing waits for that. Of frames that came while the window had
no time only the newest is made a picture of.

Letting go of a clip ends Qt's own threads. They ask Python whether it overrides what they call, holding a lock
that the window's thread then waits for: called from Python, which keeps the interpreter meanwhile, that is a
deadlock. So Qt's event loop makes these calls, with the interpreter free.
"""

from __future__ import annotations

from functools import cached_property
from pathlib import Path

from PySide6.QtCore import Q_ARG, QEventLoop, QLoggingCategory, QMetaObject, QObject, Qt, QTimer, QUrl, Signal
from PySide6.QtGui import QImage
from PySide6.QtMultimedia import QAudioOutput, QMediaDevices, QMediaPlayer, QVideoFrame, QVideoSink

from annotate.kept_clips import KeptClip
from annotate.media.player_clock import seek_ms, us_to_frame
from app.made_ahead import is_made
from app.played_images import PlayedImages

SOUND_SPEEDS = (0.5, 2.0)
"""Between these the sound plays, its pitch kept; slower or faster it would be noise."""

SPEEDS = (0.1, 0.25, 0.5, 0.75, 1.0, 1.5, 2.0, 3.0, 4.0, 6.0, 8.0)

_PITCH = QMediaPlayer.PitchCompensationAvailability


class Player(QObject):
    """One clip at a time. `frame_shown(clip id, frame number, picture)` for each frame that is played."""

    frame_shown = Signal(int, int, QImage)
    reached_end = Signal(int)
    failed = Signal(str)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._clip: KeptClip | None = None
        self._images: PlayedImages | None = None
        self._from = 0
        self._speed = self._volume = 1.0
        self._playing = False
        self._waits_for_clip = False
        self._newest: QVideoFrame | None = None
        self._turn = QTimer(self, singleShot=True, interval=0)
        self._turn.timeout.connect(self._show_newest)

    @cached_property
    def machine(self) -> QMediaPlayer:
        """What Qt plays by. It takes some time to make: when something is first played, or ahead of that."""
        self._sound, self._devices = _sound_of_this_machine(self)
        self._sink = QVideoSink(self)
        machine = QMediaPlayer(self)
        self._devices.audioOutputsChanged.connect(self._on_outputs)
        self._give_sound(machine)
        if machine.pitchCompensationAvailability() is _PITCH.Available:
            machine.setPitchCompensation(True)
        machine.setVideoSink(self._sink)
        self._sink.videoFrameChanged.connect(self._on_frame)
        machine.mediaStatusChanged.connect(self._on_status)
        machine.errorOccurred.connect(self._on_error)
        self._sound.setVolume(self._volume)
        self._take_speed(machine)
        return machine

    @property
    def _is_made(self) -> bool:
        return is_made(self, "machine")

    def _on_outputs(self) -> None:
        self._give_sound(self.machine)

    def _give_sound(self, machine: QMediaPlayer) -> None:
        """Plays the sound once there is something to hear it by; without, each clip would complain."""
        if machine.audioOutput() is None and not self._devices.defaultAudioOutput().isNull():
            machine.setAudioOutput(self._sound)

    @property
    def is_playing(self) -> bool:
        """Whether frames are arriving."""
        return self._playing

    def play(self, clip: KeptClip, number: int, speed: float) -> None:
        """Plays from a frame of a clip."""
        self._newest = None
        if self._clip is None or self._clip.id != clip.id:
            self._playing = False
            self._ask_for(QUrl.fromLocalFile(str(Path(clip.path))))
            self._wait_until_done()
            self._clip = clip
            self._images = PlayedImages(clip.facts.picture)
        self._from = number
        self._playing = True
        self.set_speed(speed)
        self._waits_for_clip = self.machine.mediaStatus() == QMediaPlayer.MediaStatus.LoadingMedia
        if not self._waits_for_clip:
            self._play_from(clip, number)

    def pause(self) -> None:
        """Stops the pictures; the last one that was told stays the shown one."""
        self._playing = self._waits_for_clip = False
        if self._is_made:
            self.machine.pause()

    def set_speed(self, speed: float) -> None:
        """Plays on at another speed."""
        self._speed = speed
        if self._is_made:
            self._take_speed(self.machine)

    def _take_speed(self, machine: QMediaPlayer) -> None:
        machine.setPlaybackRate(self._speed)
        slowest, fastest = SOUND_SPEEDS
        self._sound.setMuted(not slowest <= self._speed <= fastest)

    @property
    def keeps_pitch(self) -> bool:
        """Whether the sound is as high as it was, whatever the speed."""
        return self.machine.pitchCompensation()

    @property
    def has_sound_now(self) -> bool:
        """Whether the speed is one at which the sound plays."""
        return self._is_made and not self._sound.isMuted()

    def set_volume(self, volume: float) -> None:
        """0 to 1."""
        self._volume = volume
        if self._is_made:
            self._sound.setVolume(volume)

    def let_go(self) -> None:
        """Shows no more of the clip, and lets go of it in the turns to come."""
        self._playing = self._waits_for_clip = False
        if self._clip is not None:
            self._ask_for(QUrl())
        self._clip = self._images = None

    def close(self) -> None:
        """Lets go of the clip before it returns; the player is done with."""
        self.let_go()
        if self._is_made:
            self._wait_until_done()

    def _ask_for(self, following: QUrl) -> None:
        """Has it stop and take another clip, or none; see above why not simply called."""
        queued = Qt.ConnectionType.QueuedConnection
        QMetaObject.invokeMethod(self.machine, "stop", queued)
        QMetaObject.invokeMethod(self.machine, "setSource", queued, Q_ARG(QUrl, following))

    def _wait_until_done(self) -> None:
        loop = QEventLoop()
        QMetaObject.invokeMethod(loop, "quit", Qt.ConnectionType.QueuedConnection)
        loop.exec(QEventLoop.ProcessEventsFlag.ExcludeUserInputEvents)

    def _play_from(self, clip: KeptClip, number: int) -> None:
        self.machine.setPosition(seek_ms(clip.facts, number))
        self.machine.play()

    def _on_frame(self, frame: QVideoFrame) -> None:
        if self._playing and frame.isValid():
            self._newest = QVideoFrame(frame)
            self._turn.start()

    def _show_newest(self) -> None:
        frame, self._newest = self._newest, None
        if frame is None or not self._playing or self._clip is None or self._images is None:
            return
        number = us_to_frame(self._clip.facts, frame.startTime())
        if number < self._from:
            return
        self.frame_shown.emit(self._clip.id, number, self._images.image(frame))

    def _on_status(self, status: QMediaPlayer.MediaStatus) -> None:
        if status == QMediaPlayer.MediaStatus.EndOfMedia:
            self._show_newest()
        loaded = status == QMediaPlayer.MediaStatus.LoadedMedia
        if loaded and self._waits_for_clip and self._clip is not None:
            self._waits_for_clip = False
            self._play_from(self._clip, self._from)
        if status == QMediaPlayer.MediaStatus.EndOfMedia and self._playing and self._clip is not None:
            self._playing = False
            self.reached_end.emit(self._clip.id)

    def _on_error(self, error: QMediaPlayer.Error, words: str) -> None:
        if error != QMediaPlayer.Error.NoError:
            self._playing = False
            self.failed.emit(self.tr("The clip plays without sound: {trouble}").format(trouble=words))


def _sound_of_this_machine(parent: QObject) -> tuple[QAudioOutput, QMediaDevices]:
    """Looked for quietly: a machine without a sound server is no trouble, and Qt has no name for that warning."""
    QLoggingCategory.setFilterRules("default.warning=false")
    try:
        sound, devices = QAudioOutput(parent), QMediaDevices(parent)
        devices.defaultAudioOutput()
    finally:
        QLoggingCategory.setFilterRules("")
    return sound, devices
