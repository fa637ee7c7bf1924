"""How the desk's keys move about in a session. Every method is named after a command of `app.keys`."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QObject, Signal

from annotate.clock import NS_PER_S, clock_text
from annotate.untagged import next_untagged
from app.review import Review
from app.showing import Showing
from app.work_line import WorkLineWidget

_FAR_NS = 10 * NS_PER_S


class Moving(QObject):
    """`said(words, is_trouble)` for the line of words; `tag_chosen(id)` when a tag comes into hand."""

    said = Signal(str, bool)
    tag_chosen = Signal(object)

    def __init__(
        self,
        review: Callable[[], Review | None],
        showing: Showing,
        work_line: WorkLineWidget,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._review, self._showing, self._work_line = review, showing, work_line
        self._before_hurry: float | None = None

    def slower(self) -> None:
        self._before_hurry = None
        self._showing.change_speed(-1)

    def faster(self) -> None:
        self._before_hurry = None
        self._showing.change_speed(1)

    def usual_speed(self) -> None:
        self._before_hurry = None
        self._showing.set_speed(1.0)

    def hurry(self) -> None:
        """The next faster speed, until a behaviour is tagged or it is asked for again."""
        if not self.hurry_no_more():
            self._before_hurry = self._showing.speed
            self._showing.change_speed(1)

    def hurry_no_more(self) -> bool:
        """Back to the speed from before; whether it hurried."""
        before, self._before_hurry = self._before_hurry, None
        if before is not None:
            self._showing.set_speed(before)
        return before is not None

    def frame_back(self) -> None:
        self._showing.step(-1)

    def frame_on(self) -> None:
        self._showing.step(1)

    def second_back(self) -> None:
        self._showing.jump(-NS_PER_S)

    def second_on(self) -> None:
        self._showing.jump(NS_PER_S)

    def far_back(self) -> None:
        self._showing.jump(-_FAR_NS)

    def far_on(self) -> None:
        self._showing.jump(_FAR_NS)

    def to_start(self) -> None:
        self._showing.go_to(0)

    def to_end(self) -> None:
        review = self._review()
        if review is not None:
            self._showing.go_to(review.session.end_ns)

    def tag_before(self) -> None:
        self._go_to_neighbour(forward=False)

    def tag_after(self) -> None:
        self._go_to_neighbour(forward=True)

    def _go_to_neighbour(self, *, forward: bool) -> None:
        review = self._review()
        tag = review.neighbour(self._showing.instant_ns, forward) if review is not None else None
        if tag is not None:
            self.tag_chosen.emit(tag.id)
            self._showing.go_to(tag.start_ns)

    def next_untagged(self) -> None:
        review = self._review()
        if review is None:
            return
        stretch = next_untagged(review.untagged(), self._showing.instant_ns)
        if stretch is None:
            self.said.emit(self.tr("Every stretch has a gait."), False)
            return
        self._showing.go_to(stretch.start_ns)
        words = self.tr("Untagged from {start} to {end}.")
        ends = clock_text(stretch.end_ns)
        self.said.emit(words.format(start=clock_text(stretch.start_ns), end=ends), False)

    def zoom_in(self) -> None:
        self._work_line.zoom_in()

    def zoom_out(self) -> None:
        self._work_line.zoom_out()

    def zoom_all(self) -> None:
        self._work_line.show_all()
