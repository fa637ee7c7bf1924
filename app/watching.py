"""How a trainer watches: closer, brighter, over and over. Its public methods are commands of `app.keys`.

Points to follow belong to a clip: where the horse was in one camera's picture says nothing about another's.
"""

from __future__ import annotations

import json
from collections.abc import Callable

from PySide6.QtCore import QObject, Signal

from annotate.clock import NS_PER_S, Span, clock_text
from annotate.following import Following, Part, Place, Point
from app.counted import Counted
from app.looping import Loop
from app.picture_view import BRIGHTEST, DARKEST, PictureView
from app.review import Review
from app.showing import Showing
from app.to_and_fro import ToAndFro
from store.barn import Barn

_KEY = "desk.following.{}"
_ZOOM, _PAN = 1.5, 0.2
_FOLLOWS_AT = 2.0  # a point set in the whole picture comes this close
_ROUND_AN_EVENT_NS = NS_PER_S
_SHORTEST_NS = NS_PER_S // 5  # what is shorter is seen with what is around it, as an event is


class Watching(QObject):
    """`said(words, is_trouble)`; `changed` when what `words` tells has changed."""

    said = Signal(str, bool)
    changed = Signal()

    def __init__(
        self,
        review: Callable[[], Review | None],
        showing: Showing,
        picture: PictureView,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._review, self._showing, self._picture = review, showing, picture
        self._followed: dict[int, Following] = {}
        self._kept: dict[int, Following] = {}
        self._passage: Callable[[], Span | None] = lambda: None
        self.repeating = Loop(showing, self)
        self.swaying = ToAndFro(showing, self)
        showing.moved.connect(self._follow)
        picture.point_asked.connect(self._set_point)
        picture.part_asked.connect(self._on_part)
        for part in (self.repeating, self.swaying):
            part.changed.connect(self.changed)

    # -- with the session

    def open(self, barn: Barn, session_id: int) -> None:
        """Takes up the points of a session."""
        self._followed = self._kept = _kept_points(barn, session_id)
        self._picture.set_part(Part())
        self.changed.emit()

    def see_as(self, part: Part, brightness: int) -> None:
        """Shows a part of the picture, and so many steps brighter than it was filmed."""
        self._picture.set_brightness(brightness)
        self._see(part)

    def leave(self, barn: Barn, session_id: int) -> None:
        """Lets go of a session and keeps its points. Raises `Trouble`."""
        self.let_go()
        if self._followed != self._kept:
            _keep_points(barn, session_id, self._followed)

    def use_passage(self, chosen: Callable[[], Span | None]) -> None:
        """Where to ask for the passage that is chosen."""
        self._passage = chosen

    def let_go(self) -> bool:
        """Ends what runs over and over; whether anything did."""
        on = self.repeating.span is not None or self.swaying.span is not None
        self.repeating.stop()
        self.swaying.stop()
        return on

    @property
    def words(self) -> str:
        """What is out of the usual, for the line under the picture."""
        told: list[str] = []
        if (span := self.repeating.span) is not None:
            words = self.tr("over and over {start} to {end}")
            told.append(words.format(start=clock_text(span.start_ns), end=clock_text(span.end_ns)))
        if self.swaying.span is not None:
            told.append(self.tr("to and fro"))
        if self._picture.part.zoom > 1:
            told.append(self.tr("{times} x closer").format(times=f"{self._picture.part.zoom:.2g}"))
        if self._picture.brightness:
            told.append(self.tr("brightness {steps}").format(steps=f"{self._picture.brightness:+d}"))
        return ", ".join(told)

    # -- closer

    def closer(self) -> None:
        self._see(self._picture.part.zoomed(_ZOOM))

    def wider(self) -> None:
        self._see(self._picture.part.zoomed(1 / _ZOOM))

    def whole_picture(self) -> None:
        self._see(Part())

    def look_left(self) -> None:
        self._on_part(self._picture.part.moved(-_PAN, 0))

    def look_right(self) -> None:
        self._on_part(self._picture.part.moved(_PAN, 0))

    def look_up(self) -> None:
        self._on_part(self._picture.part.moved(0, -_PAN))

    def look_down(self) -> None:
        self._on_part(self._picture.part.moved(0, _PAN))

    def follow_from(self) -> None:
        self._set_point(self._picture.part.middle)

    def forget_point(self) -> None:
        clip_id, ns = self._here()
        before = self._followed.get(clip_id) if clip_id is not None else None
        if clip_id is None or before is None or not before.points:
            self.said.emit(self.tr("Nothing is followed on this clip."), False)
            return
        left = before.without_nearest(ns)
        self._followed = {**self._followed, clip_id: left}
        self._tell_points(left)
        self._follow()

    def _set_point(self, place: Place) -> None:
        clip_id, ns = self._here()
        if clip_id is None:
            return
        if self._picture.part.zoom == 1:
            self._picture.set_part(Part(place, _FOLLOWS_AT))
        points = self._followed.get(clip_id, Following()).with_point(ns, place)
        self._followed = {**self._followed, clip_id: points}
        self._tell_points(points)
        self._follow()
        self.changed.emit()

    def _tell_points(self, points: Following) -> None:
        count = len(points.points)
        words = {
            0: self.tr("Nothing is followed on this clip any more."),
            1: self.tr("One point is followed on this clip. Set the next one later in it."),
        }
        many = Counted.tr(
            "{count} point is followed on this clip.|{count} points are followed on this clip.", "", count
        )
        self.said.emit(words.get(count, many), False)

    def _here(self) -> tuple[int | None, int]:
        """The clip and the instant that are seen."""
        if self._review() is None:
            return None, 0
        shown = self._showing.shown
        return (shown.clip.id if shown.clip is not None else None), shown.moment.ns

    def _follow(self) -> None:
        """Keeps what is followed in the middle."""
        clip_id, ns = self._here()
        followed = self._followed.get(clip_id) if clip_id is not None else None
        place = followed.at(ns) if followed is not None else None
        if place is not None and self._picture.part.zoom > 1:
            self._picture.set_part(Part(place, self._picture.part.zoom))

    def _on_part(self, part: Part) -> None:
        """Another part was asked for; where points are followed, moving it corrects them here."""
        clip_id, _ = self._here()
        follows = clip_id is not None and self._followed.get(clip_id, Following()).points
        if follows and part.zoom == self._picture.part.zoom and part.zoom > 1:
            self._set_point(part.middle)
        else:
            self._see(part)

    def _see(self, part: Part) -> None:
        self._picture.set_part(part)
        self._follow()
        self.changed.emit()

    # -- brighter

    def brighter(self) -> None:
        self._brighten(self._picture.brightness + 1)

    def darker(self) -> None:
        self._brighten(self._picture.brightness - 1)

    def usual_brightness(self) -> None:
        self._brighten(0)

    def _brighten(self, steps: int) -> None:
        if DARKEST <= steps <= BRIGHTEST:
            self._picture.set_brightness(steps)
            self.changed.emit()

    # -- over and over

    def loop(self) -> None:
        self.swaying.stop()
        if self.repeating.span is not None:
            self.repeating.stop()
            return
        span = self._stretch()
        if span is None:
            self.said.emit(self.tr("Choose a tag or a passage to see over and over."), True)
        else:
            self.repeating.start(span)

    def to_and_fro(self) -> None:
        if self.swaying.span is not None:
            self.swaying.stop()
        else:
            self.repeating.stop()
            self.swaying.start()

    def _stretch(self) -> Span | None:
        """The tag in hand, else the passage that is chosen, else the passage that one is in."""
        review = self._review()
        if review is None:
            return None
        chosen = review.selected
        tag = next((one for one in review.tags_as_seen() if chosen is not None and one.id == chosen.id), None)
        if tag is not None:
            end_ns = tag.start_ns if tag.end_ns is None else tag.end_ns
            if end_ns - tag.start_ns >= _SHORTEST_NS:
                return Span(tag.start_ns, end_ns)
            start_ns = max(0, tag.start_ns - _ROUND_AN_EVENT_NS)
            return Span(start_ns, min(end_ns + _ROUND_AN_EVENT_NS, review.session.end_ns))
        ns = self._showing.shown.moment.ns
        holding = (Span(p.start_ns, p.end_ns) for p in review.passages if p.start_ns <= ns < p.end_ns)
        return self._passage() or next(holding, None)


def _kept_points(barn: Barn, session_id: int) -> dict[int, Following]:
    """The points of each clip as they were left; what makes no sense is left out."""
    try:
        kept = json.loads(barn.setting(_KEY.format(session_id)) or "{}")
        return {
            int(clip): Following.through(Point(int(ns), (float(x), float(y))) for ns, x, y in points)
            for clip, points in kept.items()
        }
    except (ValueError, TypeError, AttributeError):
        return {}


def _keep_points(barn: Barn, session_id: int, followed: dict[int, Following]) -> None:
    points = {clip: [(p.ns, *p.place) for p in one.points] for clip, one in followed.items() if one.points}
    barn.keep_setting(_KEY.format(session_id), json.dumps(points) if points else None)
