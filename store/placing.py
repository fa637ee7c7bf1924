"""Placing a clip anew on its session's clock: every tag edge and passage on its frames goes along."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from fractions import Fraction

from sqlalchemy import Connection, func, select, update

from annotate.behaviours import Sheet
from annotate.errors import BarnTrouble, Trouble
from annotate.kept_clips import Edges
from annotate.passages import Passage
from annotate.sessions import LONGEST_SESSION_NS, PlacedClip
from annotate.tagging import Change, check_tags
from annotate.tags import Tag
from store import tables
from store.clips import clip_row, write_place
from store.passages import read_passages, write_passages
from store.sessions import placed, read_session
from store.tags import read_looks, read_tags, write_change


def place_clip(
    connection: Connection,
    sheet: Sheet,
    clip_id: int,
    starts_ns: int,
    capture_speed: Fraction,
    view: int | None = None,
) -> None:
    """Moves a clip and what hangs on it. Raises `Trouble` where tags would make no sense afterwards."""
    row = clip_row(connection, clip_id)
    old = placed(row)
    new = replace(old, starts_ns=starts_ns, capture_speed=capture_speed, view=view or old.view)
    before_ns = read_session(connection, row.session_id).end_ns
    write_place(connection, new)
    after_ns = read_session(connection, row.session_id).end_ns
    for look in read_looks(connection, row.session_id):
        tags = read_tags(connection, row.session_id, look)
        moved = [_moved_tag(tag, old, new) for tag in tags]
        refuse_new_faults(sheet, tags, before_ns, moved, after_ns)
        pairs = [(tag, to) for tag, to in zip(tags, moved, strict=True) if tag != to]
        change = Change(tuple(tag for tag, _ in pairs), tuple(to for _, to in pairs))
        write_change(connection, row.session_id, look, change)
    passages = read_passages(connection, row.session_id)
    if passages:
        write_passages(connection, row.session_id, [_moved_passage(one, old, new) for one in passages])


def shift_view(
    connection: Connection, sheet: Sheet, session_id: int, view: int, by_ns: int, sooner_ns: int = 0
) -> int:
    """Moves all clips of a camera by as much, with what hangs on them. Raises `Trouble`.

    Where one would begin before the session does, all that is on the session's clock comes later; by how much.
    `sooner_ns` is such a delay, to be taken back with the move that needed it.
    """
    moved = [clip for clip in read_session(connection, session_id).clips if clip.view == view]
    early_ns = -min([0, *(clip.starts_ns + by_ns for clip in moved)])
    if early_ns:
        delay_session(connection, session_id, early_ns)
    # Those that lead the way first: no clip is laid over the next one of its camera.
    for clip in sorted(moved, key=lambda clip: clip.starts_ns, reverse=by_ns > 0):
        place_clip(connection, sheet, clip.id, clip.starts_ns + by_ns + early_ns, clip.capture_speed)
    if sooner_ns:
        _hasten_session(connection, session_id, sooner_ns)
    return early_ns


def delay_session(connection: Connection, session_id: int, by_ns: int) -> None:
    """Lets the session's clock begin earlier by `by_ns`: all that is on it comes so much later.

    Needed where another camera began before the first. Raises `BarnTrouble` beyond a day.
    """
    before = read_session(connection, session_id)
    if by_ns < 0 or before.end_ns + by_ns > LONGEST_SESSION_NS:
        raise BarnTrouble("The session would last more than a day. Nothing was changed.")
    _shift_all(connection, session_id, by_ns)


def _hasten_session(connection: Connection, session_id: int, by_ns: int) -> None:
    """Takes a delay back. Raises `BarnTrouble` where something lies in the time that would go."""
    for table, start in ((tables.clip, "starts_ns"), (tables.tag, "start_ns"), (tables.passage, "start_ns")):
        first = select(func.min(table.c[start])).where(table.c.session_id == session_id)
        first_ns = connection.execute(first).scalar()
        if first_ns is not None and first_ns < by_ns:
            raise BarnTrouble("Something lies where the session began earlier since then. Nothing was changed.")
    _shift_all(connection, session_id, -by_ns)


def _shift_all(connection: Connection, session_id: int, by_ns: int) -> None:
    if read_session(connection, session_id).length_ns:
        later = update(tables.session).where(tables.session.c.id == session_id)
        connection.execute(later.values(length_ns=tables.session.c.length_ns + by_ns))
    for table, edges in (
        (tables.clip, ("starts_ns", "ends_ns")),
        (tables.tag, ("start_ns", "end_ns")),
        (tables.passage, ("start_ns", "end_ns")),
    ):
        moved = {edge: table.c[edge] + by_ns for edge in edges}
        connection.execute(update(table).where(table.c.session_id == session_id).values(**moved))


def refuse_new_faults(
    sheet: Sheet, before: Iterable[Tag], before_ns: int, after: Iterable[Tag], after_ns: int
) -> None:
    """Raises `BarnTrouble` if a change of the clock makes tags wrong that were right."""
    old = {tag.id for tag, _ in check_tags(sheet, tuple(before), before_ns)}
    for tag, words in check_tags(sheet, tuple(after), after_ns):
        if tag.id not in old:
            raise BarnTrouble(f"{words} Nothing was changed. Correct that tag first.")


def _moved_tag(tag: Tag, old: PlacedClip, new: PlacedClip) -> Tag:
    edges = Edges(tag.start_ns, tag.end_ns, tag.start_frame, tag.end_frame)
    start_ns, end_ns = edges.follow(old, new)
    try:
        return replace(tag, start_ns=start_ns, end_ns=end_ns)
    except Trouble as trouble:
        raise BarnTrouble(f"The clip cannot go there: {trouble} Correct that tag first.") from None


def _moved_passage(one: Passage, old: PlacedClip, new: PlacedClip) -> Passage:
    edges = Edges(one.start_ns, one.end_ns, one.start_frame, one.end_frame)
    start_ns, end_ns = edges.follow(old, new)
    if end_ns is None or not 0 <= start_ns < end_ns:
        raise BarnTrouble(f"The clip cannot go there: the passage '{one.caption}' would not fit any more.")
    return replace(one, start_ns=start_ns, end_ns=end_ns)
