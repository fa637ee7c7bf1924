"""What is not tagged yet: the stretches that somebody could see and that have no gait."""

from __future__ import annotations

from collections.abc import Iterable

from annotate.behaviours import GAIT, SIGHT, Sheet
from annotate.clock import Span, Spans
from annotate.sessions import Session
from annotate.tags import Tag


def untagged(session: Session, tags: Iterable[Tag], sheet: Sheet) -> Spans:
    """Observed, not tagged out of sight, and without a gait."""
    return still_untagged(session.observed, tags, sheet)


def still_untagged(stretches: Spans, tags: Iterable[Tag], sheet: Sheet) -> Spans:
    """What these tags leave of stretches that had no gait."""
    named = sheet.names(GAIT) | sheet.names(SIGHT)
    return stretches - Spans(tag.span for tag in tags if tag.is_state and tag.what in named)


def next_untagged(stretches: Spans, after_ns: int) -> Span | None:
    """The first stretch that begins after an instant; from the session's start again where none does."""
    spans = list(stretches)
    return next((span for span in spans if span.start_ns > after_ns), spans[0] if spans else None)
