"""The tag list: a session's tags as a CSV file that a spreadsheet can open, and back again without loss.

RFC 4180: records end with CRLF, a field with a comma, a quotation mark or a line break stands in quotation
marks, a quotation mark inside is doubled. Times are decimal seconds on the session's clock. Text that a
spreadsheet would take for a formula gets an apostrophe in front, which reading takes off again.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from annotate.behaviours import Sheet, stimulus_words
from annotate.clock import parse_seconds, seconds_text, shown
from annotate.errors import TagTrouble, Trouble
from annotate.tagging import check_tags
from annotate.tags import Tag, in_order

HEADER = ("start_s", "end_s", "what", "severity", "stimulus", "side", "note")

_MOST_FAULTS_NAMED = 10
_FORMULA_SIGNS = ("=", "+", "-", "@", "\t", "\r", "'")
_FIELD = re.compile(r'(?:"([^"]*(?:""[^"]*)*)"|([^",\r\n]*))(,|\r\n|\r|\n|\Z)')
_LINE_END = re.compile(r"\r\n|\r|\n")


class Record(NamedTuple):
    """One record of a CSV file; `line` is where it begins, from 1. `fields` is None where it is malformed."""

    line: int
    fields: list[str] | None


def write_tag_list(tags: Iterable[Tag], sheet: Sheet) -> str:
    """The tags in order, as the text of a tag list. A state that runs is written with the end it has so far.

    What is not on the `sheet` any more is written all the same: nothing tagged is lost.
    """
    return csv_text([HEADER, *(_row(tag) for tag in sorted(tags, key=in_order))])


def read_tag_list(text: str | bytes, sheet: Sheet, end_ns: int) -> tuple[Tag, ...]:
    """The tags of a tag list, in order, for a session that ends at `end_ns`.

    Raises `TagTrouble` that names the wrong rows by the line on which they begin, up to ten of them; then no
    tag is taken from any row. Line ends may be of any kind, and empty lines are passed over.
    """
    records = [record for record in read_csv(_decoded(text)) if record.fields != [""]]
    if not records or records[0].fields != list(HEADER):
        raise TagTrouble(f"This is no tag list: its first line must read {','.join(HEADER)}.")
    words = frozenset(stimulus_words(sheet))
    faults: list[tuple[int, str]] = []
    lines: dict[int, int] = {}
    tags: list[Tag] = []
    for record in records[1:]:
        try:
            tag = _read_tag(record.fields, sheet, words)
        except Trouble as trouble:
            faults.append((record.line, str(trouble)))
        else:
            tags.append(tag)
            lines[tag.id] = record.line
    faults += [(lines[tag.id], said) for tag, said in check_tags(sheet, tags, end_ns)]
    if faults:
        raise TagTrouble(_all_faults(sorted(faults)))
    return tuple(sorted(tags, key=in_order))


def csv_text(rows: Iterable[Sequence[str]]) -> str:
    """Rows as the text of a CSV file after RFC 4180."""
    out = io.StringIO(newline="")
    csv.writer(out, lineterminator="\r\n").writerows(rows)
    return out.getvalue()


def safe_text(text: str) -> str:
    """Free text that no spreadsheet takes for a formula; `plain_text` gives it back."""
    return f"'{text}" if text.startswith(_FORMULA_SIGNS) else text


def plain_text(text: str) -> str:
    """The text that `safe_text` was given."""
    return text[1:] if text.startswith("'") and text[1:].startswith(_FORMULA_SIGNS) else text


def read_csv(text: str) -> Iterator[Record]:
    """The records of a CSV file after RFC 4180, with any kind of line end.

    A record with a quotation mark out of place comes without fields; reading goes on with the next line.
    """
    at, line = 0, 1
    while at < len(text):
        begins, first_line, fields = at, line, []
        while (field := _FIELD.match(text, at)) is not None:
            quoted, bare, closing = field.groups()
            fields.append(bare if quoted is None else quoted.replace('""', '"'))
            at = field.end()
            if closing != ",":
                break
        if field is None:
            end = _LINE_END.search(text, at)
            at = end.end() if end else len(text)
        line += sum(1 for _ in _LINE_END.finditer(text, begins, at))
        yield Record(first_line, None if field is None else fields)


def _decoded(text: str | bytes) -> str:
    try:
        whole = text.decode("utf-8") if isinstance(text, bytes) else text
    except UnicodeDecodeError as error:
        line = 1 + len(_LINE_END.findall(error.object[: error.start].decode("utf-8")))
        raise TagTrouble(
            f"Nothing was taken in. Line {line} is not UTF-8. Save the file as CSV in UTF-8."
        ) from None
    return whole.removeprefix("\N{ZERO WIDTH NO-BREAK SPACE}")


def _row(tag: Tag) -> tuple[str, ...]:
    return (
        seconds_text(tag.start_ns),
        "" if tag.end_ns is None else seconds_text(tag.end_ns),
        tag.what,
        "" if tag.severity is None else str(tag.severity),
        safe_text(tag.stimulus),
        tag.side,
        safe_text(tag.note),
    )


def _read_tag(fields: list[str] | None, sheet: Sheet, words: frozenset[str]) -> Tag:
    if fields is None:
        raise TagTrouble("A quotation mark is out of place.")
    if len(fields) != len(HEADER):
        raise TagTrouble(f"It has {len(fields)} fields instead of {len(HEADER)}.")
    start, end, what, severity, stimulus, side, note = fields
    if what not in sheet:
        raise TagTrouble(f"{shown(what)} is not on the sheet of behaviours.")
    stimulus = plain_text(stimulus)
    start_ns = parse_seconds(start)
    end_ns = parse_seconds(end) if end else None
    if not re.fullmatch("[1-4]?", severity):
        raise TagTrouble(f"Severity goes from 1 to 4, not {shown(severity)}.")
    if stimulus and stimulus not in words:
        raise TagTrouble(f"The stimulus {shown(stimulus)} is not on the sheet of behaviours.")
    if side not in ("", "left", "right"):
        raise TagTrouble(f"A side is left or right, not {shown(side)}.")
    return Tag(what, start_ns, end_ns, int(severity) if severity else None, stimulus, side, plain_text(note))


def _all_faults(faults: Sequence[tuple[int, str]]) -> str:
    rows = len({line for line, _ in faults})
    count = "One row is wrong" if rows == 1 else f"{rows} rows are wrong"
    named = [f"line {line}: {said}" for line, said in faults[:_MOST_FAULTS_NAMED]]
    more = len(faults) - len(named)
    if more:
        named.append(f"and {more} more.")
    return "\n".join([f"Nothing was taken in. {count}:", *named])
