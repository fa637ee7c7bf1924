"""A session's numbers as the barn has them: its tags, the horse's hip height, the trainer's limits."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from annotate.behaviours import GAIT, Sheet
from annotate.errors import TagTrouble, Trouble
from annotate.numbers.ground import HIP
from annotate.numbers.limits import (
    LIMITS_KEY,
    NO_LIMITS,
    Limits,
    limits_text,
    limits_to_begin_with,
    read_limits,
)
from annotate.numbers.session_numbers import SessionNumbers, session_numbers
from annotate.numbers.totals import Totals, session_totals
from annotate.programme.reading import read_programme
from annotate.sessions import Session
from store import programmes
from store.barn import Barn


def numbers_of(barn: Barn, session_id: int) -> SessionNumbers:
    """The numbers of a session as it is tagged now."""
    session = measured(barn, barn.session(session_id))
    return session_numbers(session, barn.tags(session_id), barn.sheet(), limits_of(barn))


def numbers_of_all(barn: Barn, session_ids: list[int]) -> Iterator[SessionNumbers]:
    """The numbers of many, one after the other: no more than one session's tags are held."""
    sheet, limits = barn.sheet(), limits_of(barn)
    for session_id in session_ids:
        session = measured(barn, barn.session(session_id))
        yield session_numbers(session, barn.tags(session_id), sheet, limits)


def totals_by_horse(barn: Barn) -> tuple[dict[str, Totals], list[str]]:
    """The totals of every horse over its sessions in use, and a sentence on each session left out of them.

    One session's tags are held at a time.
    """
    sheet = barn.sheet()
    totals: dict[str, Totals] = {}
    left_out: list[str] = []
    for row in barn.sessions():
        session = barn.session(row.id)
        try:
            found = session_totals(session, barn.plain_tags(row.id), sheet)
        except TagTrouble as trouble:
            left_out.append(f"{session.called} is left out. {trouble}")
            continue
        totals[session.horse] = totals.get(session.horse, Totals()) + found
    return totals, left_out


def measured(barn: Barn, session: Session) -> Session:
    """The session with the horse's hip height among its details, unless it has one of its own."""
    if session.details.get(HIP):
        return session
    hip_cm = barn.horse(session.horse).hip_height_cm
    if hip_cm is None:
        return session
    return replace(session, details={**session.details, HIP: f"{float(hip_cm) / 100:g}"})


def limits_text_of(barn: Barn) -> str:
    """The limits as the trainer wrote them; what a barn begins with where nothing was written yet."""
    return barn.setting(LIMITS_KEY) or limits_text(_first_limits(barn))


def limits_of(barn: Barn) -> Limits:
    """The limits; none where a kept text does not fit the sheet any more."""
    try:
        return read_limits(limits_text_of(barn), _gaits(barn.sheet()))
    except Trouble:
        return NO_LIMITS


def _first_limits(barn: Barn) -> Limits:
    """Ours, or with the lope that an older programme allowed."""
    kept = barn.setting(programmes.KEY)
    try:
        lope_s = read_programme(kept).lope_s if kept else None
    except Trouble:
        lope_s = None
    return limits_to_begin_with() if lope_s is None else limits_to_begin_with(lope_s / 60)


def keep_limits(barn: Barn, text: str) -> None:
    """Keeps other limits. Raises `Trouble`, and changes nothing, if they cannot be used."""
    read_limits(text, _gaits(barn.sheet()))
    barn.keep_setting(LIMITS_KEY, text)


def change_limits(barn: Barn, limits: Limits) -> None:
    """Keeps other limits; what the trainer wrote beside them stays, unless the text could not be read at all."""
    # Only who changes limits needs what knows all of TOML.
    from annotate.numbers.limits_writing import with_limits

    try:
        text = with_limits(limits_text_of(barn), limits, _gaits(barn.sheet()))
    except Trouble:
        text = limits_text(limits)
    keep_limits(barn, text)


def _gaits(sheet: Sheet) -> tuple[str, ...]:
    return tuple(gait.name for gait in sheet.of_group(GAIT))
