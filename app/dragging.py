"""An edge dragged on the work line: the picture follows it, and where it is dropped the tag or the passage ends."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QObject, Signal

from annotate.tagging import Moment
from app.review import Review
from app.showing import Showing
from app.work_line import WorkLineWidget


class Dragging(QObject):
    """`dropped` after a drag, also where the edge could not stay. `attempt` does something and says what is wrong."""

    dropped = Signal()

    def __init__(
        self,
        review: Callable[[], Review | None],
        showing: Showing,
        work_line: WorkLineWidget,
        attempt: Callable[[Callable[[], object]], bool],
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._review, self._showing, self._attempt = review, showing, attempt
        work_line.edge_dragged.connect(self._follow)
        work_line.edge_dropped.connect(self._on_dropped)
        work_line.passage_edge_dragged.connect(self._follow)
        work_line.passage_edge_dropped.connect(self._on_passage_dropped)

    def _follow(self, _dragged: int, _edge: str, ns: int) -> None:
        self._showing.pause()
        self._showing.go_to(ns)

    def _on_dropped(self, tag_id: int, edge: str, ns: int) -> None:
        review = self._review()
        tag = next((t for t in review.tags if t.id == tag_id), None) if review is not None else None
        if review is None or tag is None:
            return
        to = _edge_moment(review, ns)
        self._attempt(lambda: review.move_edge(tag, "start" if edge == "start" else "end", to))
        self.dropped.emit()

    def _on_passage_dropped(self, passage_id: int, edge: str, ns: int) -> None:
        review = self._review()
        if review is not None:
            to = _edge_moment(review, ns)
            self._attempt(lambda: review.highlights.move_edge(passage_id, edge == "start", to))
            self.dropped.emit()


def _edge_moment(review: Review, ns: int) -> Moment:
    end = review.footage.end()
    last = review.footage.at(end.ns).moment
    return end if ns > (last.ns + end.ns) // 2 else review.footage.at(ns).moment
