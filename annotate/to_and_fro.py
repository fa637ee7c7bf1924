"""A stretch seen to and fro: backwards first, then forwards, over and over."""

from __future__ import annotations

from annotate.clock import Span


def seen_to_and_fro(span: Span, passed_ns: int) -> int:
    """The instant that is seen when `passed_ns` of the stretch's own time have been run through.

    It begins just before the stretch's end and is there again after twice the stretch's length.
    """
    last_ns = span.length_ns - 1
    if last_ns <= 0:
        return span.start_ns
    run = passed_ns % (2 * last_ns)
    return span.start_ns + abs(last_ns - run)
