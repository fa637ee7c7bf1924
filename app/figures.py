"""A session's numbers as the barn has them: its tags, the horse's hip height, the trainer's limits."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from annotate.behaviours import GAIT, Sheet
from annotate.errors import Trouble
from annotate.numbers.ground import HIP
from annotate.numbers.limits import LIMITS_KEY, NO_LIMITS, NO_LIMITS_TEXT, Limits, read_limits
from annotate.numbers.session_numbers import SessionNumbers, session_numbers
from annotate.sessions import Session
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


def measured(barn: Barn, session: Session) -> Session:
    """The session with the horse's hip height among its details, unless it has one of its own."""
    if session.details.get(HIP):
        return session
    hip_cm = barn.horse(session.horse).hip_height_cm
    if hip_cm is None:
        return session
    return replace(session, details={**session.details, HIP: f"{float(hip_cm) / 100:g}"})


def limits_text(barn: Barn) -> str:
    """The limits as the trainer wrote them."""
    return barn.setting(LIMITS_KEY) or NO_LIMITS_TEXT


def limits_of(barn: Barn) -> Limits:
    """The limits; none where a kept text does not fit the sheet any more."""
    try:
        return read_limits(limits_text(barn), _gaits(barn.sheet()))
    except Trouble:
        return NO_LIMITS


def keep_limits(barn: Barn, text: str) -> None:
    """Keeps other limits. Raises `Trouble`, and changes nothing, if they cannot be used."""
    read_limits(text, _gaits(barn.sheet()))
    barn.keep_setting(LIMITS_KEY, text)


def _gaits(sheet: Sheet) -> frozenset[str]:
    return sheet.names(GAIT)
