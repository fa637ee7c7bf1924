from __future__ import annotations

import html
import re
import subprocess
from pathlib import Path

import imageio_ffmpeg
import pytest

from annotate.deliver.subrip import subrip, time_text
from annotate.deliver.webvtt import Cue, one_line
from tests.annotate.deliver.hostile import HOSTILE

S = 1_000_000_000
TIME = r"(\d\d):(\d\d):(\d\d),(\d{3})"
BLOCK = re.compile(rf"(\d+)\r\n{TIME} --> {TIME}\r\n([^\r\n]+)\r\n")


def strict_cues(text: str) -> list[tuple[int, int, str]]:
    """(start, end) in milliseconds and the text; AssertionError where the file leaves the form."""
    cues = []
    for number, block in enumerate(text.split("\r\n\r\n"), 1):
        found = BLOCK.fullmatch(block if block.endswith("\r\n") else block + "\r\n")
        assert found, block
        assert int(found[1]) == number
        start, end = (
            ((int(found[at]) * 60 + int(found[at + 1])) * 60 + int(found[at + 2])) * 1000 + int(found[at + 3])
            for at in (2, 6)
        )
        assert start < end
        assert "-->" not in found[10]
        cues.append((start, end, found[10]))
    return cues


@pytest.mark.parametrize(
    ("ms", "text"), [(0, "00:00:00,000"), (3_661_500, "01:01:01,500"), (59_999, "00:00:59,999")]
)
def test_hours_are_always_written_and_the_comma_is_a_comma(ms: int, text: str) -> None:
    assert time_text(ms) == text


def test_the_file_is_numbered_blocks() -> None:
    assert subrip([Cue(S, 2 * S, "Spook"), Cue(5 * S, 3661 * S, "Calm")]) == (
        "1\r\n00:00:01,000 --> 00:00:02,000\r\nSpook\r\n\r\n2\r\n00:00:05,000 --> 01:01:01,000\r\nCalm\r\n"
    )


def test_times_are_rounded_before_they_are_split() -> None:
    assert "00:01:00,000 --> " in subrip([Cue(59_999_600_000, 61 * S, "a")])


def test_cues_stand_in_order_and_end_after_they_start() -> None:
    cues = strict_cues(subrip([Cue(9 * S, 9 * S, "late"), Cue(0, S, "early")]))
    assert cues == [(0, 1000, "early"), (9000, 9001, "late")]


@pytest.mark.parametrize("text", [*HOSTILE, "", " \n"])
def test_hostile_text_survives_and_is_nothing_but_text(text: str) -> None:
    (cue,) = strict_cues(subrip([Cue(0, S, text)]))
    assert cue[2].replace("\N{WORD JOINER}", "") == one_line(text)
    assert not re.search(r"<[a-z/]|\{\\|\\[Nnh]", cue[2])


def test_ffmpeg_reads_the_same_cues(tmp_path: Path) -> None:
    texts = ["Spook at the flag, severity 3", "a --> b", "<b>bold</b> & {\\an8} \\N", "=cmd", "🐴 é"]
    cues = [Cue(place * S, place * S + S // 2, text) for place, text in enumerate(texts)]
    (tmp_path / "a.srt").write_text(subrip([*cues, Cue(3661 * S + S // 2, 3662 * S, "last")]), "utf-8", newline="")
    command = [imageio_ffmpeg.get_ffmpeg_exe(), "-nostdin", "-v", "error", "-i", str(tmp_path / "a.srt")]
    read = subprocess.run([*command, "-f", "webvtt", "-"], check=True, capture_output=True).stdout.decode()
    timed = re.findall(r"(\S+) --> (\S+)\n(.+)", read)
    assert [(start, end) for start, end, _ in timed][:2] == [("00:00.000", "00:00.500"), ("00:01.000", "00:01.500")]
    assert timed[-1] == ("01:01:01.500", "01:01:02.000", "last")
    said = [html.unescape(text).replace("\N{WORD JOINER}", "") for _, _, text in timed[:-1]]
    assert said == texts
