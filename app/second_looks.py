"""The second look at a session as the barn keeps it, among its small texts.

The first look is kept as it was before differences were settled in it: agreement is that of two looks of
which neither knew the other, however much of it has been settled since.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence

from annotate.agreement.again import SecondLook, read_second_look, second_look_text
from annotate.agreement.differences import Difference
from annotate.agreement.doubt import Doubt, doubts
from annotate.agreement.looks import TwoLooks, two_looks
from annotate.clock import Span
from annotate.errors import TagTrouble, Trouble
from annotate.taglist import read_tag_list, write_tag_list
from annotate.tags import Tag
from store.barn import Barn

FIRST, SECOND = 1, 2


def kept_second_look(barn: Barn, session_id: int) -> SecondLook | None:
    """The passages of a session that were drawn to be tagged again, or None."""
    text = barn.setting(_key(session_id))
    return None if text is None else read_second_look(text)


def keep_second_look(barn: Barn, session_id: int, look: SecondLook | None) -> None:
    """Keeps them; None forgets them."""
    barn.keep_setting(_key(session_id), None if look is None else second_look_text(look))


def who_looked(barn: Barn, session_id: int) -> str:
    """Who tagged a session again; empty where nobody said."""
    return barn.setting(_key(session_id, "who")) or ""


def keep_who_looked(barn: Barn, session_id: int, who: str) -> None:
    """Keeps who tags a session again."""
    barn.keep_setting(_key(session_id, "who"), who or None)


def looks_at(barn: Barn, session_id: int, look: int = SECOND) -> TwoLooks:
    """The first look, as it was before anything was settled, and another at what was looked at twice.

    That is the drawn passages that are done, or all that was observed where none were drawn. Raises
    `Trouble` where there is no such look.
    """
    return _looks(barn, session_id, first_before_settling(barn, session_id), look)


def looks_now(barn: Barn, session_id: int, tags: Sequence[Tag]) -> TwoLooks:
    """The same with the first look as it is now: what is still to be settled."""
    return _looks(barn, session_id, tags, SECOND)


def doubts_of(barn: Barn, session_id: int) -> dict[str, Doubt]:
    """How far the second look moved each figure of a session; empty where there is none that tells."""
    try:
        there = kept_second_look(barn, session_id) is not None or SECOND in barn.looks(session_id)
        return doubts(looks_at(barn, session_id)) if there else {}
    except Trouble:
        return {}


def doubts_of_all(barn: Barn, session_ids: Iterable[int]) -> dict[int, dict[str, Doubt]]:
    """The same for many, by the session's number."""
    return {session_id: doubts_of(barn, session_id) for session_id in session_ids}


# -- settling


def first_before_settling(barn: Barn, session_id: int) -> tuple[Tag, ...]:
    """The tags of the first look as they were before the first difference was settled in them."""
    text = barn.setting(_key(session_id, "before"))
    if text is None:
        return barn.tags(session_id)
    return tuple(read_tag_list(text.encode(), barn.sheet(), barn.session(session_id).end_ns))


def begin_settling(barn: Barn, session_id: int) -> None:
    """Keeps the first look as it is, the first time that something is settled in it."""
    if barn.setting(_key(session_id, "before")) is None:
        text = write_tag_list(barn.tags(session_id), barn.sheet())
        barn.keep_setting(_key(session_id, "before"), text)


def is_being_settled(barn: Barn, session_id: int) -> bool:
    """Whether something has been settled in the first look."""
    return barn.setting(_key(session_id, "before")) is not None


def verdicts(barn: Barn, session_id: int) -> dict[str, str]:
    """What was decided without a change: 'first' or 'left', by `difference_key`."""
    kept = json.loads(barn.setting(_key(session_id, "verdicts")) or "{}")
    return {str(key): str(verdict) for key, verdict in kept.items()}


def keep_verdicts(barn: Barn, session_id: int, decided: Mapping[str, str]) -> None:
    """Keeps them all."""
    barn.keep_setting(_key(session_id, "verdicts"), json.dumps(dict(decided)) if decided else None)


def difference_key(one: Difference) -> str:
    """What a difference is known by while neither look changes there."""
    until_ns = one.span.end_ns if one.span is not None else ""
    parts = (one.kind, one.at_ns, until_ns, one.group, one.name, one.first_says, one.second_says)
    return " ".join(map(str, parts))


def _looks(barn: Barn, session_id: int, first: Sequence[Tag], look: int) -> TwoLooks:
    session = barn.session(session_id)
    passages = _done(barn, session_id)
    if passages is None and look not in barn.looks(session_id):
        raise Trouble(f"{session.name} has no second look yet. Tag a part of it again first.")
    try:
        return two_looks(session, first, barn.tags(session_id, look), barn.sheet(), passages)
    except TagTrouble as trouble:
        raise TagTrouble(f"The two looks cannot be compared: {trouble}") from trouble


def _done(barn: Barn, session_id: int) -> Sequence[Span] | None:
    drawn = kept_second_look(barn, session_id)
    if drawn is None:
        return None
    if not drawn.done:
        raise Trouble("None of the passages that were drawn has been tagged again yet.")
    return drawn.done


def _key(session_id: int, part: str = "") -> str:
    return f"second_look.{session_id}.{part}".rstrip(".")
