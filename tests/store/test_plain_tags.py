"""Tags without an object for each say the same as the tags."""

from __future__ import annotations

from annotate.tagging import Change
from store.barn import Barn
from tests.store.made_barns import BOTH, event, state

engines = BOTH


def test_plain_tags_are_what_from_and_to_of_the_trainers_own(barn: Barn, session_id: int) -> None:
    tags = (state("walk", 0, 60), state("left_rein", 0, 30), event("spook", 7), event("spook", 7))
    barn.apply(session_id, Change((), tags))
    barn.apply(session_id, Change((), (event("buck", 9),)), look=2)
    told = sorted(barn.plain_tags(session_id), key=str)
    assert told == sorted([(tag.what, tag.start_ns, tag.end_ns) for tag in tags], key=str)


def test_a_session_without_tags_has_none(barn: Barn, session_id: int) -> None:
    assert list(barn.plain_tags(session_id)) == []
