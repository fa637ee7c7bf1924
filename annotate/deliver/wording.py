"""How the owner's files word times and tags: plain, short, no names of columns."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from annotate.behaviours import OTHER_STIMULUS, Sheet
from annotate.clock import NS_PER_S, Span, Spans, clock_text
from annotate.rivals import title_of
from annotate.tags import Tag

_TENTH_NS = NS_PER_S // 10


def time_words(ns: int) -> str:
    """A length of time as it is said: '0.4 s', '12 s', '2 min 5 s'; halves rounded up."""
    tenths = (ns + _TENTH_NS // 2) // _TENTH_NS
    if tenths < 100:
        return f"{tenths // 10}.{tenths % 10} s".replace(".0 s", " s")
    whole = (ns + NS_PER_S // 2) // NS_PER_S
    if whole < 120:
        return f"{whole} s"
    minutes, rest = divmod(whole, 60)
    return f"{minutes} min {rest} s" if rest else f"{minutes} min"


def stimulus_words_of(tag: Tag) -> str:
    """What set a reaction off: 'the front cinch'; empty where nothing or something else is named."""
    return "" if tag.stimulus in ("", OTHER_STIMULUS) else f"the {tag.stimulus.replace('_', ' ')}"


def reaction_words(sheet: Sheet, tag: Tag) -> str:
    """'spook at the flag on the left, severity 3'."""
    stimulus = stimulus_words_of(tag)
    words = title_of(sheet, tag) + (f" at {stimulus}" if stimulus else "")
    words += f" on the {tag.side}" if tag.side else ""
    return words + (f", severity {tag.severity}" if tag.severity else "")


def capital(words: str) -> str:
    """With a capital letter at the beginning."""
    return words[:1].upper() + words[1:]


def said_in(sheet: Sheet, tags: Sequence[Tag], span: Span) -> str:
    """What the tags say in a stretch: how long each state, when each event.

    Notes stay out: they are the trainer's own; what the owner should read goes into the caption.
    """
    parts = [*_states_said(sheet, tags, span), *_events_said(sheet, tags, span)]
    return "; ".join(parts)


def _states_said(sheet: Sheet, tags: Sequence[Tag], span: Span) -> Iterable[str]:
    for behaviour in sheet.behaviours:
        spans = Spans(tag.span for tag in tags if tag.what == behaviour.name and tag.is_state)
        length_ns = (spans & Spans([span])).length_ns
        if length_ns:
            yield f"{behaviour.title} {time_words(length_ns)}"


def _events_said(sheet: Sheet, tags: Sequence[Tag], span: Span) -> Iterable[str]:
    events = [tag for tag in tags if not tag.is_state and tag.what in sheet and span.holds(tag.start_ns)]
    for tag in sorted(events, key=lambda event: (event.start_ns, event.what)):
        yield f"{reaction_words(sheet, tag)} at {clock_text(tag.start_ns)}"
