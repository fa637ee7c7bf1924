from __future__ import annotations

import csv
import io
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from annotate.behaviours import REACTION, default_sheet, stimulus_words
from annotate.clock import NS_PER_S
from annotate.errors import TagTrouble
from annotate.taglist import plain_text, read_csv, read_tag_list, safe_text, write_tag_list
from annotate.tags import Tag
from tests.annotate.rfc4180 import strict_records

SHEET = default_sheet()
END = 600 * NS_PER_S
HEADER = "start_s,end_s,what,severity,stimulus,side,note"
REACTIONS = [b.name for b in SHEET.of_group(REACTION)]

WICKED = [
    'say "whoa", then wait',
    "two\nlines",
    "two\r\nlines",
    "a\rreturn",
    "=cmd|' /C calc'!A0",
    "+1",
    "-1",
    "@here",
    "\ttab",
    "\r",
    "'tis fine",
    "''=",
    "🐴 emoji \N{ZERO WIDTH JOINER}",
    "\N{RIGHT-TO-LEFT OVERRIDE}drow",
    "\N{ZERO WIDTH NO-BREAK SPACE}",
    " spaces stay ",
    ",",
    '"',
    "\x00\x85\u2028",
    "x" * 200_000,
]


def rows(*lines: str) -> str:
    return "\r\n".join([HEADER, *lines]) + "\r\n"


def trouble(text: str | bytes, end_ns: int = END) -> str:
    with pytest.raises(TagTrouble) as caught:
        read_tag_list(text, SHEET, end_ns)
    return str(caught.value)


notes = st.one_of(st.text(max_size=30), st.sampled_from(WICKED), st.text("=+-@'\t\r\n,\"a", max_size=6))
instants = st.integers(0, END - 1)
events = st.builds(
    Tag,
    st.sampled_from(REACTIONS),
    instants,
    severity=st.none() | st.integers(1, 4),
    stimulus=st.sampled_from(["", *stimulus_words(SHEET)]),
    side=st.sampled_from(["", "left", "right"]),
    note=notes,
)


@st.composite
def gaits(draw: st.DrawFn) -> list[Tag]:
    edges = sorted(draw(st.sets(st.integers(0, END), max_size=12)))
    gait = st.sampled_from(["walk", "trot", "lope"])
    return [
        Tag(draw(gait), a, b, note=draw(notes)) for a, b in zip(edges[::2], edges[1::2], strict=False)
    ]


@settings(max_examples=300)
@given(st.lists(events, max_size=8), gaits())
def test_a_tag_list_comes_back_without_loss(some: list[Tag], states: list[Tag]) -> None:
    text = write_tag_list([*some, *states], SHEET)
    read = read_tag_list(text.encode(), SHEET, END)
    key = repr
    assert sorted(map(shape, read), key=key) == sorted(map(shape, [*some, *states]), key=key)
    assert sorted(write_tag_list(read, SHEET)) == sorted(text)


def shape(tag: Tag) -> tuple[object, ...]:
    return (tag.what, tag.start_ns, tag.end_ns, tag.severity, tag.stimulus, tag.side, tag.note)


@pytest.mark.parametrize("note", WICKED)
def test_a_wicked_note_survives_and_the_file_keeps_to_rfc_4180(note: str) -> None:
    text = write_tag_list([Tag("spook", 1, note=note)], SHEET)
    assert read_tag_list(text, SHEET, END)[0].note == note
    header, row = strict_records(text.encode())
    assert header == HEADER.split(",")
    assert plain_text(row[6]) == note


@pytest.mark.parametrize("note", [note for note in WICKED if len(note) < 1000])
def test_pythons_own_reader_sees_the_same_fields(note: str) -> None:
    text = write_tag_list([Tag("spook", 1, note=note)], SHEET)
    assert list(csv.reader(io.StringIO(text, newline=""), strict=True)) == strict_records(text.encode())


@given(st.text())
def test_text_made_safe_comes_back(text: str) -> None:
    assert plain_text(safe_text(text)) == text
    assert not safe_text(text).startswith(("=", "+", "-", "@", "\t", "\r"))


def test_an_apostrophe_that_guards_nothing_stays() -> None:
    assert read_tag_list(rows("1,,spook,,,,'tis"), SHEET, END)[0].note == "'tis"


def test_the_rows_stand_in_order_of_time() -> None:
    tags = [
        Tag("spook", 12_500_000_000, severity=3, stimulus="flag", side="left", note="a, b"),
        Tag("walk", 0, 60 * NS_PER_S),
    ]
    assert write_tag_list(tags, SHEET) == rows("0,60,walk,,,,", '12.5,,spook,3,flag,left,"a, b"')


def test_a_running_state_is_written_with_its_end_so_far() -> None:
    running = Tag("walk", 0, NS_PER_S, running=True)
    text = write_tag_list([running], SHEET)
    assert text == rows("0,1,walk,,,,")
    assert read_tag_list(text, SHEET, END) == (replace(running, running=False),)


def test_nine_decimals_are_exact() -> None:
    (tag,) = read_tag_list(rows("59.994939394,60.000000001,walk,,,,"), SHEET, END)
    assert (tag.start_ns, tag.end_ns) == (59_994_939_394, 60_000_000_001)


def test_no_tags_make_a_list_with_only_a_header() -> None:
    assert write_tag_list([], SHEET) == rows()
    assert read_tag_list(rows(), SHEET, END) == ()


def test_a_tag_that_is_not_on_the_sheet_is_written_all_the_same() -> None:
    assert "amble" in write_tag_list([Tag("amble", 0, 1)], SHEET)


@pytest.mark.parametrize("ends", ["\n", "\r", "\r\n"])
@pytest.mark.parametrize("tail", ["", "END", "ENDENDEND"])
def test_files_as_spreadsheets_write_them_are_read(ends: str, tail: str) -> None:
    text = f"{HEADER}END0,5.0,walk,,,,END1E0,,spook,2,,,{tail}".replace("END", ends)
    read = read_tag_list(text.encode("utf-8-sig"), SHEET, END)
    assert [tag.what for tag in read] == ["walk", "spook"]


def test_quotation_marks_around_everything_are_read() -> None:
    text = '"start_s","end_s","what","severity","stimulus","side","note"\r\n"0","5","walk","","","",""\r\n'
    assert read_tag_list(text, SHEET, END)[0].end_ns == 5 * NS_PER_S


# -- faults


@pytest.mark.parametrize(
    ("row", "sentence"),
    [
        ("0,5,wlak,,,,", "'wlak' is not on the sheet of behaviours."),
        ("0,5,walk,,,", "It has 6 fields instead of 7."),
        ("0,5,walk,,,,,", "It has 8 fields instead of 7."),
        ("x,5,walk,,,,", "'x' is not a number of seconds. Write it like 12.5."),
        (",5,walk,,,,", "'' is not a number of seconds. Write it like 12.5."),
        ("0,nan,walk,,,,", "'nan' is not a number of seconds. Write it like 12.5."),
        ("0,0.1234567891,walk,,,,", "'0.1234567891' has more than nine decimals."),
        ("5,4,walk,,,,", "walk must end after it starts: 5 to 4 s."),
        ("-1,4,walk,,,,", "walk starts before the session does."),
        ("0,,walk,,,,", "walk lasts and needs an end."),
        ("0,5,spook,,,,", "spook is an instant and has no end."),
        ("0,601,walk,,,,", "walk lies outside the session, which ends at 10:00.0."),
        ("600,,spook,,,,", "spook lies outside the session, which ends at 10:00.0."),
        ("0,,spook,5,,,", "Severity goes from 1 to 4, not '5'."),
        ("0,,spook,0,,,", "Severity goes from 1 to 4, not '0'."),
        ("0,,spook,2.0,,,", "Severity goes from 1 to 4, not '2.0'."),
        ("0,,spook,,dragon,,", "The stimulus 'dragon' is not on the sheet of behaviours."),
        ("0,,spook,,,near,", "A side is left or right, not 'near'."),
        ('0,,spook,,,,a"b', "A quotation mark is out of place."),
        ('0,,spook,,,,"a"b', "A quotation mark is out of place."),
        ('0,,spook,,,,"open', "A quotation mark is out of place."),
    ],
)
def test_a_wrong_row_is_named_by_its_line(row: str, sentence: str) -> None:
    said = trouble(rows("1,2,stand,,,,", row))
    assert said == f"Nothing was taken in. One row is wrong:\nline 3: {sentence}"


def test_an_overlap_is_named_on_the_row_that_begins_later() -> None:
    assert "line 2: trot overlaps walk at 0:04.0." in trouble(rows("4,9,trot,,,,", "0,5,walk,,,,"))


def test_lines_are_counted_as_an_editor_counts_them() -> None:
    said = trouble(rows('0,,spook,,,,"two\r\nlines"', "", '1,,spook,,,,"three\n\nlines"', "x,,spook,,,,"))
    assert "line 8: 'x'" in said


def test_all_wrong_rows_are_named_up_to_ten() -> None:
    said = trouble(rows(*["x,,spook,,,,"] * 13, "0,5,walk,,,,")).splitlines()
    assert said[0] == "Nothing was taken in. 13 rows are wrong:"
    assert [line.split(":")[0] for line in said[1:11]] == [f"line {n}" for n in range(2, 12)]
    assert said[11:] == ["and 3 more."]


def test_faults_stand_in_order_of_their_lines() -> None:
    said = trouble(rows("0,,walk,,,,", "x,,spook,,,,", "0,,trot,,,,")).splitlines()
    assert [line.split(":")[0] for line in said[1:]] == ["line 2", "line 3", "line 4"]


def test_reading_goes_on_after_a_malformed_row() -> None:
    said = trouble(rows('0,,spook,,,,a"b', "x,,spook,,,,")).splitlines()
    assert [line.split(":")[0] for line in said[1:]] == ["line 2", "line 3"]


def test_a_hostile_value_is_cut_short_in_the_sentence() -> None:
    said = trouble(rows(f'0,5,"{"w" * 5000}\n\x1b[31m",,,,'))
    assert len(said) < 200
    assert "\x1b" not in said


@pytest.mark.parametrize(
    "text", ["", "\r\n", "start,end,what\r\n", HEADER.replace(",", ";"), HEADER.upper(), "0,5,walk,,,,"]
)
def test_a_file_with_another_header_is_no_tag_list(text: str) -> None:
    assert trouble(text) == f"This is no tag list: its first line must read {HEADER}."


def test_a_file_that_is_not_utf_8_is_named_by_its_line() -> None:
    assert "Line 3 is not UTF-8" in trouble(rows("0,5,walk,,,,", "6,,spook,,,,caf\xe9").encode("latin-1"))
    assert "Line 1 is not UTF-8" in trouble(rows().encode("utf-16"))


@given(st.text('",\r\nab', max_size=40))
def test_any_text_is_read_to_its_end_and_every_record_knows_its_line(text: str) -> None:
    records = list(read_csv(text))
    lines = [record.line for record in records]
    assert lines == sorted(set(lines))
    if all(record.fields is not None for record in records) and records:
        # Python's reader agrees wherever the file is well-formed; it passes over empty lines.
        mine = [record.fields for record in records]
        python = list(csv.reader(io.StringIO(text, newline=""), strict=True))
        assert [fields for fields in mine if fields != [""]] == [f for f in python if f not in ([], [""])]
