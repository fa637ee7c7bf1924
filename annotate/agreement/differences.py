"""Where two looks differ, moment by moment, each with the stretch to play.

What lasts differs where it differs for longer than the tolerance; instants where they do not pair. Where
only one look has the horse out of sight, that alone is listed, not also its gait, rein and lead.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from annotate.agreement.comparing import Agreement
from annotate.agreement.events import EventAgreement
from annotate.agreement.looks import NO, UNTAGGED, YES, Said, TwoLooks
from annotate.agreement.matching import match
from annotate.behaviours import OUT_OF_SIGHT, SIGHT, Sheet
from annotate.clock import NS_PER_S, Span
from annotate.rivals import title_of
from annotate.tags import Tag

Kind = Literal[
    "state", "edge", "only_first", "only_second", "other_name", "severity", "stimulus", "side"
]

LEAD_IN_NS = LEAD_OUT_NS = 2 * NS_PER_S
NOTHING = "nothing"


@dataclass(frozen=True, slots=True)
class Difference:
    """One difference. `play` is the stretch to watch; `first_says` and `second_says` are for a person.

    For what lasts, `span` is where the two differ in `group`, and `first_code`, `second_code` are what they
    say: a state's name, out of sight, untagged, or yes and no for the state `name`. "edge" means that both
    saw the same change, one of them later. For instants, `first` and `second` are the tags; the times of a
    pair may differ within the tolerance.
    """

    kind: Kind
    at_ns: int
    play: Span
    first_says: str
    second_says: str
    group: str
    span: Span | None = None
    name: str = ""
    first_code: str = ""
    second_code: str = ""
    first: Tag | None = None
    second: Tag | None = None


def differences(agreement: Agreement) -> tuple[Difference, ...]:
    """Every difference within the footage, in order of time."""
    looks, least_ns = agreement.looks, agreement.tolerance_ns
    found = [*_of_events(looks, agreement.events, agreement.tolerance_ns)]
    for group, agreed in agreement.states.items():
        name = OUT_OF_SIGHT if group == SIGHT else ""
        found += _of_states(looks, agreed.said, group, name, least_ns)
    for group, singles in agreement.single.items():
        for name, agreed in singles.items():
            found += _of_states(looks, agreed.said, group, name, least_ns)
    return tuple(sorted(found, key=lambda one: (one.at_ns, one.group, one.name, one.kind)))


def _of_states(
    looks: TwoLooks, said: Said, group: str, name: str, least_ns: int
) -> Iterator[Difference]:
    for ours in said.codes:
        for theirs in said.codes:
            if ours == theirs or (not name and OUT_OF_SIGHT in (ours, theirs)):
                continue
            for span in said.first[ours] & said.second[theirs] & said.compared:
                if span.length_ns <= least_ns:
                    continue
                yield Difference(
                    kind="edge" if _same_change(said, span, ours, theirs) else "state",
                    at_ns=span.start_ns,
                    play=_play(looks, span.start_ns, span.end_ns),
                    first_says=_said_words(looks.sheet, ours, name),
                    second_says=_said_words(looks.sheet, theirs, name),
                    group=group,
                    span=span,
                    name=name,
                    first_code=ours,
                    second_code=theirs,
                )


def _same_change(said: Said, span: Span, ours: str, theirs: str) -> bool:
    """Whether both agree before and after, and one just changed later than the other."""
    before = _codes_at(said, span.start_ns - 1)
    after = _codes_at(said, span.end_ns)
    return (before, after) in (((ours, ours), (theirs, theirs)), ((theirs, theirs), (ours, ours)))


def _codes_at(said: Said, at_ns: int) -> tuple[str | None, str | None]:
    if not said.compared.holds(at_ns):
        return None, None
    first, second = (
        next((code for code in said.codes if of[code].holds(at_ns)), None)
        for of in (said.first, said.second)
    )
    return first, second


def _of_events(looks: TwoLooks, events: EventAgreement, tolerance_ns: int) -> Iterator[Difference]:
    for pair in events.pairs:
        yield from _of_pair(looks, pair.first, pair.second)
    renamed = _renamed(looks.sheet, events.only_first, events.only_second, tolerance_ns)
    for ours, theirs in renamed:
        titles = (title_of(looks.sheet, tag) for tag in (ours, theirs))
        yield _event(looks, "other_name", ours, theirs, *titles)
    named = {(look, tag.id) for pair in renamed for look, tag in enumerate(pair)}
    for tag in events.only_first:
        if (0, tag.id) not in named:
            yield _event(looks, "only_first", tag, None, title_of(looks.sheet, tag), NOTHING)
    for tag in events.only_second:
        if (1, tag.id) not in named:
            yield _event(looks, "only_second", None, tag, NOTHING, title_of(looks.sheet, tag))


def _of_pair(looks: TwoLooks, first: Tag, second: Tag) -> Iterator[Difference]:
    title = title_of(looks.sheet, first)
    if first.severity != second.severity:
        ours, theirs = (
            f"{title}, severity {tag.severity or 'not given'}" for tag in (first, second)
        )
        yield _event(looks, "severity", first, second, ours, theirs)
    if first.stimulus != second.stimulus:
        ours, theirs = (f"{title}, {_set_off_by(tag)}" for tag in (first, second))
        yield _event(looks, "stimulus", first, second, ours, theirs)
    if first.side != second.side:
        ours, theirs = (
            f"{title} on the {tag.side}" if tag.side else f"{title} on no side" for tag in (first, second)
        )
        yield _event(looks, "side", first, second, ours, theirs)


def _renamed(
    sheet: Sheet, first: Sequence[Tag], second: Sequence[Tag], tolerance_ns: int
) -> list[tuple[Tag, Tag]]:
    """Instants without a partner that the other look has under another name of the same group."""
    found: list[tuple[Tag, Tag]] = []
    for group in sheet.groups:
        names = sheet.names(group.name)
        ours, theirs = ([tag for tag in tags if tag.what in names] for tags in (first, second))
        places = match([t.start_ns for t in ours], [t.start_ns for t in theirs], tolerance_ns)
        found += [(ours[one], theirs[other]) for one, other in places]
    return found


def _event(
    looks: TwoLooks, kind: Kind, first: Tag | None, second: Tag | None, ours: str, theirs: str
) -> Difference:
    tags = [tag for tag in (first, second) if tag is not None]
    at_ns, to_ns = min(tag.start_ns for tag in tags), max(tag.start_ns for tag in tags)
    return Difference(
        kind=kind,
        at_ns=at_ns,
        play=_play(looks, at_ns, to_ns + 1),
        first_says=ours,
        second_says=theirs,
        group=looks.sheet[tags[0].what].group,
        first=first,
        second=second,
    )


def _play(looks: TwoLooks, start_ns: int, end_ns: int) -> Span:
    session_end_ns = looks.session.end_ns
    return Span(max(0, start_ns - LEAD_IN_NS), min(max(session_end_ns, end_ns), end_ns + LEAD_OUT_NS))


def _set_off_by(tag: Tag) -> str:
    return f"at {tag.stimulus.replace('_', ' ')}" if tag.stimulus else "nothing named"


def _said_words(sheet: Sheet, code: str, name: str) -> str:
    if name:
        title = sheet[name].title if name in sheet else "out of sight"
        return {YES: title, NO: f"not {title}"}[code]
    return NOTHING if code == UNTAGGED else sheet[code].title
