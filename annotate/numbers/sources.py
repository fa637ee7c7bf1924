"""What a figure was made of: stretches and instants of the session, each with the tag that says so."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from annotate.behaviours import REACTION, Sheet, stimulus_of
from annotate.clock import Spans
from annotate.numbers.observed import Seen
from annotate.numbers.session_numbers import SessionNumbers
from annotate.sessions import Session
from annotate.tags import Tag


@dataclass(frozen=True, slots=True)
class Source:
    """One stretch or instant behind a figure: what is there, and the tag that says so, if one does."""

    start_ns: int
    end_ns: int | None
    words: str
    tag: Tag | None = None


@dataclass(frozen=True)
class Traced:
    """A session with what its numbers were made from."""

    session: Session
    tags: Sequence[Tag]
    sheet: Sheet
    numbers: SessionNumbers
    seen: Seen

    def title(self, name: str) -> str:
        """What the sheet calls a behaviour."""
        return self.sheet[name].title

    def pieces(self, name: str, within: Spans) -> list[Source]:
        """The tags of a state as far as they lie within some spans."""
        found: list[Source] = []
        for tag in self.tags:
            if tag.what == name and tag.is_state:
                for start_ns, end_ns in (Spans([tag.span]) & within).edges:
                    found.append(Source(start_ns, end_ns, self.title(name), tag))
        return found

    def events(self, wanted: Callable[[Tag], bool]) -> list[Source]:
        """The events that are wanted."""
        return [self.event(tag) for tag in self.seen.events if wanted(tag)]

    def event(self, tag: Tag) -> Source:
        """One event, with its severity and stimulus."""
        severity = f", severity {tag.severity}" if tag.severity else ""
        stimulus = f", {tag.stimulus}" if tag.stimulus else ""
        return Source(tag.start_ns, None, f"{self.title(tag.what)}{severity}{stimulus}", tag)

    def reactions(self, wanted: Callable[[Tag], bool], *, in_sight: bool) -> list[Source]:
        """The reactions that are wanted, all of them or those in plain sight only."""
        kinds = self.sheet.names(REACTION)
        return self.events(
            lambda tag: tag.what in kinds
            and (not in_sight or self.seen.visible.holds(tag.start_ns))
            and wanted(tag)
        )

    def reactions_in(self, spans: Spans) -> list[Source]:
        """The reactions in plain sight within some spans."""
        return self.reactions(lambda tag: spans.holds(tag.start_ns), in_sight=True)

    def state_at(self, name: str, at_ns: int) -> Tag | None:
        """The tag of a state that holds at an instant."""
        return self._state(lambda tag: tag.what == name, at_ns)

    def showing(self, stimulus: str, at_ns: int) -> Tag | None:
        """The tag that shows a stimulus at an instant."""
        return self._state(lambda tag: stimulus_of(tag.what) == stimulus, at_ns)

    def _state(self, wanted: Callable[[Tag], bool], at_ns: int) -> Tag | None:
        holding = (tag for tag in self.tags if tag.end_ns is not None and tag.start_ns <= at_ns < tag.end_ns)
        return next((tag for tag in holding if wanted(tag)), None)


def spans_as_sources(spans: Spans, words: str) -> Iterator[Source]:
    """Stretches that no tag stands for."""
    return (Source(start_ns, end_ns, words) for start_ns, end_ns in spans.edges)
