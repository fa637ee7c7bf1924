"""Where a session was left on the desk: the place, what of the work line and the picture was in view, the speed."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass
from typing import Any

from annotate.following import LARGEST, Part
from store.barn import Barn

_KEY = "desk.state.{}"
_SPEEDS = (0.1, 8.0)
_WHOLE = Part()


@dataclass(frozen=True, slots=True)
class DeskState:
    """`view_ns` is what of the session the work line showed; None for all of it.

    `part` is what was seen of the picture, `brightness` how many steps brighter than it was filmed.
    """

    place_ns: int = 0
    view_ns: tuple[int, int] | None = None
    speed: float = 1.0
    part: Part = _WHOLE
    brightness: int = 0


def kept_state(barn: Barn, session_id: int) -> DeskState:
    """Where a session was left; at its start where nothing sensible is kept."""
    try:
        kept = json.loads(barn.setting(_KEY.format(session_id)) or "{}")
        view = kept.get("view_ns")
        state = DeskState(
            int(kept.get("place_ns", 0)),
            (int(view[0]), int(view[1])) if view else None,
            float(kept.get("speed", 1.0)),
            _part(kept.get("part")),
            int(kept.get("brightness", 0)),
        )
    except (ValueError, TypeError, LookupError, AttributeError):
        return DeskState()
    slowest, fastest = _SPEEDS
    sound = state.place_ns >= 0 and slowest <= state.speed <= fastest
    sound = sound and (state.view_ns is None or 0 <= state.view_ns[0] < state.view_ns[1])
    sound = sound and 1 <= state.part.zoom <= LARGEST and all(0 <= at <= 1 for at in state.part.centre)
    return state if sound else DeskState()


def keep_state(barn: Barn, session_id: int, state: DeskState) -> None:
    """Keeps where a session was left."""
    barn.keep_setting(_KEY.format(session_id), json.dumps(asdict(state)))


def _part(kept: dict[str, Any] | None) -> Part:
    if kept is None:
        return _WHOLE
    x, y = kept["centre"]
    return Part((float(x), float(y)), float(kept["zoom"]))
