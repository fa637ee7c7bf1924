"""Timecode against SMPTE ST 12-1 drop-frame.

Sources: the tables of OpenTimelineIO's tests/test_opentime.py (AcademySoftwareFoundation/OpenTimelineIO,
commit bc5fe2d7) for the rows marked so; the others by the standard's rule, which skips labels ;00 and ;01
each minute except every tenth. The library itself is the second reader.
"""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import opentimelineio as otio
import pytest

from annotate.deliver.timecode import RATES, Timecode, timecode_for
from annotate.errors import Trouble

DROP_30 = Timecode(Fraction(30000, 1001), True)
DROP_60 = Timecode(Fraction(60000, 1001), True)
PLAIN_30 = Timecode(Fraction(30000, 1001), False)

TABLE_30 = [
    (0, "00:00:00;00"),
    (1799, "00:00:59;29"),  # OpenTimelineIO
    (1800, "00:01:00;02"),  # OpenTimelineIO
    (3597, "00:01:59;29"),
    (3598, "00:02:00;02"),
    (8992, "00:05:00;02"),  # OpenTimelineIO
    (10789, "00:05:59;29"),  # OpenTimelineIO
    (10790, "00:06:00;02"),  # OpenTimelineIO
    (12588, "00:07:00;02"),  # OpenTimelineIO
    (17981, "00:09:59;29"),  # OpenTimelineIO
    (17982, "00:10:00;00"),  # OpenTimelineIO
    (17984, "00:10:00;02"),  # OpenTimelineIO
    (53946, "00:30:00;00"),
    (107892, "01:00:00;00"),
    (1084319, "10:03:00;05"),  # OpenTimelineIO
    (2589407, "23:59:59;29"),
]
TABLE_60 = [(3600, "00:01:00;04"), (35964, "00:10:00;00"), (1084319, "05:01:30;03")]  # OpenTimelineIO
TABLE_PLAIN_30 = [
    (1799, "00:00:59:29"),
    (1800, "00:01:00:00"),
    (10789, "00:05:59:19"),
    (10790, "00:05:59:20"),
    (1084319, "10:02:23:29"),
]


@pytest.mark.parametrize(
    ("timecode", "frame", "label"),
    [
        *((DROP_30, *row) for row in TABLE_30),
        *((DROP_60, *row) for row in TABLE_60),
        *((PLAIN_30, *row) for row in TABLE_PLAIN_30),
    ],
)
def test_the_tables_hold_both_ways(timecode: Timecode, frame: int, label: str) -> None:
    assert timecode.label(frame) == label
    assert timecode.frame_of(label) == frame


def test_an_hour_of_drop_frame_is_within_a_tenth_of_a_second_of_the_clock() -> None:
    assert DROP_30.nearest_frame(Fraction(3600)) == 107892
    assert abs(107892 / DROP_30.rate - 3600) < Fraction(1, 10)


@pytest.mark.parametrize("timecode", [DROP_30, DROP_60, PLAIN_30, Timecode(Fraction(25), False)])
def test_every_frame_of_a_day_comes_back_and_no_two_have_one_label(timecode: Timecode) -> None:
    every = np.arange(timecode.frames_per_day)
    hours, minutes, seconds, frames = timecode.fields(every)
    assert (timecode.frame(hours, minutes, seconds, frames) == every).all()
    labels = ((hours * 60 + minutes) * 60 + seconds) * timecode.labels_per_s + frames
    assert (np.diff(labels) > 0).all()
    assert (hours[-1], minutes[-1], seconds[-1], frames[-1]) == (23, 59, 59, timecode.labels_per_s - 1)


def test_a_day_at_29_97_has_2589408_frames() -> None:
    assert DROP_30.frames_per_day == 2_589_408


def test_dropped_labels_never_appear() -> None:
    _, minutes, seconds, frames = DROP_30.fields(np.arange(DROP_30.frames_per_day))
    assert not ((seconds == 0) & (frames < 2) & (minutes % 10 != 0)).any()


@pytest.mark.parametrize("label", ["00:01:00;00", "00:01:00;01", "24:00:00;00", "00:00:00;30"])
def test_labels_that_do_not_exist_are_refused(label: str) -> None:
    with pytest.raises(Trouble, match="There is no timecode"):
        DROP_30.frame_of(label)


@pytest.mark.parametrize("label", ["00:01:00:02", "1:00:00;00", "", "00:61:00;00", "００:00:00;00"])
def test_what_is_not_written_like_a_timecode_is_refused(label: str) -> None:
    with pytest.raises(Trouble, match="is not a timecode"):
        DROP_30.frame_of(label)


@pytest.mark.parametrize("frame", [-1, 2_589_408])
def test_frames_outside_a_day_are_refused(frame: int) -> None:
    with pytest.raises(Trouble, match="lies outside"):
        DROP_30.label(frame)


@pytest.mark.parametrize("rate", [rate for rate in RATES if rate.denominator == 1 or rate < 24])
def test_only_29_97_and_59_94_drop_labels(rate: Fraction) -> None:
    with pytest.raises(Trouble, match="no drop-frame"):
        Timecode(rate, True)


def test_a_rate_that_nobody_counts_is_refused() -> None:
    with pytest.raises(Trouble, match="no timecode at 17"):
        Timecode(Fraction(17), False)


@pytest.mark.parametrize(
    ("rate", "expected"),
    [
        (Fraction(30), Timecode(Fraction(30), False)),
        (Fraction(2997, 100), DROP_30),
        (Fraction(2401, 100), Timecode(Fraction(24), False)),
        (Fraction(240), Timecode(Fraction(60), False)),
        (Fraction(149, 5), DROP_30),
    ],
)
def test_a_clips_rate_is_counted_at_the_nearest_rate_there_is(rate: Fraction, expected: Timecode) -> None:
    assert timecode_for(rate) == expected


@pytest.mark.parametrize("timecode", [DROP_30, DROP_60])
def test_the_library_gives_the_same_labels(timecode: Timecode) -> None:
    rate = float(timecode.rate)
    for frame in range(0, timecode.frames_per_day, 99_991):
        theirs = otio.opentime.to_timecode(otio.opentime.RationalTime(frame, rate), rate, True)
        assert timecode.label(frame) == theirs
