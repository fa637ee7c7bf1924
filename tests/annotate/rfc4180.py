"""The grammar of RFC 4180, section 2, by hand: an independent reader that forgives nothing.

Erratum 5714 is heeded: no space between a closing quotation mark and CRLF.
"""

from __future__ import annotations


def strict_records(data: bytes) -> list[list[str]]:
    """The records; `AssertionError` where the bytes leave the grammar (its text taken as UTF-8)."""
    text = data.decode("utf-8")
    assert text.endswith("\r\n")
    records: list[list[str]] = [[]]
    at = 0
    while at < len(text):
        if text[at] == '"':
            field, at = _escaped(text, at + 1)
        else:
            end = min(i for i in (text.find(",", at), text.find("\r\n", at)) if i >= 0)
            field, at = text[at:end], end
            assert not set(field) & set('"\r\n'), f"a bare field holds a special sign: {field!r}"
        records[-1].append(field)
        if text.startswith("\r\n", at):
            records.append([])
            at += 2
        else:
            assert text[at] == ",", f"after a field stands {text[at]!r}"
            at += 1
    assert records.pop() == []
    assert len({len(record) for record in records}) == 1, "records differ in their number of fields"
    return records


def _escaped(text: str, at: int) -> tuple[str, int]:
    field = ""
    while True:
        end = text.index('"', at)
        field += text[at:end]
        if not text.startswith('""', end):
            return field, end + 1
        field += '"'
        at = end + 2
