from __future__ import annotations

from dataclasses import replace

import pytest

from annotate.errors import BarnTrouble, Trouble
from annotate.passages import Passage
from store.barn import Barn
from tests.store.made_barns import BOTH

engines = BOTH


def test_passages_come_back_in_the_order_given(barn: Barn, session_id: int) -> None:
    late, early = Passage(50, 60, "late"), Passage(10, 20, "early")
    barn.keep_passages(session_id, [late, early])
    assert barn.passages(session_id) == (replace(late, position=0), replace(early, position=1))
    assert [one.id for one in barn.passages(session_id)] == [late.id, early.id]


def test_a_kept_list_replaces_the_one_before(barn: Barn, session_id: int) -> None:
    first, second = Passage(10, 20, "first"), Passage(30, 40, "second")
    barn.keep_passages(session_id, [first, second])
    barn.keep_passages(session_id, [replace(second, caption="better"), first])
    assert [one.caption for one in barn.passages(session_id)] == ["better", "first"]


@pytest.mark.parametrize("wrong", [Passage(20, 20), Passage(-5, 20)])
def test_a_passage_that_makes_no_sense_leaves_the_list_as_it_was(
    barn: Barn, session_id: int, wrong: Passage
) -> None:
    barn.keep_passages(session_id, [Passage(10, 20, "first")])
    with pytest.raises(Trouble, match="start"):
        barn.keep_passages(session_id, [Passage(30, 40), wrong])
    assert [one.caption for one in barn.passages(session_id)] == ["first"]


def test_passages_of_an_unknown_session_are_refused(barn: Barn) -> None:
    with pytest.raises(BarnTrouble, match="no session 7"):
        barn.keep_passages(7, [])
