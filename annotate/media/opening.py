"""The one door through which a media file is opened.

A clip comes from anywhere, so it may not reach anywhere: only regular local files are opened, by
absolute path behind the `file:` protocol (a name that begins with a dash or holds `concat:` is then only
a name), with protocols limited to `file` and containers to a list without playlists. Both limits are
libavformat's own options, so they hold for whatever a demuxer would open in turn.
"""

from __future__ import annotations

import os
import stat
from pathlib import Path

import av
from av.container import InputContainer
from av.stream import Discard, Disposition
from av.video.stream import VideoStream

from annotate.errors import ClipTrouble

# libavformat's short names of its demuxers; an entry allows a demuxer that has it among its names.
CONTAINERS = (
    "mov",
    "mp4",
    "m4a",
    "3gp",
    "3g2",
    "mj2",
    "matroska",
    "webm",
    "avi",
    "mpegts",
    "mpeg",
    "asf",
    "flv",
    "ogg",
)
_OPTIONS = {"protocol_whitelist": "file", "format_whitelist": ",".join(CONTAINERS)}
_HEAD = 4096
_PLAYLIST_HEADS = (b"#EXTM3U", b"ffconcat", b"[playlist]", b"file ", b"<ASX", b"<asx", b"#EXT-")


def open_clip(path: Path | str) -> InputContainer:
    """Open a clip for reading. The caller closes it (it is a context manager).

    Raises `ClipTrouble` with one plain sentence for anything that is not a readable clip.
    """
    full = _regular_file(path)
    try:
        return av.open("file:" + full, "r", options=dict(_OPTIONS), metadata_errors="replace")
    except (av.FFmpegError, OSError, ValueError) as failure:
        raise ClipTrouble(_why_it_did_not_open(full)) from failure


def picture_stream(container: InputContainer, path: Path | str) -> VideoStream:
    """The stream of moving pictures that a player would choose, with everything else left unread.

    Raises `ClipTrouble` if there is none, or none that can be decoded here.
    """
    stream = container.streams.best("video")
    if not isinstance(stream, VideoStream) or stream.disposition & Disposition.attached_pic:
        has_sound = bool(container.streams.audio)
        what = "sound but no picture" if has_sound else "no picture"
        raise ClipTrouble(f"{name_of(path)} holds {what}: choose a file with video in it.")
    if stream.codec_context is None:
        raise ClipTrouble(
            f"{name_of(path)} is written in a video codec that cannot be read here: "
            "export it again, for example as H.264 in MP4."
        )
    for other in container.streams:
        if other.index != stream.index:
            other.discard = Discard.all
    return stream


def name_of(path: Path | str) -> str:
    """The file's name as it can be shown to a person, whatever bytes it is made of."""
    return os.fsencode(path).decode("utf-8", "replace")


def _regular_file(path: Path | str) -> str:
    name = name_of(path)
    try:
        full = os.path.abspath(path)  # noqa: PTH100 - Path.resolve would follow links, absolute() keeps ".."
        facts = os.stat(full)  # noqa: PTH116
    except (FileNotFoundError, NotADirectoryError):
        raise ClipTrouble(f"There is no file {name}: it may have been moved or renamed.") from None
    except PermissionError:
        raise ClipTrouble(_no_permission(name)) from None
    except (OSError, ValueError):
        raise ClipTrouble(f"{name} is not a name that a file can have.") from None
    if stat.S_ISDIR(facts.st_mode):
        raise ClipTrouble(f"{name} is a folder: choose the clips in it.")
    if not stat.S_ISREG(facts.st_mode):
        raise ClipTrouble(f"{name} is not an ordinary file: copy the clip to the disk first.")
    if facts.st_size == 0:
        raise ClipTrouble(f"{name} is empty: copy it again from the camera.")
    if not os.access(full, os.R_OK):
        raise ClipTrouble(_no_permission(name))
    return full


def _no_permission(name: str) -> str:
    return f"{name} may not be read by you: change its permissions or copy it elsewhere."


def _why_it_did_not_open(full: str) -> str:
    name = name_of(full)
    try:
        head, boxes = _look_inside(full)
    except OSError:
        return f"{name} could not be read from the disk: copy it again from the camera."
    if head.lstrip(b"\xef\xbb\xbf \t\r\n").startswith(_PLAYLIST_HEADS) or b"<MPD" in head:
        return f"{name} is a list that points to other files, not a clip: add the clips themselves."
    if boxes and "moov" not in boxes:
        return (
            f"{name} was cut off before its table of pictures was written: "
            "copy it again from the camera, or have it repaired."
        )
    return f"{name} is not a video that can be read here: it is damaged or of another kind."


def _look_inside(full: str) -> tuple[bytes, list[str]]:
    """The first bytes, and the names of the outermost boxes if it is an ISO base media file."""
    boxes: list[str] = []
    with Path(full).open("rb") as file:
        head = file.read(_HEAD)
        end = file.seek(0, os.SEEK_END)
        if head[4:8] not in {b"ftyp", b"mdat", b"wide", b"free", b"skip", b"moov"}:
            return head, boxes
        at = 0
        while at + 8 <= end and len(boxes) < 1000:
            file.seek(at)
            start = file.read(16)
            size = int.from_bytes(start[:4], "big")
            if size == 1 and len(start) == 16:
                size = int.from_bytes(start[8:16], "big")
            boxes.append(start[4:8].decode("latin-1"))
            if size < 8:
                break
            at += size
    return head, boxes
