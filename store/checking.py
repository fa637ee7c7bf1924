"""Looking whether all is well with a barn, its tags and its clips, in plain words."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from annotate.clock import clock_text
from annotate.errors import Cancelled, ClipTrouble, Trouble
from annotate.kept_clips import KeptClip
from annotate.media.clip import fingerprint
from annotate.tagging import check_tags
from store.address import Place, ServerAddress
from store.barn import Barn
from store.connecting import DamagedBarn, connect, in_words
from store.copying import integrity
from store.disks import network_share
from store.programmes import programme_beside
from store.versions import NEWEST, recognise
from store.wanted import WantedSessions

Severity = Literal["broken", "wrong", "note"]


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing that is not as it should be.

    broken: the file itself, restore a backup; wrong: tags or clips, correct them; note: good to know.
    """

    severity: Severity
    words: str


def check(
    place: Place,
    on_progress: Callable[[int, int], None] = lambda done, of: None,
    cancelled: Callable[[], bool] = lambda: False,
) -> list[Finding]:
    """What is not as it should be; empty if all is well. Progress counts sessions.

    Raises `BarnTrouble` for what is no barn, `Cancelled`.
    """
    if isinstance(place, ServerAddress):
        with Barn.open(place) as barn:
            return _within(barn, on_progress, cancelled)
    barn_path = Path(place).absolute()
    try:
        version = recognise(barn_path)
    except DamagedBarn as trouble:
        return [Finding("broken", str(trouble))]
    with in_words(barn_path), closing(connect(barn_path)) as connection:
        findings = _file(connection)
    if findings:
        return findings
    if version != NEWEST:
        return [Finding("note", "The barn is of an older version; opening it brings it up to date.")]
    with Barn.open(barn_path) as barn:
        if share := network_share(barn_path):
            words = f"The barn lies on a network share ({share}), which may lose tags. Put it on a disk."
            findings.append(Finding("note", words))
        if programme_beside(barn_path).exists() and (fault := barn.programme().trouble):
            findings.append(Finding("wrong", fault))
        findings += _within(barn, on_progress, cancelled)
    return findings


def _within(
    barn: Barn, on_progress: Callable[[int, int], None], cancelled: Callable[[], bool]
) -> list[Finding]:
    """What is wrong with the barn's sheet, tags and clips, wherever it is."""
    findings = [Finding("wrong", barn.sheet_trouble)] if barn.sheet_trouble else []
    on_server = isinstance(barn.place, ServerAddress)
    rows = barn.find_sessions(WantedSessions(where=None))
    for done, row in enumerate(rows, 1):
        if cancelled():
            raise Cancelled
        findings += _tags(barn, row.id)
        findings += [found for clip in barn.clips(row.id) for found in _clip(clip, row.id, on_server)]
        on_progress(done, len(rows))
    return findings


def _file(connection: sqlite3.Connection) -> list[Finding]:
    try:
        found = [Finding("broken", f"The file is damaged: {words}.") for words in integrity(connection)]
        orphans = connection.execute("PRAGMA foreign_key_check").fetchall()
    except sqlite3.DatabaseError as error:
        return [Finding("broken", f"The file is damaged: {error}.")]
    if orphans:
        tables = ", ".join(sorted({str(row[0]) for row in orphans}))
        found.append(Finding("broken", f"{len(orphans)} rows hang on nothing, in: {tables}."))
    return found


def _tags(barn: Barn, session_id: int) -> list[Finding]:
    session = barn.session(session_id)
    where = f"Session {session_id} ({session.called})"
    found = []
    for look in barn.looks(session_id):
        try:
            tags = barn.tags(session_id, look)
        except Trouble as trouble:
            found.append(Finding("broken", f"{where}: {trouble}"))
            continue
        for tag, words in check_tags(barn.sheet(), tags, session.end_ns):
            found.append(Finding("wrong", f"{where}, tag at {clock_text(tag.start_ns)}: {words}"))
    return found


def _clip(clip: KeptClip, session_id: int, on_server: bool) -> list[Finding]:
    if clip.missing and on_server:
        words = f"{clip.path} of session {session_id} is not on this machine. Say where it lies here with: find FOLDER"
        return [Finding("note", words)]
    if clip.missing:
        words = f"{clip.path} of session {session_id} is gone. Bring it back, or say where it lies now."
        return [Finding("wrong", words)]
    try:
        same = fingerprint(clip.path) == clip.fingerprint
    except ClipTrouble as trouble:
        return [Finding("wrong", f"Session {session_id}: {trouble}")]
    if not same:
        words = f"{clip.path} of session {session_id} is not the recording that was tagged: it has changed."
        return [Finding("wrong", words)]
    return []
