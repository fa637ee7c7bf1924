"""The form of CMX 3600 events as the sample list of OpenTimelineIO/otio-cmx3600-adapter has it (commit
4b02a66, tests/sample_data/screening_example.edl): `001  ZZ100_50 V     C        01:00:04:05 01:00:05:12
00:59:53:11 00:59:54:18` is 31 frames on both sides at 24 frames a second; OUT is exclusive.
"""

from __future__ import annotations

import re
from fractions import Fraction
from itertools import pairwise

import opentimelineio
import pytest

from annotate.deliver.edl import edls, reel_names
from annotate.deliver.timecode import Timecode
from annotate.deliver.webvtt import one_line
from annotate.passages import Passage
from tests.annotate.deliver.hostile import HOSTILE
from tests.annotate.deliver.some_cuts import S, cut, facts, material, steady

NTSC = Fraction(30000, 1001)
LABEL = r"\d\d:\d\d:\d\d[:;]\d\d"
EVENT = re.compile(
    rf"(\d{{3}})  ([A-Z0-9_]{{1,8}}) +(V|AA/V) +C        ({LABEL}) ({LABEL}) ({LABEL}) ({LABEL})"
)


def events(text: str) -> list[tuple[str, ...]]:
    return [found.groups() for line in text.splitlines() if (found := EVENT.fullmatch(line))]


def test_the_sample_event_of_the_adapter_has_the_form_that_is_read_here() -> None:
    sample = "001  ZZ100_50 V     C        01:00:04:05 01:00:05:12 00:59:53:11 00:59:54:18"
    ((_, _, _, *labels),) = events(sample)
    timecode = Timecode(Fraction(24), False)
    source_in, source_out, record_in, record_out = (timecode.frame_of(label) for label in labels)
    assert source_out - source_in == record_out - record_in == 31


def test_a_list_is_its_title_its_counting_and_its_events() -> None:
    some = material(
        steady(Fraction(25), 250), passages=[Passage(S, 3 * S, "Spook"), Passage(5 * S, 6 * S, "Calm", 1)]
    )
    (text,) = edls("Bramble/2026-05-04", cut(some))
    assert text == (
        "TITLE: Bramble/2026-05-04\r\n"
        "FCM: NON-DROP FRAME\r\n"
        "001  CLIP1    AA/V  C        00:00:01:00 00:00:03:00 00:00:00:00 00:00:02:00\r\n"
        "* FROM CLIP NAME: clip1.mp4\r\n"
        "* COMMENT: Spook\r\n"
        "* FRAME RATE: 25 PER SECOND\r\n"
        "002  CLIP1    AA/V  C        00:00:05:00 00:00:06:00 00:00:02:00 00:00:03:00\r\n"
        "* FROM CLIP NAME: clip1.mp4\r\n"
        "* COMMENT: Calm\r\n"
    )


def test_at_29_97_labels_are_dropped_and_frames_are_exact() -> None:
    some = material(steady(NTSC, 4000), passages=[])
    placed = some.files[0].placed
    passage = Passage(placed.session_ns(1799), placed.session_ns(3598))
    (text,) = edls("", cut(material(steady(NTSC, 4000), passages=[passage])))
    assert "FCM: DROP FRAME" in text
    assert events(text)[0][3:] == ("00:00:59;29", "00:02:00;02", "00:00:00;00", "00:00:59;29")


@pytest.mark.parametrize("rate", [Fraction(24), Fraction(25), NTSC])
def test_the_adapter_of_opentimelineio_reads_the_same_cuts(rate: Fraction) -> None:
    clip = steady(rate, 4000)
    placed = material(clip, passages=[]).files[0].placed
    marks = [(1799, 3598), (100, 131)]
    passages = [
        Passage(placed.session_ns(first), placed.session_ns(end), position=place)
        for place, (first, end) in enumerate(marks)
    ]
    (text,) = edls("Bramble/2026-05-04", cut(material(clip, passages=passages)))
    counted = float(round(rate)) if rate.denominator == 1 else float(rate)
    timeline = opentimelineio.adapters.read_from_string(text, "cmx_3600", rate=counted)
    read = [one.source_range for one in timeline.find_clips() if "V" in one.parent().kind]
    assert [(one.start_time.to_frames(), one.end_time_exclusive().to_frames()) for one in read] == marks


def test_a_clip_without_sound_has_pictures_only() -> None:
    some = material(steady(Fraction(25), 100, sound=False), passages=[Passage(0, S)])
    assert events(next(edls("", cut(some))))[0][2] == "V"


def test_a_late_start_does_not_shift_the_source() -> None:
    clip = facts(range(250, 500), Fraction(1, 25), end=500, rate=Fraction(25), container_start=Fraction(9))
    assert events(next(edls("", cut(material(clip, passages=[Passage(S, 2 * S)])))))[0][3] == "00:00:01:00"


def test_source_and_record_are_equally_long_at_any_rate() -> None:
    some = material(
        facts([0, 2999, 7000, 9001, 12_345], Fraction(1, 90000), end=15_000),
        steady(Fraction(60), 600),
        passages=[Passage(0, S), Passage(S, 9 * S)],
    )
    timecode = Timecode(Fraction(60), False)
    read = [[timecode.frame_of(label) for label in event[3:]] for event in events(next(edls("", cut(some))))]
    assert len(read) == 3
    assert all(out - into == end - begin > 0 for into, out, begin, end in read)
    assert all(one[3] == other[2] for one, other in pairwise(read))


def test_a_session_without_clips_has_a_list_on_its_own_clock() -> None:
    (text,) = edls("", cut(material(passages=[Passage(10 * S, 11 * S)], length_s=60)))
    assert events(text)[0][1:] == ("AX", "AA/V", "00:00:10:00", "00:00:11:00", "00:00:00:00", "00:00:01:00")


def test_more_than_999_events_make_another_list() -> None:
    passages = [Passage(place * S // 100, (place + 1) * S // 100, position=place) for place in range(1500)]
    first, second = edls("", cut(material(passages=passages, length_s=60)))
    assert (len(events(first)), len(events(second))) == (999, 501)
    assert events(second)[0][0] == "001"


def test_names_of_reels_are_short_plain_and_never_alike() -> None:
    names = "long name of {} clip ü.mp4"
    clips = [steady(Fraction(25), 25)] * 3
    names_of = reel_names(cut(material(*clips, passages=[Passage(0, 3 * S)], names=names)))
    assert len(set(names_of.values())) == 3
    assert all(re.fullmatch(r"[A-Z0-9_]{1,8}", name) for name in names_of.values())


@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_text_stays_in_its_comment(text: str) -> None:
    some = material(steady(Fraction(25), 100), passages=[Passage(0, S, text)], names=text + "{}")
    (file,) = edls(text, cut(some))
    title, counting, event, clip, comment, rate = file.removesuffix("\r\n").split("\r\n")
    assert title == f"TITLE: {one_line(text)}"
    assert (counting, rate) == ("FCM: NON-DROP FRAME", "* FRAME RATE: 25 PER SECOND")
    assert EVENT.fullmatch(event)
    assert clip.startswith("* FROM CLIP NAME: ")
    assert comment == f"* COMMENT: {one_line(text)}"
    assert not any(sign in file for sign in "\u2028\x85\0")
