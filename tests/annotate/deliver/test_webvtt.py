from __future__ import annotations

import io

import pytest
import webvtt as webvtt_py
from hypothesis import given
from hypothesis import strategies as st

from annotate.deliver.webvtt import Cue, one_line, time_text, webvtt
from tests.annotate.deliver.vtt_grammar import strict_cues

S = 1_000_000_000

WICKED = [
    "<b>bold</b> & <i>more</i>",
    "a --> b",
    "-->",
    "two\n\nlines\r\nand\rmore\u2028still\x85",
    '"quoted", \'too\'',
    "=cmd|' /C calc'!A0",
    "\N{RIGHT-TO-LEFT OVERRIDE}drow \N{RIGHT-TO-LEFT MARK}",
    "🐴🏽 \N{ZERO WIDTH JOINER}",
    "NOTE not a comment",
    "STYLE",
    "00:00.000 --> 00:01.000",
    "&amp; &lt; &#x41;",
    "x" * 5000,
]


def cue_texts(text: str) -> list[str]:
    return [cue.text for cue in strict_cues(text.encode())]


@pytest.mark.parametrize(
    ("milliseconds", "text"),
    [(0, "00:00.000"), (59_999, "00:59.999"), (3_661_500, "01:01:01.500"), (360_000_000, "100:00:00.000")],
)
def test_hours_are_written_only_where_there_are_any(milliseconds: int, text: str) -> None:
    assert time_text(milliseconds) == text


def test_times_are_rounded_before_they_are_split() -> None:
    assert "01:00.000 --> 01:01.000" in webvtt("", [Cue(59_999_600_000, 61 * S, "a")])


def test_the_file_is_a_header_and_numbered_cues() -> None:
    assert webvtt("Bramble", [Cue(S, 2 * S, "Spook"), Cue(5 * S, 3661 * S, "Calm")]) == (
        "WEBVTT Bramble\n\n1\n00:01.000 --> 00:02.000\nSpook\n\n2\n00:05.000 --> 01:01:01.000\nCalm\n"
    )


def test_a_file_without_cues_is_still_a_file() -> None:
    assert webvtt("", []) == "WEBVTT\n"
    assert strict_cues(b"WEBVTT\n") == []


def test_cues_stand_in_order_of_their_start() -> None:
    assert cue_texts(webvtt("", [Cue(9 * S, 10 * S, "late"), Cue(0, S, "early")])) == ["early", "late"]


def test_a_cue_ends_after_it_starts_even_after_rounding() -> None:
    (cue,) = strict_cues(webvtt("", [Cue(S, S + 1, "short")]).encode())
    assert (cue.start_ms, cue.end_ms) == (1000, 1001)


@pytest.mark.parametrize("text", WICKED)
def test_wicked_text_survives_in_one_line(text: str) -> None:
    assert cue_texts(webvtt(text, [Cue(0, S, text)])) == [one_line(text)]


def test_only_line_breaks_are_changed_by_writing_in_one_line() -> None:
    assert one_line("two\n\nlines\r\nand\rmore\u2028still\x85") == "two lines and more still"
    assert all(one_line(text) == text.strip() for text in WICKED if len(text.splitlines()) == 1)


def test_what_no_file_can_hold_becomes_a_replacement() -> None:
    assert one_line("a\0b\ud800c") == "a\N{REPLACEMENT CHARACTER}b\N{REPLACEMENT CHARACTER}c"


@pytest.mark.parametrize("text", WICKED)
def test_another_reader_sees_the_same_cues(text: str) -> None:
    file = webvtt("Bramble", [Cue(S, 2 * S, text), Cue(3 * S, 3661 * S, "end")])
    first, second = webvtt_py.from_buffer(io.StringIO(file))
    escaped = one_line(text).replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
    assert first.raw_text == escaped
    assert (first.start, first.end, second.end) == ("00:00:01.000", "00:00:02.000", "01:01:01.000")


cues = st.builds(Cue, st.integers(0, 10**14), st.integers(0, 10**14), st.text(min_size=1).filter(str.strip))


@given(st.text(), st.lists(cues, max_size=6))
def test_any_cues_keep_to_the_grammar(title: str, some: list[Cue]) -> None:
    read = strict_cues(webvtt(title, some).encode())
    assert sorted(cue.text for cue in read) == sorted(one_line(cue.text) for cue in some)
