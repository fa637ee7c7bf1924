"""What the work line says of a tag or a passage when the pointer rests on it."""

from __future__ import annotations

from PySide6.QtCore import QCoreApplication

from annotate.behaviours import Sheet
from annotate.clock import clock_text
from annotate.passages import Passage
from annotate.tags import Tag


def tag_words(tag: Tag, sheet: Sheet) -> str:
    """'Spook, severity 3, 1:05.3 - flag, left side'; 'Trot, 3:00.0 to 5:00.0, lasts 2:00.0'."""
    title = sheet[tag.what].title if tag.what in sheet else tag.what
    parts = [title[:1].upper() + title[1:]]
    if tag.severity is not None:
        parts.append(QCoreApplication.translate("work line", "severity {severity}").format(severity=tag.severity))
    parts.append(_when(tag))
    details = [tag.stimulus, _side(tag), tag.note]
    said = ", ".join(detail for detail in details if detail)
    return ", ".join(parts) + (f" - {said}" if said else "")


def passage_words(passage: Passage) -> str:
    """'Passage 2, 1:00.0 to 1:20.0 - settles at the flag'."""
    said = f" - {passage.caption}" if passage.caption else ""
    words = QCoreApplication.translate("work line", "Passage {number}, {start} to {end}").format(
        number=passage.position, start=clock_text(passage.start_ns), end=clock_text(passage.end_ns)
    )
    return words + said


def _side(tag: Tag) -> str:
    if tag.side == "left":
        return QCoreApplication.translate("work line", "left side")
    return QCoreApplication.translate("work line", "right side") if tag.side else ""


def _when(tag: Tag) -> str:
    start = clock_text(tag.start_ns)
    if tag.end_ns is None:
        return start
    if tag.running:
        return QCoreApplication.translate("work line", "from {start}, still running").format(start=start)
    words = QCoreApplication.translate("work line", "{start} to {end}, lasts {length}")
    length = clock_text(tag.end_ns - tag.start_ns)
    return words.format(start=start, end=clock_text(tag.end_ns), length=length)
