from __future__ import annotations

import os
from pathlib import Path

import ffmpeg
import pytest

from annotate.deliver.reel.running import Running, Write, arguments_of
from annotate.errors import Trouble


def grey(**more: object) -> object:
    """Grey pictures of 16 x 16 in, H.264 out."""
    source = ffmpeg.input("pipe:0", f="rawvideo", pix_fmt="gray", s="16x16", r=25)
    return ffmpeg.output(source, "pipe:1", f="matroska", **{"c:v": "libx264", **more})


def is_alive(process_id: int) -> bool:
    try:
        os.kill(process_id, 0)
    except ProcessLookupError:
        return False
    return True


def test_what_is_fed_comes_out_coded() -> None:
    with (
        Running(grey(), lambda write: [write(bytes(256)) for _ in range(10)] and None) as running,
        running.opened() as made,
    ):
        assert sum(1 for packet in made.demux() if packet.size) == 10


def test_what_ffmpeg_complains_of_is_said_in_short() -> None:
    with (
        Running(grey(preset="no such preset"), lambda write: None) as running,
        pytest.raises(Trouble, match=r"ffmpeg could not code the reel: .*preset") as said,
    ):
        running.opened()
    assert len(str(said.value)) < 20 * 500


def test_what_the_feeding_raises_comes_first() -> None:
    def feed(write: Write) -> None:
        raise Trouble("The clip is torn.")

    with Running(grey(), feed) as running, pytest.raises(Trouble, match="The clip is torn"):
        running.opened()


def test_much_that_is_said_blocks_nothing() -> None:
    loud = ffmpeg.input("pipe:0", f="h264")
    graph = ffmpeg.output(loud, "pipe:1", f="matroska", **{"c:v": "libx264"})
    noise = os.urandom(1 << 20).replace(b"\0\0", b"\0\0\1\x65")
    with Running(graph, lambda write: write(noise) and None) as running, pytest.raises(Trouble):
        running.opened()


def test_leaving_ends_the_process_and_the_feeding_whatever_they_do() -> None:
    def feed(write: Write) -> None:
        while True:
            write(bytes(1 << 16))

    with Running(grey(), feed) as running:
        number = running.process_id
        assert is_alive(number)
    assert not is_alive(number)


def test_it_asks_nothing_and_reads_only_its_pipe() -> None:
    arguments = arguments_of(grey())
    assert "-nostdin" in arguments
    assert arguments[arguments.index("-i") + 1] == "pipe:0"
    assert arguments[-1] == "pipe:1"
    assert Path(arguments[0]).is_file()
