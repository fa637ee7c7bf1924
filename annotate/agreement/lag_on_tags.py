"""Key lag that was taken out of tags: what they say about it, and whether it helped.

It helped if the two looks lie closer together than they would with the lag put back. Each look's tags say
themselves what was taken out of them.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from annotate.agreement.key_lag import lag_words
from annotate.agreement.looks import TwoLooks
from annotate.agreement.matching import match
from annotate.changes import Change
from annotate.clock import NS_PER_S, parse_seconds
from annotate.tags import Tag

# So wide that the lag itself never decides which tags pair.
PAIRS_WITHIN_NS = 3 * NS_PER_S

_WORDS = re.compile(r"key lag of ([0-9]+\.[0-9]{2}) s taken out")
_BETWEEN = "; "
_OF_THE_END = "at the end "


@dataclass(frozen=True, slots=True)
class LagHelp:
    """Tags that both looks have and of which at least one had a lag taken out: how far apart they lie.

    `apart_ns` and `apart_with_lag_ns` are means without regard to which look is later.
    """

    pairs: int
    apart_ns: Fraction
    apart_with_lag_ns: Fraction

    @property
    def helped(self) -> bool:
        """Whether the looks lie closer together without the lag."""
        return self.apart_ns < self.apart_with_lag_ns


def with_lag_note(change: Change, what: str, at_ns: int, taken_ns: int) -> Change:
    """A press from which a lag was taken: whatever it began at `at_ns` says so in its note.

    Where it only ended the state `what`, that says so of its end.
    """
    words = lag_words(taken_ns)
    if not words:
        return change
    before = {tag.id: tag for tag in change.removed}
    begun = {
        tag.id
        for tag in change.added
        if tag.start_ns == at_ns and (tag.id not in before or before[tag.id].start_ns != at_ns)
    }
    noted: list[Tag] = []
    for tag in change.added:
        if tag.id in begun:
            tag = _noted(tag, words)
        elif not begun and tag.what == what and tag.end_ns == at_ns:
            tag = _noted(tag, _OF_THE_END + words)
        noted.append(tag)
    return replace(change, added=tuple(noted))


def lag_taken_ns(tag: Tag) -> int:
    """What was taken out of a tag's start, by its note."""
    for part in re.split(r"; |\n", tag.note):
        found = _WORDS.fullmatch(part)
        if found:
            return parse_seconds(found[1])
    return 0


def lag_help(looks: TwoLooks) -> LagHelp | None:
    """Whether taking the lag out brought the looks together; None where no tag of both had it."""
    apart: list[tuple[int, int]] = []
    for ours, theirs in _pairs(looks):
        taken, other = lag_taken_ns(ours), lag_taken_ns(theirs)
        if taken or other:
            late_ns = theirs.start_ns - ours.start_ns
            apart.append((abs(late_ns), abs(late_ns + other - taken)))
    if not apart:
        return None
    without, with_lag = (Fraction(sum(column), len(apart)) for column in zip(*apart, strict=True))
    return LagHelp(len(apart), without, with_lag)


def _pairs(looks: TwoLooks) -> Iterator[tuple[Tag, Tag]]:
    first, second = (
        [tag for tag in tags if looks.footage.holds(tag.start_ns)]
        for tags in (looks.first_tags, looks.second_tags)
    )
    for name in sorted({tag.what for tag in first} & {tag.what for tag in second}):
        ours, theirs = _named(first, name), _named(second, name)
        places = match([t.start_ns for t in ours], [t.start_ns for t in theirs], PAIRS_WITHIN_NS)
        yield from ((ours[one], theirs[other]) for one, other in places)


def _named(tags: Sequence[Tag], name: str) -> list[Tag]:
    return [tag for tag in tags if tag.what == name]


def _noted(tag: Tag, words: str) -> Tag:
    return replace(tag, note=_BETWEEN.join(filter(None, (tag.note, words))))
