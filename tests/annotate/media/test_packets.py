from __future__ import annotations

import random
from contextlib import suppress
from pathlib import Path

import ffmpeg

from annotate.errors import ClipTrouble
from annotate.media.clip import look
from annotate.media.opening import open_clip, picture_stream
from annotate.media.packets import read_packets
from annotate.media.reader import FrameReader
from tests.made_clips import ClipBox, MadeClip, run_ffmpeg


def test_sound_that_first_appears_in_the_middle_ends_nothing(clips: ClipBox, tmp_path: Path) -> None:
    source = clips.get("constant_25").path
    opened = ffmpeg.input(str(source))
    parts = {"silent.ts": [opened.video], "heard.ts": [opened.video, opened.audio]}
    for name, streams in parts.items():
        run_ffmpeg(ffmpeg.output(*streams, str(tmp_path / name), c="copy"))
    path = tmp_path / "both.ts"
    padding = (b"\x47\x1f\xff\x10" + bytes(184)) * 40_000
    silent, heard = ((tmp_path / name).read_bytes() for name in parts)
    path.write_bytes(silent + padding + heard + padding + silent)
    with open_clip(path) as container:
        stream = picture_stream(container, path)
        assert len(container.streams) == 1
        assert sum(1 for _ in read_packets(container, stream)) == 3 * 75


def test_damage_anywhere_raises_nothing_but_a_sentence(any_clip: MadeClip, tmp_path: Path) -> None:
    chance = random.Random(any_clip.name)
    whole = any_clip.path.read_bytes()
    path = tmp_path / f"harmed{any_clip.path.suffix}"
    for _ in range(4):
        harmed = bytearray(whole)
        for _ in range(chance.choice([1, 20, 200])):
            harmed[chance.randrange(len(harmed))] = chance.randrange(256)
        path.write_bytes(harmed[: chance.randrange(len(harmed) // 2, len(harmed))])
        with suppress(ClipTrouble):
            facts = look(path)
            with FrameReader(facts) as reader:
                reader.frame(chance.randrange(len(facts.table)))
