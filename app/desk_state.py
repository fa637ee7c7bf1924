"""Where a session was left on the desk: the place, what of the work line was in view, and the speed."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass

from store.barn import Barn

_KEY = "desk.state.{}"
_SPEEDS = (0.1, 8.0)


@dataclass(frozen=True, slots=True)
class DeskState:
    """`view_ns` is what of the session the work line showed; None for all of it."""

    place_ns: int = 0
    view_ns: tuple[int, int] | None = None
    speed: float = 1.0


def kept_state(barn: Barn, session_id: int) -> DeskState:
    """Where a session was left; at its start where nothing sensible is kept."""
    try:
        kept = json.loads(barn.setting(_KEY.format(session_id)) or "{}")
        view = kept.get("view_ns")
        state = DeskState(
            int(kept.get("place_ns", 0)),
            (int(view[0]), int(view[1])) if view else None,
            float(kept.get("speed", 1.0)),
        )
    except (ValueError, TypeError, LookupError, AttributeError):
        return DeskState()
    slowest, fastest = _SPEEDS
    sound = state.place_ns >= 0 and slowest <= state.speed <= fastest
    sound = sound and (state.view_ns is None or 0 <= state.view_ns[0] < state.view_ns[1])
    return state if sound else DeskState()


def keep_state(barn: Barn, session_id: int, state: DeskState) -> None:
    """Keeps where a session was left."""
    barn.keep_setting(_KEY.format(session_id), json.dumps(asdict(state)))
