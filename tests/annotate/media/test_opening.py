from __future__ import annotations

import ctypes
import os
import select
import socket
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import ffmpeg
import pytest

from annotate.errors import ClipTrouble
from annotate.media.clip import look
from annotate.media.opening import open_clip
from annotate.media.reader import first_picture
from tests.made_clips import ClipBox, repacked, run_ffmpeg


def refusal(path: Path | str) -> str:
    """The one sentence; the same one for every way of opening."""
    with pytest.raises(ClipTrouble) as caught:
        look(path)
    with pytest.raises(ClipTrouble) as again:
        first_picture(path)
    assert str(again.value) == str(caught.value)
    sentence = str(caught.value)
    assert sentence.endswith(".")
    assert "\n" not in sentence
    assert "Errno" not in sentence
    return sentence


def copied(clips: ClipBox, name: str, to: Path) -> Path:
    to.write_bytes(clips.get(name).path.read_bytes())
    return to


def test_a_missing_file_is_named(tmp_path: Path) -> None:
    assert "There is no file" in refusal(tmp_path / "gone.mp4")


def test_a_name_below_a_file_is_missing(clips: ClipBox) -> None:
    assert "There is no file" in refusal(clips.get("constant_30").path / "clip.mp4")


def test_a_folder_is_not_a_clip(tmp_path: Path) -> None:
    assert "is a folder" in refusal(tmp_path)


def test_an_empty_file_is_named(tmp_path: Path) -> None:
    (tmp_path / "empty.mp4").touch()
    assert "is empty" in refusal(tmp_path / "empty.mp4")


def test_text_with_the_name_of_a_clip_is_refused(tmp_path: Path) -> None:
    (tmp_path / "text.mp4").write_text("the bay filly, day three\n" * 200)
    assert "not a video that can be read" in refusal(tmp_path / "text.mp4")


def test_a_name_with_a_zero_byte_is_refused() -> None:
    assert "not a name" in refusal("clip\0.mp4")


@pytest.mark.skipif(sys.platform == "win32" or os.geteuid() == 0, reason="root may read everything")
def test_a_file_without_permission_is_named(clips: ClipBox, tmp_path: Path) -> None:
    path = copied(clips, "constant_30", tmp_path / "locked.mp4")
    path.chmod(0)
    assert "may not be read" in refusal(path)


def test_a_permission_refused_by_the_system_is_named(clips: ClipBox, monkeypatch: pytest.MonkeyPatch) -> None:
    path = clips.get("constant_30").path
    monkeypatch.setattr(os, "access", lambda *_: False)
    assert "may not be read" in refusal(path)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no named pipes here")
def test_a_pipe_is_not_opened(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.mp4")
    assert "not an ordinary file" in refusal(tmp_path / "pipe.mp4")


def test_a_clip_without_picture_is_named(tmp_path: Path) -> None:
    path = tmp_path / "sound.m4a"
    run_ffmpeg(ffmpeg.output(ffmpeg.input("sine=d=1", f="lavfi"), str(path), **{"c:a": "aac"}))
    assert "sound but no picture" in refusal(path)


def test_a_clip_cut_off_before_its_index_is_named(clips: ClipBox, tmp_path: Path) -> None:
    whole = clips.get("constant_25").path.read_bytes()
    (tmp_path / "cut.mp4").write_bytes(whole[: len(whole) // 2])
    assert "was cut off" in refusal(tmp_path / "cut.mp4")


def test_an_encrypted_clip_is_named(clips: ClipBox, tmp_path: Path) -> None:
    secret = {"encryption_scheme": "cenc-aes-ctr", "encryption_key": "0" * 32, "encryption_kid": "1" * 32}
    path = repacked(clips.get("constant_30").path, tmp_path / "secret.mp4", **secret)
    assert "is encrypted" in refusal(path)


def test_an_unknown_codec_is_named(clips: ClipBox, tmp_path: Path) -> None:
    path = tmp_path / "unknown.mp4"
    path.write_bytes(clips.get("constant_30").path.read_bytes().replace(b"avc1", b"zzz1"))
    assert "a video codec that cannot be read" in refusal(path)


def test_a_clip_of_nothing_but_damage_is_named(clips: ClipBox, tmp_path: Path) -> None:
    whole = clips.get("constant_30").path.read_bytes()
    start = whole.index(b"mdat") + 4
    end = whole.index(b"moov", start) - 4
    path = tmp_path / "noise.mp4"
    path.write_bytes(whole[:start] + b"\0" * (end - start) + whole[end:])
    assert "no picture that can be shown" in refusal(path)


@pytest.mark.parametrize(
    "name", ["-clip.mp4", "concat:a|b.mp4", "http:clip.mp4", "a clip, 1:2 ümläut.mp4", "%03d.mp4"]
)
def test_an_odd_name_is_only_a_name(
    clips: ClipBox, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    copied(clips, "constant_30", tmp_path / name)
    monkeypatch.chdir(tmp_path)
    assert len(look(name).table) == 60


@pytest.mark.skipif(sys.platform != "linux", reason="other systems have no such names")
def test_a_name_that_is_not_text_is_only_a_name(clips: ClipBox, tmp_path: Path) -> None:
    path = tmp_path / os.fsdecode(b"\xff\xfe.mp4")
    assert len(look(copied(clips, "constant_30", path)).table) == 60


@contextmanager
def watched(path: Path) -> Iterator[Callable[[], bool]]:
    """Says whether a file was opened since it was last asked (Linux, inotify(7))."""
    libc = ctypes.CDLL(None, use_errno=True)
    watch = libc.inotify_init1(os.O_NONBLOCK)
    in_open = 0x20

    def was_opened() -> bool:
        try:
            return len(os.read(watch, 4096)) > 0
        except BlockingIOError:
            return False

    try:
        assert libc.inotify_add_watch(watch, os.fsencode(path), in_open) >= 0
        yield was_opened
    finally:
        os.close(watch)


def playlists(target: str) -> dict[str, str]:
    hls = f"#EXTM3U\n#EXT-X-TARGETDURATION:4\n#EXTINF:3.0,\n{target}\n#EXT-X-ENDLIST\n"
    dash = (
        '<?xml version="1.0"?><MPD xmlns="urn:mpeg:dash:schema:mpd:2011" type="static">'
        f"<Period><AdaptationSet><Representation id='1'><BaseURL>{target}</BaseURL>"
        "</Representation></AdaptationSet></Period></MPD>"
    )
    return {
        "list.m3u8": hls,
        "list.mp4": hls,
        "script.ffconcat": f"ffconcat version 1.0\nfile '{target}'\n",
        "script.mp4": f"ffconcat version 1.0\nfile '{target}'\n",
        "dash.mpd": dash,
        "dash.mp4": dash,
    }


@pytest.mark.skipif(sys.platform != "linux", reason="watches files with inotify")
@pytest.mark.parametrize("name", playlists(""))
def test_a_playlist_is_refused_and_nothing_it_names_is_opened(
    clips: ClipBox, tmp_path: Path, name: str
) -> None:
    target = copied(clips, "transport_stream", tmp_path / "target.ts")
    path = tmp_path / name
    path.write_text(playlists("target.ts")[name])
    with watched(target) as was_opened:
        assert "points to other files" in refusal(path)
        assert not was_opened()
        target.read_bytes()
        assert was_opened()


@pytest.mark.parametrize("name", playlists(""))
def test_a_playlist_cannot_reach_the_network(tmp_path: Path, name: str) -> None:
    with socket.create_server(("127.0.0.1", 0)) as server:
        path = tmp_path / name
        path.write_text(playlists(f"http://127.0.0.1:{server.getsockname()[1]}/a.ts")[name])
        assert "points to other files" in refusal(path)
        assert select.select([server], [], [], 0)[0] == []


def test_bad_files_leave_standard_error_quiet(
    clips: ClipBox, tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    whole = bytearray(clips.get("b_frames").path.read_bytes())
    whole[2000:5000] = b"\x55" * 3000
    (tmp_path / "harmed.mp4").write_bytes(whole)
    (tmp_path / "text.mp4").write_text("no video")
    look(tmp_path / "harmed.mp4")
    refusal(tmp_path / "text.mp4")
    assert capfd.readouterr() == ("", "")


def test_a_clip_is_opened_by_its_absolute_path(clips: ClipBox) -> None:
    path = clips.get("constant_30").path
    with open_clip(path) as container:
        assert container.name == f"file:{path}"
