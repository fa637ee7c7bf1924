"""Two cameras lined up by hand, on a frame of each that shows the same moment; and taken back again."""

from __future__ import annotations

from PySide6.QtCore import QCoreApplication

from annotate.clock import seconds
from annotate.lining_up import start_by_frame
from annotate.tags import FrameMark
from app.undo_list import Step, UndoList
from store.barn import Barn


class CameraMoves:
    """What was lined up while the window is open, session by session, the latest last."""

    def __init__(self) -> None:
        self._lists: dict[int, UndoList] = {}

    def line_up(self, barn: Barn, session_id: int, stays: FrameMark, moves: FrameMark) -> int:
        """Lets two frames show one instant: the second one's camera is moved with all its clips; by how much, in ns.

        Raises `Trouble`, and changes nothing, where tags would make no sense afterwards.
        """
        session = barn.session(session_id)
        fixed, moved = session.clip(stays.clip), session.clip(moves.clip)
        by_ns = start_by_frame(fixed, stays.pts, moved, moves.pts) - moved.starts_ns
        if by_ns:
            move = _Move(barn, session_id, moved.view, by_ns)
            self._lists.setdefault(session_id, UndoList()).do(Step(move.words, move.do, move.undo))
        return by_ns

    def are_there(self, session_id: int) -> bool:
        """Whether a session's cameras were lined up, and that was not taken back."""
        return session_id in self._lists and bool(self._lists[session_id].done)

    def take_back(self, session_id: int) -> str | None:
        """Takes the latest move of a session's cameras back; its words, None where there is none. Raises `Trouble`."""
        done = self._lists.get(session_id)
        return done.undo() if done is not None else None

    def do_again(self, session_id: int) -> str | None:
        """Does again what was taken back last; its words, None where there is nothing. Raises `Trouble`."""
        done = self._lists.get(session_id)
        return done.redo() if done is not None else None


class _Move:
    """One camera, moved by `by_ns`; where it then began before the session's clock, all came later by `_later_ns`."""

    def __init__(self, barn: Barn, session_id: int, view: int, by_ns: int) -> None:
        self._barn, self._session_id, self._view, self._by_ns = barn, session_id, view, by_ns
        self._later_ns = 0
        told = QCoreApplication.translate("CameraMoves", "camera {number} moved by {time}")
        self.words = told.format(number=view, time=f"{seconds(by_ns):+.3f} s")

    def do(self) -> None:
        self._later_ns = self._barn.shift_view(self._session_id, self._view, self._by_ns)

    def undo(self) -> None:
        self._barn.shift_view(self._session_id, self._view, -self._by_ns, sooner_ns=self._later_ns)
