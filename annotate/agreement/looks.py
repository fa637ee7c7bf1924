"""Two looks at the same footage, and what each says when.

Out of sight wins over whatever else is tagged, as in the numbers. Where neither tagged anything of a group,
or both had the horse out of sight, neither judged and the time is not compared. Where only one has nothing
or has it out of sight, that is what it says, and the two disagree.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property, reduce
from itertools import pairwise
from operator import or_

from annotate.behaviours import OUT_OF_SIGHT, Sheet
from annotate.clock import NS_PER_S, Span, Spans
from annotate.errors import Trouble
from annotate.numbers.observed import Seen, look_at
from annotate.sessions import Session
from annotate.tags import Tag

UNTAGGED = "untagged"
YES, NO = "yes", "no"

MINUTE_NS = 60 * NS_PER_S


@dataclass(frozen=True)
class TwoLooks:
    """Both looks at the passages that were looked at twice; the passages share no time."""

    session: Session
    sheet: Sheet
    first: Seen
    second: Seen
    first_tags: tuple[Tag, ...]
    second_tags: tuple[Tag, ...]
    passages: tuple[Spans, ...]

    @cached_property
    def footage(self) -> Spans:
        """All that was looked at twice."""
        return reduce(or_, self.passages, Spans())

    def passage_at(self, at_ns: int) -> int | None:
        """The place of the passage that holds an instant."""
        return next((place for place, spans in enumerate(self.passages) if spans.holds(at_ns)), None)


@dataclass(frozen=True)
class Said:
    """What two looks say about one thing: each a share-out of the footage among the same codes.

    `compared` is the time that counts; `hidden` had both out of sight, `silent` has nothing from either.
    """

    codes: tuple[str, ...]
    first: Mapping[str, Spans]
    second: Mapping[str, Spans]
    compared: Spans
    hidden: Spans
    silent: Spans

    def about(self, code: str) -> Said:
        """The same time, asked only whether it was this code."""
        first, second = (
            {YES: said[code], NO: reduce(or_, (said[c] for c in self.codes if c != code), Spans())}
            for said in (self.first, self.second)
        )
        return Said((YES, NO), first, second, self.compared, self.hidden, self.silent)


def two_looks(
    session: Session,
    first: Sequence[Tag],
    second: Sequence[Tag],
    sheet: Sheet,
    passages: Sequence[Span] | None = None,
) -> TwoLooks:
    """Both looks at some passages, or, where None are given, at all that was observed, cut into minutes.

    Raises `TagTrouble` where the tags of a look contradict each other, `Trouble` where nothing is left.
    """
    observed = session.observed
    chosen = cut(observed, MINUTE_NS) if passages is None else passages
    pieces: list[Spans] = []
    taken = Spans()
    for span in chosen:
        piece = (Spans([span]) & observed) - taken
        if piece:
            pieces.append(piece)
            taken = taken | piece
    if not pieces:
        raise Trouble("No footage was looked at twice.")
    ours, theirs = (look_at(session, tags, sheet) for tags in (first, second))
    return TwoLooks(session, sheet, ours, theirs, tuple(first), tuple(second), tuple(pieces))


def cut(spans: Spans, about_ns: int) -> list[Span]:
    """Each span in equal parts as near to `about_ns` long as they can be."""
    parts: list[Span] = []
    for start_ns, end_ns in spans.edges:
        count = max(1, (end_ns - start_ns + about_ns // 2) // about_ns)
        edges = [start_ns + (end_ns - start_ns) * part // count for part in range(count + 1)]
        parts += [Span(a, b) for a, b in pairwise(edges)]
    return parts


def exclusive_groups(sheet: Sheet) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Groups of several states that exclude each other, with the states' names."""
    for group, names in _states(sheet):
        if len(names) > 1 and not sheet.group(group).side_by_side:
            yield group, names


def single_states(sheet: Sheet) -> Iterator[tuple[str, str]]:
    """States that can only be on or off, each with its group; out of sight is not among them."""
    for group, names in _states(sheet):
        if len(names) == 1 or sheet.group(group).side_by_side:
            for name in names:
                yield group, name


def said_of_group(looks: TwoLooks, names: Sequence[str]) -> Said:
    """Which of several states each look has on, in codes that occur, with out of sight and untagged."""
    codes = (*names, OUT_OF_SIGHT, UNTAGGED)
    first, second = (share_out(seen, names, looks.footage) for seen in (looks.first, looks.second))
    hidden = first[OUT_OF_SIGHT] & second[OUT_OF_SIGHT]
    silent = first[UNTAGGED] & second[UNTAGGED]
    compared = looks.footage - hidden - silent
    used = tuple(code for code in codes if (first[code] | second[code]) & compared)
    return Said(used, first, second, compared, hidden, silent)


def said_of_state(looks: TwoLooks, name: str) -> Said:
    """Whether a state is on, wherever at least one look has the horse in sight."""
    hidden = looks.first.out_of_sight & looks.second.out_of_sight & looks.footage
    return _yes_or_no(looks, looks.first.of(name), looks.second.of(name), hidden)


def said_of_sight(looks: TwoLooks) -> Said:
    """Whether the horse is out of sight."""
    return _yes_or_no(looks, looks.first.out_of_sight, looks.second.out_of_sight, Spans())


def share_out(seen: Seen, names: Sequence[str], footage: Spans) -> dict[str, Spans]:
    """The footage among the states, out of sight, and untagged."""
    shares = {name: seen.of(name) & footage for name in names}
    shares[OUT_OF_SIGHT] = seen.out_of_sight & footage
    shares[UNTAGGED] = footage - reduce(or_, shares.values(), Spans())
    return shares


def _states(sheet: Sheet) -> Iterator[tuple[str, tuple[str, ...]]]:
    for group in sheet.groups:
        of_group = sheet.of_group(group.name)
        yield group.name, tuple(b.name for b in of_group if b.is_state and b.name != OUT_OF_SIGHT)


def _yes_or_no(looks: TwoLooks, first: Spans, second: Spans, hidden: Spans) -> Said:
    compared = looks.footage - hidden
    ours, theirs = ({YES: on & looks.footage, NO: looks.footage - on} for on in (first, second))
    return Said((YES, NO), ours, theirs, compared, hidden, Spans())
