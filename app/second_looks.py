"""The second looks at a session as the barn keeps them: among its small texts, a few for each look.

The first look is kept as it was before differences were settled in it: agreement is that of two looks of
which neither knew the other, however much of it has been settled since. Each second look has its own such
copy, so that one made after a settlement is compared with the tags that it could have met.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import reduce
from operator import and_

from annotate.agreement.again import SecondLook, read_second_look, second_look_text
from annotate.agreement.comparing import compare_several
from annotate.agreement.differences import Difference
from annotate.agreement.doubt import Doubt, doubts, largest
from annotate.agreement.kept_looks import KeptLook
from annotate.agreement.looks import TwoLooks, two_looks
from annotate.agreement.several import AllAgree
from annotate.agreement.units import UNIT_NS
from annotate.clock import Span, Spans
from annotate.errors import TagTrouble, Trouble
from annotate.numbers.observed import look_at
from annotate.taglist import read_tag_list, write_tag_list
from annotate.tags import Tag
from store.barn import Barn

FIRST, SECOND = 1, 2

NO_FOOTAGE_IN_COMMON = "The looks share no footage. Give each the same passages."


@dataclass(frozen=True)
class AllLooks:
    """The first look with the earliest second one, at what all have looked at, and the tags of the others."""

    two: TwoLooks
    more: tuple[tuple[Tag, ...], ...]


def second_looks(barn: Barn, session_id: int) -> tuple[KeptLook, ...]:
    """Every second look at a session in order of number, those that were set aside among them."""
    with_tags = barn.looks(session_id)
    found: list[KeptLook] = []
    number = SECOND
    while (look := _kept(barn, session_id, number)) is not None or number <= max([FIRST, *with_tags]):
        if look is not None or number in with_tags:
            found.append(look or KeptLook(number))
        number += 1
    return tuple(found)


def latest_look(barn: Barn, session_id: int) -> KeptLook | None:
    """The latest second look that something can be compared with, else the latest that counts, else None."""
    counting = [look for look in second_looks(barn, session_id) if not look.aside]
    telling = [look for look in counting if look.tells]
    return next(reversed(telling or counting), None)


def second_look(barn: Barn, session_id: int, number: int) -> KeptLook:
    """The second look of that number. Raises `Trouble` where there is none."""
    for look in second_looks(barn, session_id):
        if look.number == number:
            return look
    raise _no_look(barn, session_id, number)


def keep_look(barn: Barn, session_id: int, look: KeptLook) -> None:
    """Keeps what is known of a look."""
    texts = {
        "who": look.who,
        "day": look.day.isoformat() if look.day is not None else "",
        "aside": "aside" if look.aside else "",
        "": second_look_text(look.drawn) if look.drawn is not None else "",
    }
    for part, text in texts.items():
        barn.keep_setting(_key(session_id, look.number, part), text or None)


def begin_look(barn: Barn, session_id: int, who: str, day: date, drawn: SecondLook) -> KeptLook:
    """A new look at drawn passages; nothing of it is tagged yet."""
    numbers = [look.number for look in second_looks(barn, session_id)]
    look = KeptLook(max([FIRST, *numbers]) + 1, who, day, drawn)
    keep_look(barn, session_id, look)
    return look


def finish_passage(barn: Barn, session_id: int, number: int, span: Span) -> None:
    """A passage of a look is done."""
    look = second_look(barn, session_id, number)
    if look.drawn is not None:
        keep_look(barn, session_id, replace(look, drawn=look.drawn.finished(span)))


def set_aside(barn: Barn, session_id: int, number: int, aside: bool) -> None:
    """Takes a look out of every figure, or back in. Its tags stay."""
    keep_look(barn, session_id, replace(second_look(barn, session_id, number), aside=aside))


# -- comparing


def looks_at(barn: Barn, session_id: int, number: int | None = None) -> TwoLooks:
    """The first look, as it was before anything was settled, and another at what was looked at twice.

    `number`: of which look; the latest without it. Raises `Trouble` where there is no such look.
    """
    look = _telling(barn, session_id, number)
    return _looks(barn, session_id, first_before_settling(barn, session_id, look.number), look)


def looks_now(barn: Barn, session_id: int, tags: Sequence[Tag], number: int) -> TwoLooks:
    """The same with the first look as it is now: what is still to be settled."""
    return _looks(barn, session_id, tags, _telling(barn, session_id, number))


def all_looks(barn: Barn, session_id: int) -> AllLooks | None:
    """All looks at what each of them looked at; None below three.

    Raises `Trouble` where they share no footage.
    """
    looks = [look for look in second_looks(barn, session_id) if look.tells]
    if len(looks) < 2:
        return None
    observed = barn.session(session_id).observed
    common = reduce(and_, (look.done_in(observed) for look in looks))
    if not common:
        raise Trouble(NO_FOOTAGE_IN_COMMON)
    drawn = next((look.drawn for look in looks if look.drawn is not None), None)
    passages = None if drawn is None else [part for span in drawn.done for part in Spans([span]) & common]
    first = first_before_settling(barn, session_id, looks[0].number)
    two = _two_looks(barn, session_id, first, looks[0].number, passages)
    return AllLooks(two, tuple(barn.tags(session_id, look.number) for look in looks[1:]))


def agreement_of_all(
    barn: Barn, session_id: int, unit_ns: int = UNIT_NS
) -> tuple[dict[str, AllAgree] | None, str]:
    """Fleiss' kappa of all looks by group, None below three of them; or None and why it is not defined."""
    try:
        every = all_looks(barn, session_id)
    except Trouble as trouble:
        return None, str(trouble)
    if every is None:
        return None, ""
    seen = [look_at(every.two.session, tags, every.two.sheet) for tags in every.more]
    return compare_several(every.two, seen, unit_ns=unit_ns), ""


def is_told_of(barn: Barn, session_id: int) -> bool:
    """Whether a second look tells something of a session's figures."""
    try:
        return any(look.tells for look in second_looks(barn, session_id))
    except Trouble:
        return False


def doubts_of(barn: Barn, session_id: int) -> dict[str, Doubt]:
    """How far the second looks moved each figure of a session at most; empty where none tells."""
    try:
        looks = [look for look in second_looks(barn, session_id) if look.tells]
    except Trouble:
        return {}
    found = []
    for look in looks:
        try:
            found.append(doubts(looks_at(barn, session_id, look.number), look.who))
        except Trouble:
            continue
    return largest(found)


def doubts_of_all(barn: Barn, session_ids: Iterable[int]) -> dict[int, dict[str, Doubt]]:
    """The same for many, by the session's number."""
    return {session_id: doubts_of(barn, session_id) for session_id in session_ids}


# -- settling


def first_before_settling(barn: Barn, session_id: int, number: int) -> tuple[Tag, ...]:
    """The tags of the first look as they were before a difference from that look was settled in them."""
    text = barn.setting(_key(session_id, number, "before"))
    if text is None:
        return barn.tags(session_id)
    return tuple(read_tag_list(text.encode(), barn.sheet(), barn.session(session_id).end_ns))


def begin_settling(barn: Barn, session_id: int) -> None:
    """Keeps the first look as it is for every second look so far that has no such copy yet."""
    text = write_tag_list(barn.tags(session_id), barn.sheet())
    for look in second_looks(barn, session_id):
        key = _key(session_id, look.number, "before")
        if barn.setting(key) is None:
            barn.keep_setting(key, text)


def verdicts(barn: Barn, session_id: int, number: int) -> dict[str, str]:
    """What was decided of a look without a change: 'first' or 'left', by `difference_key`."""
    kept = json.loads(barn.setting(_key(session_id, number, "verdicts")) or "{}")
    return {str(key): str(verdict) for key, verdict in kept.items()}


def keep_verdicts(barn: Barn, session_id: int, number: int, decided: Mapping[str, str]) -> None:
    """Keeps them all."""
    key = _key(session_id, number, "verdicts")
    barn.keep_setting(key, json.dumps(dict(decided)) if decided else None)


def difference_key(one: Difference) -> str:
    """What a difference is known by while neither look changes there."""
    until_ns = one.span.end_ns if one.span is not None else ""
    parts = (one.kind, one.at_ns, until_ns, one.group, one.name, one.first_says, one.second_says)
    return " ".join(map(str, parts))


# -- within


def _telling(barn: Barn, session_id: int, number: int | None) -> KeptLook:
    look = latest_look(barn, session_id) if number is None else second_look(barn, session_id, number)
    if look is None:
        raise _no_look(barn, session_id, SECOND)
    if look.drawn is not None and not look.drawn.done:
        raise Trouble("None of the passages that were drawn has been tagged again yet.")
    return look


def _no_look(barn: Barn, session_id: int, number: int) -> Trouble:
    called = barn.session(session_id).called
    if number == SECOND:
        return Trouble(f"{called}: no second look yet. Tag a part of it again first.")
    return Trouble(f"{called}: no look {number}.")


def _looks(barn: Barn, session_id: int, first: Sequence[Tag], look: KeptLook) -> TwoLooks:
    passages = look.drawn.done if look.drawn is not None else None
    return _two_looks(barn, session_id, first, look.number, passages)


def _two_looks(
    barn: Barn, session_id: int, first: Sequence[Tag], number: int, passages: Sequence[Span] | None
) -> TwoLooks:
    session = barn.session(session_id)
    try:
        return two_looks(session, first, barn.tags(session_id, number), barn.sheet(), passages)
    except TagTrouble as trouble:
        raise TagTrouble(f"The two looks cannot be compared: {trouble}") from trouble


def _kept(barn: Barn, session_id: int, number: int) -> KeptLook | None:
    drawn, who, day, aside = (
        barn.setting(_key(session_id, number, part)) for part in ("", "who", "day", "aside")
    )
    if drawn is None and who is None and aside is None:
        return None
    return KeptLook(
        number,
        who or "",
        _day(day),
        read_second_look(drawn) if drawn is not None else None,
        aside is not None,
    )


def _day(text: str | None) -> date | None:
    try:
        return date.fromisoformat(text or "")
    except ValueError:
        return None


def _key(session_id: int, number: int, part: str = "") -> str:
    look = "" if number == SECOND else str(number)
    return ".".join(filter(None, ("second_look", str(session_id), look, part)))
